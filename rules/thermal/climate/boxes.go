package climate

import (
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
)

// box is an axis-aligned box in mm: X rear to front, Y right to left seen from the
// rear, Z up.
type box struct{ lo, hi [3]float64 }

func boxOf(e *v1.Extent) (box, bool) {
	if e == nil || e.GetSizeXMm() <= 0 || e.GetSizeYMm() <= 0 || e.GetSizeZMm() <= 0 {
		return box{}, false
	}
	lo := pointOf(e.GetCorner())
	return box{lo, [3]float64{lo[0] + e.GetSizeXMm(), lo[1] + e.GetSizeYMm(), lo[2] + e.GetSizeZMm()}}, true
}

func pointOf(p *v1.Point) [3]float64 { return [3]float64{p.GetXMm(), p.GetYMm(), p.GetZMm()} }

func (b box) centre() (c [3]float64) {
	for i := range c {
		c[i] = (b.lo[i] + b.hi[i]) / 2
	}
	return c
}

func (b box) size(axis int) float64 { return b.hi[axis] - b.lo[axis] }

func (b box) hull(o box) box {
	for i := range b.lo {
		b.lo[i], b.hi[i] = min(b.lo[i], o.lo[i]), max(b.hi[i], o.hi[i])
	}
	return b
}

// others are the two axes across one.
func others(axis int) (int, int) {
	switch axis {
	case 0:
		return 1, 2
	case 1:
		return 0, 2
	default:
		return 0, 1
	}
}

// thinnest is the axis along which the box is smallest.
func (b box) thinnest() int {
	axis := 0
	for i := 1; i < 3; i++ {
		if b.size(i) < b.size(axis) {
			axis = i
		}
	}
	return axis
}

// rect is a rectangle in a plane across one axis, in mm.
type rect struct{ u0, u1, v0, v1 float64 }

// seen is the box as seen along an axis.
func (b box) seen(axis int) rect {
	u, v := others(axis)
	return rect{b.lo[u], b.hi[u], b.lo[v], b.hi[v]}
}

func (r rect) area() float64 { return max(0, r.u1-r.u0) * max(0, r.v1-r.v0) }

func (r rect) cut(o rect) rect {
	return rect{max(r.u0, o.u0), min(r.u1, o.u1), max(r.v0, o.v0), min(r.v1, o.v1)}
}

// areas measures what parts leave free of a face; its memory is used again.
type areas struct {
	covers []rect
	edges  []float64
	spans  [][2]float64
}

// cover notes a rectangle that covers part of the next face.
func (a *areas) cover(r rect) {
	if r.area() > 0 {
		a.covers = append(a.covers, r)
	}
}

// free is the area in mm2 of a face that the noted covers leave, and forgets them.
// It sweeps: between two neighbouring edges the covered lengths are merged.
func (a *areas) free(face rect) float64 {
	total := face.area()
	defer func() { a.covers = a.covers[:0] }()
	if total == 0 {
		return 0
	}
	a.edges = append(a.edges[:0], face.u0, face.u1)
	for _, c := range a.covers {
		c = c.cut(face)
		if c.area() > 0 {
			a.edges = append(a.edges, c.u0, c.u1)
		}
	}
	slices.Sort(a.edges)
	for i := 1; i < len(a.edges); i++ {
		if width := a.edges[i] - a.edges[i-1]; width > 0 {
			total -= width * a.coveredAt((a.edges[i]+a.edges[i-1])/2, face)
		}
	}
	return max(0, total)
}

// coveredAt is the length in mm that covers take at one place of a face.
func (a *areas) coveredAt(u float64, face rect) float64 {
	a.spans = a.spans[:0]
	for _, c := range a.covers {
		if c = c.cut(face); c.area() > 0 && c.u0 < u && u < c.u1 {
			a.spans = append(a.spans, [2]float64{c.v0, c.v1})
		}
	}
	slices.SortFunc(a.spans, func(x, y [2]float64) int {
		switch {
		case x[0] < y[0]:
			return -1
		case x[0] > y[0]:
			return 1
		}
		return 0
	})
	covered, end := 0.0, face.v0
	for _, s := range a.spans {
		if s[1] > end {
			covered += s[1] - max(s[0], end)
			end = s[1]
		}
	}
	return covered
}

// axisOf is an axis of the contract as a number and a sign; ok is false where none
// is said.
func axisOf(a v1.Axis) (axis int, sign float64, ok bool) {
	switch a {
	case v1.Axis_AXIS_X_PLUS:
		return 0, 1, true
	case v1.Axis_AXIS_X_MINUS:
		return 0, -1, true
	case v1.Axis_AXIS_Y_PLUS:
		return 1, 1, true
	case v1.Axis_AXIS_Y_MINUS:
		return 1, -1, true
	case v1.Axis_AXIS_Z_PLUS:
		return 2, 1, true
	case v1.Axis_AXIS_Z_MINUS:
		return 2, -1, true
	}
	return 0, 0, false
}

// frame is the three axes of a part as directions in the enclosure.
type frame [3][3]float64

// frameOf reads a pose; Y completes the right hand.
func frameOf(p *v1.Pose) (frame, bool) {
	xa, za := v1.Axis_AXIS_X_PLUS, v1.Axis_AXIS_Z_PLUS
	if p == nil {
		return frame{}, false
	}
	if p.XPoints != nil && *p.XPoints != 0 {
		xa = *p.XPoints
	}
	if p.ZPoints != nil && *p.ZPoints != 0 {
		za = *p.ZPoints
	}
	xi, xs, okX := axisOf(xa)
	zi, zs, okZ := axisOf(za)
	if !okX || !okZ || xi == zi {
		return frame{}, false
	}
	var f frame
	f[0][xi], f[2][zi] = xs, zs
	x, z := f[0], f[2]
	f[1] = [3]float64{z[1]*x[2] - z[2]*x[1], z[2]*x[0] - z[0]*x[2], z[0]*x[1] - z[1]*x[0]}
	return f, true
}

// direction is the axis and sign of one of a frame's directions.
func (f frame) direction(i int) (axis int, sign float64) {
	for a, v := range f[i] {
		if v != 0 {
			return a, v
		}
	}
	return 0, 1
}
