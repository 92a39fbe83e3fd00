package climate

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
)

// Coefficient is one of the unknowns of a forecast that no data sheet settles.
type Coefficient int

// The coefficients. Each moves everything of its kind together.
const (
	// Openings is what grilles, filters, louvres and feet cost in pressure.
	Openings Coefficient = iota
	// Passages is what the ways between the parts cost in pressure.
	Passages
	// Fans is how far fans fall short of their curves.
	Fans
	// Cooler is the resistance of the processor's cooler.
	Cooler
	// Card is the resistance of the cards' coolers.
	Card
	// Lid is the resistance from die to lid.
	Lid
	// Local is the resistance of small parts to the air around them.
	Local
	// Panels is how little heat the panels take.
	Panels
	// Loads is the power that the parts draw.
	Loads
	// Sound is how loud the sources are.
	Sound
	// CoefficientCount is how many there are.
	CoefficientCount
)

var coefficientNames = [CoefficientCount]string{
	"openings", "passages", "fans", "cooler", "card", "lid", "local", "panels", "loads", "sound",
}

// String is the coefficient's name in calibrations.
func (c Coefficient) String() string { return coefficientNames[c] }

// CoefficientByName finds a coefficient.
func CoefficientByName(name string) (Coefficient, bool) {
	for i, n := range coefficientNames {
		if n == name {
			return Coefficient(i), true
		}
	}
	return 0, false
}

// Places says where in its range each coefficient lies: 0 is nominal, 1 the end
// that makes the machine warmer or louder, -1 the other end.
type Places [CoefficientCount]float64

// Belief is what is held of the coefficients: their likely places, and the places
// at which the forecast's ranges end.
type Belief struct {
	Nominal, Cool, Warm Places
}

// Together is how far towards its ends each coefficient is taken when all of them
// are taken to the same side at once. Independent errors of three equally strong
// coefficients add up to 1/sqrt(3) of the sum of their ends (root sum square);
// here it is a little more, because some stand for several things.
const Together = 0.6

// Prior is the belief before anything was measured.
func Prior() Belief {
	var b Belief
	for i := range b.Warm {
		b.Cool[i], b.Warm[i] = -Together, Together
	}
	return b
}

// Calibrated is the belief that a calibration leaves. Names that this version does
// not know are passed over.
func Calibrated(c *v1.Calibration) Belief {
	b := Prior()
	for _, given := range c.GetCoefficients() {
		i, ok := CoefficientByName(given.GetName())
		if !ok || !finite(given.GetPlace()) {
			continue
		}
		at := clamp(given.GetPlace(), -mostPlace, mostPlace)
		low, high := at-1, at+1
		if given.Low != nil && given.High != nil && given.GetLow() <= at && given.GetHigh() >= at {
			low, high = given.GetLow(), given.GetHigh()
		}
		b.Nominal[i] = at
		b.Cool[i] = clamp(at-Together*(at-low), -mostPlace, mostPlace)
		b.Warm[i] = clamp(at+Together*(high-at), -mostPlace, mostPlace)
	}
	return b
}

// mostPlace bounds places: further out a coefficient is no longer believable.
const mostPlace = 3

// reach is the value of a range at a place: on a logarithmic scale, so that places
// beyond the ends still make sense and never change the sign.
func reach(r air.Range, place float64) float64 {
	switch {
	case place == 0 || !(r.Nominal > 0):
		return r.Nominal
	case place > 0:
		return r.Nominal * math.Pow(max(r.High, r.Nominal)/r.Nominal, place)
	default:
		low := min(max(r.Low, r.Nominal/20), r.Nominal)
		return r.Nominal * math.Pow(r.Nominal/low, place)
	}
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func clamp(v, low, high float64) float64 { return min(max(v, low), high) }

// around is a range of a share of its nominal value both ways.
func around(v, share float64) air.Range {
	return air.Range{Low: v * (1 - share), Nominal: v, High: v * (1 + share)}
}
