package air

import (
	"fmt"
	"math"
	"strconv"
)

// RangeError tells that a quantity is missing, is not a number, or lies
// outside the range where the formula that was asked for holds.
type RangeError struct {
	Quantity string  // what the value is, in words: "air temperature"
	Value    float64 // the value that was refused
	Low      float64 // least value that is accepted
	High     float64 // greatest value that is accepted; +Inf when there is none
	Unit     string  // unit of all three, empty for a pure number
	Above    bool    // Low itself is refused too
}

// Error names the quantity, the refused value and the accepted range.
func (e *RangeError) Error() string {
	unit := ""
	if e.Unit != "" {
		unit = " " + e.Unit
	}
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
	if math.IsNaN(e.Value) {
		return fmt.Sprintf("%s is not a number; give a value in%s", e.Quantity, orPlain(unit))
	}
	if e.Above {
		return fmt.Sprintf("%s of %s%s is not accepted; give a finite value above %s%s",
			e.Quantity, number(e.Value), unit, number(e.Low), unit)
	}
	if math.IsInf(e.High, 1) {
		return fmt.Sprintf("%s of %s%s is not accepted; give a finite value of at least %s%s",
			e.Quantity, number(e.Value), unit, number(e.Low), unit)
	}
	return fmt.Sprintf("%s of %s%s is outside the range from %s to %s%s; give a value inside it",
		e.Quantity, number(e.Value), unit, number(e.Low), number(e.High), unit)
}

func orPlain(unit string) string {
	if unit == "" {
		return " plain figures"
	}
	return unit
}

// CheckRange returns a *RangeError unless value is a finite number from low
// to high, both included. The quantity is named in words for the sentence.
func CheckRange(quantity string, value, low, high float64, unit string) error {
	if value >= low && value <= high && !math.IsInf(value, 0) {
		return nil
	}
	return &RangeError{Quantity: quantity, Value: value, Low: low, High: high, Unit: unit}
}

// CheckPositive returns a *RangeError unless value is finite and above zero.
func CheckPositive(quantity string, value float64, unit string) error {
	if value > 0 && !math.IsInf(value, 0) {
		return nil
	}
	return &RangeError{Quantity: quantity, Value: value, High: math.Inf(1), Unit: unit, Above: true}
}

// Range is a quantity that is known only between two ends, with the value to
// work with when a single one is wanted. Low <= Nominal <= High.
type Range struct {
	Low, Nominal, High float64
}

// Scaled returns the range with all three values multiplied by a factor that
// is not negative.
func (r Range) Scaled(factor float64) Range {
	return Range{r.Low * factor, r.Nominal * factor, r.High * factor}
}

// Contains tells whether v lies in the range, ends included.
func (r Range) Contains(v float64) bool { return v >= r.Low && v <= r.High }
