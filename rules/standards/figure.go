package standards

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// millimetresPerInch is exact by the international yard and pound agreement.
const millimetresPerInch = 25.4

// Figure is one number with its unit and its source. The package's figures are
// variables only because Go has no constant structures; treat them as constants.
type Figure struct {
	// Name is unique among the figures, in the trade's words.
	Name string
	// Value is finite.
	Value float64
	// Unit is the unit's symbol, or "" for a plain ratio.
	Unit string
	// Source tells where the number is written.
	Source Source
}

// String returns name, value, unit and source, for example
// "board thickness 1.57 mm (microATX specification 1.2, figure 4)".
func (f Figure) String() string {
	text := f.Name + " " + strconv.FormatFloat(f.Value, 'f', -1, 64)
	if f.Unit != "" {
		text += " " + f.Unit
	}
	return text + " (" + f.Source.String() + ")"
}

// Figures returns every single figure of the package, sorted by name.
func Figures() []Figure {
	all := make([]Figure, 0, len(figures))
	for _, f := range figures {
		all = append(all, f)
	}
	slices.SortFunc(all, func(a, b Figure) int { return cmp.Compare(a.Name, b.Name) })
	return all
}

// figures is filled during initialisation and only read afterwards.
var figures = map[string]Figure{}

func figure(name string, value float64, unit string, source Source) Figure {
	if _, twice := figures[name]; twice {
		panic(fmt.Sprintf("standards: figure %q is registered twice", name))
	}
	f := Figure{Name: name, Value: value, Unit: unit, Source: source}
	figures[name] = f
	return f
}

// Point is a place in the plane of a board, a panel or a radiator, in mm.
type Point struct{ XMM, YMM float64 }

// Distance returns the distance between two points in mm.
func (p Point) Distance(q Point) float64 { return math.Hypot(p.XMM-q.XMM, p.YMM-q.YMM) }

// inRange refuses what is not a number from low to high. The sentence names
// the quantity, what came, and what to give instead.
func inRange(what string, v, low, high float64, unit string) error {
	if v >= low && v <= high { // false for NaN
		return nil
	}
	if unit != "" {
		unit = " " + unit
	}
	return fmt.Errorf("%s is %v%s, which is out of range; give a number from %v to %v%s", what, v, unit, low, high, unit)
}

// The widest inputs that the formulas here are asked about. They keep products
// finite; nothing in a desktop computer comes near them.
const (
	maxPowerW   = 1e6
	maxAmpere   = 1e5
	maxVolt     = 1e4
	maxLengthMM = 1e5
)
