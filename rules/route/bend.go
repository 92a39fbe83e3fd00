package route

import (
	"math"
	"slices"

	"slipfit.example/rules/geometry"
)

// bender rounds the corners of a way. Each corner of the tight way is moved outwards so far that the arc of the minimum
// radius in it passes through, or outside, the corner's old place: the cable swings round the edge instead of cutting it.
type bender struct {
	radius float64
	// fixed are the corners of the tight way, moved their places with the swing.
	fixed, moved []geometry.Vec
	// dirs holds for a corner at the end of a straight stretch the direction of that stretch: its arc has to begin there.
	dirs []geometry.Vec
	// open tells for a corner that it is not held by an edge: its arc may cut it.
	open []bool
	// straight and angles are what tangent says of the corners where they are moved to.
	straight, angles []float64
	// settled tells that the corners have come to rest.
	settled bool
}

// round fills the roundings of a route. It returns the bender that did, with no corners where nothing is rounded.
func (s *scene) round(r *Route, radius float64, a, b lead) *bender {
	w := swing(r, radius, a, b)
	s.hold(r, w)
	return w
}

// swing lets the corners of a route swing out.
func swing(r *Route, radius float64, a, b lead) *bender {
	w := &bender{radius: radius}
	if radius == 0 || len(r.Points) < 3 {
		return w
	}
	for i, p := range r.Points {
		var dir geometry.Vec
		switch {
		case i == 1 && p.Dist(a.end) < tolerance*10:
			dir = a.dir
		case i == len(r.Points)-2 && p.Dist(b.end) < tolerance*10:
			dir = b.dir
		}
		w.add(r.Points, i, dir)
	}
	w.moved = slices.Clone(w.fixed)
	w.settled = w.settle()
	return w
}

// hold fills the roundings of a route by its bender, held against the obstacles.
func (s *scene) hold(r *Route, w *bender) {
	r.Rounded = r.Length
	if len(w.moved) > 0 {
		r.Rounded, r.Bends = w.measure()
		w.sweep(func(bend int, p, q geometry.Vec) { s.collide(&r.Bends[bend], p, q) })
	}
}

// add takes a corner over. A turn by more than 100 degrees at the end of a straight stretch is made in two: first to the
// side by twice the radius, then back.
func (w *bender) add(pts []geometry.Vec, i int, dir geometry.Vec) {
	w.put(pts[i], dir, false)
	if dir == (geometry.Vec{}) || i == 0 || i == len(pts)-1 {
		return
	}
	in, out := pts[i].Sub(pts[i-1]), pts[i+1].Sub(pts[i])
	if turn(in, out) <= 100*math.Pi/180 {
		return
	}
	first := i == 1
	other := out
	if !first {
		other = in.Scale(-1)
	}
	// To the side that the other leg lies on, if it lies on one.
	side := other.Sub(dir.Scale(other.Dot(dir)))
	if side.Norm() < 1e-9 {
		side = geometry.Vec{dir[1], dir[2], dir[0]}
	}
	swing := pts[i].Add(dir.Scale(w.radius)).Add(side.Scale(2 * w.radius / side.Norm()))
	if first {
		w.put(swing, geometry.Vec{}, true)
		return
	}
	last := len(w.fixed) - 1
	w.fixed, w.dirs, w.open = w.fixed[:last], w.dirs[:last], w.open[:last]
	w.put(swing, geometry.Vec{}, true)
	w.put(pts[i], dir, false)
}

func (w *bender) put(p, dir geometry.Vec, open bool) {
	w.fixed, w.dirs, w.open = append(w.fixed, p), append(w.dirs, dir), append(w.open, open)
}

// turn returns the angle between two directions in radians.
func turn(u, v geometry.Vec) float64 {
	n := u.Norm() * v.Norm()
	if n == 0 {
		return 0
	}
	return math.Acos(min(max(u.Dot(v)/n, -1), 1))
}

// tangent returns how long the straight is that an arc takes up on each side of its corner, and the angle of the turn.
func (w *bender) tangent(i int) (length, angle float64) {
	angle = turn(w.moved[i].Sub(w.moved[i-1]), w.moved[i+1].Sub(w.moved[i]))
	return w.radius * math.Tan(min(angle, 0.9*math.Pi)/2), angle
}

// settle moves all corners until they rest, and reports whether they do.
func (w *bender) settle() bool {
	next := slices.Clone(w.moved)
	both := make([]float64, 2*len(w.moved))
	w.straight, w.angles = both[:len(w.moved)], both[len(w.moved):]
	for range 200 {
		most := 0.0
		for i := 1; i+1 < len(w.moved); i++ {
			w.straight[i], w.angles[i] = w.tangent(i)
		}
		for i := 1; i+1 < len(w.moved); i++ {
			next[i] = w.swung(i)
			most = max(most, next[i].Dist(w.moved[i]))
		}
		w.moved, next = next, w.moved
		next[0], next[len(next)-1] = w.moved[0], w.moved[len(w.moved)-1]
		if most < 1e-7 {
			return true
		}
	}
	return false
}

