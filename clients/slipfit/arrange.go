package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
)

// arrangeOptions are the flags of arrange.
type arrangeOptions struct {
	target
	best   int
	format string
	policy []string
	by     string
}

func arrangeCommand() *cobra.Command {
	o := &arrangeOptions{}
	cmd := &cobra.Command{
		Use:   "arrange BUILD",
		Short: "Rank the ways to put a build together",
		Long: `Rank the arrangements in which a build fits: the one with the most room in its
tightest place first, then those that need the least to be bought; or with --by
cool the one that stays furthest below its parts' temperature limits, with --by
quiet the one whose fans can be slowest within them; both try the first one's free
fans the other way round, too. Where none fits, tell which requirements cannot be
met together, and what would help.

An asterisk marks those that no other beats in margin, fan area and cost at once.
Prices are those of accessories among the build's items, and those that the
enclosure lists.

The exit code is 0 when an arrangement fits, 1 when none does, 2 when that cannot
be told, because the enclosure is described by limits alone.`,
		Example: "  slipfit arrange build.yaml\n  slipfit arrange build.yaml --best 3 --format json",
		Args:    cobra.ExactArgs(1),
		RunE:    func(cmd *cobra.Command, args []string) error { return arrange(cmd, o, args[0]) },
	}
	o.flags(cmd)
	f := cmd.Flags()
	f.IntVar(&o.best, "best", 10, "show the best `N`")
	f.StringVar(&o.by, "by", "margin", "rank by `margin`, cool or quiet")
	f.StringVar(&o.format, "format", "text", "write the ranking as `text` or json")
	f.StringArrayVar(&o.policy, "policy", nil, "set a rule's parameter, as `NAME=NUMBER`; may be given again")
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]string{"text", "json"}, cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

func arrange(cmd *cobra.Command, o *arrangeOptions, file string) error {
	if o.format != "text" && o.format != "json" {
		return &exit{exitUsage, fmt.Errorf("--format is text or json, not %q", o.format)}
	}
	if !slices.Contains(rankBy, o.by) {
		return &exit{exitUsage, fmt.Errorf("--by is %s, not %q", strings.Join(rankBy, ", "), o.by)}
	}
	if o.best < 1 {
		return &exit{exitUsage, fmt.Errorf("--best is at least 1, not %d", o.best)}
	}
	policy, err := policyValues(o.policy)
	if err != nil {
		return &exit{exitUsage, err}
	}
	fact, entry, err := wanted(cmd, &o.target, policy, file, factRanking)
	if err != nil {
		return err
	}
	ranking := fact.GetRanking()
	if ranking == nil {
		return limitsOnly(entry)
	}
	var outlooks []outlook
	if o.by != "margin" && len(ranking.Arrangements) > 0 {
		ranking.Arrangements = slices.Insert(ranking.Arrangements, 1, ranking.Directions...)
		ranking.Directions = nil // they stand in the list
		if outlooks, err = forecastRanking(cmd, o, policy, entry.Message, ranking); err != nil {
			return err
		}
		ranking.Unbeaten = nil // its places are of the order by margin
		for i, l := range outlooks {
			ranking.Arrangements[i] = l.arrangement
		}
	}
	shorten(ranking, o.best)
	if o.format == "json" {
		err = writeJSON(cmd.OutOrStdout(), ranking, true)
	} else {
		writeRanking(cmd.OutOrStdout(), ranking, entry.Message, outlooks)
	}
	if err == nil && ranking.GetFeasibleCount() == 0 {
		return &exit{code: exitFails}
	}
	return err
}

// shorten keeps the best so many, and of the unbeaten ones those that are kept.
func shorten(r *v1.Ranking, best int) {
	r.Arrangements = r.Arrangements[:min(best, len(r.Arrangements))]
	r.Unbeaten = slices.DeleteFunc(r.Unbeaten, func(i uint32) bool { return int(i) >= len(r.Arrangements) })
}

