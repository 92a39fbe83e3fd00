package clearance

import (
	"math"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/route"
)

// drawnRoom is a small room with boxes on whole millimetres and two sockets in it.
func drawnRoom(t *rapid.T) (room route.Room, cable route.Cable, from, to route.Terminal) {
	box := func(low, size geometry.Vec) geometry.Box {
		b, err := geometry.NewBoxAt(low, size)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	mm := func(name string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, name)) }
	room.Within = box(geometry.Vec{}, geometry.Vec{300, 180, 260})
	if rapid.Bool().Draw(t, "wall") {
		room.Obstacles = append(room.Obstacles, route.Obstacle{Name: "wall", Box: box(geometry.Vec{mm("at", 40, 260), 0, 0}, geometry.Vec{2, 180, 260})})
	}
	for range rapid.IntRange(0, 12).Draw(t, "boxes") {
		low := geometry.Vec{mm("x", 0, 220), mm("y", 0, 130), mm("z", 0, 200)}
		size := geometry.Vec{mm("dx", 5, 75), mm("dy", 5, 45), mm("dz", 5, 55)}
		room.Obstacles = append(room.Obstacles, route.Obstacle{Name: "box", Box: box(low, size)})
	}
	end := func(name string) route.Terminal {
		return route.Terminal{
			At:       geometry.Vec{mm(name+" x", 20, 280), mm(name+" y", 20, 160), mm(name+" z", 20, 240)},
			Exit:     geometry.Face(rapid.IntRange(0, 5).Draw(t, name+" exit")),
			Straight: mm(name+" straight", 5, 15),
		}
	}
	cable.Diameter = mm("diameter", 2, 12)
	cable.MinBendRadius = cable.Diameter * mm("bend", 1, 4)
	return room, cable, end("from"), end("to")
}

// The bounds hold what the exact search finds: no way is shorter than the lower
// one; where a square way is clear there is a way, no longer than the upper one.
func TestBoundsHoldTheExactWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		room, cable, from, to := drawnRoom(t)
		way, err := route.Find(room, cable, from, to)
		if err != nil {
			t.Fatal(err)
		}
		lower, upper := bounds(&room, cable, from, to)
		if way.Blockage != nil {
			if upper > 0 && way.Blockage.Terminal < 0 {
				t.Fatalf("a square way of %v mm is clear, and the search finds none", upper)
			}
			return
		}
		exact := wayLength(way, cable.MinBendRadius, 0, upper)
		if lower > exact+1e-6 {
			t.Fatalf("the lower bound is %v mm, the way %v mm", lower, exact)
		}
		if upper > 0 && way.Length > 1.03*upper { // ways are found to 3 %
			t.Fatalf("the upper bound is %v mm, the way %v mm", upper, way.Length)
		}
	})
}

// Ways that are passed over because none of their kind can be shorter would not have
// been: each of them tried by itself comes to the same shortest one.
func TestShortestSquareWayIsNotPassedOver(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		room, cable, from, to := drawnRoom(t)
		s := new(square)
		s.begin(&room, cable)
		s.from, s.to = from.At, to.At
		a, b := leadEnd(from, cable.Diameter/2, s.bend), leadEnd(to, cable.Diameter/2, s.bend)
		alone := *s
		want := math.Inf(1)
		by := func(try func()) {
			alone.best = math.Inf(1)
			try()
			want = min(want, alone.best)
		}
		for _, order := range orders {
			by(func() { alone.try(a, b, order[:]) })
		}
		for axis := range a {
			planes := []float64{s.low[axis], s.high[axis]}
			for _, g := range s.grown {
				between := true
				for k := range a {
					between = between && max(a[k], b[k]) > g[0][k] && min(a[k], b[k]) < g[1][k]
				}
				if between {
					planes = append(planes, g[0][axis]-s.bend, g[1][axis]+s.bend)
				}
			}
			for _, at := range planes {
				by(func() { alone.tryDetour(a, b, axis, at) })
			}
		}
		if s.tryAll(a, b); s.best != want {
			t.Fatalf("the shortest of all comes to %v mm, each alone to %v mm", s.best, want)
		}
	})
}

// demoRuns are the cables of a demo build in its arrangement, ready to be laid.
func demoRuns(b *testing.B, id string) (room route.Room, list []run) {
	pack := Pack()
	pack.Conclude = func(c *kit.Case) {
		a, l := solvedArrangement(c)
		space, _ := l.space(c, a)
		room, list = *space, allRuns(c, a, l)
		for i := range list {
			l.bound(&list[i])
		}
	}
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		b.Fatal(err)
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: demoBuild(b, id)})
	if err != nil {
		b.Fatal(err)
	}
	var out kit.Outcome
	if err := e.Evaluate(check, nil, &out); err != nil {
		b.Fatal(err)
	}
	if len(list) == 0 {
		b.Fatal("the build has no cables")
	}
	return room, list
}

// BenchmarkCables lays all cables of a demo build by their bounds, which is what
// most checks pay, and exactly.
func BenchmarkCables(b *testing.B) {
	room, list := demoRuns(b, "archive-editor")
	b.Run("bounds", func(b *testing.B) {
		for b.Loop() {
			for i := range list {
				bounds(&room, list[i].kind(), list[i].from, list[i].end)
			}
		}
	})
	b.Run("exact", func(b *testing.B) {
		for b.Loop() {
			for i := range list {
				if _, err := route.Find(room, list[i].kind(), list[i].from, list[i].end); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}

// BenchmarkCheck is a whole check of a demo build with and without the rules of
// cables and risers.
func BenchmarkCheck(b *testing.B) {
	for _, c := range []struct {
		name string
		keep func(kit.Rule) bool
	}{
		{"with cables", func(kit.Rule) bool { return true }},
		{"without", func(r kit.Rule) bool { return r.ID != cableLengthRule.ID && r.ID != riserLengthRule.ID }},
	} {
		b.Run(c.name, func(b *testing.B) {
			pack := Pack()
			pack.Rules = slices.DeleteFunc(pack.Rules, func(r kit.Rule) bool { return !c.keep(r) })
			e, err := kit.NewEvaluator(pack)
			if err != nil {
				b.Fatal(err)
			}
			check, err := proto.Marshal(&v1.CheckRequest{Build: demoBuild(b, "archive-editor")})
			if err != nil {
				b.Fatal(err)
			}
			var out kit.Outcome
			b.ReportAllocs()
			for b.Loop() {
				if err := e.Evaluate(check, nil, &out); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
