package demo

import (
	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// vec is a place or a size in mm, box an axis-aligned box from its lowest to its highest corner.
type (
	vec [3]float64
	box struct{ low, high vec }
)

// slack swallows the rounding of sums of tenths of a millimetre.
const slack = 1e-6

func boxOf(e *slipfitv1.Extent) box {
	low := vec{e.GetCorner().GetXMm(), e.GetCorner().GetYMm(), e.GetCorner().GetZMm()}
	return box{low, vec{low[0] + e.GetSizeXMm(), low[1] + e.GetSizeYMm(), low[2] + e.GetSizeZMm()}}
}

func (b box) inside(other box) bool {
	for k := range 3 {
		if b.low[k] < other.low[k]-slack || b.high[k] > other.high[k]+slack {
			return false
		}
	}
	return true
}

func (b box) overlaps(other box) bool {
	for k := range 3 {
		if b.low[k] >= other.high[k]-slack || b.high[k] <= other.low[k]+slack {
			return false
		}
	}
	return true
}

func (b box) moved(along slipfitv1.Axis, mm float64) box {
	d := direction(along)
	for k := range 3 {
		b.low[k] += d[k] * mm
		b.high[k] += d[k] * mm
	}
	return b
}

// direction is the unit vector of an axis.
func direction(a slipfitv1.Axis) vec {
	switch a {
	case slipfitv1.Axis_AXIS_X_PLUS:
		return vec{1, 0, 0}
	case slipfitv1.Axis_AXIS_X_MINUS:
		return vec{-1, 0, 0}
	case slipfitv1.Axis_AXIS_Y_PLUS:
		return vec{0, 1, 0}
	case slipfitv1.Axis_AXIS_Y_MINUS:
		return vec{0, -1, 0}
	case slipfitv1.Axis_AXIS_Z_MINUS:
		return vec{0, 0, -1}
	default:
		return vec{0, 0, 1}
	}
}

// placed puts a box of a part's own frame where a pose says. The part's Y completes the right hand: Z x X.
func placed(p *slipfitv1.Pose, own box) box {
	x, z := direction(p.GetXPoints()), direction(p.GetZPoints())
	y := vec{z[1]*x[2] - z[2]*x[1], z[2]*x[0] - z[0]*x[2], z[0]*x[1] - z[1]*x[0]}
	at := vec{p.GetOrigin().GetXMm(), p.GetOrigin().GetYMm(), p.GetOrigin().GetZMm()}
	corner := func(c vec) vec {
		var out vec
		for k := range 3 {
			out[k] = at[k] + x[k]*c[0] + y[k]*c[1] + z[k]*c[2]
		}
		return out
	}
	a, b := corner(own.low), corner(own.high)
	var out box
	for k := range 3 {
		out.low[k], out.high[k] = min(a[k], b[k]), max(a[k], b[k])
	}
	return out
}

// sized is a box from the origin of a part's frame.
func sized(x, y, z float64) box { return box{high: vec{x, y, z}} }
