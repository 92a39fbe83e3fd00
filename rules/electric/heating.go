package electric

import (
	"errors"
	"fmt"
	"math"
)

// Surroundings is what a wire gives its heat to.
type Surroundings struct {
	// AirC is the temperature of the air around the wires in C.
	AirC Range
	// WallMM is the thickness of the insulation's wall; about 0.4 mm on wires
	// inside a computer (common practice, no source).
	WallMM float64
	// Emissivity is that of the insulation, 0 to 1; about 0.9 for plastics.
	Emissivity float64
	// BundleShare is the share of its free-air current that a wire may carry
	// in its bundle for the same rise, above 0 up to 1. Bundling tables of
	// wiring codes give 0.8 for 4 to 6 current-carrying wires, 0.7 for 7 to 9
	// and 0.5 for 10 to 20 (NFPA 70 table 310.15(C)(1), from memory).
	BundleShare float64
}

func (s Surroundings) check() error {
	if err := s.AirC.Check("air temperature in C"); err != nil {
		return fmt.Errorf("the surroundings are wrong: the %w", err)
	}
	switch {
	case s.AirC.Low < coldestC || s.AirC.High >= hottestC:
		return fmt.Errorf("the air round the wires is said to have %g to %g C: give C between %d and %d", s.AirC.Low, s.AirC.High, coldestC, hottestC)
	case !(s.WallMM >= 0 && s.WallMM <= 10):
		return fmt.Errorf("the insulation is said to be %g mm thick: give 0 to 10 mm", s.WallMM)
	case !(s.Emissivity >= 0 && s.Emissivity <= 1):
		return fmt.Errorf("the emissivity is %g: give one from 0 to 1", s.Emissivity)
	case !(s.BundleShare > 0 && s.BundleShare <= 1):
		return fmt.Errorf("the bundle share is %g: give one above 0, up to 1 for a wire on its own", s.BundleShare)
	}
	return nil
}

// Air at atmospheric pressure, as powers of its absolute temperature fitted
// through the handbook rows at 300 and 400 K (rows from memory): conductivity
// 0.0263 and 0.0338 W/(m K), kinematic viscosity 15.89e-6 and 26.41e-6 m2/s,
// Prandtl number 0.70.
func airConductivity(kelvin float64) float64 { return 0.0263 * math.Pow(kelvin/300, 0.872) }
func airViscosity(kelvin float64) float64    { return 15.89e-6 * math.Pow(kelvin/300, 1.766) }

const (
	airPrandtl      = 0.70
	gravity         = 9.80665
	stefanBoltzmann = 5.670374e-8
	zeroCelsius     = 273.15
	// jacketConductivity of PVC in W/(m K), handbook value, from memory.
	jacketConductivity = 0.17
)

// jacketLoss is the heat in watts that one metre of a horizontal cylinder
// gives to still air and its surroundings: free convection after Churchill and
// Chu (1975), the handbooks' correlation for long horizontal cylinders, plus
// grey radiation.
func jacketLoss(diameterM, surfaceC, airC, emissivity float64) float64 {
	ts, ta := surfaceC+zeroCelsius, airC+zeroCelsius
	film := (ts + ta) / 2
	nu := airViscosity(film)
	rayleigh := gravity / film * (ts - ta) * diameterM * diameterM * diameterM / (nu * nu) * airPrandtl
	root := 0.60 + 0.387*math.Pow(rayleigh, 1.0/6)/math.Pow(1+math.Pow(0.559/airPrandtl, 9.0/16), 8.0/27)
	h := root * root * airConductivity(film) / diameterM
	perimeter := math.Pi * diameterM
	return perimeter * (h*(ts-ta) + emissivity*stefanBoltzmann*(ts*ts*ts*ts-ta*ta*ta*ta))
}

// errTooHot is what a wire beyond its insulation gets instead of a figure.
var errTooHot = errors.New("would pass 300 C, where no insulation survives: use a thicker wire or more of them")

