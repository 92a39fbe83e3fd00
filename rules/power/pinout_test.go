package power_test

import (
	"strings"
	"testing"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

const sets = `
items:
- {id: supply, part: {name: Otter, supply: {pinout: otter-2, outlets: [{socket: eight}], cables: [{from: eight, ends: [{connector: pcie-8}]}]}}}
- {id: cable, part: {name: Loose cable, cable: {from: eight, pinout: otter-2, ends: [{connector: cpu-8}]}}}
`

func TestPinout(t *testing.T) {
	with := func(pairs ...string) string { return edited(t, sets, pairs...) }
	kittest.Table(t, power.Pack(), "power.pinout", []kittest.Row{
		{Name: "same set", Build: sets, Want: []string{"PASS cable,supply"}},
		{Name: "another set", Build: with("eight, pinout: otter-2", "eight, pinout: otter-1"), Want: []string{"FAIL cable,supply"}},
		{Name: "another set is never tight", Build: with("eight, pinout: otter-2", "eight, pinout: OTTER-2"), Want: []string{"FAIL cable,supply"}},
		{Name: "a cable that does not say is never a pass", Build: with("eight, pinout: otter-2", "eight"),
			Want: []string{"UNKNOWN cable,supply missing items[1].part.cable.pinout"}},
		{Name: "a supply that does not say", Build: with("{pinout: otter-2, outlets", "{outlets"),
			Want: []string{"UNKNOWN cable,supply missing items[0].part.supply.pinout"}},
		{Name: "neither says", Build: with("{pinout: otter-2, outlets", "{outlets", "eight, pinout: otter-2", "eight"),
			Want: []string{"UNKNOWN cable,supply missing items[1].part.cable.pinout items[0].part.supply.pinout"}},
		{Name: "a power cable that does not say where it starts", Build: with("{from: eight, pinout: otter-2, ends: [{connector: cpu-8}]}", "{ends: [{connector: cpu-8}]}"),
			Want: []string{"UNKNOWN cable,supply missing items[1].part.cable.pinout"}},
		{Name: "a modular socket that looks like a standard connector", Build: with("socket: eight", "socket: 12v-2x6", "{from: eight, pinout: otter-2, ends: [{connector: cpu-8}]}", "{from: 12v-2x6, ends: [{connector: 12v-2x6}]}"),
			Want: []string{"UNKNOWN cable,supply missing items[1].part.cable.pinout"}},
		{Name: "an extension starts at a standard connector", Build: with("{from: eight, pinout: otter-2, ends: [{connector: cpu-8}]}", "{from: cpu-8, ends: [{connector: cpu-8}]}"), Want: nil},
		{Name: "a fan splitter is no supply cable", Build: with("{from: eight, pinout: otter-2, ends: [{connector: cpu-8}]}", "{from: fan-4, ends: [{connector: fan-4}]}"), Want: nil},
		{Name: "a data cable is no supply cable", Build: with("{from: eight, pinout: otter-2, ends: [{connector: cpu-8}]}", "{from: sata-data, ends: [{connector: sata-data}]}"), Want: nil},
		{Name: "a foreign cable in the supply's own box", Build: with("cables: [{from: eight,", "cables: [{from: eight, pinout: otter-1,"),
			Want: []string{"FAIL supply", "PASS cable,supply"}},
		{Name: "only the supply's own cables", Build: workstation, Want: nil},
		{Name: "no supply", Build: "items: [{id: cable, part: {cable: {pinout: otter-1, ends: [{connector: cpu-8}]}}}]", Want: nil},
	})
}

// Whoever reads that a cable is of another set, or may be, reads what it can do.
func TestPinoutWarnsUnlessTheSetIsTheSame(t *testing.T) {
	e := evaluator(t)
	for _, build := range []string{
		edited(t, sets, "eight, pinout: otter-2", "eight, pinout: otter-1"),
		edited(t, sets, "eight, pinout: otter-2", "eight"),
		edited(t, sets, "{pinout: otter-2, outlets", "{outlets"),
	} {
		warned := false
		for _, f := range kittest.Evaluate(t, e, kittest.Row{Build: build}).Findings {
			if f.GetRule() != "power.pinout" {
				continue
			}
			warned = true
			text := f.GetCaution().GetText()
			for _, word := range []string{"Never mix sets", "unplug it", "qualified person", "destroy"} {
				if !strings.Contains(text, word) {
					t.Errorf("caution lacks %q: %s", word, text)
				}
			}
			if f.GetVerdict() == kit.Pass {
				t.Errorf("passed: %s", f.GetSummary().GetText())
			}
		}
		if !warned {
			t.Errorf("no finding for %s", build)
		}
	}
}
