package climate

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
	"slipfit.example/rules/heat"
)

// loop is a liquid loop on a chip.
type loop struct {
	way     int
	pumpM3S float64
	plate   air.Range // K/W from the sink's base to the liquid
	ua      float64   // W/K at uaFlow
	uaFlow  float64
	mass    float64
}

// usualPumpLMin stands in for a pump's flow that nobody published.
const usualPumpLMin = 1.0

// readLoop sets a closed loop: radiator and fans in a panel, plate on the chip.
func (p *Plan) readLoop(c *chip, it *v1.Item, l *v1.LiquidLoop) {
	fan, count := fanOf(l.Fans)
	r := l.GetRadiator()
	c.capacity += 0.4 * 150
	p.addPump(it, l)
	seat := &v1.Seat{}
	for _, s := range p.q.Arrangement.GetSeats() {
		if s.GetItem() == it.GetId() {
			seat = s
		}
	}
	if seat.Mount == nil {
		for _, pl := range p.q.Build.GetArrangement().GetPlacements() {
			if pl.GetItem() == it.GetId() {
				seat = &v1.Seat{Mount: pl.Mount, Flow: pl.Flow}
			}
		}
	}
	if fan == nil {
		p.gap(it.GetId(), "liquid_loop.fans")
		return
	}
	c.motor = p.addMotor(it.GetId(), loopFan, fan, count)
	c.way = p.blowThrough(seat, it.GetId(), fan, c.motor, count, r)
	if c.way < 0 {
		return
	}
	free := p.ways[c.way].curve.free
	c.law, c.known = p.lawOf(c, it.GetPart(), l.Resistances, l.RatedHeatW, l.RatedRiseK, free, p.speedOf(c.motor))
	if !c.known {
		p.gap(it.GetId(), "liquid_loop.resistances")
		return
	}
	p.readStations(c, it, l, delivered*free)
}

// addPump notes the loop's pump as a source of sound.
func (p *Plan) addPump(it *v1.Item, l *v1.LiquidLoop) {
	if l.PumpNoiseDba != nil {
		p.motors = append(p.motors, motor{item: it.GetId(), kind: pump, whole: true, count: 1,
			points: []*v1.NoisePoint{{LevelDba: l.PumpNoiseDba}}})
	}
}

// readStations splits the loop's published resistance into plate and radiator,
// where the radiator's conductance is known: what is not the radiator's is the
// plate's.
func (p *Plan) readStations(c *chip, it *v1.Item, l *v1.LiquidLoop, flow float64) {
	r := l.GetRadiator()
	if r.GetConductanceWPerK() <= 0 || r.GetConductanceFlowM3H() <= 0 || flow <= 0 {
		return
	}
	pump := l.GetPumpFlowLpm()
	if pump <= 0 {
		pump = usualPumpLMin
		p.estimate("flow of the pump")
	}
	pumped := pump * air.M3SPerLMin
	waterRate := pumped * heat.Water.DensityKgM3 * heat.Water.CpJKgK
	at := r.GetConductanceFlowM3H() * air.M3SPerM3H
	airRate := p.Room.HeatRateWK(at)
	least, most := min(airRate, waterRate), max(airRate, waterRate)
	effect := clamp(r.GetConductanceWPerK()/least, 0.02, 0.95)
	ua := clamp(unitsFor(effect, least/most)*least, 0.01, 1e5)
	here := p.Room.HeatRateWK(flow)
	least, most = min(here, waterRate), max(here, waterRate)
	uaHere := ua * math.Pow(flow/at, radiatorExponent)
	effect, err := heat.Effectiveness(heat.CrossUnmixed, clamp(uaHere/least, 0, 100), least/most)
	if err != nil || effect <= 0 {
		return
	}
	whole := c.law.ConductionKW + c.law.CoefficientKW*math.Pow(flow, -c.law.Exponent)
	plate := clamp(whole-1/(effect*least), 0.1*whole, whole)
	c.loop = len(p.loops)
	p.loops = append(p.loops, loop{way: c.way, pumpM3S: pumped, plate: around(plate, 0.1), ua: ua, uaFlow: at, mass: massOr(it, 1200)})
}

// unitsFor is the number of transfer units at which a crossflow exchanger reaches an
// effectiveness, by halving on a logarithmic scale: package heat finds the same with
// more digits than a radiator's data are worth, and thirty times slower.
func unitsFor(effect, ratio float64) float64 {
	low, high := math.Log(1e-3), math.Log(30.0)
	for range 24 {
		middle := (low + high) / 2
		if e, err := heat.Effectiveness(heat.CrossUnmixed, math.Exp(middle), ratio); err == nil && e < effect {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Exp(low)
}

// radiatorExponent is that of flow in a radiator's conductance: thin fins, laminar
// (boundary layer theory).
const radiatorExponent = 0.5
