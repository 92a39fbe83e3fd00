package power

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// demandFact is the memory of the fact that the pack provides, used again from
// build to build.
type demandFact struct {
	fact    v1.Fact
	content v1.Fact_Demand
	demand  v1.BuildDemand
	name    string
	items   []v1.ItemDemand
	watts   []float64
	numbers struct{ heatW, mainsA, mainsW float64 }
}

// provideDemand hands on what the build draws, from the supply and from the mains.
func provideDemand(c *kit.Case) {
	s := surveyOf(c)
	d := &s.fact
	d.name = DemandFact
	d.demand = v1.BuildDemand{
		SustainedW: &s.known.Nominal, SustainedLowW: &s.known.Low, SustainedHighW: &s.known.High,
		Items: d.demand.Items[:0], Missing: d.demand.Missing[:0],
	}
	d.addItems(s.draws)
	for _, gap := range s.gaps {
		for _, path := range gap.Missing() {
			d.demand.Missing = append(d.demand.Missing, path.String())
		}
	}
	d.addMains(c, s)
	d.demand.Lacking = s.lackingPlugs(c)
	d.content.Demand = &d.demand
	d.fact = v1.Fact{Name: &d.name, Content: &d.content}
	c.Provide(&d.fact)
}

// addItems adds up the draws of each item. Draws of one item stand together.
func (d *demandFact) addItems(draws []draw) {
	d.items, d.watts = d.items[:0], d.watts[:0]
	for i := range draws {
		it, value := draws[i].item, draws[i].value
		if !value.Known() {
			continue
		}
		if n := len(d.items); n > 0 && d.items[n-1].Item == &it.ID {
			d.watts[n-1] += value.Nominal
			continue
		}
		d.watts = append(d.watts, value.Nominal)
		d.items = append(d.items, v1.ItemDemand{Item: &it.ID})
	}
	for i := range d.items { // now that nothing moves any more
		d.items[i].SustainedW = &d.watts[i]
		d.demand.Items = append(d.demand.Items, &d.items[i])
	}
}

// addMains adds the supply's loss and what the mains brings, where they are known.
func (d *demandFact) addMains(c *kit.Case, s *survey) {
	heat, ok := s.supplyHeat(c)
	if !ok {
		return
	}
	d.numbers.heatW = heat.Nominal
	d.numbers.mainsW = s.known.Nominal + heat.Nominal
	d.demand.SupplyHeatW, d.demand.MainsW = &d.numbers.heatW, &d.numbers.mainsW
	if current, _ := s.mainsCurrent(c, s.mainsVoltage(c)); current.Known() {
		d.numbers.mainsA = current.Nominal
		d.demand.MainsA = &d.numbers.mainsA
	}
}

// lackingPlugs are the plugs that the best choice of cables leaves wanting, where
// that is known for certain.
func (s *survey) lackingPlugs(c *kit.Case) (out []*v1.LackingPlug) {
	w := &s.wiring
	if laid := s.wire(c); s.supply == nil || !laid.complete || len(w.doubts) > 0 {
		return nil
	}
	for token, connector := range w.tokens {
		needed, _ := w.demand(token)
		if needed <= w.best.filled[token] {
			continue
		}
		count := uint32(needed - w.best.filled[token])
		p := &v1.LackingPlug{Connector: &connector, Count: &count}
		for i := range w.needs {
			if n := &w.needs[i]; n.token == token && !n.dispensable && (len(p.Items) == 0 || p.Items[len(p.Items)-1] != n.item.ID) {
				p.Items = append(p.Items, n.item.ID)
			}
		}
		out = append(out, p)
	}
	return out
}
