package power

import (
	"math"
	"sync"

	"slipfit.example/rules/electric"
)

// stillAir is what a wire inside an enclosure gives its heat to. The wall of the
// insulation is common practice without source, its emissivity a handbook's value
// for plastics from memory.
var stillAir = electric.Surroundings{WallMM: 0.4, Emissivity: 0.9, BundleShare: 1}

// bundleShare is the share of its free-air current that each of so many
// current-carrying wires in one bundle may carry for the same rise: NFPA 70, table
// 310.15(C)(1), from memory.
func bundleShare(wires int) float64 {
	switch {
	case wires <= 3:
		return 1
	case wires <= 6:
		return 0.8
	case wires <= 9:
		return 0.7
	case wires <= 20:
		return 0.5
	case wires <= 30:
		return 0.45
	}
	return 0.4
}

// Spans of the table of wire temperatures: air from coldest to hottest in steps,
// and currents from zero to one that warms the wire by 250 K.
const (
	coldestAirC, hottestAirC = -40, 140
	airSteps                 = 9
	ampSteps                 = 40
	mostRiseK                = 150
)

// heating is the temperature of the copper of one gauge's wire, alone in still
// air, at points of a grid: working it out takes far longer than a whole check.
type heating struct {
	once sync.Once
	most float64 // in A, the greatest of the grid
	rise [airSteps + 1][ampSteps + 1]float64
}

// heatings are the tables by gauge, each made when it is first wanted.
var heatings [41]heating

// fill works the grid out by the laws of free convection and radiation.
func (h *heating) fill(gauge int) {
	wire := electric.Wire{Gauge: electric.Gauge(gauge)}
	at := func(air, amps float64) (rise float64, ok bool) {
		around := stillAir
		around.AirC = electric.Exactly(air)
		t, err := around.WireTemperature(copper, wire, electric.Exactly(amps))
		return t.Nominal - air, err == nil
	}
	for low, high := 0.0, 4096.0; high-low > 1e-3*high; {
		mid := (low + high) / 2
		if rise, ok := at(hottestAirC, mid); ok && rise <= mostRiseK {
			low, h.most = mid, mid
		} else {
			high = mid
		}
	}
	for i := range h.rise {
		air := coldestAirC + float64(i)*(hottestAirC-coldestAirC)/airSteps
		for k := range h.rise[i] {
			h.rise[i][k], _ = at(air, h.most*float64(k)/ampSteps)
		}
	}
}

// wireC is the temperature of a wire's copper in degrees Celsius: amps is its
// current over its bundle's share. Beyond the table, where no insulation survives,
// it grows with the square of the current.
func wireC(gauge int, airC, amps float64) float64 {
	h := &heatings[gauge]
	h.once.Do(func() { h.fill(gauge) })
	if amps > h.most {
		k := amps / h.most
		return min(airC+h.between(airC, h.most)*k*k, hottestNamedC)
	}
	return airC + h.between(airC, amps)
}

// hottestNamedC is as far as temperatures are told apart: copper melts.
const hottestNamedC = 1085

// between reads the grid, straight between its points.
func (h *heating) between(airC, amps float64) float64 {
	x := (airC - coldestAirC) / (hottestAirC - coldestAirC) * airSteps
	i := int(min(max(math.Floor(x), 0), airSteps-1))
	y := amps / h.most * ampSteps
	k := int(min(max(math.Floor(y), 0), ampSteps-1))
	s, t := min(max(x-float64(i), 0), 1), min(max(y-float64(k), 0), 1)
	return (1-s)*((1-t)*h.rise[i][k]+t*h.rise[i][k+1]) + s*((1-t)*h.rise[i+1][k]+t*h.rise[i+1][k+1])
}
