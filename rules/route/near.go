package route

import (
	"math"

	"slipfit.example/rules/geometry"
)

// reaches are how much longer than the straight line a way is expected to be at most, one after the other: what lies so
// far off that no such way touches it cannot change the shortest one, and is left out. Whatever is not found so is looked
// for among all obstacles.
var reaches = [...]float64{1, 1.04, 1.2}

// ends are the terminals of a way with their straight stretches laid.
type ends struct {
	cable    Cable
	from, to Terminal
	a, b     lead
}

// near is what a way between the straight stretches that is shorter than a limit can touch.
type near struct {
	limit float64
	// indices of the solids of the scene, in order.
	indices []int32
}

// nearby says what a way can touch that is shorter than a multiple of the straight line.
func (s *scene) nearby(e *ends, times float64, indices []int32) near {
	p, q := e.a.end, e.b.end
	d := q.Sub(p)
	line := d.Norm()
	n := near{limit: times * line, indices: indices[:0]}
	// The points whose distances from both ends come to no more than the limit are an ellipsoid of revolution. None lies
	// farther from the line between the ends than its shorter half axis, nor outside the box round it.
	across := max(0, n.limit*n.limit-line*line)
	aside := math.Sqrt(across)/2 + tolerance
	var low, high geometry.Vec
	for k := range d {
		half := math.Sqrt(across+d[k]*d[k])/2 + tolerance
		low[k], high[k] = (p[k]+q[k])/2-half, (p[k]+q[k])/2+half
	}
	for i := range s.solids {
		o := s.solids[i]
		if o.lo[0] > high[0] || o.hi[0] < low[0] || o.lo[1] > high[1] || o.hi[1] < low[1] || o.lo[2] > high[2] || o.hi[2] < low[2] ||
			o.distance(&p)+o.distance(&q) > n.limit+tolerance {
			continue
		}
		for k := range d {
			o.lo[k] -= aside
			o.hi[k] += aside
		}
		if from, to := o.cut(&p, &d); from < to {
			n.indices = append(n.indices, int32(i))
		}
	}
	return n
}

// distance is that of a point from the box, 0 inside.
func (o *solid) distance(p *geometry.Vec) float64 {
	sum := 0.0
	for k := range p {
		if d := max(o.lo[k]-p[k], p[k]-o.hi[k], 0); d > 0 {
			sum += d * d
		}
	}
	return math.Sqrt(sum)
}

// only is the scene with some of its solids.
func (s *scene) only(indices []int32) *scene {
	out := *s
	out.solids = make([]solid, len(indices))
	for k, i := range indices {
		out.solids[k] = s.solids[i]
	}
	return &out
}
