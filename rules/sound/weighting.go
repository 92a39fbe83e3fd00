package sound

import (
	"fmt"
	"math"

	"slipfit.example/rules/air"
)

// Band is a one-third-octave or octave band and its value: a level, or the
// A-weighting in the table.
type Band struct {
	NominalHz float64
	DB        float64
}

// aTable is IEC 61672-1:2013, table 3, from 10 Hz to 20 kHz.
var aTable = [...]Band{
	{10, -70.4}, {12.5, -63.4}, {16, -56.7}, {20, -50.5}, {25, -44.7}, {31.5, -39.4}, {40, -34.6}, {50, -30.2},
	{63, -26.2}, {80, -22.5}, {100, -19.1}, {125, -16.1}, {160, -13.4}, {200, -10.9}, {250, -8.6}, {315, -6.6},
	{400, -4.8}, {500, -3.2}, {630, -1.9}, {800, -0.8}, {1000, 0}, {1250, 0.6}, {1600, 1.0}, {2000, 1.2},
	{2500, 1.3}, {3150, 1.2}, {4000, 1.0}, {5000, 0.5}, {6300, -0.1}, {8000, -1.1}, {10000, -2.5},
	{12500, -4.3}, {16000, -6.6}, {20000, -9.3},
}

// ABands returns a copy of the table of IEC 61672-1:2013.
func ABands() []Band { return append([]Band(nil), aTable[:]...) }

// ExactHz is the exact frequency of band i of ABands, 1000 x 10^((i-20)/10);
// the printed names are rounded.
func ExactHz(i int) float64 { return 1000 * math.Pow(10, float64(i-20)/10) }

// AWeighting is the A-weighting in dB at a frequency of 1 Hz to 100 kHz, by
// the formula of IEC 61672-1 with its constant of 2.00 dB.
func AWeighting(hz float64) (float64, error) {
	if err := air.CheckRange("frequency", hz, 1, 1e5, "Hz"); err != nil {
		return 0, err
	}
	f := hz * hz
	const f1, f2, f3, f4 = 20.598997, 107.65265, 737.86223, 12194.217
	r := f4 * f4 * f * f / ((f + f1*f1) * (f + f4*f4) * math.Sqrt((f+f2*f2)*(f+f3*f3)))
	return 20*math.Log10(r) + 2.00, nil
}

// ABand is the tabled A-weighting in dB of a nominal one-third-octave or octave
// band.
func ABand(nominalHz float64) (float64, error) {
	for _, b := range aTable {
		if b.NominalHz == nominalHz {
			return b.DB, nil
		}
	}
	return 0, fmt.Errorf("%g Hz is not the nominal frequency of a band; use one of the series 10, 12.5, 16 to 20000 Hz", nominalHz)
}

// ASum is the A-weighted level in dB of the unweighted levels of bands.
func ASum(bands ...Band) (float64, error) {
	levels := make([]float64, 0, len(bands))
	for _, b := range bands {
		a, err := ABand(b.NominalHz)
		if err != nil {
			return 0, err
		}
		if err := checkLevel("level of a band", b.DB); err != nil {
			return 0, err
		}
		levels = append(levels, b.DB+a)
	}
	return Sum(levels...)
}