// swung returns where a corner has to lie for its arc, given the places of its neighbours.
func (w *bender) swung(i int) geometry.Vec {
	t, angle := w.straight[i], w.angles[i]
	if angle < 1e-9 {
		return w.fixed[i]
	}
	if w.dirs[i] != (geometry.Vec{}) {
		return w.fixed[i].Add(w.dirs[i].Scale(t))
	}
	in, out := w.moved[i].Sub(w.moved[i-1]), w.moved[i+1].Sub(w.moved[i])
	u, v := in.Scale(1/in.Norm()), out.Scale(1/out.Norm())
	to := w.fixed[i]
	if !w.open[i] {
		outward := u.Sub(v)
		to = to.Add(outward.Scale(w.radius * (1/math.Cos(min(angle, 0.9*math.Pi)/2) - 1) / outward.Norm()))
	}
	// Two arcs that do not fit on the stretch between them push their corners apart.
	if i > 1 && w.dirs[i-1] == (geometry.Vec{}) {
		to = to.Add(u.Scale(w.lack(i-1, i) / 2))
	}
	if i+2 < len(w.moved) && w.dirs[i+1] == (geometry.Vec{}) {
		to = to.Sub(v.Scale(w.lack(i, i+1) / 2))
	}
	return to
}

// lack returns by how much the tight stretch between two corners is too short for their arcs.
func (w *bender) lack(i, j int) float64 {
	return max(0, w.straight[i]+w.straight[j]-w.fixed[i].Dist(w.fixed[j]))
}

// measure returns the length with arcs and the list of bends.
func (w *bender) measure() (float64, []Bend) {
	length, used := 0.0, 0.0
	var bends []Bend
	for i := 1; i < len(w.moved); i++ {
		leg := w.moved[i].Dist(w.moved[i-1])
		length += leg
		t, angle := 0.0, 0.0
		if i+1 < len(w.moved) {
			t, angle = w.tangent(i)
			length += w.radius*angle - 2*t
		}
		fits := w.settled && used+t <= leg+0.01
		if !fits && len(bends) > 0 {
			bends[len(bends)-1].Fits = false
		}
		if angle > 1e-6 {
			bends = append(bends, Bend{At: w.fixed[i], Angle: angle * 180 / math.Pi, Fits: fits})
		}
		used = t
	}
	return length, bends
}

// arcSteps is how many chords an arc is checked by.
const arcSteps = 8

// sweep visits where the cable swings, by bends: the arcs in chords and the straights between them. The stretches that
// touch a terminal have been checked as lead-outs.
func (w *bender) sweep(visit func(bend int, p, q geometry.Vec)) {
	bend := -1
	var last geometry.Vec
	for i := 1; i+1 < len(w.moved); i++ {
		t, angle := w.tangent(i)
		if angle <= 1e-6 {
			continue
		}
		bend++
		pts := w.arc(i, t, angle)
		if i > 1 && bend > 0 {
			visit(bend, last, pts[0])
		}
		for k := 1; k < len(pts); k++ {
			visit(bend, pts[k-1], pts[k])
		}
		last = pts[len(pts)-1]
	}
}

// collide notes what a stretch of a bend runs into.
func (s *scene) collide(b *Bend, p, q geometry.Vec) {
	if i := s.hit(p, q); i >= 0 {
		b.Fits = false
		if !slices.Contains(b.Obstacles, i) {
			b.Obstacles = append(b.Obstacles, i)
		}
	} else if !s.inRoom(p) || !s.inRoom(q) {
		b.Fits = false
	}
}

// arc returns points along the arc of a corner.
func (w *bender) arc(i int, t, angle float64) []geometry.Vec {
	c := w.moved[i]
	in, out := c.Sub(w.moved[i-1]), w.moved[i+1].Sub(c)
	u, v := in.Scale(1/in.Norm()), out.Scale(1/out.Norm())
	inward := v.Sub(u)
	center := c.Add(inward.Scale(w.radius / math.Cos(min(angle, 0.9*math.Pi)/2) / inward.Norm()))
	start := c.Sub(u.Scale(t)).Sub(center)
	// The arc lies in the plane of its first spoke and its first direction.
	pts := make([]geometry.Vec, 0, arcSteps+1)
	for k := range arcSteps + 1 {
		phi := angle * float64(k) / arcSteps
		pts = append(pts, center.Add(start.Scale(math.Cos(phi))).Add(u.Scale(w.radius*math.Sin(phi))))
	}
	return pts
}
