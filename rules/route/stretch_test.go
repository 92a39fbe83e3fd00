package route

import (
	"testing"

	"pgregory.net/rapid"

	"slipfit.example/rules/geometry"
)

// A stretch holds the places where the two distances themselves stay below the limit, be
// the limit hardly more than the straight line or a long way off, and for the points of a
// line along the edge as well.
func TestStretchHoldsWhatStaysBelowTheLimit(t *testing.T) {
	inside, outside := 0, 0
	rapid.Check(t, func(r *rapid.T) {
		coordinate := rapid.Float64Range(-400, 400)
		point := func(name string) (p geometry.Vec) {
			for k := range p {
				p[k] = coordinate.Draw(r, name)
			}
			return p
		}
		from, to := point("from"), point("to")
		e := edge{axis: geometry.Axis(rapid.IntRange(0, 2).Draw(r, "axis")), base: point("base")}
		e.u, e.v = (e.axis+1)%3, (e.axis+2)%3
		if rapid.Bool().Draw(r, "in line") {
			for _, k := range [2]geometry.Axis{e.u, e.v} {
				to[k], e.base[k] = from[k], from[k]+rapid.SampledFrom([]float64{0, 1e-9, 3}).Draw(r, "beside")
			}
		}
		e.lo = coordinate.Draw(r, "lo")
		e.hi = e.lo + rapid.Float64Range(0, 400).Draw(r, "long")
		limit := from.Dist(to) + rapid.SampledFrom([]float64{1e-9, 1e-3, 0.3, 5, 100, 500}).Draw(r, "detour")
		s := e.within(from, to, limit)
		for i := range 101 {
			x := e.lo + (e.hi-e.lo)*float64(i)/100
			p := e.at(x)
			want := p.Dist(from)+p.Dist(to) < limit
			if got := s.holds(x); got != want {
				r.Fatalf("at %v it holds %v, want %v: %v and %v come to %v below %v", x, got, want, from, to, p.Dist(from)+p.Dist(to), limit)
			}
			if want {
				inside++
			} else {
				outside++
			}
		}
	})
	if inside == 0 || outside == 0 {
		t.Errorf("%d places inside and %d outside say little", inside, outside)
	}
}
