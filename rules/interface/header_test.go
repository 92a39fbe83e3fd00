package mating

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

// fanBoard is a board with these headers.
func fanBoard(headers string) string {
	return "{id: board, part: {board: {headers: [" + headers + "]}}}"
}

const (
	twoHeaders  = "{id: cpu-fan, kind: fan-4, current_a: 1}, {id: chassis-fan, kind: fan-4, current_a: 1}"
	fanSplitter = "{id: fork, part: {cable: {from: fan-4, ends: [{connector: fan-4}, {connector: fan-4}]}}}"
)

// fans are so many fans of 0.3 A that start at 0.4 A.
func fans(count string) string {
	return "{id: fans, count: " + count + ", part: {fan: {header: fan-4, current_a: 0.3, start_current_a: 0.4}}}"
}

func TestFanHeaders(t *testing.T) {
	const loop = "{id: loop, part: {liquid_loop: {radiator: {nominal_mm: 240}, pump_power_w: 4, fans: [{count: 2, fan: {header: fan-4, current_a: 0.2}}]}}}"
	kittest.Table(t, Pack(), "interface.fan-headers", []kittest.Row{
		{Name: "a header for each", Build: build(fanBoard(twoHeaders), fans("2")), Want: []string{"PASS fans,board margin 0"}},
		{Name: "three fans, two headers", Build: build(fanBoard(twoHeaders), fans("3")), Want: []string{"FAIL fans,board margin -1 buy splitter-fan-4"}},
		{Name: "and a splitter", Build: build(fanBoard(twoHeaders), fans("3"), fanSplitter), Want: []string{"PASS fans,board margin 0"}},
		{Name: "a splitter on a splitter", Build: build(fanBoard("{kind: fan-4}"), fans("3"), fanSplitter, "{id: other, part: {cable: {from: fan-4, ends: [{connector: fan-4}, {connector: fan-4}]}}}"),
			Want: []string{"PASS fans,board margin 0"}},
		{Name: "a splitter without a header", Build: build(fanBoard("{kind: front-panel}"), fans("1"), fanSplitter), Want: []string{"FAIL fans,board margin -1 buy splitter-fan-4"}},
		{Name: "a loop's fans and its pump", Build: build(fanBoard(twoHeaders+", {id: pump, kind: pump-4}"), loop), Want: []string{"PASS loop,board margin 0"}},
		{Name: "the pump on a fan's header must be set to full speed (common practice, no source)", Build: build(fanBoard(twoHeaders+", {kind: fan-4}"), loop), Want: []string{"MARGINAL loop,board margin 0"}},
		{Name: "three wires on four pins (4-wire PWM controlled fans specification)", Build: build(fanBoard(twoHeaders), "{id: fan, part: {fan: {header: fan-3, current_a: 0.1}}}"), Want: []string{"PASS fan,board margin 1"}},
		{Name: "four wires on three pins: not controlled", Build: build(fanBoard("{kind: fan-3}"), fans("1")), Want: []string{"MARGINAL fans,board margin 0"}},
		{Name: "a plug of another kind", Build: build(fanBoard("{kind: fan-4}"), "{id: fan, part: {fan: {header: strange-5, current_a: 0.1}}}"), Want: []string{"FAIL fan,board margin 0"}},
		{Name: "a fan on the supply's plug needs none", Build: build(fanBoard("{kind: fan-4}"), "{id: fan, part: {fan: {header: sata-power, current_a: 0.1}}}")},
		{Name: "plug not stated", Build: build(fanBoard(twoHeaders), "{id: fan, part: {fan: {current_a: 0.1}}}"), Want: []string{"UNKNOWN fan,board margin 1 missing items[1].part.fan.header"}},
		{Name: "too many whatever their plug is", Build: build(fanBoard("{kind: fan-4}"), "{id: fan, count: 2, part: {fan: {current_a: 0.1}}}"),
			Want: []string{"FAIL fan,board margin -1 missing items[1].part.fan.header buy splitter-fan-4"}},
		{Name: "a cooler whose fans are not described", Build: build(fanBoard(twoHeaders), "{id: cooler, part: {air_cooler: {tower: true}}}"),
			Want: []string{"UNKNOWN board margin 2 missing items[1].part.air_cooler.fans"}},
		{Name: "a cooler's fan that says nothing", Build: build(fanBoard(twoHeaders), "{id: cooler, part: {air_cooler: {fans: [{fan: {size_mm: 92}}]}}}"),
			Want: []string{"UNKNOWN cooler,board margin 1 missing items[1].part.air_cooler.fans[0].fan.header"}},
		{Name: "headers not stated", Build: build("{id: board, part: {board: {}}}", fans("1")), Want: []string{"UNKNOWN fans,board missing items[0].part.board.headers"}},
		{Name: "more fans than anybody has", Build: build(fanBoard(twoHeaders), fans("64"), "{id: more, count: 64, part: {fan: {header: fan-4, current_a: 0.1}}}"),
			Want: []string{"FAIL fans,board margin -126 buy splitter-fan-4"}},
		{Name: "no board", Build: build(fans("1")), Want: []string{"UNKNOWN fans missing items"}},
		{Name: "no fan", Build: build(fanBoard(twoHeaders))},
	})
}

