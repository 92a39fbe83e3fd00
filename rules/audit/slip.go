package audit

import "math"

// slip is one way in which a figure comes to stand in the wrong unit or with its
// point in the wrong place: the figure times factor is what was meant.
type slip struct {
	factor float64
	words  string
	// rare tells that it counts only where nothing more common explains a figure.
	rare bool
}

// Rare slips stand last in each list. Exact factors: inch and foot (ISO 80000-3, annex), pound and ounce (the
// international avoirdupois pound), conventional millimetre of water.
var (
	slipsOfLength = []slip{
		{25.4, "inches", false}, {10, "centimetres", false}, {1000, "metres", false},
		{0.1, "a figure ten times too large", false}, {1 / 25.4, "inches converted twice", true},
	}
	slipsOfMass = []slip{
		{1000, "kilograms", false}, {28.349523125, "ounces", false}, {10, "a figure ten times too small", false},
		{0.1, "a figure ten times too large", false}, {0.001, "milligrams", false}, {453.59237, "pounds", true},
	}
	slipsOfFlow = []slip{
		{1.69901, "cubic feet per minute", false}, {60, "cubic metres per minute", false},
		{10, "a figure ten times too small", false}, {0.1, "a figure ten times too large", false}, {3.6, "litres per second", true},
	}
	slipsOfPressure = []slip{
		{9.80665, "millimetres of water", false}, {249.08891, "inches of water", false},
		{0.1, "a figure ten times too large", false}, {100, "hectopascals", true},
	}
	slipsOfOthers = []slip{
		{10, "a figure ten times too small", false}, {0.1, "a figure ten times too large", false},
		{1000, "a figure in thousands", false}, {0.001, "a figure in thousandths", false},
	}
)

func slipsOf(unit string) []slip {
	switch unit {
	case "mm":
		return slipsOfLength
	case "g":
		return slipsOfMass
	case "m3/h":
		return slipsOfFlow
	case "Pa":
		return slipsOfPressure
	default:
		return slipsOfOthers
	}
}

// gain is by how much nearer to the middle of the range, on a scale of natural
// logarithms, a slip must bring a figure: less explains nothing.
const gain = 0.3

// explain looks for a slip that brings v between low and high. Of several the one
// that comes nearest to the middle counts, on a scale of ratios; sure tells that
// there is no other.
func explain(v, low, high float64, unit string) (found slip, sure bool) {
	middle := math.Sqrt(max(low, high*1e-3) * high)
	off := func(v float64) float64 { return math.Abs(math.Log(v / middle)) }
	fits := 0
	for _, s := range slipsOf(unit) {
		meant := v * s.factor
		if meant < low || meant > high || meant <= 0 || off(meant) > off(v)-gain || s.rare && fits > 0 {
			continue
		}
		if fits == 0 || off(meant) < off(v*found.factor) {
			found = s
		}
		fits++
	}
	return found, fits == 1
}

// rounded takes off the digits that a conversion adds and nobody prints.
func rounded(v float64) float64 {
	if v == 0 {
		return 0
	}
	scale := math.Pow(10, 4-math.Ceil(math.Log10(math.Abs(v))))
	return math.Round(v*scale) / scale
}
