package climate

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
	"slipfit.example/rules/heat"
)

// chip is a source on a sink: a processor or a card.
type chip struct {
	item, of string
	powerW   float64
	law      heat.FlowLaw
	known    bool      // the law is
	spread   air.Range // of the law, as a factor
	rest     float64   // K/W in still air
	lid      air.Range // K/W from die to sink
	sinkOf   Coefficient
	limitC   *float64
	way      int // that the sink stands in, -1
	zone     int // that it stands in without a way
	flow     float64
	motor    int // of its own fans, -1
	loop     int // that takes its heat, -1
	capacity float64
}

// delivered is the share of their free flow that fans bring through the fins they
// were sold for, without an enclosure (common practice, no source).
const delivered = 0.65

// usualLid stands in for the resistance from die to lid; two thirds both ways, as
// packs take it.
var usualLid = air.Range{Low: 0.05, Nominal: 0.15, High: 0.25}

// readProcessor sets the processor and its cooler.
func (p *Plan) readProcessor() {
	for _, it := range p.q.Build.GetItems() {
		cpu := it.GetPart().GetProcessor()
		if cpu == nil {
			continue
		}
		w, ok := p.drawW(it.GetId())
		if !ok {
			p.gap(it.GetId(), "processor.demand.sustained_w")
		}
		c := p.processorChip(it, cpu, w)
		p.readCooler(&c)
		if c.way < 0 && c.loop < 0 && c.zone < 0 {
			c.zone = p.nearBoard()
		}
		p.chips = append(p.chips, c)
		return
	}
}

// processorChip is a processor that draws so much, still without a cooler.
func (p *Plan) processorChip(it *v1.Item, cpu *v1.Processor, powerW float64) chip {
	c := chip{item: it.GetId(), of: "die", powerW: powerW, limitC: cpu.LimitC, way: -1, zone: -1, loop: -1, motor: -1, lid: usualLid, sinkOf: Cooler,
		capacity: 60, spread: around(1, 0.08)}
	if cpu.LidResistanceKPerW != nil {
		c.lid = stated(it.GetPart(), "processor.lid_resistance_k_per_w", *cpu.LidResistanceKPerW, 0.1)
	} else {
		p.estimate("resistance from die to lid")
	}
	return c
}

// stated is a figure with the range that its part states for it, else a share.
func stated(part *v1.Part, field string, v, share float64) air.Range {
	for _, f := range part.GetFigures() {
		for _, name := range f.GetFields() {
			if name == field && (f.Minus != nil || f.Plus != nil) {
				return air.Range{Low: max(v-f.GetMinus(), v/20), Nominal: v, High: v + f.GetPlus()}
			}
		}
	}
	return around(v, share)
}

// nearBoard is the zone that the board's small parts stand in.
func (p *Plan) nearBoard() int {
	for _, it := range p.q.Build.GetItems() {
		if it.GetPart().GetBoard() == nil {
			continue
		}
		if h, ok := p.hullOf(it.GetId()); ok {
			return p.cellAt(h.centre())
		}
		return p.half(p.seatPoint(it.GetId()), true)
	}
	return p.half(p.cells[0].at.centre(), true)
}

// seatPoint is a point at an item's seat: its box, its mount's space, or a little
// inside its mount's pose.
func (p *Plan) seatPoint(item string) [3]float64 {
	if h, ok := p.hullOf(item); ok {
		return h.centre()
	}
	for _, s := range p.q.Arrangement.GetSeats() {
		if s.GetItem() != item {
			continue
		}
		m := p.mount(s.GetMount())
		if b, ok := boxOf(m.GetSpace()); ok {
			return b.centre()
		}
		if len(m.GetPoses()) > 0 {
			at := pointOf(m.GetPoses()[0].GetOrigin())
			if f, ok := frameOf(m.GetPoses()[0]); ok {
				for d := range 3 {
					for a := range at {
						at[a] += 20 * f[d][a]
					}
				}
			}
			return at
		}
	}
	return p.cells[0].at.centre()
}

