package air

import "math"

// Exact conversion factors; multiply a figure in the named unit to get SI.
// The foot is 0.3048 m, the pound 0.45359237 kg, both by definition.
const (
	M3SPerCFM       = 0.3048 * 0.3048 * 0.3048 / 60 // cubic feet per minute, 4.71947e-4 m3/s
	M3SPerM3H       = 1.0 / 3600                    // cubic metres per hour
	M3SPerLS        = 1e-3                          // litres per second
	M3SPerLMin      = 1e-3 / 60                     // litres per minute
	PaPerInH2O      = 249.08891                     // inch of water, conventional
	PaPerMmH2O      = GravityMS2                    // millimetre of water, conventional
	KgM3PerLbFt3    = 0.45359237 / (0.3048 * 0.3048 * 0.3048)
	MPerInch        = 0.0254
	WPerHorsepower  = 745.69987158227022 // mechanical, 550 ft lbf/s
	RevSPerRPM      = 1.0 / 60
	KelvinPerFahr   = 1 / 1.8
	fahrenheitShift = 32.0
)

// CelsiusFromFahrenheit converts a temperature, not a difference.
func CelsiusFromFahrenheit(f float64) float64 { return (f - fahrenheitShift) * KelvinPerFahr }

// FahrenheitFromCelsius converts a temperature, not a difference.
func FahrenheitFromCelsius(c float64) float64 { return c/KelvinPerFahr + fahrenheitShift }

// VelocityHeadPa is the dynamic pressure rho v^2/2 of air moving at
// velocityMS, Pa.
func VelocityHeadPa(densityKgM3, velocityMS float64) float64 {
	return densityKgM3 * velocityMS * velocityMS / 2
}

// DiscAreaM2 is the area of a circle of a diameter in metres, m2.
func DiscAreaM2(diameterM float64) float64 { return math.Pi * diameterM * diameterM / 4 }
