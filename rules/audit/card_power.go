package audit

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var cardPowerRule = kit.Rule{
	ID: "audit.card-power", Title: "A card's power against its connectors", Since: "0.1.0",
	Why:     "Slot and connectors bound what a card can draw, and nobody solders on a connector that is not needed; too small a figure overloads a supply later.",
	Formula: "The sustained power is held against what slot and connectors carry together, and against a seventh of it where there are connectors; the supply asked for against the power.",
	Sources: []source{standards.AuxLimits()[0].Source, experience},
	Reads:   []string{"card.demand.sustained_w", "card.power_sockets.connector", "card.power_sockets.count", "card.asked_supply_w"},
	Texts: texts("The power of {part} goes with its connectors.",
		"Whether the power of {part} goes with its connectors cannot be told without {missing}."),
	Remedies: remedies(),
	Judge:    each(judgeCardPower),
}

const (
	overBudget = 1.05 // what a published round figure may exceed
	underUse   = 1. / 7
)

func judgeCardPower(s *sheet) {
	card := s.it.Part.GetCard()
	watts := sustained(card.GetDemand())
	if watts == nil {
		return
	}
	budget, ok := cardBudget(card)
	if !ok {
		return
	}
	low := 2.
	if len(card.PowerSockets) > 0 {
		low = budget * underUse
	}
	high := budget * overBudget
	if !s.hold(figure{"card.demand.sustained_w", watts, "W", low, high,
		between("powers of cards with its slot and connectors", low, high, "W"), false}) {
		return
	}
	s.hold(figure{"card.asked_supply_w", card.AskedSupplyW, "W", *watts, max(4.5**watts, *watts+600), func() string {
		return "the card itself draws " + kit.FormatNumber(*watts, "W")
	}, false})
}

// cardBudget is what slot and connectors carry, in W; not known where a connector
// is none of the tables'.
func cardBudget(card *v1.Card) (float64, bool) {
	var list [16]string
	aux := list[:0]
	for _, socket := range card.GetPowerSockets() {
		for range max(1, socket.GetCount()) {
			aux = append(aux, socket.GetConnector())
		}
	}
	budget, err := standards.CardBudgetFor(aux...)
	return budget.Watt, err == nil
}
