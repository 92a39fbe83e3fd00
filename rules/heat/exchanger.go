package heat

import (
	"fmt"
	"math"

	"slipfit.example/rules/air"
)

// Arrangement is how the two streams of a heat exchanger pass each other.
type Arrangement int

// The arrangements whose effectiveness is known here. Radiators of liquid
// loops are CrossUnmixed; the exact series is for checks, the others for
// single rows of tubes.
const (
	CrossUnmixed      Arrangement = iota // cross-flow, both streams unmixed, the usual approximation (about 1 % high)
	CrossUnmixedExact                    // the same, exact series (Mason)
	CrossMixed                           // cross-flow, both streams mixed
	CrossMinMixed                        // cross-flow, the stream of smaller heat rate mixed
	CrossMaxMixed                        // cross-flow, the stream of greater heat rate mixed
	Counterflow                          // in opposite directions
)

// mostNTU bounds the transfer units: beyond, every arrangement has long
// reached its end value.
const mostNTU = 100

// Effectiveness is the share of the greatest possible heat that an exchanger
// of ntu transfer units (UA over the smaller heat rate, 0 to 100) hands over,
// with ratio the smaller heat rate over the greater (0 to 1). A ratio of zero,
// one stream that does not change its temperature, gives 1 - exp(-ntu) in all
// arrangements. Formulas as in heat transfer textbooks (Incropera and DeWitt).
func Effectiveness(a Arrangement, ntu, ratio float64) (float64, error) {
	if err := air.CheckRange("number of transfer units", ntu, 0, mostNTU, ""); err != nil {
		return 0, err
	}
	if err := air.CheckRange("ratio of the heat rates", ratio, 0, 1, ""); err != nil {
		return 0, err
	}
	if a < CrossUnmixed || a > Counterflow {
		return 0, fmt.Errorf("heat exchanger of unknown arrangement %d; choose cross-flow or counterflow", int(a))
	}
	return min(effectiveness(a, ntu, ratio), 1), nil
}

// effectiveness is the formula for checked values.
func effectiveness(a Arrangement, n, c float64) float64 {
	switch {
	case n < 1e-9:
		return n // all arrangements begin with one kelvin for one kelvin
	case c < 1e-9:
		return -math.Expm1(-n)
	}
	switch a {
	case CrossUnmixedExact:
		return masonSeries(n, c)
	case CrossMixed:
		return 1 / (1/-math.Expm1(-n) + c/-math.Expm1(-c*n) - 1/n)
	case CrossMinMixed:
		return -math.Expm1(math.Expm1(-c*n) / c)
	case CrossMaxMixed:
		return -math.Expm1(c*math.Expm1(-n)) / c
	case Counterflow:
		if 1-c < 1e-9 {
			return n / (1 + n)
		}
		e := math.Exp(-n * (1 - c))
		return (1 - e) / (1 - c*e)
	}
	return -math.Expm1(math.Pow(n, 0.22) / c * math.Expm1(-c*math.Pow(n, 0.78)))
}

// masonSeries is the exact effectiveness of cross-flow with both streams
// unmixed: the sum over n of the chances that two Poisson counts of means N
// and CN both exceed n, over CN.
func masonSeries(n, c float64) float64 {
	chanceA, chanceB := math.Exp(-n), math.Exp(-c*n)
	tailA, tailB := 1-chanceA, 1-chanceB
	sum := 0.0
	for k := 1.0; k < 1000; k++ {
		sum += tailA * tailB
		if tailA*tailB < 1e-16 {
			break
		}
		chanceA *= n / k
		chanceB *= c * n / k
		tailA, tailB = max(0, tailA-chanceA), max(0, tailB-chanceB)
	}
	return sum / (c * n)
}

// TransferUnits is the smallest number of transfer units with which an
// arrangement reaches an effectiveness (0 to below 1) at a ratio of heat rates
// (0 to 1). It returns an error when no size reaches it.
func TransferUnits(a Arrangement, effect, ratio float64) (float64, error) {
	if err := air.CheckRange("effectiveness", effect, 0, 1, ""); err != nil {
		return 0, err
	}
	if _, err := Effectiveness(a, 1, ratio); err != nil {
		return 0, err
	}
	lo, hi := 0.0, 1e-3
	for effectiveness(a, hi, ratio) < effect {
		lo, hi = hi, hi*1.05
		if hi > mostNTU {
			return 0, fmt.Errorf("no exchanger of this arrangement reaches an effectiveness of %g at a ratio of %g; "+
				"ask for less or change the flows", effect, ratio)
		}
	}
	for range 80 {
		if mid := (lo + hi) / 2; effectiveness(a, mid, ratio) < effect {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2, nil
}

// exchange is the conductance in W/K between the two inlet temperatures of an
// exchanger: effectiveness times the smaller heat rate.
func exchange(a Arrangement, uaWK, rateOne, rateTwo float64) float64 {
	small, great := min(rateOne, rateTwo), max(rateOne, rateTwo)
	if small <= 1e-12 || uaWK <= 0 {
		return 0
	}
	return small * effectiveness(a, min(uaWK/small, mostNTU), small/great)
}
