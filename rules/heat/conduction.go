package heat

import (
	"fmt"
	"math"

	"slipfit.example/rules/air"
)

// JunctionC is the temperature at the hot end of resistances in line: the
// reference temperature plus power times their sum. Power in W at least zero,
// resistances in K/W at least zero.
func JunctionC(referenceC, powerW float64, resistancesKW ...float64) (float64, error) {
	if err := air.CheckRange("reference temperature", referenceC, -air.ZeroCelsiusK, 1e4, "degC"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("heat of the source", powerW, 0, 1e6, "W"); err != nil {
		return 0, err
	}
	sum := 0.0
	for _, r := range resistancesKW {
		if err := air.CheckRange("thermal resistance", r, 0, 1e6, "K/W"); err != nil {
			return 0, err
		}
		sum += r
	}
	return referenceC + powerW*sum, nil
}

// NeededSinkKW is the greatest resistance in K/W that the last link of a chain
// may have, so that a source of powerW stays at limitC above air of airC with
// the other resistances in line. It returns an error when those alone take up
// the whole allowance.
func NeededSinkKW(limitC, airC, powerW float64, othersKW ...float64) (float64, error) {
	if err := air.CheckRange("heat of the source", powerW, 1e-6, 1e6, "W"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("temperature limit", limitC, -air.ZeroCelsiusK, 1e4, "degC"); err != nil {
		return 0, err
	}
	hot, err := JunctionC(airC, powerW, othersKW...)
	if err != nil {
		return 0, err
	}
	if hot >= limitC {
		return 0, fmt.Errorf("no sink is good enough: without any sink resistance the source already reaches %.1f degC "+
			"of the %.1f degC allowed; lower the power or the air temperature", hot, limitC)
	}
	return (limitC - hot) / powerW, nil
}

// InterfaceKW is the resistance in K/W of a layer of paste or pad: thickness
// over conductivity and area. Measured layers can be three times as bad as
// their conductivity promises; MeasuredInterfaceKW gives that range.
func InterfaceKW(thicknessM, conductivityWMK, areaM2 float64) (float64, error) {
	if err := air.CheckRange("thickness of the interface layer", thicknessM, 0, 0.1, "m"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("conductivity of the interface layer", conductivityWMK, 1e-3, 5000, "W/(m K)"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("area of the interface layer", areaM2, 1e-9, 10, "m2"); err != nil {
		return 0, err
	}
	return thicknessM / (conductivityWMK * areaM2), nil
}

// MeasuredInterfaceKW is InterfaceKW as a range from the computed value to
// three times as much, with twice as nominal (practice of cooling engineers:
// contact and voids are not in the data sheet's conductivity).
func MeasuredInterfaceKW(thicknessM, conductivityWMK, areaM2 float64) (air.Range, error) {
	r, err := InterfaceKW(thicknessM, conductivityWMK, areaM2)
	return air.Range{Low: r, Nominal: 2 * r, High: 3 * r}, err
}

// Spreader is a plate that heat enters over a small square or round area and
// leaves over the whole far side.
type Spreader struct {
	PlateAreaM2     float64 // area of the plate
	SourceAreaM2    float64 // area of the source, in the plate's middle
	ThicknessM      float64 // thickness of the plate
	ConductivityWMK float64 // of the plate
	SinkKW          float64 // resistance from the plate's far side to the air
}

// SpreadingKW is the greatest spreading resistance in K/W by Lee's formula
// (Electronics Cooling, January 1998; from memory, its printed example of 0.66
// K/W is met). The resistance through the plate's thickness is in it; the
// sink's own resistance is not. A source as large as the plate spreads
// nothing and leaves the plain conduction through it out.
func (s Spreader) SpreadingKW() (float64, error) {
	if err := air.CheckRange("area of the plate", s.PlateAreaM2, 1e-8, 10, "m2"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("area of the source on the plate", s.SourceAreaM2, 1e-9, s.PlateAreaM2, "m2"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("thickness of the plate", s.ThicknessM, 1e-6, 1, "m"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("conductivity of the plate", s.ConductivityWMK, 1e-3, 5000, "W/(m K)"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("resistance of the sink", s.SinkKW, 0, 1e6, "K/W"); err != nil {
		return 0, err
	}
	plate, source := math.Sqrt(s.PlateAreaM2), math.Sqrt(s.SourceAreaM2)
	lambda := math.Pow(math.Pi, 1.5)/plate + 1/source
	biot := lambda * s.ConductivityWMK * s.PlateAreaM2 * s.SinkKW
	tanh := math.Tanh(lambda * s.ThicknessM)
	shape := (plate - source) / (s.ConductivityWMK * math.Sqrt(math.Pi*s.PlateAreaM2*s.SourceAreaM2))
	return shape * (biot + tanh) / (1 + biot*tanh), nil
}
