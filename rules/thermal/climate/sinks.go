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

// loop is a liquid loop on a chip.
type loop struct {
	way     int
	pumpM3S float64
	plate   air.Range // K/W from the sink's base to the liquid
	ua      float64   // W/K at uaFlow
	uaFlow  float64
	mass    float64
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
		c := chip{item: it.GetId(), of: "die", powerW: w, limitC: cpu.LimitC, way: -1, zone: -1, loop: -1, motor: -1, lid: usualLid, sinkOf: Cooler,
			capacity: 60, spread: around(1, 0.08)}
		if cpu.LidResistanceKPerW != nil {
			c.lid = stated(it.GetPart(), "processor.lid_resistance_k_per_w", *cpu.LidResistanceKPerW, 0.1)
		} else {
			p.estimate("resistance from die to lid")
		}
		p.readCooler(&c)
		if c.way < 0 && c.loop < 0 && c.zone < 0 {
			c.zone = p.nearBoard()
		}
		p.chips = append(p.chips, c)
		return
	}
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

func (p *Plan) readAirCooler(c *chip, it *v1.Item, a *v1.AirCooler) {
	c.capacity += 0.75 * massOr(it, 700) // aluminium and copper, J/(g K)
	fan, count := fanOf(a.Fans)
	free := 0.0
	if fan != nil {
		inLine := 1
		if a.GetTower() {
			inLine = count // towers' fans stand in line
		}
		c.motor = p.addMotor(it.GetId(), coolerFan, fan, count)
		free = curveOf(fan, max(1, count/inLine), inLine).free
	}
	c.law, c.known = p.lawOf(c, it.GetPart(), a.Resistances, a.RatedHeatW, a.RatedRiseK, free, p.speedOf(c.motor))
	if !c.known {
		p.gapOfCooler(it, "air_cooler.resistances")
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

func (p *Plan) gapOfCooler(it *v1.Item, field string) { p.gap(it.GetId(), field) }

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
	law := throughReadings(readings)
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

// usualPumpLMin stands in for a pump's flow that nobody published.
const usualPumpLMin = 1.0

// readLoop sets a closed loop: radiator and fans in a panel, plate on the chip.
func (p *Plan) readLoop(c *chip, it *v1.Item, l *v1.LiquidLoop) {
	fan, count := fanOf(l.Fans)
	r := l.GetRadiator()
	c.capacity += 0.4 * 150
	if l.PumpNoiseDba != nil {
		p.motors = append(p.motors, motor{item: it.GetId(), kind: pump, whole: true, count: 1,
			points: []*v1.NoisePoint{{LevelDba: l.PumpNoiseDba}}})
	}
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

// readCard sets a card: its fans draw from the side they face, and its air leaves
// along its edges, through its end where it is open, and through its bracket.
func (p *Plan) readCard(it *v1.Item, card *v1.Card) {
	w, ok := p.drawW(it.GetId())
	if !ok {
		p.gap(it.GetId(), "card.demand.sustained_w")
	}
	fan, count := fanOf(card.Fans)
	front, back := p.cardSides(it.GetId())
	c := chip{item: it.GetId(), of: "die", powerW: w, limitC: card.LimitC, way: -1, zone: front, loop: -1, motor: -1, sinkOf: Card,
		capacity: 0.7 * massOr(it, 800), spread: around(1, 0.1)}
	free := 0.0
	if fan != nil {
		c.motor = p.addMotor(it.GetId(), cardFan, fan, count)
		p.motors[c.motor].points, p.motors[c.motor].whole = card.GetNoises(), true
		free = curveOf(fan, count, 1).free
	} else if len(card.GetNoises()) > 0 {
		p.motors = append(p.motors, motor{item: it.GetId(), kind: pump, points: card.GetNoises(), whole: true, count: 1})
	}
	c.law, c.known = p.lawOf(&c, it.GetPart(), card.Resistances, nil, nil, free, p.speedOf(c.motor))
	if fan != nil && free > 0 {
		p.cardWays(&c, it, card, fan, count, front, back)
	}
	p.chips = append(p.chips, c)
}

// cardSides is the zone that a card's fans face and the one at its back.
func (p *Plan) cardSides(item string) (front, back int) {
	h, boxed := p.hullOf(item)
	if !boxed || p.Lumped {
		at := p.seatPoint(item)
		return p.half(at, false), p.half(at, true)
	}
	axis := h.thinnest()
	sign := p.cardFacing(item, h, axis)
	a, b := h.centre(), h.centre()
	a[axis] += sign * (h.size(axis)/2 + 5)
	b[axis] -= sign * (h.size(axis)/2 + 5)
	return p.cellAt(a), p.cellAt(b)
}

// cardFacing is which way a card's fans look: by its pose, by the free space asked
// for before them, else away from the board's middle.
func (p *Plan) cardFacing(item string, h box, axis int) float64 {
	for _, s := range p.q.Arrangement.GetSeats() {
		if s.GetItem() != item {
			continue
		}
		if f, ok := frameOf(s.GetPlaced()); ok {
			if a, sign := f.direction(0); a == axis {
				return sign
			}
		}
	}
	for _, b := range p.q.Arrangement.GetBoxes() {
		if at, ok := boxOf(b.GetExtent()); ok && b.GetItem() == item && b.GetPurpose() == v1.Purpose_PURPOSE_BREATH {
			return math.Copysign(1, at.centre()[axis]-h.centre()[axis])
		}
	}
	for _, it := range p.q.Build.GetItems() {
		if it.GetPart().GetBoard() == nil {
			continue
		}
		if b, ok := p.hullOf(it.GetId()); ok {
			return math.Copysign(1, h.centre()[axis]-b.centre()[axis])
		}
	}
	return -1
}

// cardWays adds the air in the card and the ways out of it.
func (p *Plan) cardWays(c *chip, it *v1.Item, card *v1.Card, fan *v1.Fan, count, front, back int) {
	inside, height := len(p.cells), p.heightOf(front)
	p.cells = append(p.cells, cell{name: "in " + it.GetId(), chamber: -1, heightM: height, acrossM: 0.005})
	w, ok := p.fanWay(it.GetId(), front, inside, c.motor, fan, count, 1)
	if !ok { // its blades are unknown; the air in it stays a closed pocket
		p.cells = p.cells[:inside]
		return
	}
	p.addFins(&w)
	p.ways = append(p.ways, w)
	c.way = len(p.ways) - 1
	length, tall, thick := orElse(card.LengthMm, 240)/1000, orElse(card.HeightMm, 120)/1000, orElse(card.ThicknessMm, 40)/1000
	bracket := float64(max(1, card.GetSlots())) * 12e-3 * 80e-3
	k := air.OrificeK()
	k.High *= 2
	leave := func(name string, to int, area float64) {
		if area <= 0 {
			return
		}
		out := way{name: name, from: inside, to: to, motor: -1, fromM: height, toM: height}
		out.add(k, area, Passages)
		p.ways = append(p.ways, out)
	}
	// Free shares are common practice, no source: a bracket's slots leave a third,
	// open shrouds half of both long edges, and an open end six tenths of the last
	// third of the card.
	if card.GetBlower() {
		leave("bracket of "+it.GetId(), outside, 0.5*bracket)
		return
	}
	leave("bracket of "+it.GetId(), outside, 0.3*bracket)
	leave("edges of "+it.GetId(), front, 0.5*length*thick)
	end := 0.0
	if card.GetFlowThrough() {
		end = 0.6 * length / 3 * tall
	}
	if front != back {
		leave("back of "+it.GetId(), back, 0.5*length*thick+end)
	}
}

func orElse(v *float64, other float64) float64 {
	if v != nil && *v > 0 {
		return *v
	}
	return other
}
