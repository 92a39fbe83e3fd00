package audit

import "testing"

func TestChassisVolume(t *testing.T) {
	const sides = "width_mm: 190, height_mm: 272, depth_mm: 348"
	table(t, "audit.chassis-volume", []row{
		{"190 by 272 by 348 mm make 18 litres", "chassis: {" + sides + ", volume_l: 18}", []string{"PASS entry"}},
		{"ten times", "chassis: {" + sides + ", volume_l: 180}", []string{"FAIL entry margin -158.4 l"}},
		{"somewhat off", "chassis: {" + sides + ", volume_l: 25}", []string{"MARGINAL entry margin -3.4 l"}},
		{"a side that is missing", "chassis: {width_mm: 190, height_mm: 272, volume_l: 18}", []string{"UNKNOWN entry missing items[0].part.chassis.depth_mm"}},
		{"a side that is wrong already is not the volume's fault", "chassis: {width_mm: 19, height_mm: 272, depth_mm: 348, volume_l: 18}", nil},
		{"no volume", "chassis: {" + sides + "}", nil},
	})
}
