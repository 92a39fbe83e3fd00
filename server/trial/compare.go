package trial

import (
	"cmp"
	"math"
	"slices"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
)

// marginNoise is the share of a margin below which a difference is rounding.
const marginNoise = 1e-9

// place tells findings of one answer apart: a rule may speak about the same items
// several times, in the order of its judgement.
type place struct {
	rule, subjects string
	turn           int
}

// Compare tells how two answers about one build differ. Findings belong together
// when rule, items and turn are the same; one that has no counterpart is a flip
// from or to nothing.
func Compare(tag string, baseline, candidate *v1.CheckResponse) *v1.BuildDifference {
	d := &v1.BuildDifference{
		Tag: &tag, Baseline: baseline.GetVerdict().Enum(), Candidate: candidate.GetVerdict().Enum(),
	}
	before, after := byPlace(baseline.GetFindings()), byPlace(candidate.GetFindings())
	for _, at := range places(before, after) {
		b, c := before[at], after[at]
		switch {
		case b == nil || c == nil || b.GetVerdict() != c.GetVerdict():
			d.Flips = append(d.Flips, &v1.Flip{Rule: ptr(at.rule), Subjects: subjectsOf(b, c), Baseline: b, Candidate: c})
		case moved(b.GetMargin(), c.GetMargin()):
			d.Margins = append(d.Margins, &v1.MarginMove{
				Rule: ptr(at.rule), Subjects: b.GetSubjects(), Verdict: b.GetVerdict().Enum(),
				Baseline: b.GetMargin(), Candidate: c.GetMargin(),
			})
		}
	}
	return d
}

// Differs reports whether there is anything to tell.
func Differs(d *v1.BuildDifference) bool {
	return d.Refusal != nil || len(d.Flips) > 0 || len(d.Margins) > 0 || d.GetBaseline() != d.GetCandidate()
}

func byPlace(findings []*v1.Finding) map[place]*v1.Finding {
	out := make(map[place]*v1.Finding, len(findings))
	for _, f := range findings {
		at := place{rule: f.GetRule(), subjects: strings.Join(f.GetSubjects(), "\x00")}
		for out[at] != nil {
			at.turn++
		}
		out[at] = f
	}
	return out
}

// places are the places of both answers in order of rule, items and turn.
func places(before, after map[place]*v1.Finding) []place {
	out := make([]place, 0, len(before))
	for at := range before {
		out = append(out, at)
	}
	for at := range after {
		if before[at] == nil {
			out = append(out, at)
		}
	}
	slices.SortFunc(out, func(a, b place) int {
		return cmp.Or(strings.Compare(a.rule, b.rule), strings.Compare(a.subjects, b.subjects), cmp.Compare(a.turn, b.turn))
	})
	return out
}

func subjectsOf(b, c *v1.Finding) []string {
	if b != nil {
		return b.GetSubjects()
	}
	return c.GetSubjects()
}

// moved reports whether two margins of one unit differ by more than rounding, in
// the middle or at an end.
func moved(b, c *v1.Quantity) bool {
	if b == nil || c == nil || b.GetUnit() != c.GetUnit() {
		return (b == nil) != (c == nil)
	}
	return differ(b.GetNominal(), c.GetNominal()) || differ(b.GetLow(), c.GetLow()) || differ(b.GetHigh(), c.GetHigh())
}

func differ(a, b float64) bool {
	return math.Abs(a-b) > marginNoise*max(1, math.Abs(a), math.Abs(b))
}

func ptr[T any](v T) *T { return &v }
