// Package power judges whether a build gets the power that it needs: watts, short
// peaks, plugs for every socket, cables of the right pin-out, and what the mains
// has to bring. It solves the network of rails, cables, contacts and loads that
// the best choice of cables comes to, for the current of every contact, the warmth
// of the wires and the voltage at every load.
package power

import (
	"slipfit.example/rules/kit"
)

// DemandFact is the name of the fact that the pack provides: what the build
// draws, as slipfit.v1.BuildDemand.
const DemandFact = "power.demand"

// CircuitFact is the name of the fact that the pack provides to an asker who wants
// it: what rails and connectors carry, as slipfit.v1.Circuit.
const CircuitFact = "power.circuit"

// Pack returns the rules on power in the order that people read them.
func Pack() *kit.Pack {
	known := newCircuits(mostCircuits)
	return &kit.Pack{
		Name: "power", Version: "0.1.0",
		Purpose:  "It knows what the parts of a build draw and whether supply, cables and mains can bring it.",
		Needs:    []string{factArrangement},
		Provides: []string{DemandFact, CircuitFact},
		Rules: []kit.Rule{
			supplyLoad, supplyExcursion, capacity, rails, usbPorts, connectors, contacts, wires, voltage, cardBudget, plugBend, pinout,
			mains, bridging, quietPoint, runningCost,
		},
		// The survey is taken before the first rule is judged.
		Alternatives: func(c *kit.Case) int {
			s := surveyOf(c)
			s.circuits = known
			s.take(c)
			return 1
		},
		Conclude: func(c *kit.Case) {
			provideDemand(c)
			provideCircuit(c)
		},
	}
}
