package geometry

import (
	"fmt"
	"math"
)

// Reach is the largest coordinate, in mm, that a box or a pose may be given: 1 km. Beyond it a unit is wrong.
const Reach = 1e6

// MinEdge is the shortest edge, in mm, that a box may be given.
const MinEdge = 1e-6

// Vec is a point or a displacement in mm, indexed by Axis.
type Vec [3]float64

// Add returns v+w.
func (v Vec) Add(w Vec) Vec { return Vec{v[0] + w[0], v[1] + w[1], v[2] + w[2]} }

// Sub returns v-w.
func (v Vec) Sub(w Vec) Vec { return Vec{v[0] - w[0], v[1] - w[1], v[2] - w[2]} }

// Scale returns v stretched by k.
func (v Vec) Scale(k float64) Vec { return Vec{k * v[0], k * v[1], k * v[2]} }

// Dot returns the scalar product.
func (v Vec) Dot(w Vec) float64 { return v[0]*w[0] + v[1]*w[1] + v[2]*w[2] }

// Norm returns the length.
func (v Vec) Norm() float64 { return math.Sqrt(v.Dot(v)) }

// Dist returns the distance between two points.
func (v Vec) Dist(w Vec) float64 { return v.Sub(w).Norm() }

// Check returns an error that names the first coordinate that is not a number or lies outside Reach.
func (v Vec) Check() error {
	for k, c := range v {
		if !(math.Abs(c) <= Reach) {
			return fmt.Errorf("the %v coordinate is %v mm, give a number between -%v and %v mm", Axis(k), c, Reach, Reach)
		}
	}
	return nil
}

// Box is a closed axis-aligned box in mm with a positive extent along every axis.
type Box struct{ min, max Vec }

// NewBox returns the box between two corners. It returns an error if a coordinate is not a number or lies outside Reach,
// or if an edge is shorter than MinEdge.
func NewBox(min, max Vec) (Box, error) {
	for _, v := range [2]Vec{min, max} {
		if err := v.Check(); err != nil {
			return Box{}, fmt.Errorf("geometry: a box cannot be made: %w", err)
		}
	}
	for k := range min {
		if edge := max[k] - min[k]; edge < MinEdge {
			return Box{}, fmt.Errorf("geometry: the box edge along %v is %v mm, give a size above zero", Axis(k), edge)
		}
	}
	return Box{min, max}, nil
}

// NewBoxAt returns the box with its lower corner at a point and the given edges, with the errors of NewBox.
func NewBoxAt(corner, size Vec) (Box, error) { return NewBox(corner, corner.Add(size)) }

// Min returns the corner with the lowest coordinates.
func (b Box) Min() Vec { return b.min }

// Max returns the corner with the highest coordinates.
func (b Box) Max() Vec { return b.max }

// Size returns the three edges.
func (b Box) Size() Vec { return b.max.Sub(b.min) }

// Center returns the middle point.
func (b Box) Center() Vec { return b.min.Add(b.max).Scale(0.5) }

// Volume returns the volume in mm3.
func (b Box) Volume() float64 {
	s := b.Size()
	return s[0] * s[1] * s[2]
}

// At returns the coordinate of a face on its own axis. NoFace has none and gives 0.
func (b Box) At(f Face) float64 {
	switch {
	case !f.Valid():
		return 0
	case f.Upper():
		return b.max[f.Axis()]
	default:
		return b.min[f.Axis()]
	}
}

// Contains reports whether a point lies in the closed box.
func (b Box) Contains(p Vec) bool {
	return b.min[0] <= p[0] && p[0] <= b.max[0] && b.min[1] <= p[1] && p[1] <= b.max[1] && b.min[2] <= p[2] && p[2] <= b.max[2]
}

// Holds reports whether a point lies in the closed box with every face moved outwards by the given mm, as Inflated does.
func (b *Box) Holds(p *Vec, by float64) bool {
	for k := range p {
		if p[k] < b.min[k]-by || p[k] > b.max[k]+by {
			return false
		}
	}
	return true
}

// ContainsBox reports whether another box lies wholly in the closed box.
func (b Box) ContainsBox(o Box) bool { return b.Contains(o.min) && b.Contains(o.max) }

// Overlaps reports whether the two interiors meet: touching faces do not overlap.
func (b Box) Overlaps(o Box) bool {
	return b.min[0] < o.max[0] && o.min[0] < b.max[0] && b.min[1] < o.max[1] && o.min[1] < b.max[1] &&
		b.min[2] < o.max[2] && o.min[2] < b.max[2]
}

// Intersection returns the common box, and false if the interiors do not meet.
func (b Box) Intersection(o Box) (Box, bool) {
	if !b.Overlaps(o) {
		return Box{}, false
	}
	for k := range b.min {
		b.min[k] = math.Max(b.min[k], o.min[k])
		b.max[k] = math.Min(b.max[k], o.max[k])
	}
	return b, true
}

// Hull returns the smallest box round both.
func (b Box) Hull(o Box) Box {
	for k := range b.min {
		b.min[k] = math.Min(b.min[k], o.min[k])
		b.max[k] = math.Max(b.max[k], o.max[k])
	}
	return b
}

// Inflated returns the box with every face moved outwards by the given mm (inwards if negative). It returns an error if
// nothing remains or the figure is not a number.
func (b Box) Inflated(by float64) (Box, error) {
	d := Vec{by, by, by}
	return NewBox(b.min.Sub(d), b.max.Add(d))
}

// String prints both corners.
func (b Box) String() string { return fmt.Sprintf("%v..%v mm", b.min, b.max) }
