package mounting

import (
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/solids"
)

// The fact as it is read by hand is what the contract's own decoder makes of it: every
// box of every demo build, and all the rest but the gaps.
func TestFactIsReadAsTheContractHasIt(t *testing.T) {
	boxes := 0
	for _, name := range demoNames(t) {
		check, err := proto.Marshal(&v1.CheckRequest{Build: demoBuild(t, name)})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range ask(t, clearance.Pack(), check, nil).Facts {
			if f.Name != factArrangement {
				continue
			}
			whole := new(v1.Fact)
			if err := proto.Unmarshal(f.Value, whole); err != nil {
				t.Fatal(err)
			}
			want := whole.GetArrangement()
			s := new(scene)
			s.readFact(f.Value)
			if len(s.extents) != len(want.Boxes) {
				t.Fatalf("%s: %d boxes are read, and there are %d", name, len(s.extents), len(want.Boxes))
			}
			for i, b := range want.Boxes {
				boxes++
				extent, err := solids.BoxOf(b.Extent)
				if got := s.extents[i]; got != (placedBox{b.GetItem(), b.GetBody(), b.GetPiece(), b.GetPurpose(), extent, err == nil}) {
					t.Errorf("%s: box %d is read as %+v, and is %v", name, i, got, b)
				}
			}
			want.Boxes, want.Gaps = nil, nil
			if !proto.Equal(s.fact, want) {
				t.Errorf("%s: read as %v, and is %v", name, s.fact, want)
			}
		}
	}
	if boxes == 0 {
		t.Error("no box was read")
	}
}

// A fact that is cut off is refused, whatever is left of it.
func TestFactThatIsCutOffIsRefused(t *testing.T) {
	value, err := proto.Marshal(arrangement("below", "card slots 1"))
	if err != nil {
		t.Fatal(err)
	}
	for cut := 1; cut < len(value); cut++ {
		refused := func() (refused bool) {
			defer func() { refused = recover() != nil }()
			new(scene).readFact(value[:cut])
			return false
		}()
		whole := proto.Unmarshal(value[:cut], new(v1.Fact)) == nil
		if refused == whole {
			t.Errorf("cut off at %d: refused %v, and the contract's decoder takes it: %v", cut, refused, whole)
		}
	}
}
