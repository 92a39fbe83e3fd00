package audit

import (
	"slices"
	"testing"
)

func TestFanPerformance(t *testing.T) {
	table(t, "audit.fan-performance", []row{
		{"like others", "fan: {size_mm: 120, max_speed_rpm: 1500, max_flow_m3h: 94, max_pressure_pa: 17}", []string{"PASS entry"}},
		{"flow ten times", "fan: {size_mm: 120, max_speed_rpm: 1500, max_flow_m3h: 940, max_pressure_pa: 17}", []string{"FAIL entry margin -784.5 m3/h"}},
		{"pressure in millimetres of water", "fan: {size_mm: 120, max_speed_rpm: 1500, max_flow_m3h: 94, max_pressure_pa: 1.73}", []string{"FAIL entry margin -1.51 Pa"}},
		{"speed ten times: the tips would run at 94 m/s", "fan: {size_mm: 120, max_speed_rpm: 15000, max_flow_m3h: 94}", []string{"FAIL entry margin -6723.94 rpm"}},
		{"a speed that flow and pressure contradict together", "fan: {size_mm: 140, max_speed_rpm: 6000, max_flow_m3h: 60, max_pressure_pa: 3.2}", []string{"FAIL entry margin -4800 rpm"}},
		{"no size", "fan: {max_speed_rpm: 1500, max_flow_m3h: 94}", []string{"UNKNOWN entry missing items[0].part.fan.size_mm"}},
		{"no speed", "fan: {size_mm: 120, max_flow_m3h: 94}", []string{"UNKNOWN entry missing items[0].part.fan.max_speed_rpm"}},
		{"nothing", "fan: {size_mm: 120}", nil},
	})
}

func TestPressureInMillimetresOfWaterIsConverted(t *testing.T) {
	got := suggestions(t, "audit.fan-performance", "fan: {size_mm: 120, max_speed_rpm: 1500, max_flow_m3h: 94, max_pressure_pa: 1.73}")
	// 1 mm of water is 9.80665 Pa.
	if want := []string{"16.97 Pa"}; !slices.Equal(got, want) {
		t.Errorf("suggests %v, want %v", got, want)
	}
}
