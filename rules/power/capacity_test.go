package power_test

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

// order is a build of 400 W with peaks of 700 W for a millisecond.
const order = `
items:
- {id: board, part: {board: {demand: {sustained_w: 40}}}}
- {id: cpu, part: {processor: {demand: {sustained_w: 100, excursions: [{power_w: 160, duration_ms: 1, duty_share: 0.08}]}}}}
- {id: card, part: {card: {width_lanes: 16, demand: {sustained_w: 260, excursions: [{power_w: 500, duration_ms: 1, duty_share: 0.08}]}, power_sockets: [{connector: 12v-2x6}]}}}
- {id: supply, part: {name: Otter, supply: {rated_w: 750, guide: atx-3.1, efficiency_mark: 80plus-gold, power_factor: 0.98, quiet_share: 0.4}}}
room: {mains_v: 230, temperature_c: 25}
use: {hours_per_day: 8, price_per_kwh: 0.3, bridge_minutes: 10}
`

func TestCapacity(t *testing.T) {
	with := func(pairs ...string) string { return edited(t, order, pairs...) }
	exact := map[string]float64{"tolerance.power_share": 0}
	kittest.Table(t, power.Pack(), "power.capacity", []kittest.Row{
		{Name: "400 W and a fifth in reserve ask for 500 W; peaks of 700 W at 180 % for less (design guide 613768, table 3-3)", Build: with(),
			Policy: exact, Want: []string{"PASS supply margin 250 W"}},
		{Name: "without reserve the peaks decide: 451 W is where 180 % begins, 450 W would give 145 %", Build: with(),
			Policy: map[string]float64{"tolerance.power_share": 0, "power.supply-load.reserve_share": 0}, Want: []string{"PASS supply margin 299 W"}},
		{Name: "a supply that names no guide promises no peaks", Build: with("guide: atx-3.1, ", ""), Policy: exact, Want: []string{"PASS supply margin 50 W"}},
		{Name: "peaks of 2000 W for 100 µs over 5 % of the time on 918 W make 1000 W root mean square (design guide 613768, table 3-4)",
			Build: with("sustained_w: 260, excursions: [{power_w: 500, duration_ms: 1, duty_share: 0.08}]", "sustained_w: 777.6, excursions: [{power_w: 1860, duration_ms: 0.1, duty_share: 0.05}]",
				", excursions: [{power_w: 160, duration_ms: 1, duty_share: 0.08}]", ", excursions: [{power_w: 100, duration_ms: 1, duty_share: 0.05}]", "rated_w: 750", "rated_w: 1000"),
			Policy: map[string]float64{"tolerance.power_share": 0, "power.supply-load.reserve_share": 0}, Want: []string{"PASS supply margin 0 W"}},
		{Name: "tight: what is printed is allowed five per cent more", Build: with("rated_w: 750", "rated_w: 510"), Want: []string{"MARGINAL supply margin -15 W"}},
		{Name: "too small", Build: with("rated_w: 750", "rated_w: 400"), Policy: exact, Want: []string{"MARGINAL supply margin -100 W"}},
		{Name: "warm air", Build: with("quiet_share: 0.4", "deratings: [{air_c: 25, share: 0.5}]"), Policy: exact, Want: []string{"MARGINAL supply margin -250 W"}},
		{Name: "rating not stated", Build: with("rated_w: 750, ", ""), Want: []string{"UNKNOWN supply missing items[3].part.supply.rated_w"}},
		{Name: "a draw not known", Build: with("board: {demand: {sustained_w: 40}}", "board: {}"), Want: []string{"UNKNOWN supply missing items[0].part.board.demand.sustained_w"}},
		{Name: "no supply yet: the answer is what to buy", Build: with("- {id: supply, part: {name: Otter, supply: {rated_w: 750, guide: atx-3.1, efficiency_mark: 80plus-gold, power_factor: 0.98, quiet_share: 0.4}}}\n", ""),
			Want: []string{"UNKNOWN missing items"}},
		{Name: "two supplies", Build: with("id: supply, part", "id: supply, count: 2, part"), Want: []string{"UNKNOWN missing items"}},
	})
}

