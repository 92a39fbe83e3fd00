package power

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var allowanceShare = kit.Parameter{
	Name: "power.voltage.allowance_share", Unit: "share", Default: 0.5, Least: 0, Greatest: 1,
	Purpose: "How much of what its design guide lets a rail sink below nominal the supply is taken to use at the end of its own cables.",
	Source:  kit.CommonPractice,
}

var voltage = kit.Rule{
	ID: "power.voltage", Title: "Voltage at the loads", Since: "0.1.0",
	Why: "Wires and contacts take their share of the voltage on the way. A card or a drive that gets too little " +
		"stops at full load, and the fault looks like anything but a cable.",
	Formula: "The voltage at the load, from the solved network of cables and contacts while the parts draw their short peaks, less the limit: " +
		"11.04 V at an add-in card, elsewhere the design guide's low limit of the rail. At the low end the supply uses a share of the allowance that " +
		"its guide gives at the end of its own cables, less what other cables lose beyond those: adapters and extensions all of it, " +
		"a bought cable what it loses more than the one that it replaces.",
	Parameters: []*kit.Parameter{&allowanceShare, &kit.PowerTolerance},
	Sources: []standards.Source{
		standards.RailLimits()[0].Source, cardVoltSource(), standards.CopperResistivity.Source, standards.CopperAlpha.Source,
		standards.WireSource(), srcContactOhms,
	},
	Reads: []string{
		"supply.cables", "supply.outlets", "supply.guide", "cable.ends", "cable.gauge_awg", "cable.power_wires", "cable.from",
		"processor.demand", "card.demand", "drive.demand", "board.demand", "use.loads",
	},
	Texts: map[string]string{
		"pass":     "Every part gets its voltage; the tightest is {parts} with {measured} on {rail}, where {required} is the least.",
		"marginal": "{parts} gets {measured} on {rail}, where {required} is the least; with a weak supply and everything else at its worst it gets {low}.",
		"fail":     "{parts} gets only {measured} on {rail}, and {required} is the least.",
		"unknown": "What voltage the parts get cannot be told everywhere for want of {missing}; " +
			"a rule along the cable and the print on its wires tell length and gauge.",
		"collapse":     "The cables cannot bring what {parts} asks for: its voltage breaks down before it gets there.",
		"may-collapse": "With everything at its worst the cables may not bring what {parts} asks for.",
		"refused":      "What voltage the parts get cannot be told: the draws are out of all proportion; check their figures.",
	},
	Remedies: map[string]string{
		"shorter": "Leave out the adapter or extension to {parts}, or use a cable that is shorter or of thicker wire; {shortfall} more are wanted.",
		"cable":   "Feed {parts} by cables of thicker wire, or by more of them.",
	},
	Judge: judgeVoltage,
	Bound: boundVoltage,
}

func cardVoltSource() standards.Source {
	limit, err := standards.RailLimitFor(standards.GuideCard, standards.Rail12V)
	if err != nil {
		panic(err)
	}
	return limit.Source
}

// supplyPoint is the voltage at one consumer in comparison with its limit.
type supplyPoint struct {
	consumer int
	volts    quantity.Range
	least    float64
}

// supplyPoints are what there is to say of the voltages: the points that get too little,
// the tightest of the others, and what is missing.
type supplyPoints struct {
	low      []supplyPoint
	tightest supplyPoint
	some     bool // there is a tightest one
	unknown  []kit.Value
}

func judgeVoltage(c *kit.Case) {
	s := surveyOf(c)
	r := s.operate(c)
	switch {
	case r == nil:
		return
	case r.collapsed >= 0:
		it := s.items[r.collapsed]
		c.Judged(kit.Fail).Say("collapse").About(it).Word("parts", it.Name()).Remedy("cable")
		return
	case r.refused || !r.solved:
		c.Judged(kit.Unknown).Say("refused").About(s.supply)
		return
	}
	p := s.pointsOf(c, r)
	for i := range p.low {
		s.reportPoint(c, p.low[i])
	}
	if len(p.unknown) > 0 {
		c.Judged(kit.Unknown, p.unknown...).About(s.supply)
	} else if p.some {
		s.reportPoint(c, p.tightest)
	}
	if len(p.low) == 0 && r.maybe >= 0 {
		it := s.items[r.maybe]
		c.Judged(kit.Marginal).Say("may-collapse").About(it).Word("parts", it.Name()).Remedy("cable")
	}
}

// pointsOf compares all points with their limits. The list of low ones is the survey's.
func (s *survey) pointsOf(c *kit.Case, r *reading) supplyPoints {
	circuit, allowance := s.laid.circuit, c.Parameter(&allowanceShare).Nominal
	out := supplyPoints{low: s.lowPoints[:0]}
	for i := range circuit.consumers {
		if !s.taken[circuit.consumers[i].item].known {
			out.unknown = append(out.unknown, s.drawOf(s.items[circuit.consumers[i].item]))
			continue
		}
		if circuit.consumers[i].first != i { // it gets what the first one there gets
			continue
		}
		p := s.pointAt(circuit, r, i, allowance)
		if p.volts.Low >= p.least {
			if !out.some || p.room() < out.tightest.room() {
				out.tightest, out.some = p, true
			}
			continue
		}
		if absent, ok := s.unsaidOn(c, circuit, i); ok && p.volts.Nominal >= p.least {
			out.unknown = append(out.unknown, absent)
			continue
		}
		out.low = append(out.low, p)
	}
	s.lowPoints = out.low
	return out
}

// room is what is left above the limit, as a share of it.
func (p supplyPoint) room() float64 { return p.volts.Nominal/p.least - 1 }

func (s *survey) pointAt(c *circuit, r *reading, i int, allowance float64) supplyPoint {
	k := &c.consumers[i]
	p := supplyPoint{consumer: i, least: c.volts[k.rail].Low}
	volts := c.volts[k.rail]
	low := volts.Nominal - allowance*(volts.Nominal-volts.Low) - r.loads[i].lost
	p.volts = quantity.Range{Nominal: r.loads[i].nominal, Low: min(low, r.loads[i].nominal), High: max(r.loads[i].nominal, c.volts[k.rail].High)}
	if k.rail == rail12 && (k.slot || k.socket || s.items[k.item].Kind == kit.KindCard) {
		p.least = cardLowV
	}
	return p
}

// reportPoint gives the finding on one point.
func (s *survey) reportPoint(c *kit.Case, p supplyPoint) {
	circuit := s.laid.circuit
	k := &circuit.consumers[p.consumer]
	it := s.items[k.item]
	f := c.AtLeast(kit.Constant(0, "V").With(p.volts, "V"), kit.Constant(p.least, "V"))
	f.About(it).Word("parts", it.Name()).Word("rail", railNames[k.rail]).Number("low", kit.Constant(p.volts.Low, "V"))
	f.Despite(s.drawOf(it))
	for at := range circuit.wayTo(k.site) {
		f.Despite(s.gaugeValue(c, circuit, at), s.lengthValue(c, circuit, at))
		if cable := circuit.feeds.all[at].cable; circuit.feeds.strands[cable].lead.index < 0 {
			f.About(s.cableItem(circuit, cable))
		}
	}
	f.RemedyOf("shorter", f.Shortfall())
}
