package audit

import "testing"

func TestLimitsInside(t *testing.T) {
	const sides = "width_mm: 190, height_mm: 272, depth_mm: 348, "
	table(t, "audit.limits-inside", []row{
		{"shorter than the case", "chassis: {" + sides + "limits: {card_length_mm: 330, cooler_height_mm: 168}}", []string{"PASS entry"}},
		{"longer than the case", "chassis: {" + sides + "limits: {card_length_mm: 360}}", []string{"FAIL entry margin -12 mm"}},
		{"in one layout", "chassis: {" + sides + "layouts: [{id: a, limits: {supply_length_mm: 400}}], limits: {}}", []string{"FAIL entry margin -52 mm"}},
		{"a chamber larger than the case", "chassis: {" + sides + "compartments: [{id: main, extent: {size_x_mm: 344, size_y_mm: 187, size_z_mm: 2680}}]}", []string{"FAIL entry margin -2332 mm"}},
		{"no sides", "chassis: {limits: {card_length_mm: 330}}", []string{"UNKNOWN entry missing items[0].part.chassis.depth_mm"}},
		{"no limits", "chassis: {" + sides + "}", nil},
	})
}
