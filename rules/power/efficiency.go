package power

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

// supplyHeat is the heat in W that the supply gives off at the known demand.
func (s *survey) supplyHeat(c *kit.Case) (quantity.Range, bool) {
	room := c.Build.GetRoom()
	if s.supply == nil || s.supply.Part.GetSupply().RatedW == nil || room == nil || room.MainsV == nil {
		return quantity.Range{}, false
	}
	return s.loss(*room.MainsV)
}

// loss is what the supply turns into heat at the known demand, worked out once for
// each mains voltage that is asked for.
func (s *survey) loss(mainsV float64) (quantity.Range, bool) {
	if m := &s.lost; !m.asked || m.mainsV != mainsV {
		m.asked, m.mainsV = true, mainsV
		m.watts, m.known = lossOf(s.supply.Part.GetSupply(), mainsV, s.known)
	}
	return s.lost.watts, s.lost.known
}

// lossMemory is an answer of loss.
type lossMemory struct {
	asked, known bool
	mainsV       float64
	watts        quantity.Range
}

// lossOf is what the supply turns into heat while it delivers so many W: the
// measured points go before the efficiency mark, which promises a least one. ok is
// false where neither says anything for the mains voltage.
func lossOf(supply *v1.Supply, mainsV float64, delivered quantity.Range) (loss quantity.Range, ok bool) {
	low, ok := lossAt(supply, mainsV, delivered.Low)
	if !ok {
		return loss, false
	}
	nominal, _ := lossAt(supply, mainsV, delivered.Nominal)
	high, _ := lossAt(supply, mainsV, delivered.High)
	return quantity.Range{
		Nominal: nominal.Nominal,
		Low:     min(low.Low, nominal.Low, high.Low), High: max(low.High, nominal.High, high.High),
	}, true
}

// lossAt is the loss at one load. Below the lowest tested load the efficiency of
// that load is too good and its loss in W too much, since losses grow with the
// load: these are the ends, and the latter is taken as the nominal value.
func lossAt(supply *v1.Supply, mainsV, watts float64) (quantity.Range, bool) {
	rated := supply.GetRatedW()
	share := min(watts/rated, 2)
	if a, b, ok := pointsAround(supply.Efficiencies, mainsV, share); ok {
		if share < a.GetLoadShare() {
			return belowTested(watts, a.GetLoadShare()*rated, a.GetEfficiency()), true
		}
		efficiency := a.GetEfficiency()
		if b.GetLoadShare() > a.GetLoadShare() {
			t := min(1, (share-a.GetLoadShare())/(b.GetLoadShare()-a.GetLoadShare()))
			efficiency = (1-t)*a.GetEfficiency() + t*b.GetEfficiency()
		}
		return quantity.Exact(lossBy(watts, efficiency)), true
	}
	mark := markToken(supply.GetEfficiencyMark())
	if mark == "" {
		return quantity.Range{}, false
	}
	at, err := standards.EfficiencyAt(mark, mainsV, share)
	if err != nil {
		return quantity.Range{}, false
	}
	if lowest := lowestTested(mark); share < lowest {
		return belowTested(watts, lowest*rated, at.Share), true
	}
	return quantity.Exact(lossBy(watts, at.Share)), true
}

func lossBy(watts, efficiency float64) float64 { return watts * (1/efficiency - 1) }

func belowTested(watts, testedW, efficiency float64) quantity.Range {
	most := lossBy(testedW, efficiency)
	return quantity.Range{Nominal: most, Low: min(most, lossBy(watts, efficiency)), High: most}
}

// pointsAround finds the points next to a load share among those that hold for
// the mains voltage; beyond the last they are the same one.
func pointsAround(points []*v1.EfficiencyPoint, mainsV, share float64) (below, above *v1.EfficiencyPoint, ok bool) {
	var least, greatest *v1.EfficiencyPoint
	for _, p := range points {
		if p.MainsV != nil && lowMains(*p.MainsV) != lowMains(mainsV) {
			continue
		}
		at := p.GetLoadShare()
		if least == nil || at < least.GetLoadShare() {
			least = p
		}
		if greatest == nil || at > greatest.GetLoadShare() {
			greatest = p
		}
		if at <= share && (below == nil || at > below.GetLoadShare()) {
			below = p
		}
		if at >= share && (above == nil || at < above.GetLoadShare()) {
			above = p
		}
	}
	switch {
	case least == nil:
		return nil, nil, false
	case below == nil:
		return least, least, true
	case above == nil:
		return greatest, greatest, true
	}
	return below, above, true
}

// lowMains tells the two ranges of mains voltage apart that supplies are tested at.
func lowMains(volts float64) bool { return volts < 160 }

// markToken is the level of an efficiency mark as the tables call it, "" where
// there is none. Documents write "80plus-gold", or "80plus" for the first level.
func markToken(mark string) string {
	switch mark {
	case "80plus", "80plus-white", "80plus-standard":
		return "basic"
	}
	return strings.TrimPrefix(mark, "80plus-")
}

// lowestTested is the lowest load share at which a mark is tested.
func lowestTested(mark string) float64 { return lowestLoads[mark] }

var lowestLoads = func() map[string]float64 {
	out := map[string]float64{}
	for _, m := range standards.EfficiencyMarks() {
		out[m.Mark] = m.Points[0].LoadShare
	}
	return out
}()

// efficiencyEvidence is the figure that the loss came from, or what is missing.
func efficiencyEvidence(c *kit.Case, supply *kit.Item, mainsV float64) kit.Value {
	part := supply.Part.GetSupply()
	if len(part.Efficiencies) > 0 {
		if at, _, ok := pointsAround(part.Efficiencies, mainsV, 0.5); ok {
			return c.Figure(supply, "supply.efficiencies", at.Efficiency, "share", 0)
		}
	}
	return c.Word(supply, "supply.efficiency_mark", part.EfficiencyMark)
}
