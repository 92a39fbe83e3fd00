package clearance

import (
	"math"
	"sync"

	"slipfit.example/rules/geometry"
	"slipfit.example/rules/route"
)

// bounds says between which lengths the shortest way lies, without looking for
// it. No way is shorter than the straight line between the ends of the straight
// stretches. A way along the axes, every corner of it rounded within at the least
// bend radius, is a way if it meets nothing; upper is 0 where none of those tried
// does.
func bounds(room *route.Room, cable route.Cable, from, to route.Terminal) (lower, upper float64) {
	radius := cable.Diameter / 2
	a, b := leadEnd(from, radius, 0), leadEnd(to, radius, 0)
	lower = from.At.Dist(a) + to.At.Dist(b) + a.Dist(b)
	s := squares.Get().(*square)
	defer squares.Put(s)
	s.begin(room, cable)
	s.from, s.to = from.At, to.At
	// The first bend begins where the straight stretch ends.
	first, last := leadEnd(from, radius, s.bend), leadEnd(to, radius, s.bend)
	if s.isClear(a, first) && s.isClear(b, last) {
		s.tryAll(first, last)
	}
	if math.IsInf(s.best, 1) {
		return lower, 0
	}
	return lower, max(lower, s.best)
}

// leadEnd is where a straight stretch ends, and so much beyond it.
func leadEnd(t route.Terminal, radius, beyond float64) geometry.Vec {
	if !t.Exit.Valid() {
		return t.At
	}
	return t.At.Add(t.Exit.Normal().Scale(max(t.Straight, radius) + beyond))
}

// square tries ways along the axes.
type square struct {
	low, high geometry.Vec // of the centreline
	grown     [][2]geometry.Vec
	bend      float64
	from, to  geometry.Vec // the sockets
	best      float64      // shortest length found
}

// squares are kept with their memory for the next run.
var squares = sync.Pool{New: func() any { return new(square) }}

// begin makes a square ready for a cable in a room.
func (s *square) begin(room *route.Room, cable route.Cable) {
	radius := cable.Diameter / 2
	*s = square{low: room.Within.Min(), high: room.Within.Max(), bend: cable.MinBendRadius, best: math.Inf(1),
		grown: s.grown[:0]}
	for k := range s.low {
		s.low[k] += radius
		s.high[k] -= radius
	}
	grow := geometry.Vec{radius, radius, radius}
	for i := range room.Obstacles {
		b := &room.Obstacles[i].Box
		s.grown = append(s.grown, [2]geometry.Vec{b.Min().Sub(grow), b.Max().Add(grow)})
	}
}

// isClear reports whether the box between two points meets nothing; a point or a
// stretch along an axis counts as one.
func (s *square) isClear(p, q geometry.Vec) bool {
	for k := range p {
		if p[k] > q[k] {
			p[k], q[k] = q[k], p[k]
		}
		if p[k] < s.low[k] || q[k] > s.high[k] {
			return false
		}
	}
	for i := range s.grown {
		g := &s.grown[i]
		if q[0] > g[0][0] && p[0] < g[1][0] && q[1] > g[0][1] && p[1] < g[1][1] && q[2] > g[0][2] && p[2] < g[1][2] {
			return false
		}
	}
	return true
}

// tryAll tries every order of the axes, straight away and by way of a plane.
func (s *square) tryAll(a, b geometry.Vec) {
	for _, order := range orders {
		s.try(a, b, order[:])
	}
	for axis := range a {
		s.tryDetour(a, b, axis, s.low[axis])
		s.tryDetour(a, b, axis, s.high[axis])
	}
	for i := range s.grown {
		g := &s.grown[i]
		between := true
		for k := range a {
			between = between && max(a[k], b[k]) > g[0][k] && min(a[k], b[k]) < g[1][k]
		}
		for axis := range a {
			if between { // so far off that the bends clear its edges
				s.tryDetour(a, b, axis, g[0][axis]-s.bend)
				s.tryDetour(a, b, axis, g[1][axis]+s.bend)
			}
		}
	}
}

// orders in which a way can go along the axes.
var orders = [6][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}

// tryDetour goes by way of a plane where that can be shorter than what is at hand.
func (s *square) tryDetour(a, b geometry.Vec, axis int, at float64) {
	if at >= s.low[axis] && at <= s.high[axis] && s.least(a, b, axis, at) < s.best {
		s.detour(a, b, axis, at)
	}
}

// detour goes to a plane first and leaves it last.
func (s *square) detour(a, b geometry.Vec, axis int, at float64) {
	first := a
	first[axis] = at
	if !s.isClear(a, first) {
		return
	}
	u, v := (axis+1)%3, (axis+2)%3
	s.try(a, b, []int{u, v, axis}, first)
	s.try(a, b, []int{v, u, axis}, first)
}

// least is no longer than any way by a plane, however many of its corners are rounded
// and short steps left out.
func (s *square) least(a, b geometry.Vec, axis int, at float64) float64 {
	const corners, steps = 6, 8
	mm := s.from.Dist(a) + s.to.Dist(b) + math.Abs(at-a[axis]) + math.Abs(b[axis]-at)
	for _, k := range [2]int{(axis + 1) % 3, (axis + 2) % 3} {
		mm += math.Abs(b[k] - a[k])
	}
	return mm - corners*(2-math.Pi/2)*s.bend - 2*steps*aside
}

// try lays the way from a to b, by further corners, along the axes in an order,
// and keeps its length where it is the shortest that meets nothing.
func (s *square) try(a, b geometry.Vec, order []int, by ...geometry.Vec) {
	var corners [8]geometry.Vec
	way := append(corners[:0], s.from, a)
	way = append(way, by...)
	p := way[len(way)-1]
	for _, axis := range order {
		q := p
		q[axis] = b[axis]
		if !s.isClear(p, q) {
			return
		}
		p = q
		way = append(way, p)
	}
	way = append(way, s.to)
	if length, ok := s.length(way); ok && length < s.best {
		s.best = length
	}
}

// aside is a step in mm that a cable takes without a bend.
const aside = 0.5

// length is that of a way with its corners rounded, where the bends have room
// and nothing is met.
func (s *square) length(way []geometry.Vec) (length float64, ok bool) {
	kept := way[:1] // corners that turn
	for i := 1; i < len(way); i++ {
		last := kept[len(kept)-1]
		step := way[i].Dist(last)
		if length += step; step < aside {
			continue
		}
		if length >= s.best+float64(len(way))*s.bend {
			return 0, false
		}
		if len(kept) >= 2 {
			in, out := last.Sub(kept[len(kept)-2]), way[i].Sub(last)
			switch cos := in.Dot(out) / in.Norm() / out.Norm(); {
			case cos > 0.5:
				kept = kept[:len(kept)-1] // straight on
			case cos < -0.5:
				return 0, false // back on itself
			}
		}
		kept = append(kept, way[i])
	}
	for i := 1; i < len(kept)-1; i++ {
		if !s.turns(kept, i) {
			return 0, false
		}
		length -= (2 - math.Pi/2) * s.bend
	}
	return length, len(kept) >= 2
}

// turns reports whether a corner's bend has room on both its legs and meets
// nothing. The last leg ends in a socket, with room for one bend before it.
func (s *square) turns(way []geometry.Vec, i int) bool {
	in, out := way[i].Sub(way[i-1]), way[i+1].Sub(way[i])
	if i+1 < len(way)-1 && out.Norm() < 2*s.bend {
		return false
	}
	return s.isClear(way[i].Sub(in.Scale(s.bend/in.Norm())), way[i].Add(out.Scale(s.bend/out.Norm())))
}