func TestHeaderCurrent(t *testing.T) {
	kittest.Table(t, Pack(), "interface.header-current", []kittest.Row{
		{Name: "one fan on a header of 1 A", Build: build(fanBoard(twoHeaders), fans("1")), Want: []string{"PASS fans,board margin 0.7 A"}},
		{Name: "two on a splitter: their currents add up", Build: build(fanBoard("{id: one, kind: fan-4, current_a: 1}"), fans("2"), fanSplitter), Want: []string{"PASS fans,board margin 0.4 A"}},
		{Name: "they start beyond the limit", Build: build(fanBoard("{id: one, kind: fan-4, current_a: 0.7}"), fans("2"), fanSplitter), Want: []string{"MARGINAL fans,board margin 0.1 A"}},
		{Name: "they run beyond it", Build: build(fanBoard("{id: one, kind: fan-4, current_a: 0.5}"), fans("2"), fanSplitter), Want: []string{"FAIL fans,board margin -0.1 A"}},
		{Name: "a board that states no limit is taken to bear 1 A, which does not fail (common practice, no source)",
			Build: build(fanBoard("{id: one, kind: fan-4}"), "{id: gale, count: 2, part: {fan: {header: fan-4, current_a: 0.8, start_current_a: 0.8}}}", fanSplitter), Want: []string{"MARGINAL gale,board margin -0.6 A"}},
		{Name: "the strong fan goes where it can", Build: build(fanBoard("{id: weak, kind: fan-4, current_a: 0.2}, {id: strong, kind: fan-4, current_a: 2}"), "{id: quiet, part: {fan: {header: fan-4, current_a: 0.1, start_current_a: 0.2}}}",
			"{id: gale, part: {fan: {header: fan-4, current_a: 1, start_current_a: 1.5}}}"), Want: []string{"PASS quiet,board margin 0.1 A"}},
		{Name: "a start that is not stated is three times the run (from memory)", Build: build(fanBoard("{id: one, kind: fan-4, current_a: 1}"), "{id: fan, part: {fan: {header: fan-4, current_a: 0.4}}}"), Want: []string{"MARGINAL fan,board margin 0.6 A"}},
		{Name: "the policy says twice", Build: build(fanBoard("{id: one, kind: fan-4, current_a: 1}"), "{id: fan, part: {fan: {header: fan-4, current_a: 0.4}}}"),
			Policy: map[string]float64{"interface.header-current.start_factor": 2}, Want: []string{"PASS fan,board margin 0.6 A"}},
		{Name: "published powers are taken to be off by five in a hundred", Build: build(fanBoard("{id: one, kind: fan-4, current_a: 1}"), "{id: fan, part: {fan: {header: fan-4, current_a: 0.98, start_current_a: 0.98}}}"),
			Want: []string{"MARGINAL fan,board margin 0.02 A"}},
		{Name: "a pump of 4 W draws 0.33 A of 12 V", Build: build(fanBoard("{id: pump, kind: pump-4, current_a: 2}"), "{id: loop, part: {liquid_loop: {radiator: {nominal_mm: 240}, pump_power_w: 4}}}"), Want: []string{"PASS loop,board margin 1.67 A"}},
		{Name: "the pump's power not stated", Build: build(fanBoard("{id: pump, kind: pump-4, current_a: 2}"), "{id: loop, part: {liquid_loop: {radiator: {nominal_mm: 240}}}}"),
			Want: []string{"UNKNOWN loop,board missing items[1].part.liquid_loop.pump_power_w"}},
		{Name: "the fan's current not stated", Build: build(fanBoard(twoHeaders), "{id: fan, part: {fan: {header: fan-4}}}"), Want: []string{"UNKNOWN fan,board missing items[1].part.fan.current_a"}},
		{Name: "what is stated is too much by itself", Build: build(fanBoard("{id: one, kind: fan-4, current_a: 0.2}"), fans("1"), "{id: fan, part: {fan: {header: fan-4}}}", fanSplitter),
			Want: []string{"FAIL fans,fan,board margin -0.1 A missing items[2].part.fan.current_a"}},
		{Name: "no header: the rule on headers has said it", Build: build(fanBoard("{kind: front-panel}"), fans("1"))},
		{Name: "no board", Build: build(fans("1"))},
	})
}

