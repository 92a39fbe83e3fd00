package trial

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Tally adds differences up to a summary. It is not safe for use by several
// goroutines.
type Tally struct {
	builds, refused, flipped uint64
	flips                    map[direction]uint64
	margins                  map[marginKey]*v1.MarginCount
	baseline, candidate      side
}

// direction is a rule's way from one verdict to another; 0 is no finding at all.
type direction struct {
	rule     string
	from, to v1.Verdict
}

type marginKey struct{ rule, unit string }

type side struct {
	ruleset *v1.Ruleset
	cost    time.Duration
}

// Refused counts a build that was not judged.
func (t *Tally) Refused() { t.refused++ }

// Judged counts a build, with the time that each side took for it.
func (t *Tally) Judged(d *v1.BuildDifference, baseline, candidate *v1.CheckResponse, costs [2]time.Duration) {
	t.builds++
	t.baseline.add(baseline, costs[0])
	t.candidate.add(candidate, costs[1])
	if len(d.Flips) > 0 {
		t.flipped++
	}
	if t.flips == nil {
		t.flips, t.margins = map[direction]uint64{}, map[marginKey]*v1.MarginCount{}
	}
	for _, f := range d.Flips {
		t.flips[direction{f.GetRule(), f.GetBaseline().GetVerdict(), f.GetCandidate().GetVerdict()}]++
	}
	for _, m := range d.Margins {
		t.move(m)
	}
}

func (t *Tally) move(m *v1.MarginMove) {
	unit := cmp.Or(m.GetBaseline().GetUnit(), m.GetCandidate().GetUnit())
	change := m.GetCandidate().GetNominal() - m.GetBaseline().GetNominal()
	low := m.GetCandidate().GetLow() - m.GetBaseline().GetLow()
	key := marginKey{m.GetRule(), unit}
	count := t.margins[key]
	if count == nil {
		count = &v1.MarginCount{
			Rule: ptr(key.rule), Unit: &unit, Count: ptr(uint64(0)),
			Least: ptr(change), Greatest: ptr(change), LeastLow: ptr(low), GreatestLow: ptr(low),
		}
		t.margins[key] = count
	}
	*count.Count++
	*count.Least, *count.Greatest = min(*count.Least, change), max(*count.Greatest, change)
	*count.LeastLow, *count.GreatestLow = min(*count.LeastLow, low), max(*count.GreatestLow, low)
}

func (s *side) add(answer *v1.CheckResponse, cost time.Duration) {
	s.ruleset = answer.GetRuleset()
	s.cost += cost
}

func (s *side) message() *v1.TrialSide {
	return &v1.TrialSide{Ruleset: s.ruleset, Seconds: ptr(s.cost.Seconds())}
}

// Summary is what the trial came to so far.
func (t *Tally) Summary() *v1.TrialSummary {
	out := &v1.TrialSummary{
		Builds: ptr(t.builds), Refused: ptr(t.refused), Flipped: ptr(t.flipped),
		Baseline: t.baseline.message(), Candidate: t.candidate.message(),
	}
	for d, n := range t.flips {
		out.Flips = append(out.Flips, &v1.FlipCount{Rule: ptr(d.rule), From: verdict(d.from), To: verdict(d.to), Count: ptr(n)})
	}
	slices.SortFunc(out.Flips, func(a, b *v1.FlipCount) int {
		return cmp.Or(strings.Compare(a.GetRule(), b.GetRule()), cmp.Compare(a.GetFrom(), b.GetFrom()), cmp.Compare(a.GetTo(), b.GetTo()))
	})
	for _, m := range t.margins {
		out.Margins = append(out.Margins, proto.CloneOf(m)) // counting goes on
	}
	slices.SortFunc(out.Margins, func(a, b *v1.MarginCount) int {
		return cmp.Or(strings.Compare(a.GetRule(), b.GetRule()), strings.Compare(a.GetUnit(), b.GetUnit()))
	})
	return out
}

// verdict leaves out the verdict of a finding that is not there.
func verdict(v v1.Verdict) *v1.Verdict {
	if v == v1.Verdict_VERDICT_UNSPECIFIED {
		return nil
	}
	return v.Enum()
}
