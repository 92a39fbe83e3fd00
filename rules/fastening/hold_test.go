package fastening

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"slipfit.example/rules/geometry"
)

// used marks holes: "xx.x" has the third without a screw.
func used(s string) []bool {
	out := make([]bool, len(s))
	for i := range s {
		out[i] = s[i] == 'x'
	}
	return out
}

// A fan's holes in the order of FanPattern: two on one edge, two on the other.
func TestWhichScrewsHoldAFan(t *testing.T) {
	fan, err := FanPattern(120, 0)
	if err != nil {
		t.Fatal(err)
	}
	for in, want := range map[string]struct {
		holding Holding
		oneSide bool
	}{
		"xxxx": {HeldByAll, false},
		"xxx.": {HeldByEnough, false}, // three are enough where the fourth is covered (common practice, no source)
		"x..x": {HeldIfLight, false},  // opposite corners
		"xx..": {HeldIfLight, true},   // one edge: the other swings
		"x.x.": {HeldIfLight, true},
		"x...": {NotHeld, true},
		"....": {NotHeld, false},
	} {
		if got := Judge(fan, used(in), 0); got != want.holding {
			t.Errorf("%s: %v, want %v", in, got, want.holding)
		}
		if got := OneSide(fan, used(in)); got != want.oneSide {
			t.Errorf("%s: one side %v, want %v", in, got, want.oneSide)
		}
	}
}

// An SFX supply has six holes and hangs on four.
func TestFourOfSixHolesAreAll(t *testing.T) {
	sfx, err := SupplyPattern("sfx")
	if err != nil {
		t.Fatal(err)
	}
	if got := Judge(sfx, used("xxxx.."), 4); got != HeldByAll {
		t.Errorf("corners: %v", got)
	}
	// Three in one column do not span an area: the supply tilts about it.
	if got := Judge(sfx, used("xx..x."), 4); got != HeldIfLight {
		t.Errorf("one column: %v", got)
	}
}

func TestLever(t *testing.T) {
	fan, err := FanPattern(120, 0)
	if err != nil {
		t.Fatal(err)
	}
	middle := geometry.Vec{60, 60, 12}
	for in, want := range map[string]float64{"xxxx": 0, "xxx.": 0, "x..x": 0, "xx..": 52.5, "x...": 74.2462} {
		if got, ok := LeverMM(fan, used(in), middle); !ok || math.Abs(got-want) > 1e-3 {
			t.Errorf("%s: %g, want %g", in, got, want)
		}
	}
	if _, ok := LeverMM(fan, used("...."), middle); ok {
		t.Error("no screw has a lever")
	}
	if _, ok := LeverMM(nil, nil, middle); ok {
		t.Error("no pattern has a lever")
	}
}

// One more screw never holds worse and never lengthens the lever.
func TestOneMoreScrewNeverHurts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var holes []Hole
		for range rapid.IntRange(1, 7).Draw(t, "holes") {
			holes = append(holes, Hole{From: geometry.MaxZ, At: geometry.Vec{
				float64(rapid.IntRange(0, 20).Draw(t, "x")), float64(rapid.IntRange(0, 20).Draw(t, "y")), 0,
			}})
		}
		in := make([]bool, len(holes))
		for i := range in {
			in[i] = rapid.Bool().Draw(t, "in")
		}
		add := rapid.IntRange(0, len(holes)-1).Draw(t, "add")
		load := geometry.Vec{float64(rapid.IntRange(0, 20).Draw(t, "lx")), float64(rapid.IntRange(0, 20).Draw(t, "ly")), 0}
		before, leverBefore := Judge(holes, in, 0), math.Inf(1)
		if mm, ok := LeverMM(holes, in, load); ok {
			leverBefore = mm
		}
		in[add] = true
		if after := Judge(holes, in, 0); after > before {
			t.Fatalf("from %v to %v", before, after)
		}
		if mm, ok := LeverMM(holes, in, load); !ok || mm > leverBefore+1e-9 {
			t.Fatalf("lever from %g to %g", leverBefore, mm)
		}
	})
}

func TestDriverReachesAHole(t *testing.T) {
	hole := Hole{ID: "C", At: geometry.Vec{0, 0, 0}, From: geometry.MaxZ}
	box := func(x, z, edge float64) geometry.Box {
		b, err := geometry.NewBoxAt(geometry.Vec{x, -edge / 2, z}, geometry.Vec{edge, edge, edge})
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	for name, c := range map[string]struct {
		solid geometry.Box
		want  Access
	}{
		"nothing near":                  {box(100, 0, 10), Open},
		"the frame lies on the hole":    {box(-5, 1, 10), Covered},
		"the fins stand over it":        {box(-50, 40, 100), OutOfReach},
		"beside the shaft, under hand":  {box(10, 110, 30), OutOfReach},
		"beside the shaft, below hand":  {box(10, 40, 20), Open},
		"under the face":                {box(-5, -20, 10), Open},
		"beyond the end of the handle":  {box(-50, 210, 100), Open},
		"it only touches the head room": {box(3, 0, 10), Open},
	} {
		got, at, err := Look(hole, 6, CommonDriver, []geometry.Box{box(200, 200, 5), c.solid})
		if err != nil || got != c.want || (at == 1) != (c.want != Open) {
			t.Errorf("%s: %v by %d (%v), want %v", name, got, at, err, c.want)
		}
	}
	if _, _, err := Look(Hole{From: geometry.NoFace}, 6, CommonDriver, nil); err == nil {
		t.Error("a hole without a side passed")
	}
	for a, want := range map[Access]string{Open: "open", Covered: "covered", OutOfReach: "out of a driver's reach"} {
		if a.String() != want {
			t.Error(a.String())
		}
	}
	for h, want := range map[Holding]string{
		HeldByAll: "held by all of its screws", HeldByEnough: "held by enough of its screws", HeldIfLight: "held if it is light", NotHeld: "not held",
	} {
		if h.String() != want {
			t.Error(h.String())
		}
	}
}
