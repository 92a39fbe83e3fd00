package mating

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/standards"
)

func TestFrontPanel(t *testing.T) {
	leads := func(list string) string { return "{id: case, part: {chassis: {front_leads: [" + list + "]}}}" }
	headers := func(list string) string { return "{id: board, part: {board: {headers: [" + list + "]}}}" }
	const all = "{header: usb-c-key-a}, {header: usb3-19, dispensable: true}, {header: front-panel}"
	kittest.Table(t, Pack(), "interface.front-panel", []kittest.Row{
		{Name: "each finds its header", Build: build(leads(all), headers("{kind: usb-c-key-a}, {kind: usb3-19}, {kind: front-panel}, {kind: fan-4}")), Want: []string{"PASS case,board"}},
		{Name: "a dispensable one does not", Build: build(leads(all), headers("{kind: usb-c-key-a}, {kind: front-panel}")), Want: []string{"MARGINAL case,board margin -1"}},
		{Name: "one that is needed does not", Build: build(leads(all), headers("{kind: usb3-19}, {kind: front-panel}")), Want: []string{"FAIL case,board margin -1"}},
		{Name: "of two leads one is dispensable", Build: build(leads("{header: usb2-header}, {header: usb2-header, dispensable: true}"), headers("{kind: usb2-header}")), Want: []string{"MARGINAL case,board margin -1"}},
		{Name: "four ports by two leads on one USB 3 header of two ports (from memory)", Build: build(leads("{header: usb3-19}, {header: usb3-19}"), headers("{kind: usb3-19}")), Want: []string{"FAIL case,board margin -1"}},
		{Name: "two headers counted at once", Build: build(leads("{header: usb3-19}, {header: usb3-19}"), headers("{kind: usb3-19, count: 2}")), Want: []string{"PASS case,board"}},
		{Name: "USB 2.0 is keyed at pin 9 and front audio at pin 8 (board specification, tables 6 and 10): a plug for one is none for the other",
			Build: build(leads("{header: usb2-header}"), headers("{kind: hd-audio}")), Want: []string{"FAIL case,board margin -1"}},
		{Name: "an adapter from a free header", Build: build(leads("{header: usb3-19}, {header: front-panel}"), headers("{kind: usb-c-key-a}, {kind: front-panel}"), "{id: adapter, part: {cable: {from: usb-c-key-a, ends: [{connector: usb3-19}]}}}"),
			Want: []string{"PASS case,board"}},
		{Name: "an adapter from a header that a lead takes", Build: build(leads("{header: usb3-19}, {header: usb-c-key-a}"), headers("{kind: usb-c-key-a}"), "{id: adapter, part: {cable: {from: usb-c-key-a, ends: [{connector: usb3-19}]}}}"),
			Want: []string{"FAIL case,board margin -1"}},
		{Name: "leads not stated", Build: build("{id: case, part: {chassis: {}}}", headers("{kind: front-panel}")), Want: []string{"UNKNOWN case,board missing items[0].part.chassis.front_leads"}},
		{Name: "headers not stated", Build: build(leads(all), "{id: board, part: {board: {}}}"), Want: []string{"UNKNOWN case,board missing items[1].part.board.headers"}},
		{Name: "no board", Build: build(leads(all)), Want: []string{"UNKNOWN case missing items"}},
		{Name: "no enclosure", Build: build(headers("{kind: front-panel}"))},
	})
}

// The rule compares words; the standards' table has the reason behind them.
func TestHeadersDifferAsTheStandardsSay(t *testing.T) {
	for _, a := range standards.Headers() {
		for _, b := range standards.Headers() {
			answer, err := standards.HeaderMates(a.Token, b.Token)
			if err != nil || answer.Yes != (a.Token == b.Token) {
				t.Errorf("%s onto %s: %v, %v", a.Token, b.Token, answer, err)
			}
		}
	}
}
