package power_test

import (
	"testing"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
	"slipfit.example/rules/standards"
)

const oneCard = `
items:
- {id: card, part: {card: {width_lanes: 16, demand: {sustained_w: WATTS}, power_sockets: [SOCKETS]}}}
`

const sixteen = `
items:
- {id: card, part: {card: {width_lanes: 16, demand: {sustained_w: WATTS}, power_sockets: [{connector: 12v-2x6}]}}}
- {id: supply, part: {supply: {cables: [{ends: [{connector: 12v-2x6, sense_w: SENSE}]}]}}}
`

func TestCardBudget(t *testing.T) {
	with := func(watts, sockets string, pairs ...string) string {
		return edited(t, edited(t, oneCard, "WATTS", watts, "SOCKETS", sockets), pairs...)
	}
	sense := func(watts, announced string, pairs ...string) string {
		return edited(t, edited(t, sixteen, "WATTS", watts, "SENSE", announced), pairs...)
	}
	const six, eight = "{connector: pcie-6}", "{connector: pcie-8}"
	rows := []kittest.Row{
		{Name: "slot, 2x3 and 2x4 carry 300 W, and 320 W is too much (ATX 3.0 design guide, table 3-5; PCI Express CEM slot power)",
			Build: with("320", six+", "+eight), Want: []string{"FAIL card margin -20 W"}},
		{Name: "280 W passes", Build: with("280", six+", "+eight), Want: []string{"PASS card margin 20 W"}},
		{Name: "298 W as printed may be more", Build: with("298", six+", "+eight), Want: []string{"MARGINAL card margin 2 W"}},
		{Name: "the tolerance of the policy", Build: with("298", six+", "+eight), Policy: map[string]float64{"tolerance.power_share": 0},
			Want: []string{"PASS card margin 2 W"}},
		{Name: "a stated tolerance", Build: with("298", six+", "+eight, "part: {card:", "part: {figures: [{fields: [card.demand.sustained_w], plus: 1}], card:"),
			Want: []string{"PASS card margin 2 W"}},
		{Name: "two sockets of a kind", Build: with("380", "{connector: pcie-8, count: 2}"), Want: []string{"FAIL card margin -5 W"}},
		{Name: "a limit set by the build", Build: with("380", "{connector: pcie-8, count: 2}") + "use: {loads: [{item: card, power_w: 300}]}",
			Want: []string{"PASS card margin 75 W"}},
		{Name: "two cards are judged by one", Build: with("280", six+", "+eight, "id: card,", "id: card, count: 2,"), Want: []string{"PASS card margin 20 W"}},
		{Name: "a short card has 25 W of its slot (PCI Express CEM)", Build: with("30", "", "width_lanes: 16", "width_lanes: 4"), Want: []string{"FAIL card margin -5 W"}},
		{Name: "a card of unknown width that needs no more than a short one", Build: with("20", "", "width_lanes: 16", "slots: 1"), Want: []string{"PASS card margin 5 W"}},
		{Name: "a card of unknown width that needs more", Build: with("70", "", "width_lanes: 16", "slots: 1"),
			Want: []string{"UNKNOWN card missing items[0].part.card.width_lanes"}},
		{Name: "no card draws more than 600 W (PCI Express CEM 5.0, as quoted)", Build: with("640", "{connector: 12v-2x6}"), Want: []string{"FAIL card margin -40 W"}},
		{Name: "a missing demand", Build: with("1", six, "demand: {sustained_w: 1}, ", ""),
			Want: []string{"UNKNOWN card missing items[0].part.card.demand.sustained_w"}},
		{Name: "a socket without a known limit", Build: with("100", "{connector: star-5}"), Want: []string{"UNKNOWN card"}},
		{Name: "no card", Build: "items: [{id: fan, part: {fan: {}}}]", Want: nil},

		{Name: "a plug that announces enough", Build: sense("360", "450"), Want: []string{"PASS card margin 240 W", "PASS card margin 165 W"}},
		{Name: "a plug that announces too little", Build: sense("450", "300"), Want: []string{"PASS card margin 150 W", "FAIL card margin -75 W buy 12v-2x6"}},
		{Name: "a plug that just suffices", Build: sense("370", "300"), Want: []string{"PASS card margin 230 W", "MARGINAL card margin 5 W buy 12v-2x6"}},
		{Name: "a plug that does not say is never a pass", Build: sense("450", "300", ", sense_w: 300", ""),
			Want: []string{"PASS card margin 150 W", "UNKNOWN card missing items[1].part.supply.cables[0].ends[0].sense_w"}},
		{Name: "every level suffices for a small card", Build: sense("200", "300", ", sense_w: 300", ""),
			Want: []string{"PASS card margin 400 W", "PASS card margin 25 W"}},
		{Name: "a second plug that does not say may be better", Build: sense("450", "300", "ends: [{connector: 12v-2x6, sense_w: 300}]", "ends: [{connector: 12v-2x6, sense_w: 300}, {connector: 12v-2x6}]"),
			Want: []string{"PASS card margin 150 W", "UNKNOWN card missing items[1].part.supply.cables[0].ends[1].sense_w"}},
		{Name: "a cable of the build announces more", Build: sense("450", "300") + "- {id: cable, part: {cable: {ends: [{connector: 12v-2x6, sense_w: 600}]}}}",
			Want: []string{"PASS card margin 150 W", "PASS card margin 150 W"}},
		{Name: "of two cards the hungrier one gets the better plug", Build: sense("450", "300", "sense_w: 300}", "sense_w: 300}, {connector: 12v-2x6, sense_w: 600}") +
			"- {id: small, part: {card: {width_lanes: 16, demand: {sustained_w: 300}, power_sockets: [{connector: 12v-2x6}]}}}",
			Want: []string{"PASS card margin 150 W", "PASS card margin 150 W", "PASS small margin 300 W", "PASS small margin 75 W"}},
		{Name: "no plug at all is not this rule's to say", Build: sense("450", "300", "connector: 12v-2x6, sense_w: 300", "connector: pcie-8"),
			Want: []string{"PASS card margin 150 W"}},
	}
	kittest.Table(t, power.Pack(), "power.card-budget", rows)
}

// The rule and standards.CardBudgetFor must name the same watts for every class
// of card that the specification lists.
func TestCardBudgetAgreesWithTheCardClasses(t *testing.T) {
	e := evaluator(t)
	for _, class := range standards.CardClasses() {
		sockets := ""
		for _, aux := range class.Aux {
			sockets += "{connector: " + aux + "}, "
		}
		build := edited(t, oneCard, "WATTS", "10", "SOCKETS", sockets)
		for _, f := range kittest.Evaluate(t, e, kittest.Row{Build: build}).Findings {
			if f.GetRule() == "power.card-budget" && (f.GetVerdict() != kit.Pass || f.Required.GetNominal() != class.Watt) {
				t.Errorf("sockets %v bring %g W by the rule, %g W by the class", class.Aux, f.Required.GetNominal(), class.Watt)
			}
		}
	}
}
