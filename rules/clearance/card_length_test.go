package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestCardLength(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.card-length", []kittest.Row{
		{Name: "room to spare",
			Build: limited("card_length_mm: 325", "{id: card, part: {name: Heron, card: {length_mm: 304}}}"),
			Want:  []string{"PASS card,case margin 21 mm"},
		},
		{Name: "nothing to spare",
			Build: limited("card_length_mm: 304", "{id: card, part: {name: Heron, card: {length_mm: 304}}}"),
			Want:  []string{"MARGINAL card,case margin 0 mm"},
		},
		{Name: "too large",
			Build: limited("card_length_mm: 300", "{id: card, part: {name: Heron, card: {length_mm: 304}}}"),
			Want:  []string{"FAIL card,case margin -4 mm"},
		},
		{Name: "limit not stated",
			Build: limited("card_slots: 2", "{id: card, part: {name: Heron, card: {length_mm: 304}}}"),
			Want:  []string{"UNKNOWN card,case missing items[0].part.chassis.limits.card_length_mm"},
		},
		{Name: "size not stated",
			Build: limited("card_length_mm: 300", "{id: card, part: {card: {slots: 2}}}"),
			Want:  []string{"UNKNOWN card,case missing items[1].part.card.length_mm"},
		},
		{Name: "no card",
			Build: limited("card_length_mm: 300"),
		},
		{Name: "the layout's own limit wins",
			Build: laidOut("card_length_mm: 300", "{id: upright, limits: {card_length_mm: 310}}", "{id: card, part: {name: Heron, card: {length_mm: 304}}}"),
			Want:  []string{"PASS card,case margin 6 mm"},
		},
		{Name: "two cards are judged each",
			Build: limited("card_length_mm: 300", "{id: card, part: {name: Heron, card: {length_mm: 290}}}", "{id: second, part: {name: Heron, card: {length_mm: 310}}}"),
			Want:  []string{"PASS card,case margin 10 mm", "FAIL second,case margin -10 mm"},
		},
		{Name: "a stated tolerance counts",
			Build: limited("card_length_mm: 300", "{id: card, part: {card: {length_mm: 299}, figures: [{fields: [card.length_mm], plus: 2}]}}"),
			Want:  []string{"MARGINAL card,case margin 1 mm"},
		},
		{Name: "the policy's tolerance counts",
			Build:  limited("card_length_mm: 300", "{id: card, part: {name: Heron, card: {length_mm: 297}}}"),
			Policy: map[string]float64{"tolerance.length_mm": 2},
			Want:   []string{"MARGINAL card,case margin 3 mm"},
		},
	})
}
