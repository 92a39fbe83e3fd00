package electric

import (
	"fmt"
	"math"
)

// Range is a quantity known between two ends, with the value it is expected to
// have. Low <= Nominal <= High. The zero Range is exactly zero.
type Range struct{ Low, Nominal, High float64 }

// Exactly is the Range of a quantity that is known exactly.
func Exactly(x float64) Range { return Range{x, x, x} }

// Check says what is wrong with a Range, or returns nil: all three values are
// finite and in order. What names the quantity in the error's sentence.
func (r Range) Check(what string) error {
	for _, x := range [3]float64{r.Low, r.Nominal, r.High} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("%s is not a finite number: give a plain figure", what)
		}
	}
	if r.Low > r.Nominal || r.Nominal > r.High {
		return fmt.Errorf("%s runs %g, %g, %g, out of order: give low end, expected value and high end, rising",
			what, r.Low, r.Nominal, r.High)
	}
	return nil
}

// checkNotNegative is Check for a quantity that cannot be below zero.
func (r Range) checkNotNegative(what string) error {
	if err := r.Check(what); err != nil {
		return err
	}
	if r.Low < 0 {
		return fmt.Errorf("%s is %g, below zero: give zero or more", what, r.Low)
	}
	return nil
}

// checkPositive is Check for a quantity that has to be above zero.
func (r Range) checkPositive(what string) error {
	if err := r.Check(what); err != nil {
		return err
	}
	if r.Low <= 0 {
		return fmt.Errorf("%s is %g, not above zero: give a figure above zero", what, r.Low)
	}
	return nil
}

// at picks the end of a range that a corner stands on. A rising quantity takes
// its high end at the high corner.
func (r Range) at(end int8) float64 {
	switch {
	case end < 0:
		return r.Low
	case end > 0:
		return r.High
	}
	return r.Nominal
}

func (r Range) plus(s Range) Range {
	return Range{r.Low + s.Low, r.Nominal + s.Nominal, r.High + s.High}
}

func (r Range) minus(s Range) Range {
	return Range{r.Low - s.High, r.Nominal - s.Nominal, r.High - s.Low}
}

// times and over hold for ranges that are not negative; the divisor is
// positive.
func (r Range) times(s Range) Range {
	return Range{r.Low * s.Low, r.Nominal * s.Nominal, r.High * s.High}
}

func (r Range) over(s Range) Range {
	return Range{r.Low / s.High, r.Nominal / s.Nominal, r.High / s.Low}
}

// scale multiplies by a factor that is not negative.
func (r Range) scale(k float64) Range { return Range{r.Low * k, r.Nominal * k, r.High * k} }

// greater is the range of the larger of two quantities.
func (r Range) greater(s Range) Range {
	return Range{math.Max(r.Low, s.Low), math.Max(r.Nominal, s.Nominal), math.Max(r.High, s.High)}
}

// finite says that no end of the range overflowed on the way.
func (r Range) finite() bool {
	return !math.IsNaN(r.Low+r.Nominal+r.High) && !math.IsInf(r.Low, 0) && !math.IsInf(r.Nominal, 0) && !math.IsInf(r.High, 0)
}
