// Package quantity holds numbers that know how far they may be off.
//
// A Range has a nominal value and the ends between which the true value lies.
// Operations combine the ends in the worst case, so that a requirement that the
// unfavourable end meets is met whatever the parts turn out to measure.
package quantity

import (
	"fmt"
	"math"
)

// Range is a value with its ends, Low <= Nominal <= High, all finite.
type Range struct {
	Nominal, Low, High float64
}

// Exact returns a value that cannot be off.
func Exact(v float64) Range { return Range{v, v, v} }

// Around returns a value that may be off by minus below and plus above.
func Around(v, minus, plus float64) Range { return Range{v, v - minus, v + plus} }

// Share returns a value that may be off by the share s of its size both ways.
func Share(v, s float64) Range { return Around(v, math.Abs(v)*s, math.Abs(v)*s) }

// Check returns an error that names what, unless the range is finite and ordered.
func (r Range) Check(what string) error {
	for _, v := range [...]float64{r.Nominal, r.Low, r.High} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%s is not a finite number; give a measured or published one", what)
		}
	}
	if r.Low > r.Nominal || r.Nominal > r.High {
		return fmt.Errorf("%s runs from %g to %g but is nominally %g; put the nominal value between the ends",
			what, r.Low, r.High, r.Nominal)
	}
	return nil
}

// IsExact reports whether the ends meet.
func (r Range) IsExact() bool { return r.Low == r.High }

// Add returns the sum.
func (r Range) Add(o Range) Range {
	return Range{r.Nominal + o.Nominal, r.Low + o.Low, r.High + o.High}
}

// Sub returns the difference r - o.
func (r Range) Sub(o Range) Range {
	return Range{r.Nominal - o.Nominal, r.Low - o.High, r.High - o.Low}
}

// Scale returns r times the exact factor k.
func (r Range) Scale(k float64) Range {
	if k < 0 {
		return Range{r.Nominal * k, r.High * k, r.Low * k}
	}
	return Range{r.Nominal * k, r.Low * k, r.High * k}
}

// Mul returns the product.
func (r Range) Mul(o Range) Range {
	a, b, c, d := r.Low*o.Low, r.Low*o.High, r.High*o.Low, r.High*o.High
	return Range{r.Nominal * o.Nominal, min(a, b, c, d), max(a, b, c, d)}
}

// Div returns the quotient r / o. ok is false, and the range zero, where o may
// be zero or change sign: such a quotient has no ends.
func (r Range) Div(o Range) (q Range, ok bool) {
	if o.Low <= 0 && o.High >= 0 {
		return Range{}, false
	}
	a, b, c, d := r.Low/o.Low, r.Low/o.High, r.High/o.Low, r.High/o.High
	q = Range{r.Nominal / o.Nominal, min(a, b, c, d), max(a, b, c, d)}
	return q, q.Check("quotient") == nil
}

// Larger returns the greater of two values, end by end.
func (r Range) Larger(o Range) Range {
	return Range{max(r.Nominal, o.Nominal), max(r.Low, o.Low), max(r.High, o.High)}
}

// Smaller returns the lesser of two values, end by end.
func (r Range) Smaller(o Range) Range {
	return Range{min(r.Nominal, o.Nominal), min(r.Low, o.Low), min(r.High, o.High)}
}
