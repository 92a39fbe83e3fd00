package audit

import "testing"

func TestCoolerRating(t *testing.T) {
	const resistances = "resistances: [{speed_rpm: 2300, resistance_k_per_w: 0.46}, {speed_rpm: 900, resistance_k_per_w: 0.72}]"
	table(t, "audit.cooler-rating", []row{
		{"44 K over 0.46 K/W are 95 W", "air_cooler: {rated_heat_w: 95, rated_rise_k: 44, " + resistances + "}", []string{"PASS entry"}},
		{"ten times", "air_cooler: {rated_heat_w: 950, rated_rise_k: 44, " + resistances + "}", []string{"FAIL entry margin -759 W"}},
		{"more than a factor of two", "liquid_loop: {rated_heat_w: 250, rated_rise_k: 44, " + resistances + "}", []string{"MARGINAL entry margin -59 W"}},
		{"a resistance ten times", "air_cooler: {rated_heat_w: 95, rated_rise_k: 44, resistances: [{resistance_k_per_w: 4.6}]}", []string{"FAIL entry margin -3.4 K/W"}},
		{"more room beneath than it is tall", "air_cooler: {height_mm: 47, memory_clearance_mm: 60}", []string{"FAIL entry margin -13 mm"}},
		{"no rise: nothing to hold it against", "air_cooler: {rated_heat_w: 95, " + resistances + "}", nil},
	})
}
