package thermal

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// cooler is a processor cooler of either kind, by what both publish.
type cooler struct {
	item        *kit.Item
	prefix      string // of its fields
	ratedHeat   *float64
	ratedRise   *float64
	resistances []*v1.ResistancePoint
	fans        []*v1.FanSeat
}

// coolerOf reads an item as a cooler. ok is false where it is none.
func coolerOf(it *kit.Item) (k cooler, ok bool) {
	switch it.Kind {
	case kit.KindAirCooler:
		a := it.Part.GetAirCooler()
		return cooler{it, "air_cooler.", a.RatedHeatW, a.RatedRiseK, a.Resistances, a.Fans}, true
	case kit.KindLiquidLoop:
		l := it.Part.GetLiquidLoop()
		return cooler{it, "liquid_loop.", l.RatedHeatW, l.RatedRiseK, l.Resistances, l.Fans}, true
	}
	return cooler{}, false
}

// takeCoolers notes the coolers of the build.
func (s *survey) takeCoolers(c *kit.Case) {
	s.coolers, s.processor = s.coolers[:0], c.First(kit.KindProcessor)
	for it := range c.AllItems() {
		if k, ok := coolerOf(it); ok {
			s.coolers = append(s.coolers, k)
		}
	}
}

// incomplete reports where a build has only one of cooler and processor. Where it
// has neither, there is nothing to judge.
func (s *survey) incomplete(c *kit.Case) bool {
	switch {
	case s.processor == nil:
		for i := range s.coolers {
			it := s.coolers[i].item
			c.Judged(kit.Unknown, c.Absent(kit.Path{Field: "items"}, "")).Say("no-processor").About(it).Word("cooler", it.Name())
		}
	case len(s.coolers) == 0:
		c.Judged(kit.Unknown, c.Absent(kit.Path{Field: "items"}, "")).Say("no-cooler").
			About(s.processor).Word("processor", s.processor.Name())
	default:
		return false
	}
	return true
}

// Texts of rules that want a cooler and a processor.
const (
	textNoCooler    = "The build names no cooler for {processor}; add the cooler that is to be used, also one that came in its box."
	textNoProcessor = "The build names no processor for {cooler}; add it."
)

// processorPower is what a processor draws: the load of the build, its sustained
// power, or the power that its maker rates a cooler for, in this order.
func processorPower(c *kit.Case, it *kit.Item) kit.Value {
	for i, load := range c.Build.GetUse().GetLoads() {
		if load.GetItem() == it.ID && load.PowerW != nil {
			return c.Given(kit.Path{Field: loadField(i)}, load.PowerW, "W")
		}
	}
	p := it.Part.GetProcessor()
	if p.Demand != nil && p.Demand.SustainedW != nil {
		return c.Power(it, "processor.demand.sustained_w", p.Demand.SustainedW)
	}
	if p.RatedHeatW != nil {
		return c.Power(it, "processor.rated_heat_w", p.RatedHeatW)
	}
	return c.Absent(it.At("processor.demand.sustained_w"), "W")
}
