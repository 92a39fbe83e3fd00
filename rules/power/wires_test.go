package power_test

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

func TestWires(t *testing.T) {
	with := func(pairs ...string) string { return edited(t, strip, pairs...) }
	kittest.Table(t, power.Pack(), "power.wires", []kittest.Row{
		{Name: "16 AWG carries a card of 360 W without getting warm", Build: with("sustained_w: 600", "sustained_w: 360"), Want: []string{"PASS card margin 36.5 °C"}},
		{Name: "18 AWG carries 450 W of it tightly", Build: with("sustained_w: 600", "sustained_w: 450", "gauge_awg: 16", "gauge_awg: 18"), Want: []string{"MARGINAL card margin 18.3 °C"}},
		{Name: "24 AWG cooks (3.5 A in free air by the handbook of electronic tables)", Build: with("gauge_awg: 16", "gauge_awg: 24"), Want: []string{"FAIL card margin -241.5 °C"}},
		{Name: "warmer air by policy", Build: with("sustained_w: 600", "sustained_w: 450"), Policy: map[string]float64{"power.wires.inside_rise_k": 45}, Want: []string{"MARGINAL card margin 0.4 °C"}},
		{Name: "gauge not stated and load small: any usual wire bears it", Build: with("sustained_w: 600", "sustained_w: 150", "gauge_awg: 16, ", ""), Want: []string{"PASS card margin 45.7 °C"}},
		{Name: "gauge not stated and load heavy", Build: with("gauge_awg: 16, ", ""), Want: []string{"UNKNOWN supply missing items[3].part.supply.cables[0].gauge_awg"}},
		{Name: "room not stated and load small", Build: with("sustained_w: 600", "sustained_w: 150", "room: {temperature_c: 22}\n", ""), Want: []string{"PASS card margin 45.7 °C"}},
		{Name: "room not stated and load heavy", Build: with("room: {temperature_c: 22}\n", ""), Want: []string{"UNKNOWN supply missing room.temperature_c"}},
		{Name: "draw not known", Build: with("demand: {sustained_w: 600}, ", ""), Want: []string{"UNKNOWN supply missing items[2].part.card.demand.sustained_w"}},
		{Name: "no cable to the card", Build: with("ends: [{connector: 12v-2x6", "ends: [{connector: sata-power"), Want: nil},
	})
}
