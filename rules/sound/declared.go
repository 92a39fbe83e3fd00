package sound

import (
	"math"

	"slipfit.example/rules/air"
)

// Declared is a noise declaration: a measured or mean level and what is added
// to cover the spread of a batch.
type Declared struct {
	LevelDB float64 // measured value, or mean of a batch
	AdderDB float64 // uncertainty K, or statistical adder K_v
}

// DefaultAdderDB is K_v when a batch's own figures lack (ISO 9296:2017; from
// memory).
const DefaultAdderDB = 3.0

func (d Declared) check() error {
	if err := checkLevel("declared level", d.LevelDB); err != nil {
		return err
	}
	return air.CheckRange("adder of the declared level", d.AdderDB, 0, 20, "dB")
}

// SingleNumber is the single-number declaration of ISO 4871:1996: sum of level
// and adder, rounded once to whole decibels, halves upwards. Summing first
// matters: 91.4 + 2.4 is 94, not 91 + 2.
func (d Declared) SingleNumber() (float64, error) {
	if err := d.check(); err != nil {
		return 0, err
	}
	// A sum such as 92.3 + 2.2 lies a rounding error below the half.
	return math.Floor(d.LevelDB + d.AdderDB + 0.5 + 1e-9), nil
}

// Holds tells whether one machine's measured level verifies a single-number
// declaration: it does up to and including the declared value (ISO 4871:1996).
func (d Declared) Holds(measuredDB float64) (bool, error) {
	if err := checkLevel("measured level", measuredDB); err != nil {
		return false, err
	}
	limit, err := d.SingleNumber()
	return err == nil && measuredDB <= limit, err
}

// FromBels converts a declaration of the older form, a statistical maximum in
// bels (ECMA-109:1996), to decibels.
func FromBels(bels float64) (float64, error) {
	if err := air.CheckRange("declared level", bels, 0, 20, "B"); err != nil {
		return 0, err
	}
	return 10 * bels, nil
}

// ExpandedUncertaintyDB is k sqrt(sR0^2 + sOMC^2) for the standard deviations
// of reproducibility and of operating and mounting (ISO 3745, ISO 11200).
func ExpandedUncertaintyDB(k, reproducibilityDB, mountingDB float64) (float64, error) {
	if err := air.CheckRange("coverage factor", k, 0.5, 5, ""); err != nil {
		return 0, err
	}
	for _, v := range [2]float64{reproducibilityDB, mountingDB} {
		if err := air.CheckRange("standard deviation of a level", v, 0, 20, "dB"); err != nil {
			return 0, err
		}
	}
	return k * math.Hypot(reproducibilityDB, mountingDB), nil
}
