// Package power judges whether a build gets the power that it needs: watts, short
// peaks, plugs for every socket, cables of the right pin-out, and what the mains
// has to bring. It works from published limits alone; what a supply's wires drop
// is another matter.
package power

import (
	"slipfit.example/rules/kit"
)

// DemandFact is the name of the fact that the pack provides: what the build
// draws, as slipfit.v1.BuildDemand.
const DemandFact = "power.demand"

// Pack returns the rules on power in the order that people read them.
func Pack() *kit.Pack {
	return &kit.Pack{
		Name: "power", Version: "0.1.0",
		Purpose:  "It knows what the parts of a build draw and whether supply, cables and mains can bring it.",
		Provides: []string{DemandFact},
		Rules:    []kit.Rule{supplyLoad, supplyExcursion, connectors, cardBudget, pinout, mains},
		// The survey is taken before the first rule is judged.
		Alternatives: func(c *kit.Case) int {
			surveyOf(c).take(c)
			return 1
		},
		Conclude: provideDemand,
	}
}
