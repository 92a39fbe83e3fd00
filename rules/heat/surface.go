package heat

import (
	"fmt"
	"math"

	"slipfit.example/rules/air"
)

// StefanBoltzmannWM2K4 is the radiation constant, W/(m2 K4).
const StefanBoltzmannWM2K4 = 5.670374419e-8

// Emissivities of common surfaces as ranges (handbooks; from memory).
var (
	Painted       = air.Range{Low: .85, Nominal: .90, High: .95}
	Anodised      = air.Range{Low: .70, Nominal: .80, High: .85}
	BareAluminium = air.Range{Low: .04, Nominal: .07, High: .10}
	BareSteel     = air.Range{Low: .20, Nominal: .25, High: .30}
)

// RadiationWM2 is the heat that a surface radiates to surroundings much larger
// than itself, W/m2, for emissivity 0 to 1 and temperatures in degC.
func RadiationWM2(emissivity, surfaceC, surroundingC float64) (float64, error) {
	if err := air.CheckRange("emissivity", emissivity, 0, 1, ""); err != nil {
		return 0, err
	}
	for _, c := range [2]float64{surfaceC, surroundingC} {
		if err := air.CheckRange("temperature of a radiating surface", c, -air.ZeroCelsiusK, 1e4, "degC"); err != nil {
			return 0, err
		}
	}
	return radiationH(emissivity, surfaceC, surroundingC) * (surfaceC - surroundingC), nil
}

// radiationH is the coefficient eps sigma (Ts + Tr)(Ts^2 + Tr^2), W/(m2 K).
func radiationH(emissivity, surfaceC, surroundingC float64) float64 {
	s, r := max(surfaceC+air.ZeroCelsiusK, 0), max(surroundingC+air.ZeroCelsiusK, 0)
	return emissivity * StefanBoltzmannWM2K4 * (s + r) * (s*s + r*r)
}

// Facing is the way a panel's outside faces.
type Facing int

// The ways a panel can face.
const (
	Upright Facing = iota // a side wall; length is its height
	Up                    // a lid; length is area over perimeter
	Down                  // a floor on feet; length is area over perimeter
)

// PlateNusselt is the Nusselt number of natural convection at a plate for a
// Rayleigh and a Prandtl number. Upright plates: Churchill and Chu for all
// Rayleigh numbers. Warm plates facing up: 0.54 Ra^1/4 below 1e7 and 0.15
// Ra^1/3 above; facing down: 0.27 Ra^1/4 (heat transfer textbooks). Never less
// than one for lying plates: still air conducts.
func PlateNusselt(f Facing, rayleigh, prandtl float64) (float64, error) {
	if err := air.CheckRange("Rayleigh number", rayleigh, 0, 1e13, ""); err != nil {
		return 0, err
	}
	if err := air.CheckRange("Prandtl number", prandtl, 0.01, 1e4, ""); err != nil {
		return 0, err
	}
	if f < Upright || f > Down {
		return 0, fmt.Errorf("panel of unknown facing %d; choose upright, up or down", int(f))
	}
	return plateNusselt(f, rayleigh, prandtl), nil
}

func plateNusselt(f Facing, ra, pr float64) float64 {
	switch f {
	case Up:
		// Both formulas meet within a tenth at 2e7; the greater one is the flow
		// that establishes itself.
		return max(1, 0.54*math.Sqrt(math.Sqrt(ra)), 0.15*math.Cbrt(ra))
	case Down:
		return max(1, 0.27*math.Sqrt(math.Sqrt(ra)))
	}
	spread := math.Pow(1+math.Pow(0.492/pr, 9.0/16), 8.0/27)
	root := 0.825 + 0.387*math.Pow(ra, 1.0/6)/spread
	return root * root
}

// NaturalWM2K is the coefficient of natural convection in W/(m2 K) of a plate
// of a length in m (see Facing) at surfaceC in air of the given state, with
// properties at the mean of both temperatures. A plate colder than the air
// faces the other way: its Up is Down.
func NaturalWM2K(f Facing, lengthM, surfaceC float64, fluid air.State) (float64, error) {
	if err := air.CheckRange("length of the panel", lengthM, 1e-3, 10, "m"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("temperature of the panel", surfaceC, -air.ZeroCelsiusK, 1e4, "degC"); err != nil {
		return 0, err
	}
	if f < Upright || f > Down {
		return 0, fmt.Errorf("panel of unknown facing %d; choose upright, up or down", int(f))
	}
	if err := air.CheckRange("air pressure", fluid.PressurePa, air.LowestPressurePa, air.HighestPressurePa, "Pa"); err != nil {
		return 0, err
	}
	return naturalH(f, lengthM, surfaceC, fluid.TemperatureC, fluid.PressurePa), nil
}

// naturalH is NaturalWM2K for checked values; the mean temperature is held
// within the range of the properties.
func naturalH(f Facing, length, surfaceC, airC, pressurePa float64) float64 {
	film := min(max((surfaceC+airC)/2, air.LowestTemperatureC), air.HighestTemperatureC)
	s, err := air.At(pressurePa, film)
	if err != nil {
		return 0
	}
	if surfaceC < airC {
		switch f {
		case Up:
			f = Down
		case Down:
			f = Up
		}
	}
	nu, al := s.KinematicViscosityM2S(), s.DiffusivityM2S()
	ra := air.GravityMS2 * s.ExpansionPerK() * math.Abs(surfaceC-airC) * length * length * length / (nu * al)
	return plateNusselt(f, min(ra, 1e13), s.Prandtl()) * s.ConductivityWMK / length
}

// PanelC is the temperature of a thin panel between warm air inside, which
// reaches it with innerWM2K, and a room that takes heat by natural convection
// and radiation: inner (T_in - T) = (h_c + h_r)(T - T_room), iterated because
// both h depend on T. Emissivity 0 to 1, inner coefficient 0.1 to 1000
// W/(m2 K). It also returns the flux in W/m2.
func PanelC(f Facing, lengthM, emissivity, innerWM2K, insideC float64, room air.State) (panelC, fluxWM2 float64, err error) {
	if _, err := NaturalWM2K(f, lengthM, insideC, room); err != nil {
		return 0, 0, err
	}
	if err := air.CheckRange("emissivity", emissivity, 0, 1, ""); err != nil {
		return 0, 0, err
	}
	if err := air.CheckRange("coefficient at the inside of the panel", innerWM2K, 0.1, 1000, "W/(m2 K)"); err != nil {
		return 0, 0, err
	}
	outer := func(t float64) float64 {
		return naturalH(f, lengthM, t, room.TemperatureC, room.PressurePa) + radiationH(emissivity, t, room.TemperatureC)
	}
	// The flux in falls and the flux out rises with the panel's temperature:
	// halve the interval between room and inside.
	lo, hi := room.TemperatureC, insideC
	for range 60 {
		mid := (lo + hi) / 2
		excess := innerWM2K*(insideC-mid) - outer(mid)*(mid-room.TemperatureC)
		if (excess > 0) == (insideC > room.TemperatureC) {
			lo = mid
		} else {
			hi = mid
		}
	}
	panelC = (lo + hi) / 2
	return panelC, innerWM2K * (insideC - panelC), nil
}
