package power

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var srcRailRating = standards.Source{
	ID: "supply-rail-rating", Title: "greatest current of each rail that the supply's label states", Standing: standards.Derived, Witnesses: 1,
}

var rails = kit.Rule{
	ID: "power.rails", Title: "Current of each rail", Since: "0.1.0", Alone: true,
	Why: "A supply's watts are not free to go anywhere: each rail has a greatest current of its own, " +
		"and drives or boards that lean on 5 V or 3.3 V can pass one while the whole stays far below the rating.",
	Formula: "The rail's rated current less the sum of the sustained demands that fall to it, over its nominal voltage. " +
		"A demand that does not say how it divides comes from 12 V. Where 12 V is rated in parts, each part carries at most its own; " +
		"all together carry at most their sum, and what hangs on which part is not known.",
	Parameters: []*kit.Parameter{&kit.PowerTolerance},
	Sources:    []standards.Source{srcRailRating, standards.RailLimits()[0].Source},
	Reads: []string{
		"supply.rails", "board.demand", "processor.demand", "memory.demand", "memory.modules", "card.demand", "drive.demand",
		"fan.current_a", "air_cooler.fans", "liquid_loop.fans", "liquid_loop.pump_power_w", "use.loads",
	},
	Texts: map[string]string{
		"pass":         "The {rail} rail carries {measured} of {required}, {margin} to spare.",
		"marginal":     "The {rail} rail carries {measured} of {required} as printed; if the parts draw more than printed it goes {shortfall} over.",
		"fail":         "The {rail} rail would carry {measured}, and {supply} gives only {required} on it.",
		"unknown":      "Whether the {rail} rail bears {measured} cannot be told for want of {missing}; the supply's label prints each rail's current.",
		"over-already": "The parts that are known draw {measured} from the {rail} rail already, more than the {required} that {supply} gives; not known: {missing}.",
		"split": "{supply} rates 12 V in parts, the smallest {smallest}, and the parts draw {measured} of {required} in all: " +
			"which socket hangs on which part is not known.",
		"no-label":         "Whether the rails of {supply} bear their loads cannot be told for want of {missing}; the supply's label prints each rail's current.",
		"no-supply":        textNoSupply,
		"several-supplies": textSuppliers,
	},
	Remedies: map[string]string{
		"stronger": "Choose a supply that gives at least {needed} on {rail}.",
		"less":     "Take {shortfall} off the {rail} rail: fewer or other drives, or lower power limits.",
	},
	Judge: judgeRails,
}

func judgeRails(c *kit.Case) {
	s := surveyOf(c)
	if s.withoutSupply(c) {
		return
	}
	s.shareOut()
	if len(s.supply.Part.GetSupply().Rails) == 0 {
		c.Judged(kit.Unknown, c.Absent(s.supply.At("supply.rails"), "")).Say("no-label").About(s.supply).Word("supply", s.supply.Name())
		return
	}
	for r := range railCount {
		if s.rails[r].watts.High > 0 || s.rails[r].gap {
			s.judgeRail(c, r)
		}
	}
}

// railLoad is what one rail has to give.
type railLoad struct {
	watts quantity.Range
	gap   bool // a draw that falls to it in part is not known
}

// shareOut divides the draws among the rails.
func (s *survey) shareOut() {
	s.rails = [railCount]railLoad{}
	for i := range s.draws {
		d := &s.draws[i]
		for r, share := range railShares(demandOf(d.item)) {
			switch {
			case share == 0:
			case d.value.Known():
				s.rails[r].watts = s.rails[r].watts.Add(d.value.Scale(share))
			default:
				s.rails[r].gap = true
			}
		}
	}
	if !s.processor || !s.board {
		s.rails[rail12].gap = true
	}
}

func (s *survey) judgeRail(c *kit.Case, r int) {
	volts := nominalVolts[r]
	current := kit.Constant(0, "A").With(s.rails[r].watts.Scale(1/volts), "A")
	rating, smallest, parts := s.railRating(c, r)
	limit := rating
	divided := parts > 1 && current.High > smallest
	if !s.rails[r].gap && !divided && c.SpareAtMost(current, limit) {
		return
	}
	var f *kit.Finding
	switch over := rating.Known() && current.Nominal > rating.Nominal; {
	case over && s.rails[r].gap:
		f = c.AtMost(current, limit).Despite(s.gaps...).Say("over-already")
	case over:
		f = c.AtMost(current, limit)
	case s.rails[r].gap:
		f = c.AtMost(c.Derived(current.Range, "A", s.gaps...), limit)
	case divided:
		f = c.AtMost(current, limit).Using(c.Absent(s.supply.At("supply.outlets"), "")).Say("split")
	default:
		f = c.AtMost(current, limit)
	}
	s.cite(f, r)
	f.About(s.supply).Word("supply", s.supply.Name()).Word("rail", railNames[r]).
		Number("smallest", kit.Constant(smallest, "A")).Number("needed", kit.Constant(current.High, "A")).
		RemedyOf("stronger", f.Shortfall()).RemedyOf("less", f.Shortfall())
}

// cite adds the draws of a rail to the evidence: for 12 V their sum is that of the
// rule on the whole load, which lists them.
func (s *survey) cite(f *kit.Finding, r int) {
	for i := range s.draws {
		d := &s.draws[i]
		if d.value.Known() && railShares(demandOf(d.item))[r] > 0 && (r != rail12 || len(demandOf(d.item).GetRails()) > 0) {
			f.Despite(d.value)
		}
	}
}

// railRating is what the supply gives on a rail, all its parts together, the
// smallest of these, and how many there are.
func (s *survey) railRating(c *kit.Case, r int) (whole kit.Value, smallest float64, parts int) {
	var sum float64
	var single *v1.RailRating
	at := 0
	for i, rating := range s.supply.Part.GetSupply().Rails {
		if railNumber(rating.GetRail()) != r {
			continue
		}
		if rating.GetRail() == railWords[r] {
			single, at = rating, i
			continue
		}
		sum += rating.GetCurrentA()
		if parts == 0 || rating.GetCurrentA() < smallest {
			smallest, at = rating.GetCurrentA(), i
		}
		parts++
	}
	switch {
	case single != nil: // also the stated limit of all parts together
		return c.Figure(s.supply, railPath.at(at), single.CurrentA, "A", 0), smallest, parts
	case parts > 0:
		return c.Figure(s.supply, railPath.at(at), &sum, "A", 0), smallest, parts
	}
	return c.Absent(s.supply.At("supply.rails"), "A"), 0, 0
}

// nominalVolts are the nominal voltages of the rails.
var nominalVolts = func() (out [railCount]float64) {
	for r, token := range railTokens {
		out[r] = guideVolts(standards.GuideATX3, token).Nominal
	}
	return out
}()
