package power_test

import (
	"fmt"
	"strings"
	"testing"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

// bench is a board with SOCKETS and a supply with fixed CABLES.
const bench = `
items:
- {id: board, part: {board: {power_sockets: [SOCKETS]}}}
- {id: supply, part: {supply: {cables: [CABLES]}}}
`

// plugs writes fixed cables with one plug each.
func plugs(tokens ...string) string {
	var cables []string
	for _, token := range tokens {
		cables = append(cables, "{captive: true, ends: [{connector: "+token+"}]}")
	}
	return strings.Join(cables, ", ")
}

// sockets writes needed sockets.
func sockets(tokens ...string) string {
	var list []string
	for _, token := range tokens {
		list = append(list, "{connector: "+token+"}")
	}
	return strings.Join(list, ", ")
}

func TestConnectors(t *testing.T) {
	with := func(sockets, cables string, pairs ...string) string {
		return edited(t, edited(t, bench, "SOCKETS", sockets, "CABLES", cables), pairs...)
	}
	const outlets = "supply: {outlets: [{socket: eight, count: 2}], "
	modular := func(token string, count int) string {
		return fmt.Sprintf("{from: eight, count: %d, ends: [{connector: %s}]}", count, token)
	}
	kittest.Table(t, power.Pack(), "power.connectors", []kittest.Row{
		{Name: "split plugs fill the larger sockets (plug construction, common practice)",
			Build: with(sockets("main-24", "cpu-8", "pcie-8", "pcie-6"), plugs("main-20+4", "cpu-4+4", "pcie-6+2", "pcie-6+2")),
			Want:  []string{"PASS supply,board margin 0", "PASS supply,board margin 0", "PASS supply,board margin 0", "PASS supply,board margin 0"}},
		{Name: "what is left over is counted", Build: with(sockets("cpu-8"), plugs("cpu-4+4", "cpu-4+4", "pcie-8")),
			Want: []string{"PASS supply,board margin 1"}},
		{Name: "a plug is missing", Build: with(sockets("cpu-8", "cpu-8"), plugs("cpu-4+4")), Want: []string{"FAIL supply,board margin -1 buy cpu-8"}},
		{Name: "a processor plug in an auxiliary socket never counts (contacts the other way round)",
			Build: with(sockets("pcie-8"), plugs("cpu-8", "cpu-4+4")), Want: []string{"FAIL supply,board margin -1 buy pcie-8"}},
		{Name: "one-piece plugs do not fit smaller sockets", Build: with(sockets("pcie-6", "cpu-4"), plugs("pcie-8", "cpu-8")),
			Want: []string{"FAIL supply,board margin -1 buy pcie-6", "FAIL supply,board margin -1 buy cpu-4"}},
		// The plug that comes first must move so that both sockets are filled.
		{Name: "plugs move where that fills more sockets", Build: with(sockets("pcie-6", "pcie-8"), plugs("pcie-6+2", "pcie-6")),
			Want: []string{"PASS supply,board margin 0", "PASS supply,board margin 0"}},
		{Name: "a 2x3 plug fills half a 2x4 socket, for 75 W (ATX 3.0 design guide, tables 5-5 and 5-6)", Build: with(sockets("pcie-8"), plugs("pcie-6")),
			Want: []string{"MARGINAL supply,board margin 0 buy pcie-8"}},
		{Name: "whole plugs go first", Build: with(sockets("pcie-8"), plugs("pcie-6", "pcie-6+2")), Want: []string{"PASS supply,board margin 0"}},
		{Name: "12VHPWR and 12V-2x6 go together (PCI Express CEM 5.1, from memory)", Build: with(sockets("12v-2x6"), plugs("12vhpwr")),
			Want: []string{"PASS supply,board margin 0"}},
		{Name: "several ends of one cable all count", Build: with("{connector: sata-power, count: 3}", "{captive: true, ends: [{connector: sata-power}, {connector: sata-power}, {connector: sata-power}]}"),
			Want: []string{"PASS supply,board margin 0"}},
		{Name: "counts of cables and items multiply", Build: with(sockets("sata-power"), plugs("sata-power")+", {count: 2, ends: [{connector: sata-power}]}", "id: board,", "id: board, count: 4,"),
			Want: []string{"FAIL supply,board margin -1 buy sata-power"}},
		{Name: "unknown connectors compare as text", Build: with(sockets("star-5"), plugs("star-5")), Want: []string{"PASS supply,board margin 0"}},
		{Name: "a dispensable socket may stay empty", Build: with("{connector: cpu-8}, {connector: cpu-8, dispensable: true}", plugs("cpu-8")),
			Want: []string{"PASS supply,board margin 0"}},
		{Name: "needed sockets go before dispensable ones", Build: with("{connector: cpu-4, dispensable: true}, {connector: cpu-8}", plugs("cpu-4+4")),
			Want: []string{"PASS supply,board margin 0", "PASS supply,board margin 0"}},

		{Name: "outlets run out", Build: with(sockets("pcie-8", "pcie-8", "pcie-8"), modular("pcie-8", 3), "supply: {", outlets),
			Want: []string{"FAIL supply,board margin -1 buy pcie-8"}},
		{Name: "outlets are shared out for the best", Build: with(sockets("cpu-8", "pcie-8"), modular("pcie-8", 2)+", "+modular("cpu-8", 2), "supply: {", outlets),
			Want: []string{"PASS supply,board margin 0", "PASS supply,board margin 0"}},
		{Name: "a fixed cable takes no outlet", Build: with(sockets("cpu-8", "pcie-8", "pcie-8"), plugs("cpu-8")+", "+modular("pcie-8", 2), "supply: {", outlets),
			Want: []string{"PASS supply,board margin 0", "PASS supply,board margin 0"}},
		{Name: "one cable with two plugs saves an outlet", Build: with(sockets("cpu-8", "pcie-8", "pcie-8"), modular("cpu-8", 1)+", {from: eight, ends: [{connector: pcie-6+2}, {connector: pcie-6+2}]}, "+modular("pcie-8", 1), "supply: {", outlets),
			Want: []string{"PASS supply,board margin 0", "PASS supply,board margin 0"}},
		{Name: "a modular cable that does not say where it starts", Build: with(sockets("cpu-8"), "{ends: [{connector: cpu-8}]}", "supply: {", outlets),
			Want: []string{"UNKNOWN supply,board missing items[1].part.supply.cables[0].from"}},
		{Name: "it does not matter where nothing is short", Build: with(sockets("cpu-8"), "{ends: [{connector: cpu-8}]}, "+modular("cpu-8", 1), "supply: {", outlets),
			Want: []string{"PASS supply,board margin 0"}},

		{Name: "a cable of the build on an outlet", Build: with(sockets("cpu-8", "pcie-8"), modular("cpu-8", 1), "supply: {", outlets) +
			"- {id: cable, part: {cable: {from: eight, ends: [{connector: pcie-8}]}}}", Want: []string{"PASS supply,board margin 0", "PASS supply,board margin 0"}},
		{Name: "a cable of another pin-out is never counted", Build: with(sockets("cpu-8", "pcie-8"), modular("cpu-8", 1), "supply: {", outlets+"pinout: otter-2, ") +
			"- {id: cable, part: {cable: {from: eight, pinout: otter-1, ends: [{connector: pcie-8}]}}}",
			Want: []string{"PASS supply,board margin 0", "FAIL supply,board margin -1 buy pcie-8"}},
		{Name: "an adapter takes one plug and brings another", Build: with(sockets("sata-power"), plugs("peripheral-4")) +
			"- {id: adapter, part: {cable: {from: peripheral-4, ends: [{connector: sata-power}]}}}", Want: []string{"PASS supply,board margin 0"}},
		{Name: "an adapter needs a plug to hang on", Build: with(sockets("sata-power"), plugs("cpu-8")) +
			"- {id: adapter, part: {cable: {from: peripheral-4, ends: [{connector: sata-power}]}}}", Want: []string{"FAIL supply,board margin -1 buy sata-power"}},
		{Name: "a splitter makes two of one", Build: with("{connector: sata-power, count: 2}", plugs("sata-power")) +
			"- {id: splitter, part: {cable: {from: sata-power, ends: [{connector: sata-power}, {connector: sata-power}]}}}",
			Want: []string{"PASS supply,board margin 0"}},
		{Name: "a splitter does not feed itself", Build: with("{connector: sata-power, count: 1}", plugs("cpu-8")) +
			"- {id: splitter, part: {cable: {from: sata-power, ends: [{connector: sata-power}, {connector: sata-power}]}}}",
			Want: []string{"FAIL supply,board margin -1 buy sata-power"}},
		{Name: "two auxiliary plugs fit one adapter's start each", Build: with(sockets("12v-2x6"), plugs("pcie-6+2", "pcie-6+2")) +
			"- {id: adapter, part: {cable: {from: pcie-8, ends: [{connector: 12v-2x6}]}}}", Want: []string{"PASS supply,board margin 0"}},
		{Name: "a power cable that starts nowhere", Build: with(sockets("pcie-8"), plugs("cpu-8")) +
			"- {id: cable, part: {cable: {ends: [{connector: pcie-8}]}}}", Want: []string{"UNKNOWN supply,board missing items[2].part.cable.from"}},

		{Name: "no cables listed", Build: edited(t, with(sockets("cpu-8"), ""), "cables: []", "rated_w: 500"),
			Want: []string{"UNKNOWN supply,board missing items[1].part.supply.cables"}},
		{Name: "a board without sockets", Build: "items: [{id: board, part: {board: {}}}]", Want: []string{"UNKNOWN board missing items[0].part.board.power_sockets"}},
		{Name: "a card that draws more than its slot gives and lists no sockets",
			Build: "items: [{id: card, part: {card: {demand: {sustained_w: 90}}}}]", Want: []string{"UNKNOWN card missing items[0].part.card.power_sockets"}},
		{Name: "a card fed by its slot", Build: "items: [{id: card, part: {card: {demand: {sustained_w: 60}}}}]", Want: nil},
		{Name: "a drive on a cable lists its socket", Build: "items: [{id: drive, part: {drive: {form_factor: 2.5-inch}}}]",
			Want: []string{"UNKNOWN drive missing items[0].part.drive.power_sockets"}},
		{Name: "an M.2 drive needs none", Build: "items: [{id: drive, part: {drive: {form_factor: m2}}}, {id: other, part: {drive: {m2_size: \"2280\"}}}]", Want: nil},
		{Name: "no supply", Build: "items: [{id: board, part: {board: {power_sockets: [{connector: cpu-8}]}}}]", Want: []string{"UNKNOWN missing items"}},
	})
}

// A document made to waste time comes to an end and passes nothing.
func TestConnectorsGiveUpInTime(t *testing.T) {
	var cables, kinds []string
	for i := range 24 {
		kinds = append(kinds, fmt.Sprintf("{connector: star-%d, count: 16}", i))
		for j := range 2 {
			cables = append(cables, fmt.Sprintf("{from: eight, count: 32, ends: [{connector: star-%d}, {connector: star-%d}]}", i, (i+j+1)%24))
		}
	}
	build := edited(t, bench, "SOCKETS", strings.Join(kinds[:16], ", "), "CABLES", strings.Join(cables, ", "),
		"supply: {", "supply: {outlets: [{socket: eight, count: 32}], ")
	open := 0
	for _, f := range kittest.Evaluate(t, evaluator(t), kittest.Row{Build: build}).Findings {
		if f.GetRule() != "power.connectors" {
			continue
		}
		switch f.GetVerdict() {
		case kit.Fail:
			t.Errorf("failed without having tried all: %s", f.GetSummary().GetText())
		case kit.Unknown:
			open++
		}
	}
	if open == 0 {
		t.Error("every kind of socket is said to have its plugs, which is not so")
	}
}
