package route

import (
	"math"
	"sync"

	"slipfit.example/rules/geometry"
)

// tolerance in mm: grown boxes are taken in by it, so that a cable may touch, and so that a gap of exactly the diameter
// lets it through.
const tolerance = 1e-6

// solid is the inside of a grown box, which no centreline may enter.
type solid struct{ lo, hi geometry.Vec }

// edge is an exposed stretch of a grown box's edge.
type edge struct {
	axis geometry.Axis
	// base is a point of the edge; its coordinate along the axis is lo.
	base   geometry.Vec
	lo, hi float64
	// u and v are the two other axes, su and sv the outward signs of the faces that meet here.
	u, v   geometry.Axis
	su, sv float64
}

// at returns the point of the edge at a coordinate along its axis.
func (e *edge) at(x float64) geometry.Vec {
	p := e.base
	p[e.axis] = x
	return p
}

// scene is a room with everything grown by the cable's radius.
type scene struct {
	room   *Room
	radius float64
	// lo and hi bound the centreline.
	lo, hi   geometry.Vec
	solids   []solid
	channels []solid
	weight   float64
}

// scenes are kept with their memory for the next one.
var scenes = sync.Pool{New: func() any { return new(scene) }}

// leave hands the scene's memory on.
func (s *scene) leave() {
	*s = scene{solids: s.solids[:0], channels: s.channels[:0]}
	scenes.Put(s)
}

func newScene(room *Room, radius float64) *scene {
	s := new(scene)
	s.begin(room, radius)
	return s
}

// begin makes a scene of a room.
func (s *scene) begin(room *Room, radius float64) {
	*s = scene{room: room, radius: radius, lo: room.Within.Min(), hi: room.Within.Max(), weight: 1, solids: s.solids[:0], channels: s.channels[:0]}
	for k := range s.lo {
		s.lo[k] += radius - tolerance
		s.hi[k] -= radius - tolerance
	}
	grow := radius - tolerance
	d := geometry.Vec{grow, grow, grow}
	for i := range room.Obstacles {
		b := &room.Obstacles[i].Box
		s.solids = append(s.solids, solid{b.Min().Sub(d), b.Max().Add(d)})
	}
	if room.Preference > 0 && len(room.Channels) > 0 {
		s.weight = 1 + room.Preference
		for _, c := range room.Channels {
			s.channels = append(s.channels, solid{c.Min(), c.Max()})
		}
	}
}

// inRoom reports whether the centreline may pass a point as far as the room's walls go.
func (s *scene) inRoom(p geometry.Vec) bool {
	for k := range p {
		if p[k] < s.lo[k] || p[k] > s.hi[k] {
			return false
		}
	}
	return true
}

func (o *solid) contains(p geometry.Vec) bool {
	return o.lo[0] < p[0] && p[0] < o.hi[0] && o.lo[1] < p[1] && p[1] < o.hi[1] && o.lo[2] < p[2] && p[2] < o.hi[2]
}

// cut returns the part of a segment inside a box as fractions of the segment, from >= to if there is none.
func (o *solid) cut(p, d *geometry.Vec) (from, to float64) {
	to = 1
	for k := range 3 {
		if math.Abs(d[k]) < 1e-12 {
			if p[k] <= o.lo[k] || p[k] >= o.hi[k] {
				return 1, 0
			}
			continue
		}
		inv := 1 / d[k]
		a, b := (o.lo[k]-p[k])*inv, (o.hi[k]-p[k])*inv
		if a > b {
			a, b = b, a
		}
		from, to = max(from, a), min(to, b)
		if from >= to {
			return 1, 0
		}
	}
	return from, to
}

// hit returns the index of a solid that a segment enters, -1 if it is clear.
func (s *scene) hit(p, q geometry.Vec) int {
	d := q.Sub(p)
	low, high := p, q
	for k := range low {
		if low[k] > high[k] {
			low[k], high[k] = high[k], low[k]
		}
	}
	for i := range s.solids {
		o := &s.solids[i]
		// Most solids lie wholly to one side.
		if high[0] <= o.lo[0] || low[0] >= o.hi[0] || high[1] <= o.lo[1] || low[1] >= o.hi[1] || high[2] <= o.lo[2] || low[2] >= o.hi[2] {
			continue
		}
		if from, to := o.cut(&p, &d); from < to {
			return i
		}
	}
	return -1
}

