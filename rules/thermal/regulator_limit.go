package thermal

import "slipfit.example/rules/kit"

var regulatorSmall = smallPart{kind: kit.KindBoard, of: "regulator", field: "board.regulator_limit_c",
	limit: func(it *kit.Item) *float64 { return it.Part.GetBoard().RegulatorLimitC }}

var regulatorLimit = kit.Rule{
	ID: "thermal.regulator-limit", Title: "Temperature of the board's voltage regulators", Since: "0.1.0",
	Why:       "The regulators around the socket lose about a tenth of what the processor draws. Under a liquid loop no cooler's fan moves air over them.",
	Formula:   "The limit that the board's maker states less the regulators' temperature in the air of their zone, at a tenth of the processor's power." + formulaSmall,
	Sources:   smallSources,
	Reads:     []string{"board.regulator_limit_c", "processor.demand.sustained_w", "use.loads", "room.temperature_c"},
	UsesFacts: []string{DemandFact, ArrangementFact},
	Texts:     smallTexts("How warm the regulators of {part} get cannot be told for want of {missing}."),
	Remedies: map[string]string{
		"air": "Move air over the regulators around the socket, to bring them {less} lower.",
	},
	Judge: regulatorSmall.judge,
}
