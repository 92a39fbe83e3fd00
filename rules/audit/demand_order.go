package audit

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var demandOrderRule = kit.Rule{
	ID: "audit.demand-order", Title: "Demand at rest, sustained and in excursions in order", Since: "0.1.0",
	Why:     "A part draws least at rest and most in its short rises; figures out of that order stand in each other's place or slipped.",
	Formula: "The sustained demand is held against that at rest and against the greatest excursion, a processor's rated heat against its sustained demand, the shares of rails against their sum of one.",
	Sources: []source{arithmetic, experience},
	Reads: []string{
		"processor.demand", "processor.rated_heat_w", "card.demand", "memory.demand", "drive.demand", "board.demand",
	},
	Texts: texts("The demand of {part} at rest, sustained and in excursions is in order.",
		"Whether the demand of {part} is in order cannot be told without {missing}; the sustained demand is the one that data sheets print.",
		map[string]string{"rails": "The shares of the rails of {part} add up to {sum}, where they must make 100 %."}),
	Remedies: remedies(map[string]string{"shares": "Correct the shares so that they make 100 %."}),
	Judge:    each(judgeDemandOrder),
}

const (
	greatestRise = 6    // of an excursion above the sustained demand
	busyAtRest   = 0.4  // of a card's sustained demand
	railPlay     = 0.02 // of printed shares
)

func judgeDemandOrder(s *sheet) {
	prefix, demand := demandOf(s.it.Part)
	if demand == nil {
		return
	}
	if demand.SustainedW == nil {
		if demand.IdleW != nil || len(demand.Excursions) > 0 {
			s.lack(prefix+"sustained_w", "W")
		}
		return
	}
	peak := greatestExcursion(demand)
	if holdSustained(s, prefix, demand, peak) {
		holdIdle(s, prefix, demand)
		holdRatedHeat(s, demand)
	}
	holdShares(s, demand)
}

// holdIdle holds the demand at rest against the sustained one. A card with
// connectors of its own is made to do next to nothing at rest.
func holdIdle(s *sheet, prefix string, d *v1.Demand) {
	most, firm := *d.SustainedW, true
	if card := s.it.Part.GetCard(); len(card.GetPowerSockets()) > 0 {
		// Where the sustained demand itself is not in place, nothing follows from it.
		if budget, ok := cardBudget(card); !ok || most < budget*underUse {
			return
		}
		most, firm = most*busyAtRest, false
	}
	s.hold(figure{prefix + "idle_w", d.IdleW, "W", most / 400, most, func() string {
		return "its sustained demand is " + kit.FormatNumber(*d.SustainedW, "W")
	}, firm})
}

func greatestExcursion(d *v1.Demand) (peak float64) {
	for _, e := range d.Excursions {
		peak = max(peak, e.GetPowerW())
	}
	return peak
}

func holdSustained(s *sheet, prefix string, d *v1.Demand, peak float64) bool {
	if peak == 0 {
		return true
	}
	return s.hold(figure{prefix + "sustained_w", d.SustainedW, "W", peak / greatestRise, peak * 1.02, func() string {
		return "its greatest excursion is " + kit.FormatNumber(peak, "W")
	}, true})
}

// holdRatedHeat holds a processor's rated heat against what it draws.
func holdRatedHeat(s *sheet, d *v1.Demand) {
	processor := s.it.Part.GetProcessor()
	if processor == nil {
		return
	}
	draws := *d.SustainedW
	s.hold(figure{"processor.rated_heat_w", processor.RatedHeatW, "W", draws / 4, draws * 2.5,
		between("rated heats of processors that draw so much", draws/4, draws*2.5, "W"), false},
		s.given("processor.demand.sustained_w", d.SustainedW, "W"))
}

func holdShares(s *sheet, d *v1.Demand) {
	if len(d.Rails) == 0 {
		return
	}
	s.held++
	sum := 0.
	for _, rail := range d.Rails {
		sum += rail.GetShare()
	}
	if sum < 1-railPlay || sum > 1+railPlay {
		s.blame("rails").Number("sum", kit.Constant(sum, "share")).Remedy("shares")
	}
}
