package power_test

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

// studio has every kind of front lead, 5 W on 5 V, and a rail of 20 A.
const studio = `
items:
- {id: case, part: {chassis: {front_leads: [{header: usb-c-key-a}, {header: usb3-19}, {header: usb2-header}, {header: hd-audio}]}}}
- {id: board, part: {board: {demand: {sustained_w: 5, rails: [{rail: 5v, share: 1}]}}}}
- {id: cpu, part: {processor: {demand: {sustained_w: 60}}}}
- {id: supply, part: {supply: {rated_w: 300, rails: [{rail: 12v, current_a: 20}, {rail: 5v, current_a: 20}]}}}
`

func TestUSBPorts(t *testing.T) {
	with := func(pairs ...string) string { return edited(t, studio, pairs...) }
	kittest.Table(t, power.Pack(), "power.usb-ports", []kittest.Row{
		{Name: "Type-C 3 A, two ports of 0.9 A, two of 0.5 A (USB specifications): 5.8 A of 19 A", Build: with(),
			Want: []string{"PASS supply,case margin 13.2 A"}},
		{Name: "two USB 2.0 ports are 1.0 A, 5 W (USB specification)", Build: with("{header: usb-c-key-a}, {header: usb3-19}, ", "", "{rail: 5v, current_a: 20}", "{rail: 5v, current_a: 3}"),
			Want: []string{"PASS supply,case margin 1 A"}},
		{Name: "tight: 5 % more from the board leaves too little", Build: with("{rail: 5v, current_a: 20}", "{rail: 5v, current_a: 6.82}"),
			Want: []string{"MARGINAL supply,case margin 0.02 A"}},
		{Name: "a shortage warns and never fails", Build: with("{rail: 5v, current_a: 20}", "{rail: 5v, current_a: 4}"),
			Want: []string{"MARGINAL supply,case margin -2.8 A"}},
		{Name: "tolerance by policy", Build: with("{rail: 5v, current_a: 20}", "{rail: 5v, current_a: 6.82}"),
			Policy: map[string]float64{"tolerance.power_share": 0}, Want: []string{"PASS supply,case margin 0.02 A"}},
		{Name: "stated tolerance", Build: with("{id: board, part: {", "{id: board, part: {figures: [{fields: [board.demand.sustained_w], plus: 80}], "),
			Want: []string{"MARGINAL supply,case margin 13.2 A"}},
		{Name: "the label does not rate 5 V", Build: with(", {rail: 5v, current_a: 20}", ""),
			Want: []string{"UNKNOWN supply,case missing items[3].part.supply.rails"}},
		{Name: "a draw from 5 V that is not known", Build: with("sustained_w: 5, ", ""),
			Want: []string{"UNKNOWN supply,case missing items[1].part.board.demand.sustained_w"}},
		{Name: "no USB at the front", Build: with("{header: usb-c-key-a}, {header: usb3-19}, {header: usb2-header}, ", ""), Want: nil},
	})
}
