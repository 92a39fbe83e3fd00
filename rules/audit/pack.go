// Package audit tells whether one catalogue entry is right on its own: whether its
// figures lie where figures of its kind lie, and whether they agree with each
// other. It takes part only in checks that name it, and is given a build of a
// single item: the entry.
//
// FAIL says that a figure cannot be right, MARGINAL that it is unusual enough to be
// read again, UNKNOWN that a figure stands without the one that it must be held
// against. Where one slip of the unit or of the decimal point explains a figure,
// the finding suggests the value that was meant.
package audit

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// Pack returns the rules of audit.
func Pack() *kit.Pack {
	return &kit.Pack{
		Name: "audit", Version: "0.1.0", OnRequest: true,
		Purpose: "It tells whether one catalogue entry is plausible and agrees with itself.",
		Rules: []kit.Rule{
			usualFiguresRule,
			fanHolesRule, fanThicknessRule, fanPerformanceRule, fanCurveRule, fanSpeedsRule,
			cardThicknessRule, cardPowerRule,
			supplyFormRule, supplyRailsRule, supplyEfficiencyRule,
			boardFormRule, memoryHeightRule, driveFormRule, radiatorSizeRule,
			chassisVolumeRule, limitsInsideRule, limitsGeometryRule,
			demandOrderRule, coolerRatingRule, ownBoxesRule, massRule, jointLengthsRule,
		},
	}
}

type source = standards.Source

// experience is the source of ranges that are wide enough to hold what the trade
// sells.
var experience = kit.CommonPractice

// arithmetic is the source of what follows from the entry's own figures.
var arithmetic = source{
	ID: "own-figures", Title: "arithmetic on the entry's own figures", Standing: standards.Derived, Witnesses: 1,
}
