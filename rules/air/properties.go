package air

import (
	"fmt"
	"math"
)

// Constants of dry air, U.S. Standard Atmosphere 1976.
const (
	// MolarMassKgKmol is the molar mass of dry air in kg/kmol.
	MolarMassKgKmol = 28.9644
	// UniversalGasJKmolK is the gas constant that the standard uses, J/(kmol K).
	UniversalGasJKmolK = 8314.32
	// GasConstantJKgK is the gas constant of dry air, about 287.053 J/(kg K).
	GasConstantJKgK = UniversalGasJKmolK / MolarMassKgKmol
	// ZeroCelsiusK is 0 degC on the absolute scale.
	ZeroCelsiusK = 273.15
	// GravityMS2 is the standard acceleration of free fall, m/s2.
	GravityMS2 = 9.80665
	// StandardPressurePa is the pressure at sea level, Pa.
	StandardPressurePa = 101325.0
	// FanStandardDensityKgM3 is the density that published fan curves are
	// referred to unless they say otherwise: 1.2 kg/m3, 0.075 lb/ft3, dry air
	// near 20 degC at sea level (ISO 5801, AMCA 210).
	FanStandardDensityKgM3 = 1.2
)

// Range in which the fits of this file hold: 200 to 400 K, and the pressures
// from the tropopause to a little above the deepest dry valley.
const (
	LowestTemperatureC  = 200 - ZeroCelsiusK
	HighestTemperatureC = 400 - ZeroCelsiusK
	LowestPressurePa    = 20000.0
	HighestPressurePa   = 120000.0
)

// State is dry air at one pressure and temperature.
type State struct {
	PressurePa      float64 // absolute pressure, Pa
	TemperatureC    float64 // degC
	DensityKgM3     float64 // kg/m3, ideal gas
	CpJKgK          float64 // specific heat at constant pressure, J/(kg K)
	ViscosityPaS    float64 // dynamic viscosity, Pa s
	ConductivityWMK float64 // thermal conductivity, W/(m K)
}

// At returns dry air at an absolute pressure of 20 to 120 kPa and a
// temperature of -73.15 to 126.85 degC, or a *RangeError.
//
// Density is the ideal gas law. Viscosity is Sutherland's formula of the U.S.
// Standard Atmosphere 1976. Specific heat and conductivity are handbook fits
// for 200 to 400 K that agree with the usual tables within 0.3 and 2.5 percent.
func At(pressurePa, temperatureC float64) (State, error) {
	if err := CheckRange("air pressure", pressurePa, LowestPressurePa, HighestPressurePa, "Pa"); err != nil {
		return State{}, err
	}
	if err := CheckRange("air temperature", temperatureC, LowestTemperatureC, HighestTemperatureC, "degC"); err != nil {
		return State{}, err
	}
	t := temperatureC + ZeroCelsiusK
	return State{
		PressurePa:      pressurePa,
		TemperatureC:    temperatureC,
		DensityKgM3:     density(pressurePa, t),
		CpJKgK:          1030.5 - 0.19975*t + 3.9734e-4*t*t,
		ViscosityPaS:    1.458e-6 * t * math.Sqrt(t) / (t + 110.4),
		ConductivityWMK: 2.3340e-3 * t * math.Sqrt(t) / (164.54 + t),
	}, nil
}

// density is the ideal gas law for an absolute temperature; both arguments
// have been checked.
func density(pressurePa, kelvin float64) float64 {
	return pressurePa / (GasConstantJKgK * kelvin)
}

// Room returns the air of a room at an altitude above sea level (-500 to
// 11000 m) with the room's own temperature. The standard atmosphere sets the
// pressure only: a heated room at 1500 m holds air of 1.005 kg/m3, not the
// 1.058 kg/m3 of the free atmosphere there.
func Room(altitudeM, roomC float64) (State, error) {
	p, err := PressureAtAltitude(altitudeM)
	if err != nil {
		return State{}, fmt.Errorf("the room's altitude gives no pressure: %w", err)
	}
	return At(p, roomC)
}

// WithTemperature returns the same air at another temperature and the same
// pressure, or a *RangeError.
func (s State) WithTemperature(temperatureC float64) (State, error) {
	return At(s.PressurePa, temperatureC)
}

// KinematicViscosityM2S is viscosity over density, m2/s.
func (s State) KinematicViscosityM2S() float64 { return s.ViscosityPaS / s.DensityKgM3 }

// Prandtl is the Prandtl number, about 0.71.
func (s State) Prandtl() float64 { return s.CpJKgK * s.ViscosityPaS / s.ConductivityWMK }

// DiffusivityM2S is the thermal diffusivity, m2/s.
func (s State) DiffusivityM2S() float64 {
	return s.ConductivityWMK / (s.DensityKgM3 * s.CpJKgK)
}

