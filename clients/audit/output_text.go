package audit

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"text/tabwriter"

	v1 "slipfit.example/proto/slipfit/v1"
)

// textWriter writes what is not right entry by entry, and a summary.
type textWriter struct{ to io.Writer }

func (w *textWriter) Write(r *Result) error {
	if len(r.Remarks) == 0 {
		return nil
	}
	name := orWord(r.Name, r.ID)
	var b strings.Builder
	fmt.Fprintf(&b, "%s", visible(r.Place.String()))
	if name != "" {
		fmt.Fprintf(&b, "  %s", visible(name))
	}
	b.WriteByte('\n')
	for i := range r.Remarks {
		m := &r.Remarks[i]
		fmt.Fprintf(&b, "  %-8s %s\n", word(m.Verdict), visible(m.Text))
		if m.Do != "" {
			fmt.Fprintf(&b, "           %s\n", visible(m.Do))
		}
	}
	_, err := io.WriteString(w.to, b.String())
	return err
}

func (w *textWriter) Close(s *Summary) error {
	var b strings.Builder
	if s.Entries > s.Verdicts[v1.Verdict_VERDICT_PASS] {
		b.WriteByte('\n')
	}
	fmt.Fprintf(&b, "%d entries: %d in order, %d unusual, %d with open questions, %d wrong, of which %d cannot be read.\n", s.Entries,
		s.Verdicts[v1.Verdict_VERDICT_PASS], s.Verdicts[v1.Verdict_VERDICT_MARGINAL],
		s.Verdicts[v1.Verdict_VERDICT_UNKNOWN], s.Verdicts[v1.Verdict_VERDICT_FAIL], s.Unreadable)
	table := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	for _, rule := range slices.Sorted(maps.Keys(s.Remarks)) {
		fmt.Fprintf(table, "  %s\t%d\n", rule, s.Remarks[rule])
	}
	if len(s.Packs) > 0 {
		fmt.Fprint(table, "Complete for the questions of\n")
	}
	for _, pack := range slices.Sorted(maps.Keys(s.Packs)) {
		score := s.Packs[pack]
		fmt.Fprintf(table, "  %s\t%.1f %%\t%d of %d\n", pack, 100*float64(score.Answered)/float64(max(1, score.Rules)), score.Answered, score.Rules)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	if s.Forgot {
		b.WriteString("The catalogue is so long that doubles which lie far apart may have been missed; --reach sets how far.\n")
	}
	_, err := io.WriteString(w.to, b.String())
	return err
}
