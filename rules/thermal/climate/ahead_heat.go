package climate

import (
	"math"

	"slipfit.example/rules/air"
)

// cool puts a chip's fins behind fans.
func (a *Ahead) cool(c *chip, fan int) {
	if fan < 0 {
		return
	}
	p := &a.plan
	w := way{curve: a.fans[fan].curve, motor: c.motor}
	p.addFins(&w)
	p.ways = append(p.ways, w)
	c.way = len(p.ways) - 1
	a.fans[fan].chip = len(p.chips)
}

// Die is how far the die of an item lies above the room at some places of the
// coefficients, in K, if its air is the room's and every other fan helps its own: it does
// not get any cooler. ok is false where nothing can be said.
func (a *Ahead) Die(item string, at Places) (riseK float64, ok bool) {
	p := &a.plan
	for i := range p.chips {
		c := &p.chips[i]
		if c.item != item || !c.known {
			continue
		}
		load := reach(around(1, 0.05), at[Loads])
		f := reach(c.spread, at[c.sinkOf])
		g := 1 / clamp(c.rest*f, 1e-3, 1e5)
		if flow := a.mostFlow(i, at); flow >= 1e-9 {
			g = max(g, 1/(c.law.ConductionKW*f+c.law.CoefficientKW*f*math.Pow(flow, -c.law.Exponent)))
		}
		return c.powerW * load * (1/g + reach(c.lid, at[Lid])), true
	}
	return 0, false
}

// laminarPaS is the viscosity at 20 degC, which laminar resistances are stated for
// (Sutherland's formula, as in package air).
const laminarPaS = 1.8134e-5

// mostFlow is a bound of the flow through a chip's fins in m3/s: what its fans bring
// with the air around standing, or with all other fans behind them and warm air rising
// wherever it can.
//
// Air comes back to where it was: a round of it through the fins passes every fan at most
// once, loses pressure in every other way, and gains by warmth no more than the hottest
// air gives that is counted with. So the sum of what the other fans raise blocked is more
// than what can stand across the fins.
func (a *Ahead) mostFlow(chip int, at Places) float64 {
	p := &a.plan
	c := &p.chips[chip]
	still := 0.0
	if c.motor >= 0 && p.motors[c.motor].maxRPM > 0 {
		still = c.flow * clamp(p.motors[c.motor].rpm/p.motors[c.motor].maxRPM, 0, 3)
	}
	if c.way < 0 {
		return still
	}
	room := p.Room.DensityKgM3 / air.FanStandardDensityKgM3
	hot := (p.Room.TemperatureC + air.ZeroCelsiusK) / (air.HighestTemperatureC + air.ZeroCelsiusK) // as densities
	behind := float64(a.legs) * air.BuoyancyPa(a.tallM, p.Room.DensityKgM3, hot*p.Room.DensityKgM3)
	own := 0.0
	for i := range a.fans {
		fan := &a.fans[i]
		s := p.speedRatio(fan.motor, &fan.curve, p.motors[fan.motor].rpm, at)
		if fan.chip == chip {
			own = s
			continue
		}
		behind += float64(fan.ways) * room * s * s * fan.curve.air.BlockedPa()
	}
	w := &p.ways[c.way]
	quadratic := 0.0
	for _, l := range w.losses[:w.count] {
		quadratic += reach(l.quadratic, at[l.of])
	}
	// In units of the fan's own density; the fins' laminar part at its least.
	laminar := w.linear * min(1, p.Room.ViscosityPaS/laminarPaS) / room
	spare := func(q float64) float64 {
		gain := -w.curve.air.AtRestPaS2M6() * q * q
		if own >= 1e-3 {
			gain = own * own * pressureAt(w.curve.air, q/own)
		}
		return gain + behind/(room*hot) - q*(laminar+quadratic*q)
	}
	low, high := 0.0, max(w.curve.free, 1e-6)
	for range 40 {
		if spare(high) < 0 {
			break
		}
		low, high = high, 2*high
	}
	for range 30 {
		if middle := (low + high) / 2; spare(middle) >= 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return 1.001 * max(still, high)
}

// pressureAt is a curve's pressure, less than any fan's at flows beyond all reason.
func pressureAt(c *air.Curve, q float64) float64 {
	pa, err := c.PressurePa(q)
	if err != nil {
		return math.Inf(-1)
	}
	return pa
}

// readHeights bounds the rounds that air can take: it passes each zone once.
func (a *Ahead) readHeights() {
	p := &a.plan
	low, high, chambers, cuts := 0.0, 0.0, 0, 0
	if outer, ok := p.outer(); ok {
		high = outer.hi[2]
	}
	for _, c := range p.chassis.GetCompartments() {
		if at, ok := boxOf(c.GetExtent()); ok {
			low, high = min(low, at.lo[2]), max(high, at.hi[2])
			chambers++
		}
	}
	for _, pn := range p.chassis.GetPanels() {
		for _, o := range pn.GetOpenings() {
			if at, ok := boxOf(o.GetExtent()); ok {
				low, high = min(low, at.lo[2]), max(high, at.hi[2])
			}
		}
	}
	for _, it := range p.q.Build.GetItems() {
		if it.GetPart().GetCard() != nil || it.GetPart().GetAirCooler() != nil {
			cuts += 2 // it cuts a chamber, and a card has air in it
		}
	}
	// With the room and the air beneath; up in one zone, down in the next.
	a.legs = (min(2*max(chambers, 1)+cuts, 2*mostCells) + 3) / 2
	a.tallM = (high - low + max(p.feetMM, 1)) / 1000
}