func writeRanking(out io.Writer, r *v1.Ranking, build *v1.Build, outlooks []outlook) {
	name := report.Plain(cmp.Or(build.GetTitle(), build.GetId(), "build"))
	if r.GetFeasibleCount() == 0 {
		writeInfeasible(out, r, name)
		return
	}
	count := fmt.Sprintf("%d arrangements fit", r.GetFeasibleCount())
	if r.GetFeasibleCount() == 1 {
		count = "1 arrangement fits"
	}
	if !r.GetExhaustive() {
		count = "at least " + count
	}
	fmt.Fprintf(out, "%s: %s\n", name, count)
	if !r.GetExhaustive() {
		fmt.Fprintln(out, "Not every arrangement was judged: the search has a budget. Fix some choices in the build to narrow it.")
	}
	for i, a := range r.Arrangements {
		mark := ""
		if slices.Contains(r.Unbeaten, uint32(i)) {
			mark = "  *"
		}
		words := figures(a)
		if i < len(outlooks) {
			words = append(outlooks[i].words(), words...)
		}
		fmt.Fprintf(out, "\n%3d  %s%s\n", i+1, strings.Join(words, ", "), mark)
		fmt.Fprintf(out, "     %s\n", report.Plain(cmp.Or(titleOf(build, a.GetLayout()), "the only layout")))
		for _, line := range seats(a) {
			fmt.Fprintf(out, "       %s\n", report.Plain(line))
		}
		if len(a.Needs) > 0 {
			fmt.Fprintf(out, "     needs %s\n", report.Plain(counted(a.Needs)))
		}
		if len(a.Buy) > 0 {
			fmt.Fprintf(out, "     buy   %s\n", report.Plain(counted(a.Buy)))
		}
	}
	writeDirections(out, r)
	if len(r.Unbeaten) > 0 {
		fmt.Fprintln(out, "\n* No other arrangement has more margin, more fan area and less cost at once.")
	}
}

// directionsShown is how many other directions of the fans are written.
const directionsShown = 3

// writeDirections tells how the fans of the first arrangement can blow otherwise.
func writeDirections(out io.Writer, r *v1.Ranking) {
	if len(r.Directions) == 0 {
		return
	}
	fmt.Fprintln(out, "\nThe first one's fans can blow otherwise too; --by cool and --by quiet compare that:")
	for i, a := range r.Directions {
		if i == directionsShown {
			fmt.Fprintf(out, "  and %d more\n", len(r.Directions)-i)
			return
		}
		var parts []string
		for _, s := range a.Seats {
			if way := s.GetMount() + " " + blowing(s); s.Flow != nil && !slices.Contains(parts, way) {
				parts = append(parts, way)
			}
		}
		fmt.Fprintf(out, "  - %s\n", report.Plain(strings.Join(parts, ", ")))
	}
}

// blowing is which way the fans of a seat blow, empty where they do not.
func blowing(s *v1.Seat) string {
	switch s.GetFlow() {
	case v1.Flow_FLOW_INTAKE:
		return "blowing in"
	case v1.Flow_FLOW_EXHAUST:
		return "blowing out"
	}
	return ""
}

func writeInfeasible(out io.Writer, r *v1.Ranking, name string) {
	if r.GetExhaustive() {
		fmt.Fprintf(out, "%s: no arrangement fits\n", name)
	} else {
		fmt.Fprintf(out, "%s: no arrangement that fits was found, and not every one was judged\n", name)
	}
	if len(r.Conflict) > 0 {
		fmt.Fprintln(out, "\nThese cannot be met together; without any one of them the others can:")
		for _, c := range r.Conflict {
			fmt.Fprintf(out, "  - %s\n", report.Plain(c.GetRequirement()))
		}
	}
	if len(r.Changes) > 0 {
		fmt.Fprintln(out, "\nAny one of these would make it fit, least first:")
		for _, c := range r.Changes {
			fmt.Fprintf(out, "  - %s", report.Plain(c.GetAction()))
			if len(c.Buy) > 0 {
				fmt.Fprintf(out, " (buy %s%s)", report.Plain(counted(c.Buy)), cost(c.AddedCost, c.GetCurrency()))
			}
			fmt.Fprintln(out)
		}
	}
}