// readCooler sets the cooler of the build's processor.
func (p *Plan) readCooler(c *chip) {
	for _, it := range p.q.Build.GetItems() {
		part := it.GetPart()
		if a := part.GetAirCooler(); a != nil {
			p.readAirCooler(c, it, a)
			return
		}
		if l := part.GetLiquidLoop(); l != nil {
			p.readLoop(c, it, l)
			return
		}
	}
}

// coolerLaw sets what of an air cooler is the same wherever it sits: its fans' motor
// and its law.
func (p *Plan) coolerLaw(c *chip, it *v1.Item, a *v1.AirCooler) (fan *v1.Fan, count int, free float64) {
	c.capacity += 0.75 * massOr(it, 700) // aluminium and copper, J/(g K)
	fan, count = fanOf(a.Fans)
	if fan != nil {
		inLine := 1
		if a.GetTower() {
			inLine = count // towers' fans stand in line
		}
		c.motor = p.addMotor(it.GetId(), coolerFan, fan, count)
		free = curveOf(fan, max(1, count/inLine), inLine).free
	}
	c.law, c.known = p.lawOf(c, it.GetPart(), a.Resistances, a.RatedHeatW, a.RatedRiseK, free, p.speedOf(c.motor))
	return fan, count, free
}

func (p *Plan) readAirCooler(c *chip, it *v1.Item, a *v1.AirCooler) {
	fan, count, free := p.coolerLaw(c, it, a)
	if !c.known {
		p.gap(it.GetId(), "air_cooler.resistances")
	}
	if fan == nil {
		c.zone, c.flow = p.nearBoard(), 0
		return
	}
	at := p.seatPoint(it.GetId())
	if _, boxed := p.hullOf(it.GetId()); !boxed {
		at = p.boardPoint()
	}
	if !a.GetTower() {
		c.zone, c.flow = p.half(at, false), delivered*free
		return
	}
	from, to := p.half(at, false), p.half(at, true)
	if h, boxed := p.hullOf(it.GetId()); boxed && !p.Lumped {
		axis, sign := p.towerWay(it.GetId())
		before, behind := h.centre(), h.centre()
		before[axis] -= sign * (h.size(axis)/2 + 5)
		behind[axis] += sign * (h.size(axis)/2 + 5)
		from, to = p.cellAt(before), p.cellAt(behind)
	}
	if from == to {
		c.zone, c.flow = from, delivered*free
		return
	}
	if w, ok := p.fanWay(it.GetId(), from, to, c.motor, fan, 1, count); ok {
		p.addFins(&w)
		p.ways = append(p.ways, w)
		c.way = len(p.ways) - 1
		return
	}
	c.zone, c.flow = from, delivered*free
}

func (p *Plan) boardPoint() [3]float64 {
	for _, it := range p.q.Build.GetItems() {
		if it.GetPart().GetBoard() != nil {
			return p.seatPoint(it.GetId())
		}
	}
	return p.cells[0].at.centre()
}

func massOr(it *v1.Item, grams float64) float64 {
	if m := it.GetPart().GetMassG(); m > 0 {
		return m
	}
	return grams
}

// fanOf is the first kind of fan of a list, and how many of it.
func fanOf(seats []*v1.FanSeat) (*v1.Fan, int) {
	for _, s := range seats {
		if s.GetFan() != nil {
			return s.Fan, int(max(1, s.GetCount()))
		}
	}
	return nil, 0
}

func (p *Plan) speedOf(motor int) float64 {
	if motor < 0 {
		return 0
	}
	return p.motors[motor].maxRPM
}

