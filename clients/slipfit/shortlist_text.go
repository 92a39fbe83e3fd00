package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
)

// listText writes a list for people.
type listText struct {
	out      io.Writer
	plan     *v1.ShortlistPlan
	fitting  []*v1.Candidate
	declined []*v1.Candidate
	summary  *v1.ShortlistSummary
}

func (l *listText) take(m *v1.ShortlistManyResponse) error {
	switch c := m.GetCandidate(); {
	case m.GetSummary() != nil:
		l.summary = m.GetSummary()
	case c.Refusal != nil || c.GetVerdict() >= v1.Verdict_VERDICT_UNKNOWN:
		l.declined = append(l.declined, c)
	default:
		l.fitting = append(l.fitting, c)
	}
	return nil
}

// orderWords say what comes first.
var orderWords = map[v1.ShortlistOrder]string{
	v1.ShortlistOrder_SHORTLIST_ORDER_MARGIN: "the most to spare first",
	v1.ShortlistOrder_SHORTLIST_ORDER_PRICE:  "the cheapest first",
	v1.ShortlistOrder_SHORTLIST_ORDER_SOUND:  "the quietest build first",
}

func (l *listText) end(other, unread int) error {
	build := report.Plain(cmp.Or(l.plan.Build.GetTitle(), l.plan.Build.GetId(), "the build"))
	fmt.Fprintf(l.out, "For %s in: %s\n", l.plan.GetItem(), build)
	if len(l.fitting) > 0 {
		fmt.Fprintf(l.out, "These fit, %s:\n\n", orderWords[l.plan.Order])
		l.writeFitting()
	} else {
		fmt.Fprintln(l.out, "No part fits.")
	}
	l.writeReasons()
	l.writeDeclined()
	l.writeNumbers(other, unread)
	return outcomeOf(l.summary)
}

// writeFitting is one line for each, and below it what is tightest.
func (l *listText) writeFitting() {
	var rows [][]string
	for i, c := range l.fitting {
		row := []string{fmt.Sprint(i + 1), nameOf(c.GetName(), c.GetId()), report.Word(c.GetVerdict()), spare(c), money(c.Price)}
		if l.plan.Order == v1.ShortlistOrder_SHORTLIST_ORDER_SOUND {
			row = append(row, sound(c))
		}
		rows = append(rows, append(row, tightest(c)))
	}
	writeColumns(l.out, rows, "rllrrr")
}

// nameOf is what people call a part.
func nameOf(name, id string) string {
	return shortened(report.Plain(cmp.Or(name, id, "(no name)")), 40)
}

// shortened cuts a text at a character.
func shortened(s string, most int) string {
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most-3]) + "..."
}

// spare is the tightest margin, with its share of what is required.
func spare(c *v1.Candidate) string {
	if c.MarginShare == nil {
		return "-"
	}
	m := c.GetFinding().GetMargin()
	return fmt.Sprintf("%s (%.0f %%)", report.Number(&v1.Quantity{Nominal: m.Nominal, Unit: m.Unit}), 100*c.GetMarginShare())
}

func sound(c *v1.Candidate) string {
	if c.SoundDba == nil {
		return "-"
	}
	return fmt.Sprintf("%.1f dB(A)", c.GetSoundDba())
}

func money(p *v1.Price) string {
	if p == nil {
		return "-"
	}
	return fmt.Sprintf("%.2f %s", p.GetAmount(), report.Plain(p.GetCurrency()))
}

// tightest is the rule of the tightest finding.
func tightest(c *v1.Candidate) string {
	if c.MarginShare == nil {
		return ""
	}
	return report.Plain(c.GetFinding().GetRule())
}

// writeReasons says why the others do not fit, the commonest reason first.
func (l *listText) writeReasons() {
	if len(l.summary.GetReasons()) == 0 {
		return
	}
	fmt.Fprint(l.out, "\nThese do not, by the rule that decides:\n\n")
	var rows [][]string
	for _, r := range l.summary.GetReasons() {
		rows = append(rows, []string{fmt.Sprint(r.GetCandidates()), report.Word(r.GetVerdict()), report.Plain(r.GetRule())})
	}
	writeColumns(l.out, rows, "rl")
}

// writeDeclined is one paragraph for each that does not fit.
func (l *listText) writeDeclined() {
	if len(l.declined) == 0 {
		return
	}
	sortByPlace(l.declined)
	fmt.Fprintln(l.out)
	for _, c := range l.declined {
		word, text := report.Word(c.GetVerdict()), c.GetFinding().GetSummary().GetText()
		if c.Refusal != nil {
			word, text = "REFUSED", c.GetRefusal().GetReason()
		}
		fmt.Fprintf(l.out, "  %-8s %s: %s\n", word, nameOf(c.GetName(), c.GetId()), shortened(report.Plain(text), 400))
	}
}

func (l *listText) writeNumbers(other, unread int) {
	s := l.summary
	var words []string
	add := func(n uint64, one, many string) {
		switch {
		case n == 1:
			words = append(words, "1 "+one)
		case n > 1:
			words = append(words, fmt.Sprintf("%d %s", n, many))
		}
	}
	add(s.GetRuledOut(), "was ruled out before anything was solved for it", "were ruled out before anything was solved for them")
	add(s.GetSetAside(), "was set aside, since it cannot come among those shown", "were set aside, since they cannot come among those shown")
	add(s.GetFit()-min(s.GetFit(), uint64(len(l.fitting))), "more fits and is not shown", "more fit and are not shown")
	why := " (--rejected tells why)"
	if l.plan.GetRejected() {
		why = ""
	}
	add(s.GetRefused(), "was refused as a bad document"+why, "were refused as bad documents"+why)
	add(uint64(unread), "could not be read", "could not be read")
	add(uint64(other), "of another kind was left out", "of other kinds were left out")
	fmt.Fprintf(l.out, "\n%d parts looked at", s.GetCandidates())
	for i, w := range words {
		if i == 0 {
			fmt.Fprint(l.out, ": ")
		} else {
			fmt.Fprint(l.out, "; ")
		}
		fmt.Fprint(l.out, w)
	}
	fmt.Fprintln(l.out, ".")
}

// writeColumns sets rows in columns; alignment says of each column but the last
// whether it stands left or right.
func writeColumns(out io.Writer, rows [][]string, alignment string) {
	var widths []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		var b strings.Builder
		for i, cell := range row {
			b.WriteString("  ")
			blank := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			switch {
			case i == len(row)-1:
				b.WriteString(cell)
			case i < len(alignment) && alignment[i] == 'r':
				b.WriteString(blank + cell)
			default:
				b.WriteString(cell + blank)
			}
		}
		fmt.Fprintln(out, strings.TrimRight(b.String(), " "))
	}
}
