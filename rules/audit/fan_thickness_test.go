package audit

import "testing"

func TestFanThickness(t *testing.T) {
	table(t, "audit.fan-thickness", []row{
		{"as sold", "fan: {size_mm: 120, thickness_mm: 25}", []string{"PASS entry"}},
		{"inches", "fan: {size_mm: 120, thickness_mm: 0.98}", []string{"FAIL entry margin -8.6 mm"}},
		{"ten times", "fan: {size_mm: 140, thickness_mm: 250}", []string{"FAIL entry margin -212.5 mm"}},
		{"unusual", "fan: {size_mm: 70, thickness_mm: 25}", []string{"MARGINAL entry margin -6.3 mm"}},
		{"no frame size", "fan: {thickness_mm: 25}", []string{"UNKNOWN entry missing items[0].part.fan.size_mm"}},
		{"none stated", "fan: {size_mm: 120}", nil},
	})
}
