package route

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"slipfit.example/rules/geometry"
)

// A memory changes nothing but the time: with one box of a room after the other moved, ways are those of Find, and some of
// them are remembered.
func TestMemoryFindsTheSameWays(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	cable := Cable{Diameter: 2, MinBendRadius: 4}
	asked, ways, shared := 0, 0, 0
	for range 12 {
		h := randomHut(t, r, 4+r.IntN(8))
		m := NewMemory(8)
		before := map[*Route]bool{}
		for range 12 {
			other := randomHut(t, r, 1)
			h.room.Obstacles[r.IntN(len(h.room.Obstacles))] = other.room.Obstacles[0]
			from, to := h.from, Terminal{At: geometry.Vec{57, 20, 57}, Exit: geometry.MinY, Straight: 3}
			want := find(t, h.room, cable, from, to)
			got, err := m.Find(&h.room, cable, from, to)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(got, want) {
				t.Fatalf("with a memory %+v, without %+v", got, want)
			}
			if got.Blockage == nil {
				ways++
			}
			if asked++; before[got] {
				shared++
			}
			before[got] = true
			if n := len(m.young) + len(m.old); n > 2*m.limit {
				t.Fatalf("%d ways are kept, at most %d should be", n, 2*m.limit)
			}
		}
	}
	if ways < asked/2 || shared < asked/10 {
		t.Fatalf("of %d ways asked for %d were found and %d remembered: the sample is too small", asked, ways, shared)
	}
}

// What is left out for being far off changes neither the tight way, by more than the search's own play, nor what the swing
// of its bends runs into.
func TestNothingFarOffIsMissed(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	near, colliding := 0, 0
	for i := range 300 {
		h := randomHut(t, r, 2+i%12)
		h.to = Terminal{At: geometry.Vec{float64(30 + r.IntN(28)), 57, float64(3 + r.IntN(54))}, Exit: geometry.NoFace}
		if i%2 == 0 { // a bend at the end of a straight stretch swings farther than any other
			h.from.Exit, h.from.Straight = geometry.FaceOf(geometry.Axis(r.IntN(3)), true), float64(1+r.IntN(5))
		}
		cable := Cable{Diameter: 2, MinBendRadius: float64(r.IntN(30))}
		s := newScene(&h.room, 1)
		e := &ends{cable, h.from, h.to, s.leadOut(h.from), s.leadOut(h.to)}
		if s.blocked(e.a, e.b) != nil {
			continue
		}
		whole := s.shortest(e.a.end, e.b.end, unlimited)
		for _, times := range reaches[1:] {
			n := s.nearby(e, times, nil)
			f := (*Memory)(nil).among(s, e, &n)
			if f == nil || len(n.indices) == len(s.solids) {
				continue
			}
			near++
			if whole == nil {
				t.Fatalf("hut %d: a way was found among %d of %d boxes, and none among all", i, len(n.indices), len(s.solids))
			}
			got := f.whole(s, &n)
			checkWay(t, &h, got, 1)
			// Cut at the points of a coarse grid, either way may be the longer by the search's play.
			if want := s.way(e, whole); got.Length > want.Length*1.002 || want.Length > got.Length*1.01 {
				t.Errorf("hut %d: %v mm among what is near, %v mm among all", i, got.Length, want.Length)
			}
			again := &Route{Points: got.Points, Length: got.Length, InChannel: got.InChannel}
			s.round(again, cable.MinBendRadius, e.a, e.b)
			if !reflect.DeepEqual(got, again) {
				t.Errorf("hut %d: %+v among what is near, rounded among all %+v", i, got, again)
			}
			for _, b := range got.Bends {
				for _, o := range b.Obstacles {
					if !slices.Contains(n.indices, int32(o)) {
						colliding++
					}
				}
			}
		}
	}
	t.Logf("%d ways near, %d bends that swing into something else", near, colliding)
	if near < 50 || colliding < 3 {
		t.Fatalf("%d ways near, %d bends that swing into something else: the sample is too small", near, colliding)
	}
}

// BenchmarkMemory lays a cable through a room in which a box that the way does not come near is moved, with a memory and
// without.
func BenchmarkMemory(b *testing.B) {
	cable := Cable{Diameter: 8, MinBendRadius: 25}
	room := crowd(b, 40)
	moved := &room.Obstacles[len(room.Obstacles)-1].Box
	from, to := point(5, 5, 5), point(395, 195, 395)
	m := NewMemory(16)
	for _, way := range []struct {
		name string
		find func() (*Route, error)
	}{
		{"anew", func() (*Route, error) { return Find(room, cable, from, to) }},
		{"remembered", func() (*Route, error) { return m.Find(&room, cable, from, to) }},
	} {
		b.Run(way.name, func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				off := float64(i % 50)
				*moved = box(b, geometry.Vec{off, 100, 380}, geometry.Vec{off + 20, 120, 390})
				if r, err := way.find(); err != nil || r.Blockage != nil {
					b.Fatal(r, err)
				}
			}
		})
	}
}
