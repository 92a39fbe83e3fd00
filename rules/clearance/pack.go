// Package clearance tells whether the parts of a build find room in an enclosure
// and in which of its layouts: by the limits that makers publish, by the outlines
// of the form factors' standards, and, where an enclosure is described in space,
// by a search over all ways to put it together.
package clearance

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// Pack returns the rules of clearance.
func Pack() *kit.Pack {
	return &kit.Pack{
		Name: "clearance", Version: "0.1.0",
		Purpose:  "It tells whether the parts find room in the enclosure, and in which of its layouts.",
		Provides: []string{FactArrangement, FactRanking, FactDrawing},
		Rules: []kit.Rule{
			boardFormRule, cardLengthRule, cardHeightRule, cardThicknessRule, cardSlotsRule,
			coolerHeightRule, memoryUnderCoolerRule, memoryHeightRule, supplyFormRule, supplyLengthRule,
			radiatorPlaceRule, radiatorThicknessRule, radiatorLengthRule, fanPlaceRule, fanThicknessRule,
			driveBaysRule, gapRule, breathRule, togetherRule, arrangementRule,
			cableLengthRule, riserLengthRule, riserShapeRule, leadLengthRule,
		},
		Alternatives: alternatives,
		Conclude:     conclude,
	}
}

// sourceOf is where a requirement comes from.
type sourceOf = standards.Source

// makersLimit is the source of whatever an enclosure's maker publishes about it.
var makersLimit = standards.Source{
	ID: "makers-limit", Title: "limits that the enclosure's maker publishes", Standing: standards.Published, Witnesses: 1,
}

// noItem is the path of what a build leaves out as a whole.
var noItem = kit.Path{Field: "items"}
