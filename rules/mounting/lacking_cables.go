package mounting

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// Rules of other packs whose findings cables settle: the length of power cables and
// that of leads and data cables, and whether there is a power cable at all.
const (
	ruleOfCables = "clearance.cable-length"
	ruleOfLeads  = "clearance.lead-length"
	ruleOfPlugs  = "power.connectors"
)

// factDemand is the fact of the power pack that says which plugs are lacking, as
// slipfit.v1.BuildDemand.
const factDemand = "power.demand"

// lackingCables are cables whose way is longer than they are, and those that nobody
// has: by their way, or by the plugs that stay empty.
func (s *scene) lackingCables() (list []purchase) {
	lacking := s.lackingPlugs()
	for _, r := range s.fact.Routes {
		if r.OrderMm == nil || r.HaveMm != nil && r.GetHaveMm() >= r.GetNeededMm() {
			continue
		}
		rule, to := ruleOfCables, s.c.ItemByID(r.GetTo())
		if !powered(r.GetConnector()) {
			rule = ruleOfLeads
		}
		switch p := plugFor(lacking, r); {
		case p != nil:
			rule, p.left = ruleOfPlugs, p.left-1
		case !s.fact.GetFeasible():
			continue // where the parts do not go in, no length is judged
		}
		words := s.cableInWords(r.GetConnector(), r.OrderMm, to)
		if s.chassis != nil && r.GetFrom() == s.chassis.ID {
			words = "extension or longer lead" + strings.TrimPrefix(words, "cable")
		}
		list = append(list, purchase{words, "", rule, 1, []*kit.Item{to}})
	}
	for i := range lacking {
		p := &lacking[i]
		if p.left <= 0 {
			continue
		}
		var items []*kit.Item
		for _, id := range p.plug.Items {
			items = append(items, s.c.ItemByID(id))
		}
		var to *kit.Item
		if len(items) == 1 {
			to = items[0]
		}
		list = append(list, purchase{s.cableInWords(p.plug.GetConnector(), s.longestWay(p.plug), to), "", ruleOfPlugs, p.left, items})
	}
	return list
}

// lackingPlug is a kind of plug with how many cables are still to be listed for it.
type lackingPlug struct {
	plug *v1.LackingPlug
	left int
}

func (s *scene) lackingPlugs() (out []lackingPlug) {
	fact, there := s.c.Fact(factDemand)
	if !there {
		return nil
	}
	for _, p := range fact.GetDemand().GetLacking() {
		out = append(out, lackingPlug{p, int(p.GetCount())})
	}
	return out
}

// plugFor is the lacking plug that a cable on a way would bring, nil for none.
func plugFor(lacking []lackingPlug, r *v1.Route) *lackingPlug {
	for i := range lacking {
		if p := &lacking[i]; p.left > 0 && r.HaveMm == nil && p.plug.GetConnector() == r.GetConnector() && contains(p.plug.Items, r.GetTo()) {
			return p
		}
	}
	return nil
}

// longestWay is how long a cable to order is for the farthest socket of a kind, nil
// where no way to one is known.
func (s *scene) longestWay(p *v1.LackingPlug) (mm *float64) {
	for _, r := range s.fact.Routes {
		if r.GetConnector() == p.GetConnector() && contains(p.Items, r.GetTo()) && r.OrderMm != nil && (mm == nil || *r.OrderMm > *mm) {
			mm = r.OrderMm
		}
	}
	return mm
}

// cableInWords tells a cable for a shop: "cable with pcie-8 for Quell 750, 350 mm, to
// Tarn 2". Plugs at the supply's end differ from maker to maker.
func (s *scene) cableInWords(connector string, orderMM *float64, to *kit.Item) string {
	words := "cable"
	if connector != "" {
		words += " with " + connector
	}
	if supply := s.c.First(kit.KindSupply); supply != nil && powered(connector) {
		words += " made for " + supply.Name()
	}
	if orderMM != nil {
		words += ", " + kit.FormatNumber(*orderMM, "mm")
	}
	if to != nil {
		words += ", to " + to.Name()
	}
	return words
}

// powered reports whether a connector is one of a supply's cables.
func powered(connector string) bool {
	_, err := standards.ConnectorByToken(connector)
	return err == nil
}
