// Package mounting tells whether the parts of a build can be fastened: brackets
// for the processor's socket, standoffs, screws of the right thread, number and
// length, and the accessories that the arrangement asks for, counted against
// what lies in the boxes; how heavy parts pull at what carries them; and in which
// order the build is put together.
package mounting

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// factArrangement is the fact of the clearance pack that says what sits where, as
// slipfit.v1.Arrangement.
const factArrangement = "clearance.arrangement"

// Pack returns the rules of mounting.
func Pack() *kit.Pack {
	return &kit.Pack{
		Name: "mounting", Version: "0.1.0",
		Purpose:  "It tells whether the parts can be fastened with what lies in the boxes and in which order, and what must be bought.",
		Needs:    []string{factArrangement, factDemand},
		Provides: []string{FactAssembly},
		Rules: []kit.Rule{
			coolerBracketRule, holePatternRule, boardStandoffsRule, boardScrewsRule, supplyScrewsRule, fanScrewsRule, fanHoldRule,
			radiatorScrewsRule, screwDepthRule, driveScrewsRule, m2ScrewRule, otherScrewsRule, accessoriesRule, mixedThreadsRule,
			cardMomentRule, coolerMomentRule, tippingRule, liftingRule, buildOrderRule,
		},
		Alternatives: newMemory(mostKnown).open,
		Conclude:     conclude,
	}
}

// sourceOf is where a requirement comes from.
type sourceOf = standards.Source

// sourceByID returns a source of the standards by its name; a name that is not
// there shows in the catalogue's check.
func sourceByID(id string) sourceOf {
	s, _ := standards.Lookup(id)
	return s
}

// noItem is the path of what a build leaves out as a whole.
var noItem = kit.Path{Field: "items"}
