package heat

import (
	"fmt"
	"math"

	"slipfit.example/rules/air"
)

// FlowLaw is the resistance of a sink from its base to the air that enters it,
// as the flow falls: R = ConductionKW + CoefficientKW (Q/1 m3/s)^-Exponent.
//
// Laminar boundary layers give an exponent of 0.5, turbulent ones 0.8
// (boundary layer theory). A sink never cools better than by warming its air
// to its own temperature: R is kept at or above 1/(rho cp Q).
type FlowLaw struct {
	ConductionKW  float64 // K/W, the part that no flow removes
	CoefficientKW float64 // K/W at 1 m3/s
	Exponent      float64 // 0.1 to 1
}

func (l FlowLaw) check() error {
	if err := air.CheckRange("conduction part of the sink", l.ConductionKW, 0, 1e3, "K/W"); err != nil {
		return err
	}
	if err := air.CheckRange("flow coefficient of the sink", l.CoefficientKW, 1e-9, 1e3, "K/W"); err != nil {
		return err
	}
	return air.CheckRange("flow exponent of the sink", l.Exponent, 0.1, 1, "")
}

// ResistanceKW is the resistance in K/W at a flow in m3/s whose heat rate
// (rho cp Q) is heatRateWK. The flow must be above zero.
func (l FlowLaw) ResistanceKW(flowM3S, heatRateWK float64) (float64, error) {
	if err := l.check(); err != nil {
		return 0, err
	}
	if err := air.CheckRange("flow through the sink", flowM3S, 1e-9, 100, "m3/s"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("heat rate of the flow through the sink", heatRateWK, 1e-9, 1e6, "W/K"); err != nil {
		return 0, err
	}
	return 1 / l.conductance(flowM3S, heatRateWK), nil
}

// conductance is W/K for checked values; a flow of zero gives zero.
func (l *FlowLaw) conductance(flow, heatRate float64) float64 {
	if flow < 1e-9 {
		return 0
	}
	return min(heatRate, 1/(l.ConductionKW+l.CoefficientKW*math.Pow(flow, -l.Exponent)))
}

// Reading is one published point of a sink: resistance at a flow.
type Reading struct {
	FlowM3S      float64
	ResistanceKW float64
}

// LawThrough is the law through two readings for a given exponent (0.1 to 1).
// Readings whose resistance rises with the flow, or falls faster than the
// exponent allows, contradict each other and give an error.
func LawThrough(a, b Reading, exponent float64) (FlowLaw, error) {
	if a.FlowM3S > b.FlowM3S {
		a, b = b, a
	}
	for _, r := range []Reading{a, b} {
		if err := r.check(); err != nil {
			return FlowLaw{}, err
		}
	}
	if err := air.CheckRange("flow exponent of the sink", exponent, 0.1, 1, ""); err != nil {
		return FlowLaw{}, err
	}
	if b.FlowM3S < 1.001*a.FlowM3S {
		return FlowLaw{}, fmt.Errorf("both readings of the sink are at %g m3/s; give two different flows", a.FlowM3S)
	}
	xa, xb := math.Pow(a.FlowM3S, -exponent), math.Pow(b.FlowM3S, -exponent)
	c := (a.ResistanceKW - b.ResistanceKW) / (xa - xb)
	l := FlowLaw{ConductionKW: b.ResistanceKW - c*xb, CoefficientKW: c, Exponent: exponent}
	if l.ConductionKW < 0 && l.ConductionKW > -1e-9*b.ResistanceKW {
		l.ConductionKW = 0 // rounding
	}
	if c <= 0 || l.ConductionKW < 0 {
		return FlowLaw{}, fmt.Errorf("the sink goes from %g K/W at %g m3/s to %g K/W at %g m3/s, which no exponent of %g explains; "+
			"check the two readings", a.ResistanceKW, a.FlowM3S, b.ResistanceKW, b.FlowM3S, exponent)
	}
	return l, nil
}

func (r Reading) check() error {
	if err := air.CheckRange("flow through the sink", r.FlowM3S, 1e-7, 100, "m3/s"); err != nil {
		return err
	}
	return air.CheckRange("published resistance of the sink", r.ResistanceKW, 1e-4, 1e3, "K/W")
}

// ExponentBetween is the exponent of a sink without conduction part that
// explains two readings: ln(Ra/Rb)/ln(Qb/Qa).
func ExponentBetween(a, b Reading) (float64, error) {
	for _, r := range []Reading{a, b} {
		if err := r.check(); err != nil {
			return 0, err
		}
	}
	if math.Abs(math.Log(b.FlowM3S/a.FlowM3S)) < 1e-3 {
		return 0, fmt.Errorf("both readings of the sink are at %g m3/s; give two different flows", a.FlowM3S)
	}
	return math.Log(a.ResistanceKW/b.ResistanceKW) / math.Log(b.FlowM3S/a.FlowM3S), nil
}

// LawRange is a law that is only estimated: the same published reading with
// the shape that makes the sink worst, likely and best at smaller flows.
type LawRange struct {
	Best, Nominal, Worst FlowLaw
}

// EstimateLaw is the range of laws through one reading. At smaller flows the
// best sink is half conduction with exponent 0.5, the worst has no conduction
// part and exponent 0.8, the nominal one a third and 0.6 (exponents by boundary
// layer theory; shares are common practice, no source).
func EstimateLaw(r Reading) (LawRange, error) {
	if err := r.check(); err != nil {
		return LawRange{}, err
	}
	shape := func(conduction, exponent float64) FlowLaw {
		return FlowLaw{
			ConductionKW:  conduction * r.ResistanceKW,
			CoefficientKW: (1 - conduction) * r.ResistanceKW * math.Pow(r.FlowM3S, exponent),
			Exponent:      exponent,
		}
	}
	return LawRange{Best: shape(1.0/2, 0.5), Nominal: shape(1.0/3, 0.6), Worst: shape(0, 0.8)}, nil
}
