package clearance

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
)

// prices are what accessories cost, by what they provide, in hundredths of one
// currency.
type prices struct {
	currency string
	hundreds map[string]int64
}

// unpriced stands in the search for the price of an accessory that nobody names:
// what it costs is not known, and fewer are better.
const unpriced = 1

// dearest is the greatest price that counts, in hundredths: that of the contract.
const dearest = 100_000_000

// pricesOf collects what a build and its enclosure say: an accessory among the
// items costs again what it costs there, and the enclosure lists what its maker
// sells apart. The cheapest counts. The first price sets the currency; prices in
// another one are not converted and count as unknown.
func pricesOf(chassis *v1.Part, items []seatedItem) prices {
	out := prices{currency: chassis.GetPrice().GetCurrency()}
	for i := range items {
		if tokens := items[i].part.GetAccessory().GetProvides(); len(tokens) == 1 {
			out.take(tokens[0], items[i].part.GetPrice())
		}
	}
	for _, offer := range chassis.GetChassis().GetAccessories() {
		out.take(offer.GetProvides(), offer.GetPrice())
	}
	return out
}

func (p *prices) take(token string, price *v1.Price) {
	amount := math.Round(price.GetAmount() * 100)
	if price == nil || !(amount >= 0 && amount <= dearest) {
		return
	}
	if p.currency == "" {
		p.currency = price.GetCurrency()
	}
	if price.GetCurrency() != p.currency {
		return
	}
	if p.hundreds == nil {
		p.hundreds = map[string]int64{}
	}
	if known, ok := p.hundreds[token]; !ok || int64(amount) < known {
		p.hundreds[token] = int64(amount)
	}
}

// of is the price that the search counts with.
func (p *prices) of(token string) int64 {
	if price, ok := p.hundreds[token]; ok {
		return price
	}
	return unpriced
}

// sum is what purchases cost in the currency's main unit; false where the price of
// one is not known.
func (p *prices) sum(list []arrange.Purchase) (amount float64, known bool) {
	hundreds := int64(0)
	for _, b := range list {
		price, ok := p.hundreds[b.Resource]
		if !ok {
			return 0, false
		}
		hundreds += price * b.Pieces
	}
	return float64(hundreds) / 100, true
}

// buyTokens lists purchases, one entry for each piece.
func buyTokens(list []arrange.Purchase) (out []string) {
	for _, b := range list {
		for range b.Pieces {
			out = append(out, b.Resource)
		}
	}
	return out
}

// priced writes what purchases cost: nothing, a sum in the currency, or unknown.
func (p *prices) priced(list []arrange.Purchase) (cost *float64, currency *string) {
	amount, known := p.sum(list)
	if !known {
		return nil, nil
	}
	if len(list) > 0 {
		word := p.currency
		currency = &word
	}
	return &amount, currency
}

// noDearer reports whether one list of purchases costs no more than another, and
// whether it costs less. Where a price is not known, a list costs no more only if
// the other holds all of it.
func (p *prices) noDearer(a, b []arrange.Purchase) (noMore, less bool) {
	x, xKnown := p.sum(a)
	y, yKnown := p.sum(b)
	if xKnown && yKnown {
		return x <= y, x < y
	}
	if !holdsAll(b, a) {
		return false, false
	}
	return true, !holdsAll(a, b)
}

// holdsAll reports whether a list of purchases holds every piece of another.
func holdsAll(list, of []arrange.Purchase) bool {
	for _, want := range of {
		found := int64(0)
		for _, b := range list {
			if b.Resource == want.Resource {
				found = b.Pieces
			}
		}
		if found < want.Pieces {
			return false
		}
	}
	return true
}

// purchasesFor is what has to be bought for a choice.
func (s *scene) purchasesFor(choices []arrange.Choice) (out []arrange.Purchase) {
	used := map[string]int{}
	for _, c := range choices {
		if v, o := s.find(c); v != nil {
			for _, amount := range v.Options[o].Uses {
				used[amount.Resource] += amount.Count
			}
		}
	}
	for _, token := range s.tokens {
		if lacking := int64(used[token] - s.stock[token]); lacking > 0 {
			out = append(out, arrange.Purchase{Resource: token, Pieces: lacking, Cost: lacking * s.prices.of(token)})
		}
	}
	return out
}