// ExpansionPerK is the volume expansion coefficient of an ideal gas, 1/K.
func (s State) ExpansionPerK() float64 { return 1 / (s.TemperatureC + ZeroCelsiusK) }

// SoundSpeedMS is the speed of sound, sqrt(1.4 R T), m/s.
func (s State) SoundSpeedMS() float64 {
	return math.Sqrt(1.4 * GasConstantJKgK * (s.TemperatureC + ZeroCelsiusK))
}

// HeatRateWK is the heat that a flow carries per kelvin, rho cp Q, in W/K.
// The flow is in m3/s at this state; its sign is kept.
func (s State) HeatRateWK(flowM3S float64) float64 {
	return s.DensityKgM3 * s.CpJKgK * flowM3S
}

// RiseK is the temperature rise of a flow that takes up a power:
// P/(rho cp Q), in kelvins. The power is in W and may be negative; the flow in
// m3/s must be above zero, otherwise a *RangeError.
func (s State) RiseK(powerW, flowM3S float64) (float64, error) {
	if err := CheckRange("heat into the air", powerW, -1e9, 1e9, "W"); err != nil {
		return 0, err
	}
	if err := CheckRange("air flow", flowM3S, leastFlowM3S, 1e6, "m3/s"); err != nil {
		return 0, fmt.Errorf("air that does not move has no steady temperature rise: %w", err)
	}
	return powerW / s.HeatRateWK(flowM3S), nil
}

// leastFlowM3S is one cubic millimetre a second: below it a "flow" is
// rounding, and dividing by it would yield figures that mean nothing.
const leastFlowM3S = 1e-9

// FlowForRiseM3S is the flow in m3/s, measured at this state, that carries a
// power off at a given rise: P/(rho cp dT). Power in W at least zero, rise in
// kelvins at least 0.001.
func (s State) FlowForRiseM3S(powerW, riseK float64) (float64, error) {
	if err := CheckRange("heat into the air", powerW, 0, 1e9, "W"); err != nil {
		return 0, err
	}
	if err := CheckRange("temperature rise", riseK, 1e-3, 1e4, "K"); err != nil {
		return 0, err
	}
	return powerW / (s.DensityKgM3 * s.CpJKgK * riseK), nil
}

// MassFlowForRiseKgS is the mass flow in kg/s that carries a power off at a
// given rise, P/(cp dT). Arguments as for FlowForRiseM3S.
func (s State) MassFlowForRiseKgS(powerW, riseK float64) (float64, error) {
	q, err := s.FlowForRiseM3S(powerW, riseK)
	return q * s.DensityKgM3, err
}

// MoistDensityKgM3 is the density of humid air: ideal gas with humidityRatio
// kilograms of vapour in each kilogram of dry air (0 to 0.1), as in the ASHRAE
// Handbook of Fundamentals, chapter on psychrometrics. At 25 degC and half
// saturation it lies 0.6 percent below dry air, which is why the network works
// with dry air.
func (s State) MoistDensityKgM3(humidityRatio float64) (float64, error) {
	if err := CheckRange("humidity ratio", humidityRatio, 0, 0.1, "kg/kg"); err != nil {
		return 0, err
	}
	const vapourVolumeRatio = 1.607858 // molar mass of dry air over that of water
	return s.DensityKgM3 * (1 + humidityRatio) / (1 + vapourVolumeRatio*humidityRatio), nil
}

// BuoyancyPa is the pressure difference that a column of height heightM
// (metres, upwards positive) of air of density insideKgM3 feels from outside
// air of density outsideKgM3: g h (rho_out - rho_in). Warm air inside gives a
// positive, upward draught.
func BuoyancyPa(heightM, outsideKgM3, insideKgM3 float64) float64 {
	return GravityMS2 * heightM * (outsideKgM3 - insideKgM3)
}

// MixC is the temperature in degC of streams that meet, weighted by their heat
// rates in W/K (rho cp Q). Rates below zero count as leaving and are skipped.
// It returns a *RangeError when nothing arrives or a value is not finite.
func MixC(heatRatesWK, temperaturesC []float64) (float64, error) {
	if len(heatRatesWK) != len(temperaturesC) {
		return 0, fmt.Errorf("there are %d streams but %d temperatures; give one temperature for each stream",
			len(heatRatesWK), len(temperaturesC))
	}
	rate, sum := 0.0, 0.0
	for i, c := range heatRatesWK {
		if err := CheckRange("temperature of a stream", temperaturesC[i], -ZeroCelsiusK, 1e4, "degC"); err != nil {
			return 0, err
		}
		if err := CheckRange("heat rate of a stream", c, -1e12, 1e12, "W/K"); err != nil {
			return 0, err
		}
		if c > 0 {
			rate += c
			sum += c * temperaturesC[i]
		}
	}
	if err := CheckPositive("heat rate of all arriving streams", rate, "W/K"); err != nil {
		return 0, err
	}
	return sum / rate, nil
}
