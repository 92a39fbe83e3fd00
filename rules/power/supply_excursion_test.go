package power_test

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

// peaky has sustained demands of nothing, so that a peak is all that counts.
const peaky = `
items:
- {id: board, part: {board: {demand: {sustained_w: 0}}}}
- {id: cpu, part: {processor: {demand: {sustained_w: 0, excursions: [{power_w: PEAK, duration_ms: LASTS}]}}}}
- {id: supply, part: {supply: {rated_w: RATED, guide: atx12vo-2.01, cables: [{ends: [{connector: PLUG}]}]}}}
`

func TestSupplyExcursion(t *testing.T) {
	exact := map[string]float64{"tolerance.power_share": 0}
	with := func(peak, lasts, rated, plug string) string {
		return edited(t, peaky, "PEAK", peak, "LASTS", lasts, "RATED", rated, "PLUG", plug)
	}
	rows := []kittest.Row{
		{Name: "450 W without 12VHPWR bears 150 % for 100 us (ATX12VO guide 2.01, table 3-3)", Policy: exact,
			Build: with("700", "0.1", "450", "pcie-8"), Want: []string{"FAIL supply,cpu margin -25 W"}},
		{Name: "750 W with 12VHPWR bears 200 % for 100 us (table 3-3)", Policy: exact,
			Build: with("1500", "0.1", "750", "12vhpwr"), Want: []string{"PASS supply,cpu margin 0 W"}},
		{Name: "the same supply without the connector bears 150 % (table 3-3)", Policy: exact,
			Build: with("1500", "0.1", "750", "pcie-8"), Want: []string{"FAIL supply,cpu margin -375 W"}},
	}
	// The published example of the guide, table 3-4: a 1000 W supply.
	for _, r := range []struct{ name, peak, lasts string }{
		{"2000 W for 100 us", "2000", "0.1"}, {"1800 W for 1 ms", "1800", "1"},
		{"1600 W for 10 ms", "1600", "10"}, {"1200 W for 100 ms", "1200", "100"}, {"1000 W for longer", "1000", "101"},
	} {
		rows = append(rows, kittest.Row{Name: r.name + " on 1000 W (ATX12VO guide 2.01, table 3-4)", Policy: exact,
			Build: with(r.peak, r.lasts, "1000", "12v-2x6"), Want: []string{"PASS supply,cpu margin 0 W"}})
	}
	rows = append(rows,
		kittest.Row{Name: "a peak as printed that may be higher", Build: with("2000", "0.1", "1000", "12v-2x6"),
			Want: []string{"MARGINAL supply,cpu margin 0 W"}},
		kittest.Row{Name: "more of the time than the row allows takes the next row", Policy: exact,
			Build: edited(t, with("1900", "0.1", "1000", "12v-2x6"), "duration_ms: 0.1", "duration_ms: 0.1, duty_share: 0.08"),
			Want:  []string{"FAIL supply,cpu margin -100 W"}},
		// At 10 ms: 290 + 470 + 70.8 W of the rest = 830.8 of 1600 W; at 1 ms:
		// 290 + 620 + 70.8 = 980.8 of 1800 W.
		kittest.Row{Name: "peaks of different length add up while both last", Build: workstation,
			Want: []string{"PASS supply,cpu,card margin 769 W"}},
		kittest.Row{Name: "an older guide promises nothing above the rating", Build: changed(t, "atx-3.1", "atx-2.52"),
			Want: []string{"MARGINAL supply,cpu,card margin 19.2 W"}},
		kittest.Row{Name: "no guide promises nothing either", Build: changed(t, "guide: atx-3.1", "quiet_share: 0.3", "rated_w: 1000", "rated_w: 850"),
			Want: []string{"FAIL supply,cpu,card margin -131 W"}},
		kittest.Row{Name: "missing peaks are named", Build: changed(t, ", excursions: [{power_w: 290, duration_ms: 10}]", ""),
			Want: []string{"UNKNOWN supply,card missing items[1].part.processor.demand.excursions"}},
		kittest.Row{Name: "known peaks can fail alone", Build: changed(t, ", excursions: [{power_w: 290, duration_ms: 10}]", "", "power_w: 620", "power_w: 1620"),
			Want: []string{"FAIL supply,card margin -121 W missing items[1].part.processor.demand.excursions"}},
		kittest.Row{Name: "no peaks at all", Build: changed(t, ", excursions: [{power_w: 290, duration_ms: 10}]", "",
			", excursions: [{power_w: 620, duration_ms: 1}, {power_w: 470, duration_ms: 10}]", ""),
			Want: []string{"UNKNOWN supply missing items[1].part.processor.demand.excursions items[3].part.card.demand.excursions"}},
		kittest.Row{Name: "a missing sustained demand", Build: changed(t, "memory: {modules: 2, demand: {sustained_w: 6}}", "memory: {}"),
			Want: []string{"UNKNOWN supply,cpu,card missing items[2].part.memory.demand.sustained_w"}},
		kittest.Row{Name: "a missing rating", Build: changed(t, "rated_w: 1000", "quiet_share: 0.3"),
			Want: []string{"UNKNOWN supply missing items[7].part.supply.rated_w"}},
		kittest.Row{Name: "a card fed by its slot has no peaks that count", Build: changed(t,
			"power_sockets: [{connector: 12v-2x6}]", "slots: 1", "sustained_w: 360, excursions: [{power_w: 620, duration_ms: 1}, {power_w: 470, duration_ms: 10}]", "sustained_w: 60"),
			Want: []string{"PASS supply,cpu margin 1179 W"}},
		kittest.Row{Name: "no supply", Build: edited(t, pair, "- {id: supply, part: {supply: {rated_w: 200}}}\n", ""), Want: []string{"UNKNOWN missing items"}},
		kittest.Row{Name: "neither processor nor card", Build: "items: [{id: fan, part: {fan: {}}}]", Want: nil},
	)
	kittest.Table(t, power.Pack(), "power.supply-excursion", rows)
}
