package trial

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
)

// WriteText writes a report for a terminal: what flips in all, then what it costs,
// then build by build with the evidence of both sides.
func WriteText(to io.Writer, r *Report) error {
	w := bufio.NewWriter(to)
	writeSummary(w, r)
	fmt.Fprintf(w, "\n%s\n", costWords(r.Summary))
	for _, d := range r.Differences {
		writeDifference(w, d)
	}
	for _, e := range r.Examples {
		writeExample(w, e)
	}
	return w.Flush()
}

// writeSummary writes what flips and moves in all.
func writeSummary(w io.Writer, r *Report) {
	s := r.Summary
	fmt.Fprintf(w, "%s\n", headline(s))
	fmt.Fprintf(w, "baseline   %s\ncandidate  %s\n", report.Plain(r.Baseline), report.Plain(r.Candidate))
	if len(s.GetFlips()) > 0 {
		fmt.Fprint(w, "\nVerdicts that flip\n")
		table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, f := range byInterest(s.Flips) {
			fmt.Fprintf(table, "  %s\t%s\t%d\n", f.GetRule(), directionOfCount(f).Words(), f.GetCount())
		}
		_ = table.Flush()
	}
	if len(s.GetMargins()) > 0 {
		fmt.Fprint(w, "\nMargins that move while the verdict stays\n")
		table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, m := range s.Margins {
			fmt.Fprintf(table, "  %s\t%d\t%s\n", m.GetRule(), m.GetCount(), span(m))
		}
		_ = table.Flush()
	}
}

// headline says in a sentence what the trial came to.
func headline(s *v1.TrialSummary) string {
	out := fmt.Sprintf("%d of %d builds flip", s.GetFlipped(), s.GetBuilds())
	if s.GetFlipped() == 0 {
		out = fmt.Sprintf("No verdict flips in %d builds", s.GetBuilds())
	}
	if n := NewUnknowns(s); n > 0 {
		out += fmt.Sprintf(", %d findings become UNKNOWN", n)
	}
	if n := s.GetRefused(); n > 0 {
		out += fmt.Sprintf(", %d builds were refused", n)
	}
	return out + "."
}

// span is how far a rule's margins move, the nominal value or its low end.
func span(m *v1.MarginCount) string {
	var parts []string
	if nominal := signedSpan(m.GetLeast(), m.GetGreatest()); nominal != "" {
		parts = append(parts, strings.TrimSpace(nominal+" "+m.GetUnit()))
	}
	if low := signedSpan(m.GetLeastLow(), m.GetGreatestLow()); low != "" {
		parts = append(parts, strings.TrimSpace("low end "+low+" "+m.GetUnit()))
	}
	if len(parts) == 0 {
		return "high end only"
	}
	return strings.Join(parts, ", ")
}

// signedSpan is empty where nothing moves.
func signedSpan(least, greatest float64) string {
	a, b := signed(least), signed(greatest)
	switch {
	case a == "+0" && b == "+0":
		return ""
	case a == b:
		return a
	default:
		return a + " to " + b
	}
}

func signed(v float64) string { return fmt.Sprintf("%+.4g", v) }

func costWords(s *v1.TrialSummary) string {
	if s.GetBuilds() == 0 {
		return "Nothing was judged, so the cost is not known."
	}
	each := func(side *v1.TrialSide) float64 { return side.GetSeconds() / float64(s.GetBuilds()) * 1000 }
	return fmt.Sprintf("A build takes %.2f ms under the baseline and %.2f ms under the candidate, %.2f times as long.",
		each(s.GetBaseline()), each(s.GetCandidate()), ratio(s))
}

func writeDifference(w io.Writer, d *v1.BuildDifference) {
	if d.Refusal != nil {
		fmt.Fprintf(w, "\n%s: not judged\n", report.Plain(d.GetTag()))
		for _, line := range refusalLines(d.Refusal) {
			fmt.Fprintf(w, "  %s\n", report.Plain(line))
		}
		return
	}
	if len(d.Flips) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s: %s to %s\n", report.Plain(d.GetTag()), verdictWord(d.GetBaseline()), verdictWord(d.GetCandidate()))
	for _, f := range d.Flips {
		fmt.Fprintf(w, "  %s, %s: %s\n", f.GetRule(), report.Plain(subjects(f.GetSubjects())), DirectionOf(f).Words())
		writeEvidence(w, f)
	}
}

// writeEvidence writes long sentences below each other, and short values beside
// each other with a mark where they differ.
func writeEvidence(w io.Writer, f *v1.Flip) {
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, row := range Evidence(f) {
		switch {
		case row.Label == "verdict":
		case row.Label == "says":
			fmt.Fprintf(w, "      baseline   %s\n      candidate  %s\n", orNothing(row.Baseline), orNothing(row.Candidate))
			fmt.Fprintf(table, "      \t%s\t%s\n", "baseline", "candidate")
		default:
			mark := " "
			if row.Differs() {
				mark = "*"
			}
			fmt.Fprintf(table, "    %s %s\t%s\t%s\n", mark, report.Plain(row.Label), orNothing(row.Baseline), orNothing(row.Candidate))
		}
	}
	_ = table.Flush()
}

func orNothing(text string) string {
	if text == "" {
		return "-"
	}
	return report.Plain(text)
}

func writeExample(w io.Writer, e Example) {
	fmt.Fprintf(w, "\n%s\n", report.Plain(exampleTitle(e)))
	for line := range strings.Lines(e.Document) {
		fmt.Fprintf(w, "    %s\n", report.Plain(strings.TrimRight(line, "\n")))
	}
}

func exampleTitle(e Example) string {
	least := "Smallest example"
	if !e.Minimal {
		least = "Small example, not reduced to the end"
	}
	return fmt.Sprintf("%s of %s, %s (from %s)", least, e.Rule, e.Words(), e.Tag)
}
