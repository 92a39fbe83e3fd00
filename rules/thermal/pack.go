// Package thermal judges how warm and how loud a build gets. Where the enclosure
// says where its openings are, air, heat and sound are solved together in a network
// (package climate); else published figures are put beside each other: the cooler's
// rating, the heat balance of the air that passes through, and the processor's
// temperature that follows from both. Ranges are as wide as what is known.
package thermal

import "slipfit.example/rules/kit"

// DemandFact is the name of the fact that the pack needs: what the build draws,
// as slipfit.v1.BuildDemand.
const DemandFact = "power.demand"

// ArrangementFact is the name of the fact that says where the parts lie, as
// slipfit.v1.Arrangement. Without it chambers count as two zones each.
const ArrangementFact = "clearance.arrangement"

// Pack returns the rules on heat in the order that people read them.
func Pack() *kit.Pack {
	return &kit.Pack{
		Name: "thermal", Version: "0.1.0",
		Purpose:  "It knows how air passes the enclosure, how warm its parts get, how loud it is, and at which fan speeds.",
		Needs:    []string{DemandFact, ArrangementFact},
		Provides: []string{ForecastFact, SettingsFact, ChartFact},
		Rules: []kit.Rule{
			coolerRating, caseAir, dieLimit, cardLimit, memoryLimit, driveLimit, regulatorLimit,
			fanFlow, touchRule, listenerRule, beatRule, dustRule, forecastRule,
		},
		// The survey is taken before the first rule is judged.
		Alternatives: func(c *kit.Case) int {
			if c.JudgesAlone() {
				s := surveyOf(c)
				s.takeCoolers(c)
				s.ahead.taken = false
				return 1
			}
			surveyOf(c).take(c)
			return 1
		},
		Conclude: conclude,
	}
}

// conclude provides the facts: the forecast always, the others when wanted.
func conclude(c *kit.Case) {
	provideForecast(c)
	if c.Wants(SettingsFact) {
		provideSettings(c)
	}
	if c.Wants(ChartFact) {
		provideChart(c)
	}
}
