package audit

import "testing"

func TestCardThickness(t *testing.T) {
	table(t, "audit.card-thickness", []row{
		{"two slots are 40.64 mm (ATX family board drawings)", "card: {thickness_mm: 40, slots: 2}", []string{"PASS entry"}},
		{"three slots", "card: {thickness_mm: 60, slots: 3}", []string{"PASS entry"}},
		{"centimetres", "card: {thickness_mm: 4, slots: 2}", []string{"FAIL entry margin -12.3 mm"}},
		{"a thick cooler over a narrow bracket is unusual", "card: {thickness_mm: 55, slots: 2}", []string{"MARGINAL entry margin -10.4 mm"}},
		{"no slots", "card: {thickness_mm: 40}", []string{"UNKNOWN entry missing items[0].part.card.slots"}},
		{"no thickness", "card: {slots: 2}", nil},
	})
}
