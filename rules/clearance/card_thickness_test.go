package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestCardThickness(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.card-thickness", []kittest.Row{
		{Name: "room to spare",
			Build: limited("card_thickness_mm: 62, card_slots: 2", "{id: card, part: {card: {thickness_mm: 60}}}"),
			Want:  []string{"PASS card,case margin 2 mm"},
		},
		{Name: "nothing to spare",
			Build: limited("card_thickness_mm: 60", "{id: card, part: {card: {thickness_mm: 60}}}"),
			Want:  []string{"MARGINAL card,case margin 0 mm"},
		},
		{Name: "too thick",
			Build: limited("card_thickness_mm: 50", "{id: card, part: {card: {thickness_mm: 60}}}"),
			Want:  []string{"FAIL card,case margin -10 mm"},
		},
		{Name: "two openings at a pitch of 20.32 mm stand in for a limit (ATX family board drawings)",
			Build: limited("card_slots: 2", "{id: card, part: {card: {thickness_mm: 40}}}"),
			Want:  []string{"PASS card,case margin 0.6 mm"},
		},
		{Name: "three openings make 60.96 mm",
			Build: limited("card_slots: 3", "{id: card, part: {card: {thickness_mm: 59}}}"),
			Want:  []string{"PASS card,case margin 2 mm"},
		},
		{Name: "more than the openings is doubtful, since nobody published what lies beside them",
			Build: limited("card_slots: 2", "{id: card, part: {card: {thickness_mm: 55}}}"),
			Want:  []string{"MARGINAL card,case margin -14.4 mm"},
		},
		{Name: "neither limit nor openings",
			Build: limited("cooler_height_mm: 60", "{id: card, part: {card: {thickness_mm: 55}}}"),
			Want:  []string{"UNKNOWN card,case missing items[0].part.chassis.limits.card_thickness_mm"},
		},
		{Name: "thickness not stated",
			Build: limited("card_slots: 2", "{id: card, part: {card: {slots: 2}}}"),
			Want:  []string{"UNKNOWN card,case missing items[1].part.card.thickness_mm"},
		},
		{Name: "no card",
			Build: limited("card_slots: 2"),
		},
		{Name: "a layout's openings win",
			Build: laidOut("card_slots: 2", "{id: a, limits: {card_slots: 4}}", "{id: card, part: {card: {thickness_mm: 70}}}"),
			Want:  []string{"PASS card,case margin 11.3 mm"},
		},
		{Name: "the policy's tolerance counts",
			Build:  limited("card_thickness_mm: 62", "{id: card, part: {card: {thickness_mm: 60}}}"),
			Policy: map[string]float64{"tolerance.length_mm": 1.5},
			Want:   []string{"MARGINAL card,case margin 2 mm"},
		},
	})
}
