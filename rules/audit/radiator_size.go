package audit

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var radiatorSizeRule = kit.Rule{
	ID: "audit.radiator-size", Title: "A radiator's outline against its nominal size", Since: "0.1.0",
	Why:     "The nominal size names the row of fans, and the outline is that row with tanks; an outline beside it sends a radiator to a place where it does not go.",
	Formula: "The length is held against the row of fans with tanks of usual length, the width against the frame of one fan.",
	Sources: []source{radiatorOutlines[0].Source, standards.RadiatorSizes()[0].Source},
	Reads: []string{
		"radiator.nominal_mm", "radiator.length_mm", "radiator.width_mm",
		"liquid_loop.radiator.nominal_mm", "liquid_loop.radiator.length_mm", "liquid_loop.radiator.width_mm",
	},
	Texts: texts("The outline of {part} goes with its nominal size.",
		"Whether the outline of {part} is plausible cannot be told without {missing}; every radiator is sold by its nominal size."),
	Remedies: remedies(),
	Judge:    each(judgeRadiatorSize),
}

var radiatorOutlines = standards.RadiatorOutlines()

const (
	tankPlay  = 20 // mm beyond what is usual
	widthPlay = 8
)

func judgeRadiatorSize(s *sheet) {
	prefix, radiator := radiatorOf(s.it.Part)
	if radiator == nil || radiator.LengthMm == nil && radiator.WidthMm == nil {
		return
	}
	if radiator.NominalMm == nil {
		s.lack(prefix+"nominal_mm", "mm")
		return
	}
	size, count, err := standards.RadiatorFans(int(*radiator.NominalMm))
	if err != nil {
		return
	}
	row, frame := float64(size*count), float64(size)
	lengthLow, lengthHigh := row-2, row+45+tankPlay
	widthLow, widthHigh := frame-5, frame+5+widthPlay
	for i := range radiatorOutlines {
		if o := &radiatorOutlines[i]; o.FanMM == size {
			lengthLow, lengthHigh = row+o.LengthAddLowMM-tankPlay, row+o.LengthAddHighMM+tankPlay
			widthLow, widthHigh = o.WidthLowMM-widthPlay/2, o.WidthHighMM+widthPlay
		}
	}
	nominal := s.given(prefix+"nominal_mm", &row, "mm")
	s.hold(figure{prefix + "length_mm", radiator.LengthMm, "mm", lengthLow, lengthHigh,
		between("lengths of radiators of that size", lengthLow, lengthHigh, "mm"), false}, nominal)
	s.hold(figure{prefix + "width_mm", radiator.WidthMm, "mm", widthLow, widthHigh,
		between("widths of radiators of that size", widthLow, widthHigh, "mm"), false}, nominal)
}
