package sound

import (
	"fmt"
	"math"

	"slipfit.example/rules/air"
)

// Range of levels that are taken for sound: from far below hearing to beyond
// any fan.
const (
	lowestDB  = -50.0
	highestDB = 200.0
)

func checkLevel(what string, db float64) error {
	return air.CheckRange(what, db, lowestDB, highestDB, "dB")
}

// power and level convert between decibels and multiples of the reference.
func power(db float64) float64    { return math.Pow(10, db/10) }
func level(power float64) float64 { return 10 * math.Log10(power) }
func checkNone(levels []float64) error {
	if len(levels) == 0 {
		return fmt.Errorf("there is no level to add; give one or more")
	}
	for _, l := range levels {
		if err := checkLevel("level of a source", l); err != nil {
			return err
		}
	}
	return nil
}

// Sum is the level of sources that know nothing of each other: 10 lg of the
// sum of 10^(L/10).
func Sum(levels ...float64) (float64, error) {
	if err := checkNone(levels); err != nil {
		return 0, err
	}
	sum := 0.0
	for _, l := range levels {
		sum += power(l)
	}
	return level(sum), nil
}

// SumEqual is the level of n sources of the same level: L + 10 lg n.
func SumEqual(levelDB float64, n int) (float64, error) {
	if err := checkLevel("level of a source", levelDB); err != nil {
		return 0, err
	}
	if n < 1 {
		return 0, fmt.Errorf("%d sources have no level; give one or more", n)
	}
	return levelDB + level(float64(n)), nil
}

// Mean is the energy mean of levels at several positions: 10 lg of the mean of
// 10^(L/10).
func Mean(levels ...float64) (float64, error) {
	sum, err := Sum(levels...)
	if err != nil {
		return 0, err
	}
	return sum - level(float64(len(levels))), nil
}

// InStep is the greatest level that two tones of one frequency can reach: with
// equal phase their pressures add, 6 dB for equal levels.
func InStep(a, b float64) (float64, error) {
	if err := checkNone([]float64{a, b}); err != nil {
		return 0, err
	}
	return 20 * math.Log10(math.Pow(10, a/20)+math.Pow(10, b/20)), nil
}

// Difference is the level of what is missing from a total: 10 lg(10^(Lt/10) -
// 10^(Lb/10)). The total must exceed the part by 0.05 dB at least; below that,
// rounding of the readings decides the result.
func Difference(totalDB, partDB float64) (float64, error) {
	if err := checkNone([]float64{totalDB, partDB}); err != nil {
		return 0, err
	}
	if totalDB-partDB < 0.05 {
		return 0, fmt.Errorf("a total of %.1f dB with a part of %.1f dB leaves nothing that could be told; measure in a quieter room or closer",
			totalDB, partDB)
	}
	return level(power(totalDB) - power(partDB)), nil
}

// Loudness is the loudness in sone of a loudness level in phon of 40 to 120:
// 2^((L-40)/10) (ISO 532 relation; doubling for 10 phon).
func Loudness(phon float64) (float64, error) {
	if err := air.CheckRange("loudness level", phon, 40, 120, "phon"); err != nil {
		return 0, err
	}
	return math.Exp2((phon - 40) / 10), nil
}

// LoudnessLevel is the loudness level in phon of a loudness of 1 to 256 sone.
func LoudnessLevel(sone float64) (float64, error) {
	if err := air.CheckRange("loudness", sone, 1, 256, "sone"); err != nil {
		return 0, err
	}
	return 40 + 10*math.Log2(sone), nil
}