func TestQuietPoint(t *testing.T) {
	with := func(pairs ...string) string { return edited(t, order, pairs...) }
	strict := map[string]float64{"power.quiet-point.wanted": 1, "tolerance.power_share": 0}
	kittest.Table(t, power.Pack(), "power.quiet-point", []kittest.Row{
		{Name: "a fan that turns is only noted", Build: with(), Want: []string{"PASS supply"}},
		{Name: "and counts where it is wanted off: 40 % of 750 W is 300 W", Build: with(), Policy: strict, Want: []string{"MARGINAL supply margin -100 W"}},
		{Name: "it stays off", Build: with("quiet_share: 0.4", "quiet_share: 0.6"), Policy: strict, Want: []string{"PASS supply margin 50 W"}},
		{Name: "tight by what is printed", Build: with("quiet_share: 0.4", "quiet_share: 0.54"), Policy: map[string]float64{"power.quiet-point.wanted": 1},
			Want: []string{"MARGINAL supply margin 5 W"}},
		{Name: "stated tolerance of the share", Build: with("quiet_share: 0.4}", "quiet_share: 0.6}, figures: [{fields: [supply.quiet_share], minus: 0.2, plus: 0}]"), Policy: strict,
			Want: []string{"MARGINAL supply margin 50 W"}},
		{Name: "rating not stated", Build: with("rated_w: 750, ", ""), Want: []string{"UNKNOWN supply missing items[3].part.supply.rated_w"}},
		{Name: "the known part alone passes the point", Build: with("board: {demand: {sustained_w: 40}}", "board: {}"), Policy: strict, Want: []string{"MARGINAL supply margin -60 W missing items[0].part.board.demand.sustained_w"}},
		{Name: "no quiet point", Build: with(", quiet_share: 0.4", ""), Want: nil},
	})
}

func TestRunningCost(t *testing.T) {
	with := func(pairs ...string) string { return edited(t, order, pairs...) }
	exact := map[string]float64{"tolerance.power_share": 0, "power.running-cost.most_kwh": 1300}
	kittest.Table(t, power.Pack(), "power.running-cost", []kittest.Row{
		{Name: "500 W at 90 % are 555.6 W from the mains, and 8 h a day of it 1623.3 kWh in a year", Build: with("efficiency_mark: 80plus-gold", "efficiencies: [{load_share: 0.5, efficiency: 0.9}]", "sustained_w: 40", "sustained_w: 140"),
			Policy: map[string]float64{"tolerance.power_share": 0, "power.running-cost.most_kwh": 2000}, Want: []string{"PASS supply margin 376.7 kWh"}},
		{Name: "Gold at 53 % of its load on 230 V, straight between 92 % and 89 % (80 PLUS programme)", Build: with(), Policy: exact, Want: []string{"PASS supply margin 26.82 kWh"}},
		{Name: "tight by what is printed", Build: with(), Policy: map[string]float64{"power.running-cost.most_kwh": 1300}, Want: []string{"MARGINAL supply margin 26.82 kWh"}},
		{Name: "over a limit of the policy", Build: with(), Policy: map[string]float64{"power.running-cost.most_kwh": 1000}, Want: []string{"FAIL supply margin -273.18 kWh"}},
		{Name: "no price", Build: with("price_per_kwh: 0.3, ", ""), Policy: exact, Want: []string{"PASS supply margin 26.82 kWh"}},
		{Name: "no limit is set, so that nothing is left over", Build: with(), Want: []string{"PASS supply"}},
		{Name: "mains voltage not stated", Build: with("mains_v: 230, ", ""), Want: []string{"UNKNOWN supply missing room.mains_v"}},
		{Name: "efficiency not stated", Build: with("efficiency_mark: 80plus-gold, ", ""), Want: []string{"UNKNOWN supply missing items[3].part.supply.efficiency_mark"}},
		{Name: "a draw not known", Build: with("board: {demand: {sustained_w: 40}}", "board: {}"), Want: []string{"UNKNOWN supply missing items[0].part.board.demand.sustained_w"}},
		{Name: "hours not stated", Build: with("hours_per_day: 8, ", ""), Want: nil},
	})
}

func TestBridging(t *testing.T) {
	with := func(pairs ...string) string { return edited(t, order, pairs...) }
	kittest.Table(t, power.Pack(), "power.bridging", []kittest.Row{
		{Name: "ten minutes", Build: with(), Want: []string{"PASS supply"}},
		{Name: "power factor not stated and no mark that demands one", Build: with("efficiency_mark: 80plus-gold, power_factor: 0.98", "efficiencies: [{load_share: 0.5, efficiency: 0.9}]"),
			Want: []string{"UNKNOWN supply missing items[3].part.supply.power_factor"}},
		{Name: "mains voltage not stated", Build: with("mains_v: 230, ", ""), Want: []string{"UNKNOWN supply missing room.mains_v"}},
		{Name: "a draw not known", Build: with("board: {demand: {sustained_w: 40}}", "board: {}"), Want: []string{"UNKNOWN supply missing items[0].part.board.demand.sustained_w"}},
		{Name: "nothing to bridge", Build: with(", bridge_minutes: 10", ""), Want: nil},
	})
}
