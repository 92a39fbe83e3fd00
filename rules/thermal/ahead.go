package thermal

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/thermal/climate"
)

// ahead is what the pack can tell of a build before its parts have places: how loud it
// is, near enough, and how warm the dies get at least.
type ahead struct {
	climate climate.Ahead
	noise   climate.Noise
	belief  climate.Belief
	taken   bool // for this case
	known   bool // something can be told
	sturdy  sturdy
}

// lookAhead takes the build before there are facts, once for each case.
func (s *survey) lookAhead(c *kit.Case) *ahead {
	a := &s.ahead
	if a.taken {
		return a
	}
	a.taken = true
	a.belief = climate.Calibrated(c.Build.GetCalibration())
	draws := func(it *v1.Item) (float64, bool) { return drawn(c.Build, it) }
	a.known = a.climate.Read(c.Build, c.ForSound() && !c.Failing(), draws) == nil
	if a.known && c.ForSound() {
		a.climate.Sounds(a.belief, &a.noise)
	}
	s.takeRoom(c)
	return a
}

// drawn is what a processor or a card draws, all its pieces together, in W: the load that
// the build sets, else its sustained power.
func drawn(build *v1.Build, it *v1.Item) (watts float64, ok bool) {
	count := float64(max(1, it.GetCount()))
	for _, load := range build.GetUse().GetLoads() {
		if load.GetItem() == it.GetId() && load.PowerW != nil {
			return count * load.GetPowerW(), true
		}
	}
	demand := it.GetPart().GetProcessor().GetDemand()
	if card := it.GetPart().GetCard(); card != nil {
		demand = card.GetDemand()
	}
	return count * demand.GetSustainedW(), demand != nil && demand.SustainedW != nil
}

// allHeatCounts tells that nothing is missing from the heat that the asker has left open:
// what is missing otherwise is held against a candidate.
func (s *survey) allHeatCounts(c *kit.Case) bool {
	return s.processor != nil && c.First(kit.KindBoard) != nil && s.temperature.Known() && s.capacity.Known()
}

// leastDie is the least temperature of an item's die at the likely places of the
// coefficients and at all that the forecast's range holds.
func (a *ahead) leastDie(roomC float64, item string) (nominal, low float64, ok bool) {
	nominal, ok = a.climate.Die(item, a.belief.Nominal)
	if !ok {
		return 0, 0, false
	}
	low = nominal
	for _, at := range [...]climate.Places{a.belief.Cool, a.belief.Warm} {
		rise, _ := a.climate.Die(item, at)
		low = min(low, rise)
	}
	return roomC + nominal, roomC + low, true
}

// limitTo tells a shortlist that a temperature reaches at least so much. hot is the
// least of it that comes to FAIL against the limit.
func limitTo(c *kit.Case, nominal, low float64, limit kit.Value) {
	if limit.Nominal == 0 {
		return
	}
	c.Ceiling((limit.Nominal-nominal)/math.Abs(limit.Nominal) + roundingShare)
	if low > limit.High+roundingShare {
		c.Unfit()
	}
}

// roundingShare is more than sums in another order can differ by.
const roundingShare = 1e-9

// boundDieLimit bounds the processor's margin by the resistances of its cooler, the
// room's air before it. Where the enclosure cannot be solved, the same chain of
// resistances is what is judged.
func boundDieLimit(c *kit.Case) {
	s := surveyOf(c)
	if s.processor == nil {
		return
	}
	for i := range s.coolers {
		if k := &s.coolers[i]; c.Sought(k.item) || c.Sought(s.processor) {
			s.boundDie(c, k)
		}
	}
}

func (s *survey) boundDie(c *kit.Case, k *cooler) {
	a := s.lookAhead(c)
	processor := s.processor
	power := processorPower(c, processor)
	sink, _ := s.sinkResistance(c, k)
	lid, _ := lidOf(c, processor)
	limit := c.Figure(processor, "processor.limit_c", processor.Part.GetProcessor().LimitC, "°C", 0)
	if c.SoughtMisses(power, sink, lid, limit) {
		c.Unfit() // its finding is UNKNOWN
		return
	}
	nominal, low, ok := a.leastDie(s.temperature.Nominal, processor.ID)
	if !ok || !s.allHeatCounts(c) || !s.someFlow(c) || !power.Known() || !sink.Known() || !lid.Known() || !limit.Known() {
		return
	}
	chain := s.temperature.Add(power.Mul(sink.Add(lid.Range)))
	limitTo(c, min(nominal, chain.Nominal), min(low, chain.Low), limit)
}

// someFlow tells that there is a flow through the enclosure whatever is solved, so that
// the rise of its air is not left open.
func (s *survey) someFlow(c *kit.Case) bool {
	if use := c.Build.GetUse(); use != nil && use.CaseFlowM3H != nil {
		return *use.CaseFlowM3H > 0
	}
	var free streams
	for it := range c.AllItems() {
		free.add(c, it)
	}
	return free.through() > 0
}

// boundCardLimit bounds a card's margin by its own cooler, the room's air before it.
func boundCardLimit(c *kit.Case) {
	s := surveyOf(c)
	for it := range c.Items(kit.KindCard) {
		card := it.Part.GetCard()
		if !c.Sought(it) || len(card.Resistances) == 0 {
			continue
		}
		a := s.lookAhead(c)
		limit := c.Figure(it, "card.limit_c", card.LimitC, "°C", 0)
		nominal, low, ok := a.leastDie(s.temperature.Nominal, it.ID)
		if !ok || !s.allHeatCounts(c) || !s.surelySolved(c) {
			continue
		}
		if !limit.Known() {
			c.Unfit() // its finding is UNKNOWN
			continue
		}
		limitTo(c, nominal, low, limit)
	}
}

// surelySolved tells that the enclosure is solved as a network whatever the arrangement,
// or that the candidate is to blame if it is not.
func (s *survey) surelySolved(c *kit.Case) bool {
	return s.ahead.known && s.ahead.climate.Drives() && s.ahead.sturdy.holds(c.Build, &s.outlook.plan)
}

// sturdy remembers a build whose enclosure was seen to give a network. It holds on to the
// parts, so that no address is used again.
type sturdy struct {
	parts   []*v1.Part
	celsius float64
	metres  float64
}

// holds tries the build without an arrangement, unless it was tried before with another
// part in one place.
func (m *sturdy) holds(build *v1.Build, plan *climate.Plan) bool {
	room, others := build.GetRoom(), 0
	items := build.GetItems()
	if len(items) == len(m.parts) && room.GetTemperatureC() == m.celsius && room.GetAltitudeM() == m.metres {
		for i, it := range items {
			if it.Part != m.parts[i] {
				others++
			}
		}
		if others <= 1 {
			return true
		}
	}
	m.parts = m.parts[:0]
	if err := plan.Try(climate.Question{Build: build}); err != nil {
		return false
	}
	for _, it := range items {
		m.parts = append(m.parts, it.Part)
	}
	m.celsius, m.metres = room.GetTemperatureC(), room.GetAltitudeM()
	return true
}

// unheardDBA is told of a candidate whose sound cannot be forecast.
const unheardDBA = 1000

// boundListener tells how loud the build is at least.
func boundListener(c *kit.Case) {
	if !c.ForSound() {
		return
	}
	a := surveyOf(c).lookAhead(c)
	switch {
	case !a.known || !a.noise.HasRoom:
	case !a.noise.Known:
		c.Quietest(unheardDBA)
	default:
		c.Quietest(a.noise.Reading.Nominal)
	}
}