// addFins puts the fins of a cooler in line with its fans: so much that without an
// enclosure they deliver their share, half of it in proportion to the flow, as in
// laminar channels.
func (p *Plan) addFins(w *way) {
	q := delivered * w.curve.free
	drop, err := w.curve.air.PressurePa(q)
	if err != nil || !(drop > 0) {
		drop = 0.5 * w.curve.air.BlockedPa()
	}
	w.linear += 0.5 * drop / q
	w.addQuadratic(0.5*drop/(q*q), Passages)
}

// lawOf is the law of a sink by flow. Points by speed are taken at the flow that
// the sink's own fans deliver without an enclosure at that speed.
func (p *Plan) lawOf(c *chip, part *v1.Part, points []*v1.ResistancePoint, ratedHeat, ratedRise *float64, free, maxRPM float64) (heat.FlowLaw, bool) {
	var list [32]heat.Reading
	readings := list[:0]
	for _, pt := range points {
		flow := pt.GetFlowM3H() * air.M3SPerM3H
		if flow == 0 && pt.SpeedRpm != nil && free > 0 && maxRPM > 0 {
			flow = delivered * free * pt.GetSpeedRpm() / maxRPM
		}
		if flow > 1e-7 && pt.GetResistanceKPerW() > 1e-6 && len(readings) < cap(readings) {
			readings = append(readings, heat.Reading{FlowM3S: flow, ResistanceKW: pt.GetResistanceKPerW()})
		}
	}
	if len(readings) == 0 {
		if ratedHeat == nil || *ratedHeat <= 0 {
			return heat.FlowLaw{}, false
		}
		rise := usualRatedRiseK
		c.spread = around(1, 0.3)
		if ratedRise != nil {
			rise, c.spread = *ratedRise, around(1, 0.12)
		}
		p.estimate("resistance of the cooler")
		flow := delivered * free
		if flow <= 0 {
			flow = 0.01
		}
		readings = append(readings, heat.Reading{FlowM3S: flow, ResistanceKW: clamp(rise / *ratedHeat, 1e-4, 50)})
	}
	law := p.laws.through(readings)
	best := math.Inf(1)
	for _, r := range readings {
		best = min(best, r.ResistanceKW)
	}
	// Without a draught of its own a sink gives heat to the air around it at some
	// eight times its resistance (common practice, no source).
	c.rest = 8 * best
	thin := air.FanStandardDensityKgM3 / p.Room.DensityKgM3
	law.CoefficientKW *= math.Pow(thin, law.Exponent) // heat transfer goes with mass flow
	law.ConductionKW, law.CoefficientKW = clamp(law.ConductionKW, 0, 900), clamp(law.CoefficientKW, 1e-8, 900)
	return law, true
}

// usualRatedRiseK is the rise at a cooler's rated heat that its maker does not say.
const usualRatedRiseK = 50.0

// throughReadings is the law through the slowest and the fastest reading whose
// exponent fits those between best.
func throughReadings(readings []heat.Reading) heat.FlowLaw {
	slow, fast := readings[0], readings[0]
	for _, r := range readings {
		if r.FlowM3S < slow.FlowM3S {
			slow = r
		}
		if r.FlowM3S > fast.FlowM3S {
			fast = r
		}
	}
	best, least := heat.FlowLaw{}, math.Inf(1)
	for _, e := range [...]float64{0.5, 0.6, 0.7, 0.8, 1} {
		law, err := heat.LawThrough(slow, fast, e)
		if err != nil {
			continue
		}
		off := math.Abs(e-0.6) * 1e-6 // 0.6 where nothing else decides
		for _, r := range readings {
			v := law.ConductionKW + law.CoefficientKW*math.Pow(r.FlowM3S, -law.Exponent)
			off += math.Abs(v-r.ResistanceKW) / r.ResistanceKW
		}
		if off < least {
			best, least = law, off
		}
	}
	if !math.IsInf(least, 1) {
		return best
	}
	est, err := heat.EstimateLaw(fast)
	if err != nil {
		return heat.FlowLaw{CoefficientKW: 0.02, Exponent: 0.6}
	}
	return est.Nominal
}
