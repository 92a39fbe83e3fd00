package power_test

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

// strip feeds one card through one short thick cable, so that it gets 12 V within
// a hundredth, and what it draws through its slot is next to nothing: the board's
// main socket has no cable.
const strip = `
items:
- {id: board, part: {board: {demand: {sustained_w: 0}}}}
- {id: cpu, part: {processor: {demand: {sustained_w: 0}}}}
- {id: card, part: {name: Heron, card: {width_lanes: 16, demand: {sustained_w: 600}, power_sockets: [{connector: 12v-2x6}]}}}
- id: supply
  part:
    name: Otter
    supply:
      rated_w: 1000
      guide: atx-3.1
      rails: [{rail: 12v, current_a: 83}]
      cables: [{captive: true, ends: [{connector: 12v-2x6, length_mm: 150}], gauge_awg: 16, power_wires: 6}]
room: {temperature_c: 22}
`

func TestContacts(t *testing.T) {
	with := func(pairs ...string) string { return edited(t, strip, pairs...) }
	even := map[string]float64{"power.contacts.uneven_factor": 1, "tolerance.power_share": 0}
	aux := func(connector, watts, wires string, pairs ...string) string {
		return edited(t, with("12v-2x6", connector, "sustained_w: 600", "sustained_w: "+watts, "gauge_awg: 16, power_wires: 6", "gauge_awg: 18, power_wires: "+wires), pairs...)
	}
	kittest.Table(t, power.Pack(), "power.contacts", []kittest.Row{
		{Name: "600 W over six contacts of 9.2 A is 8.33 A each at 12 V, 8.39 A behind a cable, and passes also with the rail at its lowest (design guide 336521, table 3-5 and 5.2.2.4.3)",
			Build: with(), Policy: even, Want: []string{"PASS card margin 0.81 A"}},
		{Name: "five contacts carrying 600 W are 10 A each, 10.09 A behind a cable, and fail (the same)", Build: with("power_wires: 6", "power_wires: 5"), Policy: even,
			Want: []string{"FAIL card margin -0.89 A"}},
		{Name: "360 W leave room for an uneven share", Build: with("sustained_w: 600", "sustained_w: 360"), Want: []string{"PASS card margin 4.18 A"}},
		{Name: "450 W pass at a fifth more than an even share", Build: with("sustained_w: 600", "sustained_w: 450"), Want: []string{"PASS card margin 2.92 A"}},
		{Name: "and are tight at half more", Build: with("sustained_w: 600", "sustained_w: 450"),
			Policy: map[string]float64{"power.contacts.uneven_factor": 1.5}, Want: []string{"MARGINAL card margin 2.92 A"}},
		{Name: "150 W over the three contacts of a 2x4 plug at 8 A (design guide 336521, 5.2.2.4.1)", Build: aux("pcie-8", "150", "3"), Policy: even,
			Want: []string{"PASS card margin 3.81 A"}},
		{Name: "300 W over them fail", Build: aux("pcie-8", "300", "3"), Policy: even, Want: []string{"FAIL card margin -0.42 A"}},
		{Name: "a 2x3 plug in a 2x4 socket has the same three contacts", Build: aux("pcie-8", "150", "3", "ends: [{connector: pcie-8", "ends: [{connector: pcie-6"),
			Policy: even, Want: []string{"PASS card margin 3.81 A"}},
		{Name: "stated tolerance of the card's draw", Build: with("sustained_w: 600", "sustained_w: 450", "part: {name: Heron", "part: {figures: [{fields: [card.demand.sustained_w], minus: 0, plus: 220}], name: Heron"),
			Policy: even, Want: []string{"MARGINAL card margin 2.92 A"}},
		{Name: "the card's draw is not known", Build: with("demand: {sustained_w: 600}, ", ""), Want: []string{"UNKNOWN supply missing items[2].part.card.demand.sustained_w"}},
		{Name: "a connector that is not known", Build: with("12v-2x6", "owl-9"), Want: []string{"UNKNOWN card"}},
		{Name: "more sockets than the current is followed to", Build: with("- {id: cpu", "- {id: drives, count: 64, part: {drive: {demand: {sustained_w: 1}, power_sockets: [{connector: sata-power}]}}}\n- {id: cpu",
			"cables: [", "cables: [{captive: true, count: 32, ends: [{connector: sata-power}, {connector: sata-power}]}, "), Want: []string{"UNKNOWN supply"}},
		{Name: "no plug for the socket: another rule says so", Build: with("ends: [{connector: 12v-2x6", "ends: [{connector: sata-power"), Want: nil},
		{Name: "an adapter's start carries what hangs on its end: 60 W over one contact pass its rating on paper, not the 5 A to plan with (from memory)", Build: with("12v-2x6", "peripheral-4", "sustained_w: 600", "sustained_w: 60",
			"power_sockets: [{connector: peripheral-4", "power_sockets: [{connector: pcie-6", "- id: supply",
			"- {id: adapter, part: {name: Fork, cable: {from: peripheral-4, ends: [{connector: pcie-6, length_mm: 150}], gauge_awg: 18, power_wires: 1}}}\n- id: supply", ", power_wires: 6", ""),
			Policy: even, Want: []string{"MARGINAL adapter margin 5.95 A", "PASS card margin 2.95 A"}},
	})
}
