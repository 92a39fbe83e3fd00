package route

import (
	"encoding/binary"
	"math"
	"slices"
	"sync"

	"slipfit.example/rules/geometry"
)

// Memory keeps ways that were found. A way is found again where its ends, the cable and all that it could touch are the
// same, whatever else has changed in the room, and what it returns is the same with or without a memory. It is bounded,
// forgets what is not asked for, and may be used by several goroutines at once. The zero Memory is not ready: see NewMemory.
type Memory struct {
	limit      int
	mu         sync.Mutex
	young, old map[string]*found
}

// NewMemory returns a memory of at least so many ways and at most twice as many.
func NewMemory(ways int) *Memory { return &Memory{limit: ways, young: map[string]*found{}} }

// found is a way among what is near, nil where there is none.
type found struct {
	route  *Route
	bender *bender
	// swept are the stretches of its swing, low and high bound them.
	swept     [][2]geometry.Vec
	low, high geometry.Vec
}

// Find is the function Find with this memory. The route is shared: do not write to it.
func (m *Memory) Find(room *Room, cable Cable, from, to Terminal) (*Route, error) {
	return lay(m, room, cable, from, to)
}

// among looks for a way among what is near; nil where there is none.
func (m *Memory) among(s *scene, e *ends, n *near) *found {
	if m == nil {
		return s.among(e, n)
	}
	var space [4096]byte
	key := n.key(s, e, space[:0])
	m.mu.Lock()
	f, ok := m.young[string(key)]
	if !ok {
		if f, ok = m.old[string(key)]; ok {
			m.keep(string(key), f)
		}
	}
	m.mu.Unlock()
	if ok {
		return f
	}
	f = s.among(e, n)
	m.mu.Lock()
	m.keep(string(key), f)
	m.mu.Unlock()
	return f
}

// keep is called with the memory locked.
func (m *Memory) keep(key string, f *found) {
	if len(m.young) >= m.limit {
		m.old, m.young = m.young, map[string]*found{}
	}
	m.young[key] = f
}

// key is everything that decides which way is found among what is near.
func (n *near) key(s *scene, e *ends, out []byte) []byte {
	add := func(figures ...float64) {
		for _, x := range figures {
			out = binary.LittleEndian.AppendUint64(out, math.Float64bits(x))
		}
	}
	add(n.limit, e.cable.Diameter, e.cable.MinBendRadius, float64(len(n.indices)))
	for _, t := range [...]*Terminal{&e.from, &e.to} {
		add(t.At[:]...)
		add(float64(t.Exit), t.Straight)
	}
	add(s.lo[:]...)
	add(s.hi[:]...)
	for _, i := range n.indices {
		add(s.solids[i].lo[:]...)
		add(s.solids[i].hi[:]...)
	}
	for i := range s.room.Channels {
		low, high := s.room.Channels[i].Min(), s.room.Channels[i].Max()
		add(low[:]...)
		add(high[:]...)
	}
	return out
}

// among looks for a way with nothing but what is near in the room.
func (s *scene) among(e *ends, n *near) *found {
	few := s.only(n.indices)
	middle := few.shortest(e.a.end, e.b.end, n.limit)
	if middle == nil {
		return nil
	}
	f := &found{route: few.way(e, middle)}
	f.bender = few.round(f.route, e.cable.MinBendRadius, e.a, e.b)
	f.bender.sweep(func(_ int, p, q geometry.Vec) {
		if len(f.swept) == 0 {
			f.low, f.high = p, p
		}
		f.swept = append(f.swept, [2]geometry.Vec{p, q})
		for k := range p {
			f.low[k], f.high[k] = min(f.low[k], p[k], q[k]), max(f.high[k], p[k], q[k])
		}
	})
	return f
}

// whole is a way that was found among what is near as it is in the whole room, where the swing of its bends may run into
// more.
func (f *found) whole(s *scene, n *near) *Route {
	k := 0
	for i := range s.solids {
		if k < len(n.indices) && int(n.indices[k]) == i {
			k++
		} else if f.swings(&s.solids[i]) {
			r := *f.route
			s.hold(&r, f.bender)
			return &r
		}
	}
	if !slices.ContainsFunc(f.route.Bends, func(b Bend) bool { return len(b.Obstacles) > 0 }) {
		return f.route
	}
	r := *f.route
	r.Bends = slices.Clone(r.Bends)
	for i := range r.Bends {
		b := &r.Bends[i]
		b.Obstacles = slices.Clone(b.Obstacles)
		for k := range b.Obstacles {
			b.Obstacles[k] = int(n.indices[b.Obstacles[k]])
		}
	}
	return &r
}

// swings reports whether the swing of the bends enters a box.
func (f *found) swings(o *solid) bool {
	for k := range f.low {
		if o.lo[k] >= f.high[k] || o.hi[k] <= f.low[k] {
			return false
		}
	}
	for i := range f.swept {
		p, q := f.swept[i][0], f.swept[i][1]
		d := q.Sub(p)
		if from, to := o.cut(&p, &d); from < to {
			return true
		}
	}
	return false
}
