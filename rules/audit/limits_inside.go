package audit

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var limitsInsideRule = kit.Rule{
	ID: "audit.limits-inside", Title: "Published limits within the enclosure's own sides", Since: "0.1.0",
	Why:     "What goes into an enclosure is no longer than the enclosure; a limit beyond that sells parts that come back.",
	Formula: "Each published length is held against the longest outer side, and chambers against it too.",
	Sources: []source{arithmetic},
	Reads: []string{
		"chassis.width_mm", "chassis.height_mm", "chassis.depth_mm", "chassis.limits.card_length_mm", "chassis.limits.card_height_mm",
		"chassis.limits.cooler_height_mm", "chassis.limits.supply_length_mm", "chassis.limits.radiators.length_mm", "chassis.compartments.extent",
	},
	Texts: texts("What {part} says it takes is no longer than it is itself.",
		"Whether the limits of {part} are plausible cannot be told without {missing}; a rule across the panels tells the sides."),
	Remedies: remedies(),
	Judge:    each(judgeLimitsInside),
}

func judgeLimitsInside(s *sheet) {
	chassis := s.it.Part.GetChassis()
	if chassis == nil || chassis.Limits == nil && len(chassis.Compartments) == 0 {
		return
	}
	if chassis.WidthMm == nil || chassis.HeightMm == nil || chassis.DepthMm == nil {
		s.lack("chassis.depth_mm", "mm")
		return
	}
	if !inPlace(chassis, usualChassis[:3]) {
		return
	}
	longest := max(*chassis.WidthMm, *chassis.HeightMm, *chassis.DepthMm)
	side := func(field string, v *float64) {
		s.hold(figure{field, v, "mm", 0, longest,
			func() string { return "its longest side is " + kit.FormatNumber(longest, "mm") }, true})
	}
	eachLimits(s.it.Part, func(prefix string, l *v1.ChassisLimits) {
		side(prefix+"card_length_mm", l.CardLengthMm)
		side(prefix+"card_height_mm", l.CardHeightMm)
		side(prefix+"cooler_height_mm", l.CoolerHeightMm)
		side(prefix+"supply_length_mm", l.SupplyLengthMm)
	})
	for i, c := range chassis.Compartments {
		if i < len(compartments) && c.Extent != nil {
			side(compartments[i]+"size_x_mm", c.Extent.SizeXMm)
			side(compartments[i]+"size_y_mm", c.Extent.SizeYMm)
			side(compartments[i]+"size_z_mm", c.Extent.SizeZMm)
		}
	}
}

var compartments = prefixes("chassis.compartments[", "].extent.", 16)
