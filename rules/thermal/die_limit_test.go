package thermal_test

import (
	"math"
	"strings"
	"testing"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/thermal"
)

// chain is a processor of 100 W: 0.45 K/W from lid to air, 0.08 K/W from die to
// lid, 53 K in all, in a room of 25 degrees at sea level.
const chain = `
items:
- {id: cpu, part: {name: Wren 8, processor: {limit_c: 95, lid_resistance_k_per_w: 0.08}}}
- {id: cooler, part: {name: Dusk, air_cooler: {rated_heat_w: 200, rated_rise_k: 90, fans: [{fan: {max_speed_rpm: 2000}}]}}}
room: {temperature_c: 25, altitude_m: 0}
use: {case_flow_m3h: 1000, loads: [{item: cpu, power_w: 100}]}
`

// alone leaves out what the enclosure adds, and how far published watts are off.
var alone = map[string]float64{"thermal.die-limit.preheat_share": 0, "tolerance.power_share": 0}

func TestDieLimit(t *testing.T) {
	with := func(pairs ...string) string { return edited(t, chain, pairs...) }
	const points = "resistances: [{speed_rpm: 1000, resistance_k_per_w: 0.6}, {speed_rpm: 2000, resistance_k_per_w: 0.4}]"
	kittest.Table(t, thermal.Pack(), "thermal.die-limit", []kittest.Row{
		{Name: "53 K above a room of 25 degrees is 78 degrees (resistances in series)", Build: chain, Policy: alone, Want: []string{"PASS cooler,cpu margin 17 °C"}},
		{Name: "in a room of 42 it is at the limit", Build: with("temperature_c: 25", "temperature_c: 42"), Policy: alone, Want: []string{"PASS cooler,cpu margin 0 °C"}},
		{Name: "in a room of 43 it is over", Build: with("temperature_c: 25", "temperature_c: 43"), Policy: alone, Want: []string{"FAIL cooler,cpu margin -1 °C"}},
		{Name: "watts that may be off make it tight", Build: with("temperature_c: 25", "temperature_c: 41"),
			Policy: map[string]float64{"thermal.die-limit.preheat_share": 0}, Want: []string{"MARGINAL cooler,cpu margin 1 °C"}},
		// 300 W in 100 m3/h of this room's air: 9.07 K, half of it at the cooler.
		{Name: "the enclosure's rise reaches the cooler in part", Build: with("case_flow_m3h: 1000", "case_flow_m3h: 100"), Facts: draws(300), Want: []string{"PASS cooler,cpu margin 12.5 °C"}},
		{Name: "or whole at worst", Build: with("case_flow_m3h: 1000", "case_flow_m3h: 100", "temperature_c: 25", "temperature_c: 36"), Facts: draws(300), Want: []string{"MARGINAL cooler,cpu margin 1.3 °C"}},
		{Name: "thin air cools less: 45 K x (1.204/1.005)^0.65 (boundary-layer theory)", Build: with("altitude_m: 0", "altitude_m: 1500"), Policy: alone, Want: []string{"PASS cooler,cpu margin 11.4 °C"}},
		{Name: "slow fans cool less: 45 K x 2^0.65 (boundary-layer theory)", Build: with("use: {", "use: {fans: [{item: cooler, speed_rpm: 1000}], "), Policy: alone, Want: []string{"FAIL cooler,cpu margin -8.6 °C"}},
		{Name: "published resistance at the greatest speed", Build: with("rated_heat_w: 200, rated_rise_k: 90", points), Policy: alone, Want: []string{"PASS cooler,cpu margin 22 °C"}},
		{Name: "between two speeds", Build: with("rated_heat_w: 200, rated_rise_k: 90", points, "use: {", "use: {fans: [{item: cooler, speed_rpm: 1500}], "), Policy: alone, Want: []string{"PASS cooler,cpu margin 12 °C"}},
		{Name: "slower than any point", Build: with("rated_heat_w: 200, rated_rise_k: 90", points, "use: {", "use: {fans: [{item: cooler, speed_rpm: 500}], "), Policy: alone,
			Want: []string{"UNKNOWN cooler,cpu missing items[1].part.air_cooler.resistances"}},
		{Name: "points by flow alone are a range", Build: with("rated_heat_w: 200, rated_rise_k: 90", "resistances: [{flow_m3h: 50, resistance_k_per_w: 0.8}, {flow_m3h: 100, resistance_k_per_w: 0.4}]"), Policy: alone,
			Want: []string{"MARGINAL cooler,cpu margin 2 °C"}},
		{Name: "an assumed rise never fails while its favourable end meets", Build: with(", rated_rise_k: 90", "", "temperature_c: 25", "temperature_c: 36", "power_w: 100", "power_w: 180"), Policy: alone,
			Want: []string{"MARGINAL cooler,cpu margin -0.4 °C"}},
		{Name: "and fails where it does not", Build: with(", rated_rise_k: 90", "", "power_w: 100", "power_w: 400"), Policy: alone,
			Want: []string{"FAIL cooler,cpu margin -62 °C"}},
		{Name: "an assumed resistance to the lid", Build: with(", lid_resistance_k_per_w: 0.08", ""), Policy: alone, Want: []string{"PASS cooler,cpu margin 10 °C"}},
		{Name: "another default", Build: with(", lid_resistance_k_per_w: 0.08", ""), Policy: map[string]float64{
			"thermal.die-limit.preheat_share": 0, "tolerance.power_share": 0, "thermal.die-limit.lid_k_per_w": 0.2}, Want: []string{"MARGINAL cooler,cpu margin 5 °C"}},
		{Name: "a loop is a cooler", Build: with("air_cooler: {", "liquid_loop: {radiator: {nominal_mm: 240}, "), Policy: alone, Want: []string{"PASS cooler,cpu margin 17 °C"}},

		{Name: "no room", Build: with("temperature_c: 25, ", ""), Policy: alone, Want: []string{"UNKNOWN cooler,cpu missing room.temperature_c"}},
		{Name: "no limit", Build: with("limit_c: 95, ", ""), Policy: alone, Want: []string{"UNKNOWN cooler,cpu missing items[0].part.processor.limit_c"}},
		{Name: "no power", Build: with(", loads: [{item: cpu, power_w: 100}]", ""), Policy: alone, Want: []string{"UNKNOWN cooler,cpu missing items[0].part.processor.demand.sustained_w"}},
		{Name: "no rating", Build: with("rated_heat_w: 200, ", ""), Policy: alone, Want: []string{"UNKNOWN cooler,cpu missing items[1].part.air_cooler.rated_heat_w"}},
		{Name: "no fact", Build: chain, Want: []string{"UNKNOWN cooler,cpu missing power.demand"}},
		{Name: "a demand with gaps", Build: chain, Facts: draws(100, "items[1].part.board.demand.sustained_w"), Want: []string{"UNKNOWN cooler,cpu missing items[1].part.board.demand.sustained_w"}},
		{Name: "no flow", Build: with("case_flow_m3h: 1000, ", ""), Facts: draws(100), Want: []string{"UNKNOWN cooler,cpu missing use.case_flow_m3h"}},
		{Name: "a cooler whose fan stands still", Build: with("use: {", "use: {fans: [{item: cooler, speed_rpm: 0}], "), Policy: alone, Want: []string{"UNKNOWN cooler,cpu missing items[1].part.air_cooler.resistances"}},
		{Name: "a slowed cooler without a greatest speed", Build: with(", fans: [{fan: {max_speed_rpm: 2000}}]", "", "use: {", "use: {fans: [{item: cooler, speed_rpm: 900}], "), Policy: alone,
			Want: []string{"UNKNOWN cooler,cpu missing items[1].part.air_cooler.fans"}},
		{Name: "no cooler", Build: "items: [{id: cpu, part: {processor: {cores: 8}}}]", Want: []string{"UNKNOWN cpu missing items"}},
		{Name: "no processor", Build: "items: [{id: cooler, part: {air_cooler: {}}}]", Want: []string{"UNKNOWN cooler missing items"}},
		{Name: "neither", Build: "items: [{id: fan, part: {fan: {}}}]", Want: nil},
	})
}

