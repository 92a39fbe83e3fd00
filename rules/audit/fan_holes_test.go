package audit

import "testing"

func TestFanHoles(t *testing.T) {
	table(t, "audit.fan-holes", []row{
		{"120 mm frames have 105 mm", "fan: {size_mm: 120, hole_pitch_mm: 105}", []string{"PASS entry"}},
		{"another drawing of 140 mm frames says 125", "fan: {size_mm: 140, hole_pitch_mm: 125}", []string{"PASS entry"}},
		{"that of another frame", "fan: {size_mm: 120, hole_pitch_mm: 82.5}", []string{"FAIL entry margin -21.5 mm"}},
		{"centimetres", "fan: {size_mm: 120, hole_pitch_mm: 10.5}", []string{"FAIL entry margin -93.5 mm"}},
		{"no frame size", "fan: {hole_pitch_mm: 105}", []string{"UNKNOWN entry missing items[0].part.fan.size_mm"}},
		{"no pitch is the frame's own", "fan: {size_mm: 120}", nil},
		{"a frame that is not in the tables", "fan: {size_mm: 100, hole_pitch_mm: 87}", []string{"PASS entry"}},
	})
}
