package audit

import "testing"

func TestMass(t *testing.T) {
	const card = "card: {length_mm: 267, height_mm: 120, thickness_mm: 40}"
	table(t, "audit.mass", []row{
		{"a card of 1.28 litres", "mass_g: 1020, " + card, []string{"PASS entry"}},
		{"kilograms", "mass_g: 1.02, " + card, []string{"FAIL entry margin -319.38 g"}},
		{"ten times", "mass_g: 10200, " + card, []string{"FAIL entry margin -7124.16 g"}},
		{"somewhat heavy", "mass_g: 3500, " + card, []string{"MARGINAL entry margin -424.16 g"}},
		{"a length that is wrong already is not the mass's fault", "mass_g: 1020, card: {length_mm: 26.7, height_mm: 120, thickness_mm: 40}", nil},
		{"an enclosure lighter than its steel panels", "mass_g: 400, chassis: {width_mm: 190, height_mm: 272, depth_mm: 348, panels: [{id: a, material: steel, extent: {size_x_mm: 340, size_y_mm: 1, size_z_mm: 260}}, {id: b, material: steel, extent: {size_x_mm: 340, size_y_mm: 1, size_z_mm: 260}}]}", []string{"FAIL entry margin -679.08 g"}},
		{"no mass", card, nil},
		{"a part without a size", "mass_g: 5, accessory: {provides: [duct]}", nil},
	})
}
