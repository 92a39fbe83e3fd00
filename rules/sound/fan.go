package sound

import (
	"fmt"
	"math"

	"slipfit.example/rules/air"
)

// SpeedExponent is the factor of lg(N2/N1) in the speed law, 50 to 60 in
// practice: a tenth more speed is 2 dB, a fifth less is 5 dB (fifth-power law;
// trade literature of fan makers gives the same steps). Fit it with
// FitSpeedExponent when two declared points of one fan exist.
var SpeedExponent = air.Range{Low: 50, Nominal: 50, High: 60}

// SpeedChange is the change of a fan's level in dB when its speed changes by a
// ratio (0.05 to 5): exponent x lg(ratio), with an exponent of 30 to 80.
func SpeedChange(speedRatio, exponent float64) (float64, error) {
	if err := air.CheckRange("speed ratio of the fan", speedRatio, 0.05, 5, ""); err != nil {
		return 0, err
	}
	if err := air.CheckRange("exponent of the speed law", exponent, 30, 80, ""); err != nil {
		return 0, err
	}
	return exponent * math.Log10(speedRatio), nil
}

// FitSpeedExponent is the exponent that two levels in dB at two speeds (same
// unit) of one fan stand for. It refuses speeds that differ by less than a
// tenth and exponents outside 30 to 80: such readings are no fan law but noise
// floor, bearing or motor.
func FitSpeedExponent(speedA, levelA, speedB, levelB float64) (float64, error) {
	for _, v := range [2]float64{speedA, speedB} {
		if err := air.CheckRange("speed of the fan", v, 1, 1e5, "1/min"); err != nil {
			return 0, err
		}
	}
	if err := checkNone([]float64{levelA, levelB}); err != nil {
		return 0, err
	}
	lg := math.Log10(speedB / speedA)
	if math.Abs(lg) < math.Log10(1.1) {
		return 0, fmt.Errorf("speeds of %g and %g differ by less than a tenth; give readings further apart", speedA, speedB)
	}
	n := (levelB - levelA) / lg
	if err := air.CheckRange("exponent of the speed law", n, 30, 80, ""); err != nil {
		return 0, fmt.Errorf("%.1f dB at speed %g and %.1f dB at %g do not follow a fan's speed law: %w", levelA, speedA, levelB, speedB, err)
	}
	return n, nil
}

// SizeChange is 70 lg(D2/D1) dB for similar fans at one speed (fan
// engineering handbooks; from memory).
func SizeChange(diameterRatio float64) (float64, error) {
	if err := air.CheckRange("ratio of fan diameters", diameterRatio, 0.1, 10, ""); err != nil {
		return 0, err
	}
	return 70 * math.Log10(diameterRatio), nil
}

// DensityChange is 20 lg(rho2/rho1) dB for a fan in other air (fan engineering
// handbooks; from memory).
func DensityChange(densityRatio float64) (float64, error) {
	if err := air.CheckRange("ratio of air densities", densityRatio, 0.1, 10, ""); err != nil {
		return 0, err
	}
	return 20 * math.Log10(densityRatio), nil
}

// DuctFanPower is the sound power level 40 + 10 lg Q + 20 lg p of a ventilation
// fan of flow Q in m3/s against a pressure in Pa. It was made for large fans
// in ducts: for the fans of a computer use it for differences only.
func DuctFanPower(flowM3S, pressurePa float64) (float64, error) {
	if err := air.CheckRange("flow of the fan", flowM3S, 1e-4, 1e3, "m3/s"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("pressure of the fan", pressurePa, 0.1, 1e5, "Pa"); err != nil {
		return 0, err
	}
	return 40 + 10*math.Log10(flowM3S) + 20*math.Log10(pressurePa), nil
}

// BladePassHz is the tone of the blades, speed in 1/min times number of blades
// over 60; harmonics are its multiples.
func BladePassHz(rpm float64, blades int) (float64, error) {
	if err := air.CheckRange("speed of the fan", rpm, 1, 1e5, "1/min"); err != nil {
		return 0, err
	}
	if err := air.CheckRange("number of blades", float64(blades), 1, 200, ""); err != nil {
		return 0, err
	}
	return rpm * float64(blades) / 60, nil
}

// MotorToneHz is the cogging tone of a motor, speed in 1/min over 60 times the
// least common multiple of its slots and poles.
func MotorToneHz(rpm float64, slots, poles int) (float64, error) {
	if err := air.CheckRange("speed of the fan", rpm, 1, 1e5, "1/min"); err != nil {
		return 0, err
	}
	for _, n := range [2]int{slots, poles} {
		if err := air.CheckRange("number of slots or poles", float64(n), 1, 100, ""); err != nil {
			return 0, err
		}
	}
	a, b := slots, poles
	for b != 0 {
		a, b = b, a%b
	}
	return rpm / 60 * float64(slots/a*poles), nil
}

// grilleGap is the penalty of something in a fan's breath by the gap to the
// blades as a share of the fan's diameter: low, nominal, high in dB.
var grilleGap = [...]struct {
	share   float64
	penalty air.Range
}{
	{0, air.Range{Low: 3, Nominal: 6, High: 10}},
	{0.05, air.Range{Low: 2, Nominal: 4, High: 7}},
	{0.10, air.Range{Low: 1, Nominal: 2, High: 4}},
	{0.25, air.Range{Low: 0, Nominal: 0.5, High: 2}},
	{0.50, air.Range{Low: 0, Nominal: 0, High: 0}},
}

// TightGrillePenalty is the range in dB by which a fan is louder with a punched
// grille, filter frame or cable at a gap in m before its intake, for a fan
// diameter in m. On the outlet side take half. Common practice, no source: the
// turbulence that the blades cut depends on the shape in front of them, so
// that only a measurement narrows the range.
func TightGrillePenalty(gapM, diameterM float64) (air.Range, error) {
	if err := air.CheckRange("gap before the fan", gapM, 0, 10, "m"); err != nil {
		return air.Range{}, err
	}
	if err := air.CheckRange("diameter of the fan", diameterM, 0.01, 1, "m"); err != nil {
		return air.Range{}, err
	}
	share := gapM / diameterM
	for i := 1; i < len(grilleGap); i++ {
		a, b := grilleGap[i-1], grilleGap[i]
		if share <= b.share {
			w := (share - a.share) / (b.share - a.share)
			mix := func(x, y float64) float64 { return (1-w)*x + w*y }
			return air.Range{Low: mix(a.penalty.Low, b.penalty.Low), Nominal: mix(a.penalty.Nominal, b.penalty.Nominal),
				High: mix(a.penalty.High, b.penalty.High)}, nil
		}
	}
	return air.Range{}, nil
}
