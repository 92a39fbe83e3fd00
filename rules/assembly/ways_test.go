package assembly

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slipfit.example/rules/geometry"
)

func box(t interface{ Fatal(...any) }, x, y, z, dx, dy, dz float64) geometry.Box {
	b, err := geometry.NewBoxAt(geometry.Vec{x, y, z}, geometry.Vec{dx, dy, dz})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A card lies under a board; a fan stands before its open side. It goes in from
// the side before the fan, and never through the rear wall that its bracket sits in.
func TestStraightWays(t *testing.T) {
	card := Thing{Step: 0, Boxes: []geometry.Box{box(t, 0, 40, 50, 250, 110, 40), box(t, -1, 40, 50, 1, 110, 40)}}
	others := []Thing{
		{Step: 1, Boxes: []geometry.Box{box(t, 0, 160, 60, 170, 2, 170)}}, // board beside it
		{Step: 2, Boxes: []geometry.Box{box(t, 100, 0, 40, 120, 25, 120)}},
		{Step: 0, Boxes: []geometry.Box{box(t, 0, 0, 0, 300, 200, 300)}}, // itself is nothing
	}
	rear := []geometry.Box{box(t, -1.2, 0, 0, 1.2, 187, 268)}
	exits := []Exit{
		{Name: "through the right side", Out: geometry.MinY, TravelMM: 200},
		{Name: "through the left side", Out: geometry.MaxY, TravelMM: 200},
		{Name: "through the rear", Out: geometry.MinX, TravelMM: 400},
		{Name: "through the front", Out: geometry.MaxX, TravelMM: 400},
	}
	ways, ok, err := StraightWays(card, exits, others, rear)
	if err != nil || !ok || len(ways) != 4 {
		t.Fatalf("%+v %v %v", ways, ok, err)
	}
	for i, want := range [][]int{{2}, {1}, nil, nil} {
		if !slices.Equal(ways[i].Barred, want) {
			t.Errorf("%s: barred by %v, want %v", ways[i].Name, ways[i].Barred, want)
		}
	}
	// A bar before the front that is no part of the card's place closes it for good.
	bar := append(rear, box(t, 300, 60, 60, 6, 6, 6))
	if ways, _, err = StraightWays(card, exits, others, bar); err != nil || len(ways) != 3 {
		t.Errorf("%+v %v", ways, err)
	}
	if _, ok, err = StraightWays(card, exits[3:], others, bar); err != nil || ok {
		t.Errorf("no way is left, and one is told (%v)", err)
	}
	if _, _, err = StraightWays(card, []Exit{{Name: "nowhere", Out: geometry.MinY, TravelMM: math.NaN()}}, others, nil); err == nil {
		t.Error("a travel that is no length passed")
	}
}

// What the thing only touches on its way does not bar it.
func TestPartsSlideAlongWhatTheyTouch(t *testing.T) {
	drive := Thing{Step: 0, Boxes: []geometry.Box{box(t, 10, 0, 0, 100, 70, 7)}}
	beside := []Thing{{Step: 1, Boxes: []geometry.Box{box(t, 10, 70, 0, 200, 10, 50)}}, {Step: 2, Boxes: []geometry.Box{box(t, 10, 0, -5, 200, 70, 5)}}}
	ways, ok, err := StraightWays(drive, []Exit{{Out: geometry.MaxX, TravelMM: 300}}, beside, nil)
	if err != nil || !ok || len(ways[0].Barred) != 0 {
		t.Errorf("%+v %v %v", ways, ok, err)
	}
}

// The boxes that bar a way are those that a general check by small moves meets.
func TestWaysAgreeWithSmallMoves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		edge := func(name string) float64 { return float64(rapid.IntRange(2, 30).Draw(t, name)) }
		at := func(name string) float64 { return float64(rapid.IntRange(-40, 40).Draw(t, name)) }
		thing := Thing{Step: 0, Boxes: []geometry.Box{box(t, 0, 0, 0, edge("a"), edge("b"), edge("c"))}}
		other := Thing{Step: 1, Boxes: []geometry.Box{box(t, at("x"), at("y"), at("z"), edge("d"), edge("e"), edge("f"))}}
		out := geometry.Face(rapid.IntRange(0, 5).Draw(t, "out"))
		ways, ok, err := StraightWays(thing, []Exit{{Out: out, TravelMM: 80}}, []Thing{other}, nil)
		if err != nil || !ok {
			t.Fatal(err)
		}
		own, met := slim(thing.Boxes[0]), false
		for step := range 161 {
			moved, err := geometry.NewBoxAt(own.Min().Add(out.Normal().Scale(float64(step)/2)), own.Size())
			if err != nil {
				t.Fatal(err)
			}
			met = met || moved.Overlaps(other.Boxes[0])
		}
		if want := met && !own.Overlaps(other.Boxes[0]); (len(ways[0].Barred) > 0) != want {
			t.Fatalf("barred %v, small moves say %v", ways[0].Barred, want)
		}
	})
}

func TestRoomForToolsAndHands(t *testing.T) {
	room := []geometry.Box{box(t, 0, 0, 0, 10, 10, 100)}
	things := []Thing{{Step: 3, Boxes: []geometry.Box{box(t, 5, 5, 50, 50, 50, 50)}}, {Step: 4, Boxes: []geometry.Box{box(t, 10, 0, 0, 5, 5, 5)}}}
	if got := BarredBy(room, things); !slices.Equal(got, []int{3}) {
		t.Errorf("%v", got)
	}
}
