package audit

import "testing"

func TestRadiatorSize(t *testing.T) {
	table(t, "audit.radiator-size", []row{
		{"two 120 mm fans and tanks", "radiator: {nominal_mm: 240, length_mm: 272, width_mm: 120}", []string{"PASS entry"}},
		{"in a loop", "liquid_loop: {radiator: {nominal_mm: 280, length_mm: 315, width_mm: 140}}", []string{"PASS entry"}},
		{"shorter than its fans", "radiator: {nominal_mm: 240, length_mm: 200}", []string{"MARGINAL entry margin -45 mm"}},
		{"centimetres", "radiator: {nominal_mm: 240, length_mm: 27.2}", []string{"FAIL entry margin -217.8 mm"}},
		{"no nominal size", "radiator: {length_mm: 272}", []string{"UNKNOWN entry missing items[0].part.radiator.nominal_mm"}},
		{"an own size", "radiator: {nominal_mm: 250, length_mm: 30}", nil},
		{"no outline", "radiator: {nominal_mm: 240}", nil},
	})
}
