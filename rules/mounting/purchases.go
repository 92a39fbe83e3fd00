package mounting

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// purchase is something that the build lacks, with the finding that it settles.
type purchase struct {
	what, provides, rule string
	count                int
	items                []*kit.Item // that the finding is about; nil ones are left out
}

// writePurchases lists what the build lacks: accessories, brackets, fasteners and
// cables.
func (s *scene) writePurchases(a *v1.Assembly) {
	var list []purchase
	list = append(list, s.lackingAccessories()...)
	list = append(list, s.lackingBrackets()...)
	list = append(list, s.lackingFasteners()...)
	list = append(list, s.lackingCables()...)
	for i := range list {
		a.Purchases = append(a.Purchases, s.priced(&list[i]))
	}
	writeCost(a)
}

func (s *scene) priced(b *purchase) *v1.Purchase {
	count := uint32(b.count)
	p := &v1.Purchase{What: &b.what, Count: &count, Rule: &b.rule}
	for _, it := range b.items {
		if it != nil {
			p.Items = append(p.Items, it.ID)
		}
	}
	if b.provides == "" {
		return p
	}
	p.Provides = &b.provides
	offer := s.offered(b.provides)
	if offer.part != "" {
		p.Part = &offer.part
	}
	if offer.price != nil {
		p.Price, p.Currency = offer.price.Amount, offer.price.Currency
	}
	return p
}

// offer is where an accessory can be bought.
type offer struct {
	part  string
	price *v1.Price // nil: unknown
}

// offered is the cheapest of what provides a token: the accessories of the build,
// which cost again what they cost there, and what the enclosure's maker sells for it.
func (s *scene) offered(token string) (best offer) {
	take := func(o offer) {
		switch {
		case o.price != nil && o.price.Amount == nil:
			o.price = nil
			fallthrough
		case o.price == nil:
			if best.part == "" && best.price == nil {
				best.part = o.part
			}
		case best.price == nil || best.price.GetCurrency() == o.price.GetCurrency() && o.price.GetAmount() < best.price.GetAmount():
			best = o
		}
	}
	for it := range s.c.Items(kit.KindAccessory) {
		if tokens := it.Part.GetAccessory().Provides; len(tokens) == 1 && tokens[0] == token {
			take(offer{it.Part.GetId(), it.Part.Price})
		}
	}
	if s.chassis != nil {
		for _, o := range s.chassis.Part.GetChassis().Accessories {
			if o.GetProvides() == token {
				take(offer{o.GetPart(), o.Price})
			}
		}
	}
	return best
}

// writeCost adds up the purchases whose price is known.
func writeCost(a *v1.Assembly) {
	cents, currency, mixed, unpriced := 0.0, "", false, uint32(0)
	for _, p := range a.Purchases {
		if p.Price == nil {
			unpriced += p.GetCount()
			continue
		}
		mixed = mixed || currency != "" && currency != p.GetCurrency()
		currency = p.GetCurrency()
		cents += math.Round(100*p.GetPrice()) * float64(p.GetCount())
	}
	if unpriced > 0 {
		a.PurchasesUnpriced = &unpriced
	}
	if currency != "" && !mixed {
		cost := cents / 100
		a.PurchasesCost, a.PurchasesCurrency = &cost, &currency
	}
}

func (s *scene) lackingAccessories() (list []purchase) {
	needs := s.fact.Needs
	if !s.arrange {
		needs = s.layout.GetNeeds()
	}
	for i, token := range needs {
		if contains(needs[:i], token) {
			continue
		}
		if lacking := times(needs, token) - s.provided(token); lacking > 0 {
			list = append(list, purchase{token, token, accessoriesRule.ID, lacking, []*kit.Item{s.chassis}})
		}
	}
	return list
}

func (s *scene) lackingBrackets() (list []purchase) {
	for _, kind := range [...]kit.Kind{kit.KindAirCooler, kit.KindLiquidLoop} {
		for it := range s.c.Items(kind) {
			if needs := s.lackingBracket(it); needs != "" {
				list = append(list, purchase{"bracket of " + it.Name() + " for the board's socket", needs, coolerBracketRule.ID, 1,
					[]*kit.Item{it, s.c.First(kit.KindBoard)}})
			}
		}
	}
	return list
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

func (s *scene) lackingFasteners() (list []purchase) {
	for i := range s.joints {
		j := &s.joints[i]
		if short := j.need - j.sure - j.possible; short > 0 {
			list = append(list, purchase{j.wanted(), "", "mounting." + j.rule, short, []*kit.Item{j.item, s.partner(j)}})
		}
	}
	return list
}
