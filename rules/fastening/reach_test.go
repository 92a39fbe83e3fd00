package fastening

import (
	"testing"

	"pgregory.net/rapid"

	"slipfit.example/rules/geometry"
)

// Whatever is in the way of a screw or its driver lies in their common room, with the
// head on the face of the part or on a plate over it.
func TestRoomHoldsAllThatIsInTheWay(t *testing.T) {
	covered, barred := 0, 0
	rapid.Check(t, func(r *rapid.T) {
		number := func(label string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(r, label) }
		holes := make([]Hole, rapid.IntRange(1, 4).Draw(r, "holes"))
		from := geometry.Face(rapid.IntRange(0, 5).Draw(r, "from"))
		for i := range holes {
			holes[i] = Hole{At: geometry.Vec{number("x", -40, 40), number("y", -40, 40), number("z", -40, 40)}, From: from}
		}
		plate := rapid.SampledFrom([]float64{0, 1, 3}).Draw(r, "plate")
		all, heads, err := LongDriver.Room(holes, 6.9, plate)
		if err != nil {
			r.Fatal(err)
		}
		at := geometry.Vec{number("x", -60, 60), number("y", -60, 60), number("z", -60, 60)}
		solid, err := geometry.NewBoxAt(at, geometry.Vec{number("length", 1, 40), number("width", 1, 40), number("height", 1, 40)})
		if err != nil {
			r.Fatal(err)
		}
		for _, h := range holes {
			for _, out := range [...]float64{0, plate} {
				h := h
				h.At = h.At.Add(from.Normal().Scale(out))
				switch state, _, err := Look(h, 6.9, LongDriver, []geometry.Box{solid}); {
				case err != nil:
					r.Fatal(err)
				case state == Covered:
					if covered++; !heads.Overlaps(solid) || !all.Overlaps(solid) {
						r.Fatalf("%v covers a hole outside of the room %v of the heads", solid, heads)
					}
				case state == OutOfReach:
					if barred++; !all.Overlaps(solid) {
						r.Fatalf("%v bars a driver outside of its room %v", solid, all)
					}
				}
			}
		}
	})
	if covered == 0 || barred == 0 {
		t.Errorf("%d holes were covered and %d barred: too few to say much", covered, barred)
	}
	if _, _, err := LongDriver.Room([]Hole{{From: geometry.NoFace}}, 6.9, 0); err == nil {
		t.Error("a hole without a side has a room")
	}
}
