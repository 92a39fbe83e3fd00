package power_test

import (
	"math"
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
	"slipfit.example/rules/standards"
)

// socket is a supply that delivers WATTS at an efficiency and a power factor.
const socket = `
items:
- {id: board, part: {board: {demand: {sustained_w: 0}}}}
- {id: cpu, part: {processor: {demand: {sustained_w: 1}}}}
- {id: supply, part: {supply: {rated_w: 2000, inlet: c14, power_factor: FACTOR, efficiencies: [{load_share: 0.01, efficiency: SHARE}]}}}
use: {loads: [{item: cpu, power_w: WATTS}]}
room: {mains_v: VOLTS}
`

func TestMains(t *testing.T) {
	with := func(watts, share, factor, volts string, pairs ...string) string {
		return edited(t, edited(t, socket, "WATTS", watts, "SHARE", share, "FACTOR", factor, "VOLTS", volts), pairs...)
	}
	gold := func(pairs ...string) string {
		build := with("1200", "0.9", "0.95", "115", "efficiencies: [{load_share: 0.01, efficiency: 0.9}]", "efficiency_mark: 80plus-gold",
			"rated_w: 2000", "rated_w: 1200")
		return edited(t, build, pairs...)
	}
	kittest.Table(t, power.Pack(), "power.mains", []kittest.Row{
		{Name: "1200 W at 87 % and 115 V with factor 1.00 is 11.99 A, under the 12 A of a 15 A circuit (80 PLUS Gold row; NFPA 70, 210.20(A))",
			Build: gold("power_factor: 0.95", "power_factor: 1", "mains_v: 115", "mains_v: 115, branch_a: 15"),
			Want:  []string{"MARGINAL supply margin 3.01 A", "PASS supply margin 0.01 A"}},
		{Name: "with factor 0.95 it is 12.63 A, over it (the same)", Build: gold("mains_v: 115", "mains_v: 115, branch_a: 15"),
			Want: []string{"MARGINAL supply margin 2.37 A", "FAIL supply margin -0.63 A"}},
		{Name: "12.63 A passes a C13 by the North American listing alone (IEC 60320-1)", Build: gold(),
			Want: []string{"MARGINAL supply margin 2.37 A"}},
		{Name: "the same current at 230 V stands against the international 10 A", Build: with("2000", "0.8", "0.86", "230", "rated_w: 2000", "rated_w: 2500"),
			Want: []string{"FAIL supply margin -2.64 A"}},
		{Name: "a C20 inlet carries it (IEC 60320-1)", Build: with("2000", "0.8", "0.86", "230", "c14", "c20"),
			Want: []string{"PASS supply margin 3.36 A"}},
		{Name: "small inlets carry 2.5 A (from memory)", Build: with("500", "0.9", "0.9", "230", "c14", "c6"),
			Want: []string{"FAIL supply margin -0.18 A"}},
		{Name: "12.0 A for hours on a 15 A breaker passes (NFPA 70, 210.20(A))", Build: with("1152", "0.8", "1", "120", "mains_v: 120", "mains_v: 120, branch_a: 15"),
			Want: []string{"MARGINAL supply margin 3 A", "PASS supply margin 0 A"}},
		{Name: "12.1 A does not", Build: with("1161.6", "0.8", "1", "120", "mains_v: 120", "mains_v: 120, branch_a: 15"),
			Want: []string{"MARGINAL supply margin 2.9 A", "FAIL supply margin -0.1 A"}},
		{Name: "less than three hours is not continuous (NFPA 70, article 100)", Build: with("1161.6", "0.8", "1", "120",
			"mains_v: 120", "mains_v: 120, branch_a: 15", "use: {", "use: {hours_per_day: 2, "),
			Want: []string{"MARGINAL supply margin 2.9 A", "MARGINAL supply margin -0.1 A"}},
		{Name: "three hours are", Build: with("1161.6", "0.8", "1", "120", "mains_v: 120", "mains_v: 120, branch_a: 15", "use: {", "use: {hours_per_day: 3, "),
			Want: []string{"MARGINAL supply margin 2.9 A", "FAIL supply margin -0.1 A"}},
		{Name: "what else runs on the circuit counts", Build: with("576", "0.8", "1", "120", "mains_v: 120", "mains_v: 120, branch_a: 15, branch_other_w: 960"),
			Want: []string{"PASS supply margin 9 A", "FAIL supply margin -2 A"}},
		{Name: "a code that lets the whole breaker be used", Build: with("1161.6", "0.8", "1", "120", "mains_v: 120", "mains_v: 120, branch_a: 15"),
			Policy: map[string]float64{"power.mains.continuous_share": 1}, Want: []string{"MARGINAL supply margin 2.9 A", "PASS supply margin 2.9 A"}},
		{Name: "tolerance of published demands", Build: with("1", "0.8", "1", "230", "use: {loads: [{item: cpu, power_w: 1}]}\n", "", "sustained_w: 1}", "sustained_w: 1825}"),
			Want: []string{"MARGINAL supply margin 0.08 A"}},
		{Name: "without a mains voltage the lowest one that supplies take passes", Build: with("500", "0.9", "0.95", "230", "room: {mains_v: 230}\n", ""),
			Want: []string{"PASS supply margin 8.5 A"}},
		{Name: "or leaves it open", Build: with("1000", "0.9", "0.95", "230", "room: {mains_v: 230}\n", ""),
			Want: []string{"UNKNOWN supply missing room.mains_v"}},
		{Name: "a circuit without a voltage", Build: with("500", "0.9", "0.95", "230", "mains_v: 230", "branch_a: 15"),
			Want: []string{"PASS supply margin 8.5 A", "PASS supply margin 5.5 A"}},
		{Name: "a mark that tells no efficiency at all", Build: gold("efficiency_mark: 80plus-gold", "quiet_share: 0.3"),
			Want: []string{"UNKNOWN supply missing items[2].part.supply.efficiency_mark"}},
		{Name: "an unknown mark", Build: gold("80plus-gold", "green-leaf"), Want: []string{"UNKNOWN supply missing items[2].part.supply.efficiencies"}},
		{Name: "no power factor and no mark", Build: with("500", "0.9", "1", "230", "power_factor: 1, ", ""),
			Want: []string{"UNKNOWN supply missing items[2].part.supply.power_factor"}},
		{Name: "a mark promises a power factor of 0.9 (80 PLUS programme)", Build: gold("power_factor: 0.95, ", "", "mains_v: 115", "mains_v: 230"),
			Want: []string{"PASS supply margin 3.49 A"}},
		{Name: "no inlet", Build: with("500", "0.9", "0.9", "230", "inlet: c14, ", ""), Want: []string{"UNKNOWN supply missing items[2].part.supply.inlet"}},
		{Name: "an inlet that no table has", Build: with("500", "0.9", "0.9", "230", "c14", "c99"), Want: []string{"UNKNOWN supply missing items[2].part.supply.inlet"}},
		{Name: "no rating", Build: with("500", "0.9", "0.9", "230", "rated_w: 2000, ", ""), Want: []string{"UNKNOWN supply missing items[2].part.supply.rated_w"}},
		{Name: "a missing demand", Build: with("500", "0.9", "0.9", "230", "board: {demand: {sustained_w: 0}}", "board: {}", "mains_v: 230", "mains_v: 230, branch_a: 16"),
			Want: []string{"UNKNOWN supply missing items[0].part.board.demand.sustained_w", "UNKNOWN supply missing items[0].part.board.demand.sustained_w"}},
		{Name: "the known part can fail alone", Build: with("2000", "0.8", "0.86", "230", "board: {demand: {sustained_w: 0}}", "board: {}"),
			Want: []string{"FAIL supply margin -2.64 A missing items[0].part.board.demand.sustained_w"}},
		{Name: "no supply", Build: edited(t, pair, "- {id: supply, part: {supply: {rated_w: 200}}}\n", ""), Want: []string{"UNKNOWN missing items"}},
	})
}

// The current and the supply's heat by the rule against standards.ACLoadOf.
// 500 W at 90 % draw 555.6 W and leave 55.6 W in the supply (energy balance).
func TestMainsAgreesWithTheLoadFormula(t *testing.T) {
	want, err := standards.ACLoadOf(500, 0.9, 230, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	build := edited(t, socket, "WATTS", "500", "SHARE", "0.9", "FACTOR", "0.95", "VOLTS", "230")
	for _, f := range kittest.Evaluate(t, evaluator(t), kittest.Row{Build: build}).Findings {
		if f.GetRule() == "power.mains" && math.Abs(f.Measured.GetNominal()-want.Ampere) > 1e-9 {
			t.Errorf("the rule measures %g A, the formula %g A", f.Measured.GetNominal(), want.Ampere)
		}
	}
	if heat := demandOf(t, build).GetSupplyHeatW(); math.Abs(heat-want.HeatW) > 1e-9 || math.Abs(heat-55.5556) > 1e-3 {
		t.Errorf("the supply keeps %g W, the formula says %g W", heat, want.HeatW)
	}
}