func (s *scene) clear(p, q geometry.Vec) bool { return s.hit(p, q) < 0 }

// inChannel returns the length of a segment inside the channels.
func (s *scene) inChannel(p, q geometry.Vec) float64 {
	d := q.Sub(p)
	share := 0.0
	for i := range s.room.Channels {
		c := solid{s.room.Channels[i].Min(), s.room.Channels[i].Max()}
		if from, to := c.cut(&p, &d); from < to {
			share += to - from
		}
	}
	return min(1, share) * d.Norm()
}

// cost returns what a segment counts when ways are compared.
func (s *scene) cost(p, q geometry.Vec) float64 {
	d := q.Sub(p)
	length := d.Norm()
	if s.weight == 1 {
		return length
	}
	share := 0.0
	for i := range s.channels {
		if from, to := s.channels[i].cut(&p, &d); from < to {
			share += to - from
		}
	}
	inside := min(1, share)
	return length * (inside + (1-inside)*s.weight)
}

// edges returns the exposed stretches of all edges: inside the room and outside all other solids.
func (s *scene) edges() []edge {
	var out []edge
	for i := range s.solids {
		// The true surface lies outside the solid by the tolerance.
		lo, hi := s.solids[i].lo, s.solids[i].hi
		for k := range lo {
			lo[k] -= tolerance
			hi[k] += tolerance
		}
		for axis := geometry.X; axis <= geometry.Z; axis++ {
			u, v := (axis+1)%3, (axis+2)%3
			for corner := range 4 {
				e := edge{axis: axis, u: u, v: v, su: -1, sv: -1, lo: max(lo[axis], s.lo[axis]), hi: min(hi[axis], s.hi[axis])}
				e.base[u], e.base[v] = lo[u], lo[v]
				if corner&1 == 1 {
					e.base[u], e.su = hi[u], 1
				}
				if corner&2 == 2 {
					e.base[v], e.sv = hi[v], 1
				}
				if e.base[u] < s.lo[u] || e.base[u] > s.hi[u] || e.base[v] < s.lo[v] || e.base[v] > s.hi[v] {
					continue
				}
				out = s.expose(out, e, i)
			}
		}
	}
	return out
}

// expose appends what other solids leave of an edge.
func (s *scene) expose(out []edge, e edge, owner int) []edge {
	from := len(out)
	out = append(out, e)
	for j := range s.solids {
		o := &s.solids[j]
		if j == owner || e.base[e.u] <= o.lo[e.u] || e.base[e.u] >= o.hi[e.u] || e.base[e.v] <= o.lo[e.v] || e.base[e.v] >= o.hi[e.v] {
			continue
		}
		lo, hi := o.lo[e.axis], o.hi[e.axis]
		for k := len(out) - 1; k >= from; k-- {
			t := out[k]
			if lo >= t.hi || hi <= t.lo {
				continue
			}
			out[k] = out[len(out)-1]
			out = out[:len(out)-1]
			if t.lo < lo {
				left := t
				left.hi = lo
				out = append(out, left)
			}
			if hi < t.hi {
				right := t
				right.lo = hi
				out = append(out, right)
			}
		}
	}
	kept := out[:from]
	for _, t := range out[from:] {
		if t.lo <= t.hi {
			kept = append(kept, t)
		}
	}
	return kept
}

// lead is the straight beginning of a cable at a terminal.
type lead struct {
	at, end geometry.Vec
	// dir is the unit direction, zero if the terminal leaves the direction open.
	dir geometry.Vec
	// hit is the obstacle in the way of the straight stretch or of its end, -1 if none; out tells that it leaves the room.
	hit int
	out bool
}

// leadOut lays the straight stretch of a terminal. The solids that the terminal itself sits in, such as the part that its
// connector is mounted on, do not stop the stretch, but its end has to be clear of them.
func (s *scene) leadOut(t Terminal) lead {
	l := lead{at: t.At, end: t.At, dir: t.Exit.Normal(), hit: -1}
	if t.Exit.Valid() {
		l.end = t.At.Add(l.dir.Scale(max(t.Straight, s.radius)))
	}
	l.out = !s.inRoom(l.end)
	d := l.end.Sub(l.at)
	for i := range s.solids {
		o := &s.solids[i]
		from, to := o.cut(&l.at, &d)
		if o.contains(l.end) || (from < to && !o.contains(l.at)) {
			l.hit = i
			break
		}
	}
	return l
}