// figures are what arrangements are ranked by.
func figures(a *v1.Arrangement) (out []string) {
	if a.MarginMm != nil {
		out = append(out, "margin "+decimal(a.GetMarginMm())+" mm")
	}
	if a.GetFanAreaCm2() > 0 {
		out = append(out, "fans "+decimal(a.GetFanAreaCm2())+" cm2")
	}
	switch {
	case len(a.Buy) > 0 && a.AddedCost == nil:
		out = append(out, "price of what is to buy unknown")
	case len(a.Buy) > 0:
		out = append(out, "to buy"+cost(a.AddedCost, a.GetCurrency()))
	default:
		out = append(out, "nothing to buy")
	}
	return out
}

// cost is a sum of money, empty where it is not known.
func cost(amount *float64, currency string) string {
	if amount == nil {
		return ""
	}
	return report.Plain(fmt.Sprintf(" for %.2f %s", *amount, currency))
}

func decimal(v float64) string {
	text := fmt.Sprintf("%.1f", v)
	return strings.TrimSuffix(text, ".0")
}

// seats lists what goes where, a line for each mount.
func seats(a *v1.Arrangement) (out []string) {
	for _, s := range a.Seats {
		line := s.GetItem()
		if s.GetCount() > 1 {
			line += fmt.Sprintf(" x %d", s.GetCount())
		}
		line += " on " + s.GetMount()
		if s.Pose != nil && s.GetPose() > 0 {
			line += fmt.Sprintf(", pose %d", s.GetPose())
		}
		for _, mm := range s.OffsetsMm {
			line += ", at " + decimal(mm) + " mm"
		}
		if first := s.GetPosition() + 1; first > 1 && s.GetCount() > 1 {
			line += fmt.Sprintf(", places %d to %d", first, s.GetPosition()+s.GetCount())
		} else if first > 1 {
			line += fmt.Sprintf(", place %d", first)
		}
		if way := blowing(s); way != "" {
			line += ", " + way
		}
		if s.GetSide() == "outer" {
			line += ", outside"
		}
		if s.Fittings != nil {
			line += ", fans " + map[bool]string{true: "between it and the panel", false: "on its inner side"}[s.GetFansOutside()]
			line += ", fittings " + axisWords[s.GetFittings()]
		}
		if s.GetSlideMm() != 0 {
			line += fmt.Sprintf(", slid by %s mm", decimal(s.GetSlideMm()))
		}
		out = append(out, line)
	}
	return out
}

// axisWords are the ends of an enclosure.
var axisWords = map[v1.Axis]string{
	v1.Axis_AXIS_X_PLUS: "to the front", v1.Axis_AXIS_X_MINUS: "to the rear", v1.Axis_AXIS_Y_PLUS: "to the left",
	v1.Axis_AXIS_Y_MINUS: "to the right", v1.Axis_AXIS_Z_PLUS: "up", v1.Axis_AXIS_Z_MINUS: "down",
}

// counted lists tokens, each once, with how many where there are several.
func counted(tokens []string) string {
	var out []string
	for i, t := range tokens {
		if slices.Contains(tokens[:i], t) {
			continue
		}
		n := 0
		for _, other := range tokens {
			if other == t {
				n++
			}
		}
		if n > 1 {
			t = fmt.Sprintf("%d x %s", n, t)
		}
		out = append(out, t)
	}
	return strings.Join(out, ", ")
}

// titleOf is what a layout of the build's enclosure is called.
func titleOf(build *v1.Build, layout string) string {
	for _, item := range build.GetItems() {
		for _, l := range item.GetPart().GetChassis().GetLayouts() {
			if l.GetId() == layout {
				return cmp.Or(l.GetTitle(), layout)
			}
		}
	}
	return layout
}
