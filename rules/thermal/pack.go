// Package thermal judges how warm a build gets from published figures: the
// cooler's rating, the heat balance of the air that passes through the enclosure,
// and the processor's temperature that follows from both. Ranges are as wide as
// what is known.
package thermal

import "slipfit.example/rules/kit"

// DemandFact is the name of the fact that the pack needs: what the build draws,
// as slipfit.v1.BuildDemand.
const DemandFact = "power.demand"

// Pack returns the rules on heat in the order that people read them.
func Pack() *kit.Pack {
	return &kit.Pack{
		Name: "thermal", Version: "0.1.0",
		Purpose: "It knows how much heat the cooler takes, how much the air carries away, and how warm the processor gets.",
		Needs:   []string{DemandFact},
		Rules:   []kit.Rule{coolerRating, caseAir, dieLimit},
		// The survey is taken before the first rule is judged.
		Alternatives: func(c *kit.Case) int {
			surveyOf(c).take(c)
			return 1
		},
	}
}