func TestLightHeaders(t *testing.T) {
	const lit = "{id: lit, count: 2, part: {fan: {header: fan-4, addressable_light: true}}}"
	kittest.Table(t, Pack(), "interface.light-headers", []kittest.Row{
		{Name: "a header for each", Build: build(fanBoard("{kind: argb-3, count: 2}"), lit), Want: []string{"PASS lit,board margin 0"}},
		{Name: "one stays dark", Build: build(fanBoard("{kind: argb-3}"), lit), Want: []string{"MARGINAL lit,board margin -1"}},
		{Name: "and does not with a splitter", Build: build(fanBoard("{kind: argb-3}"), lit, "{id: fork, part: {cable: {from: argb-3, ends: [{connector: argb-3}, {connector: argb-3}, {connector: argb-3}]}}}"),
			Want: []string{"PASS lit,board margin 1"}},
		{Name: "the four-pin header of 12 V is none", Build: build(fanBoard("{kind: rgb-4, count: 2}"), lit), Want: []string{"MARGINAL lit,board margin -2"}},
		{Name: "coolers and loops have lights, too", Build: build(fanBoard("{kind: argb-3, count: 2}"), "{id: cooler, part: {air_cooler: {fans: [{fan: {addressable_light: true}}]}}}",
			"{id: loop, part: {liquid_loop: {radiator: {nominal_mm: 240}, fans: [{count: 2, fan: {addressable_light: true}}]}}}"), Want: []string{"MARGINAL cooler,board margin -1"}},
		{Name: "headers not stated", Build: build("{id: board, part: {board: {}}}", lit), Want: []string{"UNKNOWN lit,board missing items[0].part.board.headers"}},
		{Name: "no board", Build: build(lit), Want: []string{"UNKNOWN lit missing items"}},
		{Name: "no light", Build: build(fanBoard("{kind: argb-3}"), fans("1"))},
	})
}

func TestAntennas(t *testing.T) {
	board := func(kit string) string { return "{id: board, part: {board: {antenna_sockets: 2}" + kit + "}}" }
	kittest.Table(t, Pack(), "interface.antennas", []kittest.Row{
		{Name: "in the board's box", Build: build(board(", kit: {pieces: [{provides: antenna, count: 2}]}")), Want: []string{"PASS board margin 0"}},
		{Name: "one in the box, one bought", Build: build(board(", kit: {pieces: [{provides: antenna}]}"), "{id: rod, part: {accessory: {provides: [antenna]}}}"), Want: []string{"PASS board margin 0"}},
		{Name: "one is missing", Build: build(board(", kit: {pieces: [{provides: antenna}]}")), Want: []string{"MARGINAL board margin -1 buy antenna"}},
		{Name: "the box is not described", Build: build(board("")), Want: []string{"UNKNOWN board missing items[0].part.kit.pieces"}},
		{Name: "no radio", Build: build("{id: board, part: {board: {}}}")},
		{Name: "no board", Build: build(fans("1"))},
	})
}