// A reading of 78 degrees that is 53 K above the room was taken in a room of 25
// (common practice, no source): the rule names reading, rise and room, and they
// add up.
func TestReadingOf78WithARiseOf53MeansARoomOf25(t *testing.T) {
	f := findingOf(t, "thermal.die-limit", kittest.Row{Build: chain, Policy: alone})
	if got := f.Measured.GetNominal(); math.Abs(got-78) > 1e-9 {
		t.Fatalf("the processor comes to %g degrees, want 78", got)
	}
	said := map[string]float64{}
	for _, a := range f.Summary.Arguments {
		said[a.GetName()] = a.Value.GetNominal()
	}
	if math.Abs(said["rise"]-53) > 1e-9 || said["room"] != 25 || math.Abs(said["measured"]-said["rise"]-said["room"]) > 1e-9 {
		t.Errorf("the text says %v, want a rise of 53 in a room of 25", said)
	}
	if text := f.Summary.GetText(); !strings.Contains(text, "78 °C, 53 K above the room of 25 °C") {
		t.Errorf("the text hides the room: %s", text)
	}
	if got := thermal.RiseAboveRoom(78, 25); got != 53 {
		t.Errorf("78 degrees in a room of 25 are %g K above it", got)
	}
	warm := findingOf(t, "thermal.die-limit", kittest.Row{Build: edited(t, chain, "temperature_c: 25", "temperature_c: 30"), Policy: alone})
	if got := warm.Measured.GetNominal(); math.Abs(got-83) > 1e-9 || warm.GetVerdict() != kit.Pass {
		t.Errorf("in a room of 30 the same build comes to %g degrees, want 83", got)
	}
}
