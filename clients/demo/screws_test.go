package demo

import (
	"fmt"
	"testing"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// stock is what the boxes of a build hold of one kind of fastener.
type stock struct {
	*slipfitv1.Fastener
	left uint32
}

// serves reports whether a fastener is meant for a joint and holds it.
func (s *stock) serves(j *slipfitv1.Joint) bool {
	kind := j.GetKind()
	if kind == "" {
		kind = "screw"
	}
	alike := s.GetKind() == kind || s.GetKind() == "thumbscrew" && kind == "screw"
	long := j.ShortestMm == nil || s.GetLengthMm() >= j.GetShortestMm() && s.GetLengthMm() <= j.GetLongestMm()
	return alike && s.GetThread() == j.GetThread() && long && (s.Purpose == nil || s.GetPurpose() == j.GetPurpose())
}

// Every joint of every build finds its screws in the boxes that the build buys: what is missing on purpose are brackets,
// never screws.
func TestScrewsAreInTheBoxes(t *testing.T) {
	for id, b := range builds(t) {
		var stocks []*stock
		for _, i := range b.GetItems() {
			for _, f := range i.GetPart().GetKit().GetFasteners() {
				stocks = append(stocks, &stock{f, f.GetCount() * max(1, i.GetCount())})
			}
		}
		take := func(who string, j *slipfitv1.Joint, pieces uint32) {
			wanted := (j.GetCount() - j.GetCovered()) * pieces
			for _, s := range stocks {
				if s.serves(j) {
					taken := min(wanted, s.left)
					s.left -= taken
					wanted -= taken
				}
			}
			if wanted > 0 {
				t.Errorf("build %s: %d fasteners are missing for %s", id, wanted, who)
			}
		}
		for _, i := range b.GetItems() {
			for _, j := range i.GetPart().GetJoints() {
				take(fmt.Sprintf("%s, %s", i.GetId(), j.GetId()), j, max(1, i.GetCount()))
			}
			for _, l := range i.GetPart().GetChassis().GetLayouts() {
				if l.GetId() != b.GetArrangement().GetLayout() {
					continue
				}
				for _, m := range l.GetMounts() {
					if m.GetKind() == slipfitv1.MountKind_MOUNT_KIND_BOARD {
						for _, j := range m.GetJoints() {
							take("the board", j, 1)
						}
					}
				}
			}
		}
	}
}
