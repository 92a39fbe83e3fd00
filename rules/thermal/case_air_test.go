package thermal_test

import (
	"math"
	"testing"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/thermal"
)

// fifty is 50 cubic feet per minute in m3/h: 50 x 0.3048^3 x 60 (exact foot).
const fifty = "84.95053983"

func TestCaseAir(t *testing.T) {
	given := func(flow, room string) string {
		return "items: [{id: card, part: {card: {}}}]\nuse: {case_flow_m3h: " + flow + "}\nroom: " + room
	}
	const sea = "{temperature_c: 20, altitude_m: 0}"
	fans := func(list string, rest string) string { return "items: [" + list + "]\nroom: " + sea + rest }
	const fan = "{id: fan, part: {fan: {max_speed_rpm: 1500, max_flow_m3h: 100}}}"
	const other = "{id: other, part: {fan: {max_speed_rpm: 1500, max_flow_m3h: 60}}}"
	// 100 W at 20 degrees and sea level, rho cp = 1.2041 x 1006.1: 297.2/Q K for Q in m3/h.
	kittest.Table(t, thermal.Pack(), "thermal.case-air", []kittest.Row{
		{Name: "300 W at 50 CFM warm by 10.5 K (energy balance, rho 1.204, cp 1006)", Build: given(fifty, sea), Facts: draws(300), Want: []string{"PASS margin 4.5 K"}},
		{Name: "the same at 1500 m by 12.6 K (U.S. Standard Atmosphere 1976)", Build: given(fifty, "{temperature_c: 20, altitude_m: 1500}"), Facts: draws(300), Want: []string{"PASS margin 2.4 K"}},
		{Name: "a given flow that misses fails", Build: given("50", sea), Facts: draws(300), Want: []string{"FAIL margin -2.8 K"}},
		{Name: "a demand that may be higher", Build: given("60", sea), Facts: drawsBetween(300, 280, 320), Want: []string{"MARGINAL margin 0.1 K"}},
		{Name: "a limit of its own", Build: given(fifty, sea), Facts: draws(300), Policy: map[string]float64{"thermal.case-air.max_rise_k": 5}, Want: []string{"FAIL margin -5.5 K"}},
		{Name: "a room that does not say widens the range", Build: given("60.5", "{}"), Facts: draws(300), Want: []string{"MARGINAL margin 0.2 K"}},

		{Name: "one fan delivers half its free flow", Build: fans(fan, "\narrangement: {placements: [{item: fan, flow: FLOW_EXHAUST}]}"), Facts: draws(100), Want: []string{"PASS margin 9.1 K"}},
		{Name: "another share", Build: fans(fan, "\narrangement: {placements: [{item: fan, flow: FLOW_EXHAUST}]}"), Facts: draws(100),
			Policy: map[string]float64{"thermal.case-air.delivered_share": 0.25}, Want: []string{"MARGINAL margin 3.1 K"}},
		{Name: "the stronger direction counts", Build: fans(fan+", "+other, "\narrangement: {placements: [{item: fan, flow: FLOW_EXHAUST}, {item: other, flow: FLOW_INTAKE}]}"), Facts: draws(100),
			Want: []string{"PASS margin 9.1 K"}},
		{Name: "fans one way add up", Build: fans(fan+", "+other, "\narrangement: {placements: [{item: fan, flow: FLOW_INTAKE}, {item: other, flow: FLOW_INTAKE}]}"), Facts: draws(100),
			Want: []string{"PASS margin 11.3 K"}},
		{Name: "fans that do not say blow half each way", Build: fans(fan, ""), Facts: draws(100), Want: []string{"MARGINAL margin 3.1 K"}},
		{Name: "counts multiply", Build: fans("{id: fan, count: 2, part: {fan: {max_flow_m3h: 100}}}", ""), Facts: draws(100), Want: []string{"PASS margin 9.1 K"}},
		{Name: "the flow goes with the speed", Build: fans("{id: fan, count: 4, part: {fan: {max_speed_rpm: 1500, max_flow_m3h: 100}}}", "\nuse: {fans: [{item: fan, speed_rpm: 750}]}"), Facts: draws(100),
			Want: []string{"PASS margin 9.1 K"}},
		{Name: "fans of a radiator move the case's air", Build: fans("{id: loop, part: {liquid_loop: {radiator: {}, fans: [{count: 2, fan: {max_flow_m3h: 100}}]}}}", ""), Facts: draws(100),
			Want: []string{"PASS margin 9.1 K"}},
		{Name: "a curve ends at the free flow", Build: fans("{id: fan, count: 2, part: {fan: {curve: [{flow_m3h: 0, pressure_pa: 20}, {flow_m3h: 100, pressure_pa: 0}]}}}", ""), Facts: draws(100),
			Want: []string{"PASS margin 9.1 K"}},
		{Name: "an estimate that may still suffice is marginal", Build: fans(fan, ""), Facts: draws(150), Want: []string{"MARGINAL margin -2.8 K"}},
		{Name: "an estimate warns even where its favourable end misses", Build: fans(fan, ""), Facts: draws(300), Want: []string{"MARGINAL margin -20.7 K"}},

		{Name: "no fact", Build: given(fifty, sea), Want: []string{"UNKNOWN missing power.demand"}},
		{Name: "a demand with gaps", Build: given(fifty, sea), Facts: draws(300, "items[0].part.card.demand.sustained_w"),
			Want: []string{"UNKNOWN missing items[0].part.card.demand.sustained_w"}},
		{Name: "the known demand can fail alone", Build: given("50", sea), Facts: draws(300, "items[0].part.card.demand.sustained_w"),
			Want: []string{"FAIL margin -2.8 K missing items[0].part.card.demand.sustained_w"}},
		{Name: "an estimate with gaps fails only for certain", Build: fans(fan, ""), Facts: draws(150, "items"), Want: []string{"UNKNOWN missing items"}},
		{Name: "no fans and no flow", Build: "items: [{id: card, part: {card: {}}}]", Facts: draws(100), Want: []string{"UNKNOWN missing use.case_flow_m3h"}},
		{Name: "fans that stand still", Build: fans(fan, "\nuse: {fans: [{item: fan, speed_rpm: 0}]}"), Facts: draws(100), Want: []string{"UNKNOWN missing use.case_flow_m3h"}},
		{Name: "a fan without a flow", Build: fans("{id: fan, part: {fan: {size_mm: 120}}}", ""), Facts: draws(100), Want: []string{"UNKNOWN missing items[0].part.fan.max_flow_m3h"}},
		{Name: "a slowed fan without a speed", Build: fans("{id: fan, part: {fan: {max_flow_m3h: 100}}}", "\nuse: {fans: [{item: fan, speed_rpm: 750}]}"), Facts: draws(100),
			Want: []string{"UNKNOWN missing items[0].part.fan.max_speed_rpm"}},
	})
}

