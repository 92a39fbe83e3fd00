package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestCardSlots(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.card-slots", []kittest.Row{
		{Name: "two of three",
			Build: limited("card_slots: 3", "{id: card, part: {card: {slots: 2}}}"),
			Want:  []string{"PASS card,case margin 1"},
		},
		{Name: "three of three: openings are counted, not measured",
			Build: limited("card_slots: 3", "{id: card, part: {card: {slots: 3}}}"),
			Want:  []string{"PASS card,case margin 0"},
		},
		{Name: "a card of three slots and two openings: 60.96 mm are asked and 40.64 mm are there (pitch of ATX family board drawings)",
			Build: limited("card_slots: 2", "{id: card, part: {card: {slots: 3}}}"),
			Want:  []string{"FAIL card,case margin -1"},
		},
		{Name: "two cards share the openings",
			Build: limited("card_slots: 3", "{id: card, part: {card: {slots: 2}}}", "{id: second, part: {card: {slots: 2}}}"),
			Want:  []string{"FAIL card,second,case margin -1"},
		},
		{Name: "two pieces of one card",
			Build: limited("card_slots: 3", "{id: card, count: 2, part: {card: {slots: 2}}}"),
			Want:  []string{"FAIL card,case margin -1"},
		},
		{Name: "thickness tells where the bracket is not stated: 41 mm take three",
			Build: limited("card_slots: 2", "{id: card, part: {card: {thickness_mm: 41}}}"),
			Want:  []string{"FAIL card,case margin -1"},
		},
		{Name: "40 mm take two",
			Build: limited("card_slots: 2", "{id: card, part: {card: {thickness_mm: 40}}}"),
			Want:  []string{"PASS card,case margin 0"},
		},
		{Name: "openings not stated",
			Build: limited("cooler_height_mm: 60", "{id: card, part: {card: {slots: 2}}}"),
			Want:  []string{"UNKNOWN card,case missing items[0].part.chassis.limits.card_slots"},
		},
		{Name: "card says nothing",
			Build: limited("card_slots: 2", "{id: card, part: {card: {length_mm: 200}}}"),
			Want:  []string{"UNKNOWN card,case missing items[1].part.card.slots"},
		},
		{Name: "no card",
			Build: limited("card_slots: 2"),
		},
	})
}
