package air

import (
	"fmt"
	"math"
)

// Resistance is what a passage costs in pressure: a part in proportion to the
// flow (laminar: fins, filter fleece) and a part with its square (orifices,
// grilles, bends). Both are for air of 1.2 kg/m3 at 20 degC; the linear part
// follows the viscosity, the quadratic part the density.
type Resistance struct {
	LinearPaSM3     float64 // Pa/(m3/s)
	QuadraticPaS2M6 float64 // Pa/(m3/s)^2
}

// standardViscosityPaS is the viscosity at 20 degC that LinearPaSM3 refers to.
const standardViscosityPaS = 1.8134e-5

// DropPa is the pressure drop in Pa of a flow in m3/s, at 1.2 kg/m3 and
// 20 degC. A flow against the direction gives a negative drop.
func (r Resistance) DropPa(flowM3S float64) float64 {
	return flowM3S * (r.LinearPaSM3 + r.QuadraticPaS2M6*math.Abs(flowM3S))
}

// FlowM3S is the flow that a pressure drop in Pa drives, at 1.2 kg/m3 and
// 20 degC: the inverse of DropPa. A passage without resistance gives zero.
func (r Resistance) FlowM3S(dropPa float64) float64 {
	if r.LinearPaSM3 <= 0 && r.QuadraticPaS2M6 <= 0 {
		return 0
	}
	// Written so that neither part may vanish into a difference.
	p := math.Abs(dropPa)
	root := math.Sqrt(r.LinearPaSM3*r.LinearPaSM3 + 4*r.QuadraticPaS2M6*p)
	return math.Copysign(2*p/(r.LinearPaSM3+root), dropPa)
}

func (r Resistance) check() error {
	if err := CheckRange("linear resistance", r.LinearPaSM3, 0, 1e15, "Pa/(m3/s)"); err != nil {
		return err
	}
	return CheckRange("quadratic resistance", r.QuadraticPaS2M6, 0, 1e18, "Pa/(m3/s)^2")
}

// FromK is the resistance of a passage that loses k velocity heads in an area
// in m2: k rho/(2 A^2) with rho 1.2 kg/m3. The area is the one that k was
// stated on.
func FromK(k, areaM2 float64) (Resistance, error) {
	if err := CheckRange("loss coefficient", k, 0, 1e9, ""); err != nil {
		return Resistance{}, err
	}
	if err := CheckRange("area of a passage", areaM2, 1e-8, 1e4, "m2"); err != nil {
		return Resistance{}, err
	}
	return Resistance{QuadraticPaS2M6: k * FanStandardDensityKgM3 / (2 * areaM2 * areaM2)}, nil
}

// KOf is the loss coefficient on an area in m2 that a quadratic resistance in
// Pa/(m3/s)^2 at 1.2 kg/m3 stands for: the inverse of FromK.
func KOf(quadraticPaS2M6, areaM2 float64) float64 {
	return quadraticPaS2M6 * 2 * areaM2 * areaM2 / FanStandardDensityKgM3
}

// Radiator is a fin core whose drop was measured as a Q + b Q^2 with Q in
// m3/s: fin channels at small speeds are laminar, so that the exponent of a
// power law lies between 1 and 1.3 and a sum of both parts fits better.
func Radiator(aPaSM3, bPaS2M6 float64) (Resistance, error) {
	r := Resistance{LinearPaSM3: aPaSM3, QuadraticPaS2M6: bPaS2M6}
	if err := r.check(); err != nil {
		return Resistance{}, err
	}
	if aPaSM3 == 0 && bPaS2M6 == 0 {
		return Resistance{}, fmt.Errorf("the core has no resistance at all; give a measured pressure drop at one or two flows")
	}
	return r, nil
}

// RadiatorThrough fits a Q + b Q^2 through two measured drops. It refuses
// points that no core could have: a drop that does not grow with the flow, or
// grows by more than its square or less than in proportion.
func RadiatorThrough(first, second Point) (Resistance, error) {
	if first.FlowM3S > second.FlowM3S {
		first, second = second, first
	}
	for _, p := range []Point{first, second} {
		if err := CheckRange("flow through the core", p.FlowM3S, 1e-7, 100, "m3/s"); err != nil {
			return Resistance{}, err
		}
		if err := CheckRange("pressure drop of the core", p.PressurePa, 1e-6, 1e6, "Pa"); err != nil {
			return Resistance{}, err
		}
	}
	q1, q2, p1, p2 := first.FlowM3S, second.FlowM3S, first.PressurePa, second.PressurePa
	if q2-q1 <= 1e-6*q2 {
		return Resistance{}, fmt.Errorf("both readings of the core are at %g m3/s; give two different flows", q1)
	}
	b := (p2/q2 - p1/q1) / (q2 - q1)
	a := p1/q1 - b*q1
	// A hair of rounding is no contradiction.
	if b < 0 && b*q2 > -1e-9*a {
		b = 0
	}
	if a < 0 && a > -1e-9*b*q2 {
		a = 0
	}
	if a < 0 || b < 0 {
		return Resistance{}, fmt.Errorf("the drop of the core goes from %g Pa at %g m3/s to %g Pa at %g m3/s, which lies outside "+
			"the exponents 1 to 2 of any passage; check the two readings", p1, q1, p2, q2)
	}
	return Radiator(a, b)
}

// Series is the resistance of passages one behind the other: the parts add.
func Series(parts ...Resistance) Resistance {
	var sum Resistance
	for _, r := range parts {
		sum.LinearPaSM3 += r.LinearPaSM3
		sum.QuadraticPaS2M6 += r.QuadraticPaS2M6
	}
	return sum
}

// Parallel is the resistance of purely quadratic passages side by side:
// 1/sqrt(R) adds. Passages with a linear part have no common constant pair and
// belong into a Network as branches of their own.
func Parallel(parts ...Resistance) (Resistance, error) {
	sum := 0.0
	for _, r := range parts {
		if r.LinearPaSM3 != 0 {
			return Resistance{}, fmt.Errorf("passages with a laminar part do not merge into one; keep them as separate branches")
		}
		if err := CheckPositive("quadratic resistance of a parallel passage", r.QuadraticPaS2M6, "Pa/(m3/s)^2"); err != nil {
			return Resistance{}, err
		}
		sum += 1 / math.Sqrt(r.QuadraticPaS2M6)
	}
	if err := CheckPositive("number of parallel passages", float64(len(parts)), ""); err != nil {
		return Resistance{}, err
	}
	return Resistance{QuadraticPaS2M6: 1 / (sum * sum)}, nil
}

// ChangeBasis restates a loss coefficient on another area, both in m2:
// K2 = K1 (A2/A1)^2.
func ChangeBasis(k, fromAreaM2, toAreaM2 float64) (float64, error) {
	if err := CheckRange("loss coefficient", k, 0, 1e12, ""); err != nil {
		return 0, err
	}
	if err := CheckRange("area that the coefficient is stated on", fromAreaM2, 1e-10, 1e6, "m2"); err != nil {
		return 0, err
	}
	if err := CheckRange("area to restate the coefficient on", toAreaM2, 1e-10, 1e6, "m2"); err != nil {
		return 0, err
	}
	r := toAreaM2 / fromAreaM2
	return k * r * r, nil
}

// KFromDischarge is the loss coefficient of an opening whose discharge
// coefficient (0.01 to 1) is stated on the same area: 1/Cd^2.
func KFromDischarge(cd float64) (float64, error) {
	if err := CheckRange("discharge coefficient", cd, 0.01, 1, ""); err != nil {
		return 0, err
	}
	return 1 / (cd * cd), nil
}
