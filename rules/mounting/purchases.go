package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// writePurchases lists what the build lacks: fasteners, accessories, brackets and
// cables, with the rule whose finding each settles.
func (s *scene) writePurchases(a *v1.Assembly) {
	buy := func(what, provides, rule string, n int) {
		p := &v1.Purchase{What: &what}
		count := uint32(n)
		p.Count = &count
		if provides != "" {
			p.Provides = &provides
		}
		if rule != "" {
			p.Rule = &rule
		}
		a.Purchases = append(a.Purchases, p)
	}
	s.lackingAccessories(buy)
	for _, kind := range [...]kit.Kind{kit.KindAirCooler, kit.KindLiquidLoop} {
		for it := range s.c.Items(kind) {
			if needs := s.lackingBracket(it); needs != "" {
				buy("bracket of "+it.Name()+" for the board's socket", needs, coolerBracketRule.ID, 1)
			}
		}
	}
	for i := range s.joints {
		j := &s.joints[i]
		if short := j.need - j.sure - j.possible; short > 0 {
			buy(j.wanted(), "", "mounting."+j.rule, short)
		}
	}
	s.lackingCables(buy)
}

type buyer func(what, provides, rule string, n int)

func (s *scene) lackingAccessories(buy buyer) {
	needs := s.fact.Needs
	if !s.arrange {
		needs = s.layout.GetNeeds()
	}
	for i, token := range needs {
		if contains(needs[:i], token) {
			continue
		}
		if lacking := times(needs, token) - s.provided(token); lacking > 0 {
			buy(token, token, accessoriesRule.ID, lacking)
		}
	}
}

// lackingBracket is what a cooler needs for the board's socket and no box holds.
func (s *scene) lackingBracket(it *kit.Item) string {
	board := s.c.First(kit.KindBoard)
	if board == nil || board.Part.GetBoard().GetSocket() == "" {
		return ""
	}
	brackets := it.Part.GetAirCooler().GetBrackets()
	if it.Kind == kit.KindLiquidLoop {
		brackets = it.Part.GetLiquidLoop().GetBrackets()
	}
	bracket, needs := s.bracketFor(brackets, board.Part.GetBoard().GetSocket())
	switch {
	case len(brackets) == 0:
		return ""
	case bracket == nil:
		needs = "bracket-" + board.Part.GetBoard().GetSocket()
	}
	if needs == "" || s.provided(needs) > 0 {
		return ""
	}
	return needs
}

// ruleOfCables is the rule of the clearance pack that judges the length of cables.
const ruleOfCables = "clearance.cable-length"

// lackingCables are cables whose way is longer than they are, or that nobody has.
func (s *scene) lackingCables(buy buyer) {
	for _, r := range s.fact.Routes {
		if r.OrderMm == nil || r.HaveMm != nil && r.GetHaveMm() >= r.GetNeededMm() {
			continue
		}
		what := "cable"
		if r.GetConnector() != "" {
			what += " with " + r.GetConnector()
		}
		what += ", " + kit.FormatNumber(r.GetOrderMm(), "mm")
		if to := s.c.ItemByID(r.GetTo()); to != nil {
			what += ", to " + to.Name()
		}
		buy(what, "", ruleOfCables, 1)
	}
}
