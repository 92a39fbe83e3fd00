package audit

import (
	"slices"
	"testing"
)

func TestUsualFigures(t *testing.T) {
	table(t, "audit.usual-figures", []row{
		{"a card like others", "card: {length_mm: 267, height_mm: 120}", []string{"PASS entry"}},
		{"nothing to judge", "accessory: {provides: [duct]}", nil},
		{"a cooler in centimetres", "air_cooler: {height_mm: 15.8}", []string{"FAIL entry margin -4.2 mm"}},
		{"a card in inches (ISO 80000-3: an inch is 25.4 mm)", "card: {length_mm: 10.5}", []string{"FAIL entry margin -49.5 mm"}},
		{"a case ten times too wide", "chassis: {width_mm: 1900}", []string{"FAIL entry margin -1420 mm"}},
		{"an unusually long card is unusual, not wrong", "card: {length_mm: 440}", []string{"MARGINAL entry margin -20 mm"}},
		{"a limit of one layout", "chassis: {layouts: [{id: upright, limits: {cooler_height_mm: 16.8}}]}", []string{"FAIL entry margin -8.2 mm"}},
		{"a fan on a cooler", "air_cooler: {fans: [{fan: {max_speed_rpm: 150}}]}", []string{"FAIL entry margin -200 rpm"}},
	})
}

// Each slip that the tables name is found again by its factor.
func TestSuggestedValuesAreThoseThatWereMeant(t *testing.T) {
	for part, want := range map[string]string{
		"air_cooler: {height_mm: 15.8}":                 "158 mm", // or 401 mm, were it inches: no cooler is
		"chassis: {width_mm: 1900}":                     "190 mm",
		"supply: {rated_w: 7500}":                       "750 W",
		"memory: {height_mm: 3.9}":                      "39 mm",
		"liquid_loop: {radiator: {thickness_mm: 1.06}}": "26.9 mm",
	} {
		if got := suggestions(t, "audit.usual-figures", part); !slices.Contains(got, want) {
			t.Errorf("%s: suggests %v, want %s", part, got, want)
		}
	}
}
