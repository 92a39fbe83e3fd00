package audit

import "testing"

func TestFanSpeeds(t *testing.T) {
	table(t, "audit.fan-speeds", []row{
		{"in order", "fan: {min_speed_rpm: 300, max_speed_rpm: 1500, current_a: 0.1, start_current_a: 0.2, noises: [{speed_rpm: 1500, level_dba: 22}]}", []string{"PASS entry"}},
		{"in each other's place", "fan: {min_speed_rpm: 1500, max_speed_rpm: 300}", []string{"FAIL entry margin -1200 rpm"}},
		{"a current that falls at the start", "fan: {current_a: 0.3, start_current_a: 0.2}", []string{"FAIL entry margin -0.08 A"}},
		{"sound at a speed that it does not reach", "fan: {max_speed_rpm: 1500, noises: [{speed_rpm: 15000, level_dba: 22}]}", []string{"FAIL entry margin -13425 rpm"}},
		{"sound of a jet", "fan: {max_speed_rpm: 1500, noises: [{level_dba: 120}]}", []string{"FAIL entry margin -45 dB(A)"}},
		{"no greatest speed", "fan: {min_speed_rpm: 300}", []string{"UNKNOWN entry missing items[0].part.fan.max_speed_rpm"}},
		{"nothing", "fan: {size_mm: 120}", nil},
	})
}
