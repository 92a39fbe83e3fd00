package route

import (
	"math"

	"slipfit.example/rules/geometry"
)

// stretch is where on an edge a way between two points may bend that stays below a limit:
// the sum of the distances is a convex function along the edge, so that this is one piece.
// Near its ends the distances themselves decide.
type stretch struct {
	e        *edge
	from, to geometry.Vec
	limit    float64
	// inside and outside bound the piece, the first taken in and the second let out by vague.
	inside, outside [2]float64
}

// vague is how far from the ends of a stretch, in mm, its formula is not trusted.
const vague = 1e-3

// Pieces of every place and of none.
var (
	everywhere = [2]float64{math.Inf(-1), math.Inf(1)}
	nowhere    = [2]float64{math.Inf(1), math.Inf(-1)}
)

// within returns where on the edge a way below the limit may bend.
func (e *edge) within(from, to geometry.Vec, limit float64) stretch {
	s := stretch{e: e, from: from, to: to, limit: limit}
	s.inside, s.outside = everywhere, everywhere
	if limit == math.MaxFloat64 {
		return s
	}
	// With a and b the distances of the points from the edge's line, and the places along it counted from the middle
	// between theirs, g apart: hypot(a, x-g/2) + hypot(b, x+g/2) = limit. Squared twice that is
	// 4 limit² (b² + (x+g/2)²) = (k + 2 g x)², where k = limit² + b² - a².
	middle, g := (from[e.axis]+to[e.axis])/2, from[e.axis]-to[e.axis]
	aa := square(from[e.u]-e.base[e.u]) + square(from[e.v]-e.base[e.v])
	bb := square(to[e.u]-e.base[e.u]) + square(to[e.v]-e.base[e.v])
	ll := limit * limit
	k := ll + bb - aa
	p, q, far := 4*(ll-g*g), 4*g*(aa-bb), 4*ll*(bb+g*g/4)
	under := q*q - 4*p*(far-k*k)
	fuzz := 1e-15 * (q*q + 4*p*(far+k*k)) // what rounding leaves unsaid of it
	switch {
	case !(p > 1e-7*ll):
		s.inside = nowhere // the distances decide everywhere
		return s
	case under < -4*fuzz:
		s.inside, s.outside = nowhere, nowhere
		return s
	case !(math.Sqrt(fuzz)/p < vague):
		s.inside = nowhere
		return s
	}
	root := math.Sqrt(max(0, under))
	low, high := middle+(-q-root)/(2*p), middle+(-q+root)/(2*p)
	s.inside = [2]float64{low + vague, high - vague}
	s.outside = [2]float64{low - vague, high + vague}
	return s
}

func square(x float64) float64 { return x * x }

// holds reports whether a way below the limit may bend at a place on the edge.
func (s *stretch) holds(x float64) bool {
	switch {
	case s.inside[0] <= x && x <= s.inside[1]:
		return true
	case x < s.outside[0] || x > s.outside[1]:
		return false
	}
	p := s.e.at(x)
	return p.Dist(s.from)+p.Dist(s.to) < s.limit
}
