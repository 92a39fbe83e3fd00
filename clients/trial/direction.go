package trial

import (
	"cmp"
	"slices"
	"strings"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
)

// Direction is a rule's way from one verdict to another. VERDICT_UNSPECIFIED
// stands for no finding at all.
type Direction struct {
	Rule     string
	From, To v1.Verdict
}

// DirectionOf tells which way a flip goes.
func DirectionOf(f *v1.Flip) Direction {
	return Direction{f.GetRule(), f.GetBaseline().GetVerdict(), f.GetCandidate().GetVerdict()}
}

// Words names the direction for people, such as "PASS to FAIL".
func (d Direction) Words() string { return verdictWord(d.From) + " to " + verdictWord(d.To) }

func verdictWord(v v1.Verdict) string {
	if v == v1.Verdict_VERDICT_UNSPECIFIED {
		return "nothing"
	}
	return report.Word(v)
}

// compareDirections orders by what a reader wants first: what comes to be worse.
func compareDirections(a, b Direction) int {
	return cmp.Or(cmp.Compare(b.To, a.To), strings.Compare(a.Rule, b.Rule), cmp.Compare(a.From, b.From))
}

// Smallest remembers the smallest build of each direction.
type Smallest struct {
	bytes map[Direction]uint32
	tags  map[Direction]string
}

// Take looks at one difference.
func (s *Smallest) Take(d *v1.BuildDifference) {
	if s.tags == nil {
		s.tags, s.bytes = map[Direction]string{}, map[Direction]uint32{}
	}
	for _, f := range d.GetFlips() {
		way := DirectionOf(f)
		least, known := s.bytes[way]
		if !known || d.GetBuildBytes() < least || d.GetBuildBytes() == least && d.GetTag() < s.tags[way] {
			s.bytes[way], s.tags[way] = d.GetBuildBytes(), d.GetTag()
		}
	}
}

// Tags tells the smallest build of each direction, in the order of interest and no
// more than limit.
func (s *Smallest) Tags(limit int) (ways []Direction, tags []string) {
	for way := range s.tags {
		ways = append(ways, way)
	}
	slices.SortFunc(ways, compareDirections)
	ways = ways[:min(limit, len(ways))]
	for _, way := range ways {
		tags = append(tags, s.tags[way])
	}
	return ways, tags
}
