package route

import (
	"math"
	"slices"
	"strings"
	"testing"

	"slipfit.example/rules/geometry"
)

func box(t testing.TB, min, max geometry.Vec) geometry.Box {
	t.Helper()
	b, err := geometry.NewBox(min, max)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func find(t testing.TB, room Room, c Cable, from, to Terminal) *Route {
	t.Helper()
	r, err := Find(room, c, from, to)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func point(x, y, z float64) Terminal {
	return Terminal{At: geometry.Vec{x, y, z}, Exit: geometry.NoFace}
}

// hall is a room of 400 x 300 x 300 mm whose walls are far from everything.
func hall(t testing.TB, obstacles ...geometry.Box) Room {
	t.Helper()
	room := Room{Within: box(t, geometry.Vec{-100, -100, -100}, geometry.Vec{300, 200, 200})}
	for _, b := range obstacles {
		room.Obstacles = append(room.Obstacles, Obstacle{"box", b})
	}
	return room
}

// Shortest ways that unfolding gives in closed form: faces that meet in an edge are turned into one plane, in which the
// way is a straight line (Pythagoras).
func TestClosedForms(t *testing.T) {
	const r = 2.0 // cable radius
	hyp := math.Hypot
	for _, c := range []struct {
		what     string
		room     Room
		from, to Terminal
		want     float64
	}{
		{"free line", hall(t), point(0, 0, 0), point(30, 40, 120), 130},
		// A corner post through the whole height: grown edge at (52, 52), way in one plane.
		{"round an upright edge", hall(t, box(t, geometry.Vec{-100, -100, -100}, geometry.Vec{50, 50, 200})),
			point(0, 60, 0), point(60, 0, 0), hyp(52, 8) + hyp(8, 52)},
		{"round an upright edge, rising", hall(t, box(t, geometry.Vec{-100, -100, -100}, geometry.Vec{50, 50, 200})),
			point(0, 60, 0), point(60, 0, 30), hyp(hyp(52, 8)+hyp(8, 52), 30)},
		// A wall of 10 mm across the room, 50 mm high from below: both of its upper edges.
		{"over a wall", hall(t, box(t, geometry.Vec{0, -100, -100}, geometry.Vec{10, 200, 50})),
			point(-40, 0, 0), point(60, 0, 20), hyp(38, 52) + 14 + hyp(48, 32)},
		{"over a wall, slanting", hall(t, box(t, geometry.Vec{0, -100, -100}, geometry.Vec{10, 200, 50})),
			point(-40, -20, 0), point(60, 70, 20), hyp(hyp(38, 52)+14+hyp(48, 32), 90)},
		// And under a second wall that hangs down to 20 mm: four edges, all along Y.
		{"over one wall and under the next, slanting", hall(t, box(t, geometry.Vec{0, -100, -100}, geometry.Vec{10, 200, 50}),
			box(t, geometry.Vec{40, -100, 20}, geometry.Vec{50, 200, 200})),
			point(-40, -30, 0), point(92, 70, 60), hyp(hyp(38, 52)+14+hyp(26, 34)+14+hyp(40, 42), 100)},
		{"through a hole that just fits", hall(t,
			box(t, geometry.Vec{0, -100, -100}, geometry.Vec{10, 10, 200}), box(t, geometry.Vec{0, 14, -100}, geometry.Vec{10, 200, 200})),
			point(-20, 12, 5), point(30, 12, 5), 50},
		// The puzzle of the spider and the fly (1903): between points on the two ends of a block of 30 x 12 x 12, one
		// in the middle 1 from the top, the other in the middle 1 from the bottom, the shortest way over five faces is 40
		// (from memory).
		{"spider and fly", hall(t, box(t, geometry.Vec{r, r, r}, geometry.Vec{30 - r, 12 - r, 12 - r})), point(0, 6, 11), point(30, 6, 1), 40},
	} {
		got := find(t, c.room, Cable{Diameter: 2 * r}, c.from, c.to)
		if got.Blockage != nil || math.Abs(got.Length-c.want) > 1e-4 {
			t.Errorf("%s: %v mm, want %v mm; %+v", c.what, got.Length, c.want, got.Points)
		}
	}
}

func TestStraightStretchesAtTerminals(t *testing.T) {
	supply := box(t, geometry.Vec{0, 0, 0}, geometry.Vec{100, 80, 60})
	from := Terminal{At: geometry.Vec{100, 40, 30}, Exit: geometry.MaxX, Straight: 20}
	to := Terminal{At: geometry.Vec{200, 40, 30}, Exit: geometry.MinX, Straight: 15}
	r := find(t, hall(t, supply), Cable{Diameter: 6, MinBendRadius: 10}, from, to)
	if r.Blockage != nil || r.Length != 100 || r.Rounded != 100 || len(r.Bends) != 0 {
		t.Errorf("between facing terminals: %+v, want 100 mm straight", r)
	}
	// A U-turn: out of the supply and back above it. The tight way is 20 up to the turn and 40 back; the cable makes half
	// a circle of 10 mm and needs the way sideways too.
	back := point(80, 40, 80)
	r = find(t, hall(t, supply), Cable{Diameter: 6, MinBendRadius: 10}, from, back)
	if r.Blockage != nil || r.Rounded < r.Length || r.Rounded > r.Length+2*math.Pi*10 {
		t.Errorf("U-turn: %v mm tight, %v mm rounded: %+v", r.Length, r.Rounded, r)
	}
	for _, b := range r.Bends {
		if b.Angle > 125 {
			t.Errorf("U-turn: one bend by %v degrees", b.Angle)
		}
	}
	r = find(t, hall(t, supply, box(t, geometry.Vec{110, 0, 0}, geometry.Vec{120, 80, 60})), Cable{Diameter: 6}, from, to)
	if r.Blockage == nil || r.Blockage.Terminal != 0 || !slices.Equal(r.Blockage.Obstacles, []int{1}) || r.Points != nil {
		t.Errorf("a plate before the outlet: %+v", r.Blockage)
	}
}

// A right angle over one edge: both legs lean outwards by the swing. In the plane the way is symmetric, so its length
// follows from the tangents of a circle through the edge.
func TestRoundedBendRunsThroughTheEdge(t *testing.T) {
	room := hall(t, box(t, geometry.Vec{-100, -100, -100}, geometry.Vec{49, 49, 200}))
	const radius, leg = 12.0, 80.0
	r := find(t, room, Cable{Diameter: 2, MinBendRadius: radius}, point(50-leg, 50, 0), point(50, 50-leg, 0))
	// The circle's centre lies inwards on the diagonal, its top in the edge.
	cx := 50 - radius/math.Sqrt2
	dist := math.Hypot(cx-(50-leg), cx-50)
	tangent := math.Sqrt(dist*dist - radius*radius)
	// The turn: between the two tangents from points at equal distance.
	toCentre := math.Atan2(cx-50, cx-(50-leg))
	up := toCentre + math.Asin(radius/dist)
	angle := math.Pi/2 + 2*up
	want := 2*tangent + radius*angle
	if math.Abs(r.Length-2*leg) > 1e-6 || math.Abs(r.Rounded-want) > 1e-4 || len(r.Bends) != 1 || !r.Bends[0].Fits {
		t.Errorf("%v mm tight, %v mm rounded, want %v and %v; bends %+v", r.Length, r.Rounded, 2*leg, want, r.Bends)
	}
}

func TestBendsThatDoNotFitSaySo(t *testing.T) {
	// A slot of 10 mm between a block and a lid: the swing of a radius of 60 mm needs more.
	block := box(t, geometry.Vec{-100, -100, -100}, geometry.Vec{50, 200, 50})
	lid := box(t, geometry.Vec{-100, -100, 60}, geometry.Vec{300, 200, 70})
	r := find(t, hall(t, block, lid), Cable{Diameter: 4, MinBendRadius: 60}, point(-20, 0, 55), point(55, 0, -60))
	if r.Blockage != nil || len(r.Bends) == 0 || r.Bends[0].Fits || !slices.Contains(r.Bends[0].Obstacles, 1) {
		t.Errorf("bends %+v, want one stopped by the lid", r.Bends)
	}
	r = find(t, hall(t, block), Cable{Diameter: 4, MinBendRadius: 20}, point(-20, 0, 55), point(55, 0, -60))
	if len(r.Bends) == 0 || !r.Bends[0].Fits {
		t.Errorf("bends %+v, want one that fits without the lid", r.Bends)
	}
}

func TestBlockageNamesWhatClosesTheWay(t *testing.T) {
	// Two plates close the room but for a gap of 8 mm; a third box has no part in it.
	room := hall(t,
		box(t, geometry.Vec{0, -100, -100}, geometry.Vec{10, 20, 200}),
		box(t, geometry.Vec{0, 28, -100}, geometry.Vec{10, 200, 200}),
		box(t, geometry.Vec{100, 0, 0}, geometry.Vec{150, 50, 50}))
	r := find(t, room, Cable{Diameter: 9}, point(-50, 0, 0), point(50, 0, 0))
	if r.Blockage == nil || r.Blockage.Terminal != -1 || !slices.Equal(r.Blockage.Obstacles, []int{0, 1}) || math.Abs(r.Blockage.Passable-8) > 0.1 {
		t.Errorf("blockage %+v, want the two plates and 8 mm", r.Blockage)
	}
	if r = find(t, room, Cable{Diameter: 8}, point(-50, 0, 0), point(50, 0, 0)); r.Blockage != nil {
		t.Errorf("a cable of the gap's width is stopped by %+v", r.Blockage)
	}
	if r = find(t, room, Cable{Diameter: 8}, point(-99, 0, 0), point(50, 0, 0)); r.Blockage == nil || r.Blockage.Terminal != 0 || r.Blockage.Obstacles != nil {
		t.Errorf("a terminal too near to the wall: %+v", r.Blockage)
	}
}

func TestChannelIsPreferredNotForced(t *testing.T) {
	tray := box(t, geometry.Vec{0, 40, -100}, geometry.Vec{200, 44, 100})
	room := hall(t, tray)
	room.Channels = []geometry.Box{box(t, geometry.Vec{0, 44, -100}, geometry.Vec{200, 70, 100})}
	from, to := point(-20, 20, 0), point(220, 20, 0)
	direct := find(t, room, Cable{Diameter: 4}, from, to)
	if direct.Length != 240 || direct.InChannel != 0 {
		t.Errorf("without preference: %v mm, %v mm in the channel", direct.Length, direct.InChannel)
	}
	room.Preference = 2
	r := find(t, room, Cable{Diameter: 4}, from, to)
	// In at one end and out at the other: (-20,20) to (-2,46), along to (202,46), and back.
	if want := 2*math.Hypot(18, 26) + 204; r.Length > want*1.03 || r.Length < want-1e-6 || r.InChannel < 199 {
		t.Errorf("with preference: %v mm, %v mm in the channel, want about %v mm", r.Length, r.InChannel, want)
	}
	room.Preference = 0.01
	if r = find(t, room, Cable{Diameter: 4}, from, to); math.Abs(r.Length-240) > 1e-6 {
		t.Errorf("with a slight preference: %v mm, want 240 mm", r.Length)
	}
}

func TestChainOfBoxes(t *testing.T) {
	room := hall(t, box(t, geometry.Vec{0, 0, 100}, geometry.Vec{50, 50, 120}))
	riser := []geometry.Box{
		box(t, geometry.Vec{0, 60, 0}, geometry.Vec{90, 70, 40}),
		box(t, geometry.Vec{80, 60, 40}, geometry.Vec{90, 70, 120}),
		box(t, geometry.Vec{54, 40, 110}, geometry.Vec{90, 70, 120}),
	}
	from, to := geometry.Vec{5, 65, 0}, geometry.Vec{60, 45, 120}
	fit, err := CheckChain(room, riser, from, to, 0)
	if err != nil || fit.Gap != 4 || fit.Link != 2 || fit.Obstacle != 0 || fit.Separation.FaceB != geometry.MaxX {
		t.Errorf("fit %+v, %v; want 4 mm between link 2 and the obstacle", fit, err)
	}
	for want, call := range map[string]func() error{
		"has no boxes":                                       func() error { _, err := CheckChain(room, nil, from, to, 0); return err },
		"boxes 0 and 1 of the connector lie":                 func() error { _, err := CheckChain(room, []geometry.Box{riser[0], riser[2]}, from, to, 0); return err },
		"end 1 of the connector misses its place by 30.0 mm": func() error { _, err := CheckChain(room, riser, from, geometry.Vec{60, 45, 150}, 1); return err },
		"a play of NaN mm":                                   func() error { _, err := CheckChain(room, riser, from, to, math.NaN()); return err },
		"end 0 of the connector cannot be used": func() error {
			_, err := CheckChain(room, riser, geometry.Vec{math.NaN(), 0, 0}, to, 0)
			return err
		},
	} {
		if err := call(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
}

func TestBadInputIsRefused(t *testing.T) {
	nan := math.NaN()
	good := Cable{Diameter: 5}
	for _, c := range []struct {
		want string
		call func() error
	}{
		{"the cable's diameter is 0 mm", func() error { _, err := Find(hall(t), Cable{}, point(0, 0, 0), point(1, 1, 1)); return err }},
		{"the cable's diameter is NaN mm", func() error {
			_, err := Find(hall(t), Cable{Diameter: nan}, point(0, 0, 0), point(1, 1, 1))
			return err
		}},
		{"minimum bend radius is -1 mm", func() error {
			_, err := Find(hall(t), Cable{Diameter: 5, MinBendRadius: -1}, point(0, 0, 0), point(1, 1, 1))
			return err
		}},
		{"terminal 1 cannot be used", func() error { _, err := Find(hall(t), good, point(0, 0, 0), point(nan, 1, 1)); return err }},
		{"terminal 0 at [0 0 900] lies outside the room", func() error { _, err := Find(hall(t), good, point(0, 0, 900), point(1, 1, 1)); return err }},
		{"terminal 0 leaves straight for NaN mm", func() error {
			_, err := Find(hall(t), good, Terminal{Straight: nan}, point(1, 1, 1))
			return err
		}},
		{"the room has no volume", func() error { _, err := Find(Room{}, good, point(0, 0, 0), point(1, 1, 1)); return err }},
		{"obstacle 0 (\"lid\") has no volume", func() error {
			room := hall(t)
			room.Obstacles = []Obstacle{{Name: "lid"}}
			_, err := Find(room, good, point(0, 0, 0), point(1, 1, 1))
			return err
		}},
		{"the preference for the channels is NaN", func() error {
			room := hall(t)
			room.Preference = nan
			_, err := Find(room, good, point(0, 0, 0), point(1, 1, 1))
			return err
		}},
		{"the room has 129 obstacles", func() error {
			room := hall(t)
			room.Obstacles = make([]Obstacle, 129)
			_, err := Find(room, good, point(0, 0, 0), point(1, 1, 1))
			return err
		}},
	} {
		if err := c.call(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want one with %q", err, c.want)
		}
	}
}
