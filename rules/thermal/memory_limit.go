package thermal

import "slipfit.example/rules/kit"

// memoryUsualC is where the normal temperature range of memory chips ends; beyond
// it they must be refreshed twice as often (JEDEC standards of DDR4 and DDR5; from
// memory).
const memoryUsualC = 85

var memorySmall = smallPart{kind: kit.KindMemory, of: "memory", field: "memory.limit_c", assumed: memoryUsualC,
	limit: func(it *kit.Item) *float64 { return it.Part.GetMemory().LimitC }}

var memoryLimit = kit.Rule{
	ID: "thermal.memory-limit", Title: "Memory's temperature", Since: "0.1.0",
	Why:       "Beyond the normal range of temperature memory must be refreshed twice as often, and modules run at tight timings start to err.",
	Formula:   "The limit, 85 degrees where the modules' maker states none, less the modules' temperature in the air of their zone." + formulaSmall,
	Sources:   append([]sourceOf{srcMemory}, smallSources...),
	Reads:     []string{"memory.limit_c", "memory.demand.sustained_w", "memory.modules", "memory.height_mm", "room.temperature_c"},
	UsesFacts: []string{DemandFact, ArrangementFact},
	Texts:     smallTexts("How warm {part} gets cannot be told for want of {missing}."),
	Remedies: map[string]string{
		"air": "Move more air over the modules, or lower their voltage, to come {less} lower.",
	},
	Judge: memorySmall.judge,
}
