package audit

import "testing"

func TestFanCurve(t *testing.T) {
	const curve = "curve: [{flow_m3h: 0, pressure_pa: 17}, {flow_m3h: 46, pressure_pa: 10}, {flow_m3h: 94, pressure_pa: 0}]"
	table(t, "audit.fan-curve", []row{
		{"the ends of the curve", "fan: {max_flow_m3h: 94, max_pressure_pa: 17, " + curve + "}", []string{"PASS entry"}},
		{"another flow", "fan: {max_flow_m3h: 120, max_pressure_pa: 17, " + curve + "}", []string{"FAIL entry margin -16.6 m3/h"}},
		{"another pressure", "fan: {max_flow_m3h: 94, max_pressure_pa: 14, " + curve + "}", []string{"FAIL entry margin -1.3 Pa"}},
		{"no curve", "fan: {max_flow_m3h: 94}", nil},
		{"a curve that stops halfway", "fan: {max_flow_m3h: 200, curve: [{flow_m3h: 10, pressure_pa: 17}, {flow_m3h: 46, pressure_pa: 10}]}", nil},
	})
}
