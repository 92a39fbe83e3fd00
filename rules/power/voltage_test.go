package power_test

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

// extended is the strip with a card of 150 W behind an extension.
func extended(t *testing.T, millimetres string, pairs ...string) string {
	return edited(t, edited(t, strip, "12v-2x6", "pcie-8", "sustained_w: 600", "sustained_w: 150", "gauge_awg: 16, power_wires: 6", "gauge_awg: 18, power_wires: 3",
		"- id: supply", "- {id: extension, part: {name: Reach, cable: {from: pcie-8, ends: [{connector: pcie-8, length_mm: "+millimetres+"}], gauge_awg: 18, power_wires: 3}}}\n- id: supply"), pairs...)
}

func TestVoltage(t *testing.T) {
	edge := map[string]float64{"power.voltage.allowance_share": 1, "tolerance.power_share": 0}
	kittest.Table(t, power.Pack(), "power.voltage", []kittest.Row{
		{Name: "the supply's own cable is covered by its guide (design guide 336521, 4.2.1)", Build: edited(t, strip), Policy: edge, Want: []string{"PASS card margin 0.87 V"}},
		{Name: "0.6 m of 18 AWG for 150 W lose 0.12 V in the wire at 60 °C, and contacts as much again at worst: inside what a usual supply leaves (wire table; table 3-5)",
			Build: extended(t, "600"), Want: []string{"PASS card,extension margin 0.75 V"}},
		{Name: "1.2 m of it behind a supply at 11.20 V go below the 11.04 V of a card (the same)", Build: extended(t, "1200"), Policy: edge,
			Want: []string{"MARGINAL card,extension margin 0.63 V"}},
		{Name: "5 m of it fail by themselves", Build: extended(t, "5000", "gauge_awg: 18, power_wires: 3}}}", "gauge_awg: 22, power_wires: 3}}}"),
			Want: []string{"FAIL card,extension margin -2.53 V"}},
		{Name: "a wire that cannot bring the power at all", Build: extended(t, "5000", "gauge_awg: 18, power_wires: 3}}}", "gauge_awg: 32, power_wires: 3}}}"),
			Want: []string{"FAIL card"}},
		{Name: "length not stated, where a long one would be too much", Build: extended(t, "600", "length_mm: 600}], gauge_awg: 18", "sense_w: 150}], gauge_awg: 24"), Policy: edge,
			Want: []string{"UNKNOWN supply missing items[3].part.cable.ends"}},
		{Name: "gauge not stated, where a thin one would be too much", Build: extended(t, "1200", "gauge_awg: 18, power_wires: 3}}}", "power_wires: 3}}}"), Policy: edge,
			Want: []string{"UNKNOWN supply missing items[3].part.cable.gauge_awg"}},
		{Name: "draw not known", Build: edited(t, strip, "demand: {sustained_w: 600}, ", ""), Want: []string{"UNKNOWN supply missing items[2].part.card.demand.sustained_w"}},
		{Name: "short peaks count", Build: extended(t, "1200", "demand: {sustained_w: 150}", "demand: {sustained_w: 150, excursions: [{power_w: 600, duration_ms: 1}]}"),
			Want: []string{"FAIL card,extension margin -0.5 V"}},
	})
}
