package thermal

import "slipfit.example/rules/kit"

var driveSmall = smallPart{kind: kit.KindDrive, of: "drive", field: "drive.limit_c", always: true,
	limit: func(it *kit.Item) *float64 { return it.Part.GetDrive().LimitC }}

var driveLimit = kit.Rule{
	ID: "thermal.drive-limit", Title: "Drives' temperature", Since: "0.1.0",
	Why:       "A solid-state drive slows down at its limit, and a hard drive ages fast beyond it.",
	Formula:   "The limit less the drive's temperature in the air of its zone, while it writes or reads at its sustained power." + formulaSmall,
	Sources:   smallSources,
	Reads:     []string{"drive.limit_c", "drive.demand.sustained_w", "drive.form_factor", "drive.height_mm", "room.temperature_c"},
	UsesFacts: []string{DemandFact, ArrangementFact},
	Texts:     smallTexts("How warm {part} gets cannot be told for want of {missing}; its data sheet prints the greatest temperature that it may have."),
	Remedies: map[string]string{
		"air": "Give the drive a heatsink or move air over it, to come {less} lower; loads of minutes hardly reach this temperature.",
	},
	Judge: driveSmall.judge,
}
