package power_test

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

// pair is a computer of few parts: 50 + 100 W with room for a third.
const pair = `
items:
- {id: board, part: {board: {demand: {sustained_w: 50}}}}
- {id: cpu, part: {processor: {demand: {sustained_w: 100}}}}
- {id: supply, part: {supply: {rated_w: 200}}}
- {id: extra, part: {drive: {demand: {sustained_w: 0}}}}
`

func TestSupplyLoad(t *testing.T) {
	with := func(pairs ...string) string { return edited(t, pair, pairs...) }
	kittest.Table(t, power.Pack(), "power.supply-load", []kittest.Row{
		{Name: "a 1000 W supply of the small form factor feeds 16 cores and a 360 W card with reserve (common practice, no source)",
			Build: workstation, Want: []string{"PASS supply margin 139 W"}},
		{Name: "the same parts overload a 650 W one", Build: changed(t, "rated_w: 1000", "rated_w: 650"),
			Want: []string{"FAIL supply margin -141 W"}},
		{Name: "in the reserve as printed is marginal, never worse", Build: changed(t, "rated_w: 1000", "rated_w: 750"),
			Want: []string{"MARGINAL supply margin -61 W"}},
		{Name: "a reserve of its own", Build: changed(t, "rated_w: 1000", "rated_w: 750"),
			Policy: map[string]float64{"power.supply-load.reserve_share": 0.05}, Want: []string{"PASS supply margin 52 W"}},
		{Name: "equal is tight", Build: with("rated_w: 200", "rated_w: 187.5"), Want: []string{"MARGINAL supply margin 0 W"}},
		{Name: "equal with figures that cannot be off passes", Build: with("rated_w: 200", "rated_w: 187.5"),
			Policy: map[string]float64{"tolerance.power_share": 0}, Want: []string{"PASS supply margin 0 W"}},
		{Name: "tolerance in the reserve", Build: with("rated_w: 200", "rated_w: 195"), Want: []string{"MARGINAL supply margin 6 W"}},
		{Name: "stated tolerance goes first",
			Build: with("rated_w: 200", "rated_w: 195", "processor: {demand: {sustained_w: 100}}",
				"processor: {demand: {sustained_w: 100}}, figures: [{fields: [processor.demand.sustained_w], minus: 1, plus: 1}]"),
			Want: []string{"PASS supply margin 6 W"}},
		{Name: "a load of the build goes before the part's own", Build: pair + "use: {loads: [{item: cpu, power_w: 200}]}",
			Want: []string{"FAIL supply margin -90 W"}},
		{Name: "counts multiply", Build: with("{id: extra, part: {drive: {demand: {sustained_w: 0}}}}",
			"{id: extra, count: 3, part: {drive: {demand: {sustained_w: 9}}}}"), Want: []string{"MARGINAL supply margin -17 W"}},
		{Name: "memory counts by module", Build: with("{id: extra, part: {drive: {demand: {sustained_w: 0}}}}",
			"{id: extra, count: 2, part: {memory: {modules: 2, demand: {sustained_w: 4}}}}"), Want: []string{"MARGINAL supply margin -6 W"}},
		{Name: "a derated supply is as weak as its room is warm",
			Build: with("rated_w: 200", "rated_w: 200, deratings: [{air_c: 40, share: 1}, {air_c: 50, share: 0.8}]") + "room: {temperature_c: 45}",
			Want:  []string{"MARGINAL supply margin -6 W"}},
		{Name: "a derated supply in a cool room", Build: with("rated_w: 200", "rated_w: 200, deratings: [{air_c: 40, share: 1}, {air_c: 50, share: 0.8}]") + "room: {temperature_c: 20}",
			Want: []string{"PASS supply margin 10 W"}},
		{Name: "a derated supply without a room", Build: with("rated_w: 200", "rated_w: 200, deratings: [{air_c: 40, share: 1}]"),
			Want: []string{"UNKNOWN supply missing room.temperature_c"}},
		{Name: "warmer than the derating is stated for", Build: with("rated_w: 200", "rated_w: 200, deratings: [{air_c: 40, share: 1}]") + "room: {temperature_c: 45}",
			Want: []string{"UNKNOWN supply missing items[2].part.supply.deratings"}},
		{Name: "a missing rating", Build: with("rated_w: 200", "form_factor: sfx"),
			Want: []string{"UNKNOWN supply missing items[2].part.supply.rated_w"}},
		{Name: "each missing demand is listed", Build: with("board: {demand: {sustained_w: 50}}", "board: {}", "demand: {sustained_w: 0}", "bus: sata"),
			Want: []string{"UNKNOWN supply missing items[0].part.board.demand.sustained_w items[3].part.drive.demand.sustained_w"}},
		{Name: "a lower bound suffices to fail", Build: with("board: {demand: {sustained_w: 50}}", "board: {}", "sustained_w: 100", "sustained_w: 300"),
			Want: []string{"FAIL supply margin -140 W missing items[0].part.board.demand.sustained_w"}},
		{Name: "a known part inside the reserve does not", Build: with("board: {demand: {sustained_w: 50}}", "board: {}", "sustained_w: 100", "sustained_w: 190"),
			Want: []string{"UNKNOWN supply missing items[0].part.board.demand.sustained_w"}},
		{Name: "fans and pump that do not say", Build: with("{id: extra, part: {drive: {demand: {sustained_w: 0}}}}",
			"{id: extra, part: {liquid_loop: {radiator: {nominal_mm: 240}, fans: [{fan: {size_mm: 120}}]}}}\n- {id: fan, part: {fan: {size_mm: 120}}}"),
			Want: []string{"UNKNOWN supply missing items[3].part.liquid_loop.pump_power_w " +
				"items[3].part.liquid_loop.fans[0].fan.current_a items[4].part.fan.current_a"}},
		{Name: "a build without a board is no whole sum", Build: with("- {id: board, part: {board: {demand: {sustained_w: 50}}}}\n", ""),
			Want: []string{"UNKNOWN supply missing items"}},
		{Name: "no supply", Build: with("- {id: supply, part: {supply: {rated_w: 200}}}\n", ""), Want: []string{"UNKNOWN missing items"}},
		{Name: "two supplies and no word of what each feeds", Build: with("{id: supply,", "{id: supply, count: 2,"),
			Want: []string{"UNKNOWN missing items"}},
	})
}