// warmAt is the copper temperature of a wire of the area at a current, its
// resistance taken at that temperature. Stranding makes a wire a little
// thicker than the solid one assumed here, which is on the safe side.
func (s Surroundings) warmAt(m Metal, areaMM2, amps, airC float64) (float64, error) {
	if amps == 0 {
		return airC, nil
	}
	bare := 2 * math.Sqrt(areaMM2/math.Pi) * 1e-3
	outer := bare + 2*s.WallMM*1e-3
	jacket := math.Log(outer/bare) / (2 * math.Pi * jacketConductivity)
	amps /= s.BundleShare
	copperAt := func(surface float64) (copper, excess float64) {
		loss := jacketLoss(outer, surface, airC, s.Emissivity)
		copper = surface + loss*jacket
		return copper, amps*amps*m.ohmsPerMetre(areaMM2, copper) - loss
	}
	low, high := airC, float64(hottestC)
	if _, excess := copperAt(high); excess > 0 {
		return 0, errTooHot
	}
	for range 60 {
		mid := (low + high) / 2
		if _, excess := copperAt(mid); excess > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	copper, _ := copperAt((low + high) / 2)
	if copper > hottestC {
		return 0, errTooHot
	}
	return copper, nil
}

// WireTemperature is the temperature in C of the copper of one wire that
// carries amps: heat by the square of the current at the wire's own warm
// resistance, away by free convection and radiation (see [Surroundings] for
// bundling). The wire's length, count and TempC do not matter. It errs when a
// figure is missing, or when the wire would pass 300 C.
//
// The model is a lone horizontal wire in still air. Any air that moves makes
// the wire cooler.
func (s Surroundings) WireTemperature(m Metal, w Wire, amps Range) (Range, error) {
	w.Count, w.LengthMM, w.TempC = 1, Range{}, Range{}
	if err := errors.Join(m.check(), s.check(), amps.checkNotNegative("current in A")); err != nil {
		return Range{}, err
	}
	if err := w.check(); err != nil {
		return Range{}, fmt.Errorf("the wire %w", err)
	}
	if amps.High > mostAmps {
		return Range{}, fmt.Errorf("the wire carries %g A: give at most %g A", amps.High, mostAmps)
	}
	var t [3]float64
	for i, at := range [3][2]float64{{amps.Low, s.AirC.Low}, {amps.Nominal, s.AirC.Nominal}, {amps.High, s.AirC.High}} {
		var err error
		if t[i], err = s.warmAt(m, w.area(), at[0], at[1]); err != nil {
			return Range{}, fmt.Errorf("the wire at %.1f A %w", at[0], err)
		}
	}
	return Range{t[0], t[1], t[2]}, nil
}

// settledK is the change of temperature below which warm wiring has settled.
const settledK = 0.001

// SolveWarm solves the assumed state with every cable at the temperature that
// its own current gives it, instead of the temperature it was described with:
// solve, warm, solve again until no wire changes by a thousandth of a kelvin.
// The air is at its high end at the Weak corner. It errs as Solve does, and
// when a wire would pass 300 C. Fixed resistances of cables are lost.
func (w *Workspace) SolveWarm(s Surroundings) error {
	if err := s.check(); err != nil {
		return err
	}
	end := w.corner.end()
	for range mostSteps {
		if err := w.Solve(); err != nil {
			return err
		}
		change, err := w.warm(s, end)
		if err != nil {
			return err
		}
		if change < settledK {
			return nil
		}
	}
	return errors.New("the temperatures of the cables did not settle: their currents are near collapse; use thicker cables")
}

// warm sets every cable's resistance by its current and returns the largest
// change of a temperature.
func (w *Workspace) warm(s Surroundings, end int8) (float64, error) {
	change := 0.0
	m := w.c.net.metal
	for i := range w.c.net.elements {
		e := &w.c.net.elements[i]
		if e.kind != conductorElement {
			continue
		}
		area := e.wire.area()
		t, err := s.warmAt(m, area, math.Abs(w.WireAmps(Element(i))), s.AirC.at(end))
		if err != nil {
			return 0, inputErrorf("cable", e.name, "%s", err)
		}
		change = max(change, math.Abs(t-w.copperC[i]))
		w.copperC[i] = t
		if w.c.rigidOf[i] < 0 {
			w.ohms[i] = max(floorOhms, m.ohmsPerMetre(area, t)*e.wire.LengthMM.at(end)/1000/float64(e.wire.Count))
		}
	}
	return change, nil
}

// CopperC is the temperature of a cable's copper in C: what SolveWarm found,
// or what the cable was described with when only Solve ran.
func (w *Workspace) CopperC(cable Element) float64 { return w.copperC[cable] }
