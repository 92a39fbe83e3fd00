package air

import "math"

// Range of altitudes of PressureAtAltitude and StandardAtmosphere, metres
// above sea level: from below the deepest dry shore to the tropopause.
const (
	LowestAltitudeM  = -500.0
	HighestAltitudeM = 11000.0
)

// Constants of the troposphere, U.S. Standard Atmosphere 1976 (the same values
// as ISO 2533).
const (
	earthRadiusM      = 6356766.0
	seaLevelK         = 288.15
	lapseKM           = 0.0065
	pressureExponent  = GravityMS2 / (GasConstantJKgK * lapseKM) // 5.25588
	standardSeaLevelP = StandardPressurePa
)

// StandardAtmosphere returns the free standard atmosphere at a geometric
// altitude of -500 to 11000 m, or a *RangeError. For a room use Room, which
// keeps the pressure and takes the room's own temperature.
func StandardAtmosphere(altitudeM float64) (State, error) {
	if err := CheckRange("altitude", altitudeM, LowestAltitudeM, HighestAltitudeM, "m"); err != nil {
		return State{}, err
	}
	p, t := troposphere(altitudeM)
	return At(p, t-ZeroCelsiusK)
}

// PressureAtAltitude returns the standard pressure in Pa at a geometric
// altitude of -500 to 11000 m, or a *RangeError.
func PressureAtAltitude(altitudeM float64) (float64, error) {
	if err := CheckRange("altitude", altitudeM, LowestAltitudeM, HighestAltitudeM, "m"); err != nil {
		return 0, err
	}
	p, _ := troposphere(altitudeM)
	return p, nil
}

// troposphere returns pressure in Pa and temperature in K at a geometric
// altitude that has been checked. The geopotential altitude accounts for the
// fall of gravity with height, 0.8 m at 2300 m.
func troposphere(altitudeM float64) (pressurePa, kelvin float64) {
	h := earthRadiusM * altitudeM / (earthRadiusM + altitudeM)
	kelvin = seaLevelK - lapseKM*h
	return standardSeaLevelP * math.Pow(kelvin/seaLevelK, pressureExponent), kelvin
}