// The rise to three decimals, by the energy balance P/(rho cp Q): 300 W at 50 CFM
// with rho 1.204 and cp 1006 give 10.496 K, and at 84556 Pa and 20 degrees,
// ASHRAE's standard pressure at 1500 m, 12.577 K.
func TestCaseAirRiseByHand(t *testing.T) {
	for _, c := range []struct {
		altitude        string
		want, tolerance float64
	}{{"0", 10.496, 0.01}, {"1500", 12.577, 0.02}} {
		f := findingOf(t, "thermal.case-air", kittest.Row{Facts: draws(300),
			Build: "items: [{id: card, part: {card: {}}}]\nuse: {case_flow_m3h: " + fifty + "}\nroom: {temperature_c: 20, altitude_m: " + c.altitude + "}"})
		if got := f.Measured.GetNominal(); math.Abs(got-c.want) > c.tolerance {
			t.Errorf("at %s m the air warms by %g K, want %g", c.altitude, got, c.want)
		}
	}
}

// An electronics cooling handbook's example: 800 W at 3 K with air of 35 degrees
// and 98.066 kPa, which stands 277 m high, want 0.265 kg/s, 0.2393 m3/s.
func TestCaseAirNeededFlowByHandbook(t *testing.T) {
	f := findingOf(t, "thermal.case-air", kittest.Row{Facts: draws(800), Policy: map[string]float64{"thermal.case-air.max_rise_k": 3},
		Build: "items: [{id: card, part: {card: {}}}]\nuse: {case_flow_m3h: 100}\nroom: {temperature_c: 35, altitude_m: 277}"})
	if f.GetVerdict() != kit.Fail || len(f.Remedies) == 0 {
		t.Fatalf("verdict %v without a remedy", f.GetVerdict())
	}
	if got, want := f.Remedies[0].Change.GetNominal(), 0.2393*3600; math.Abs(got-want) > 0.005*want {
		t.Errorf("the remedy asks for %g m3/h, the handbook for %g", got, want)
	}
}
