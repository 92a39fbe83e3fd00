package clearance

import "slipfit.example/rules/kit"

var radiatorLengthRule = kit.Rule{
	ID: "clearance.radiator-length", Title: "Length of the radiator with its tanks", Since: "0.1.0",
	Why: "The nominal size counts fans only; tanks and end caps make a radiator longer, by different amounts.",
	Formula: "Margin is the longest radiator that the place takes, less the radiator's length with its tanks. A place that lists nominal sizes and no " +
		"length sets none.",
	Sources: []sourceOf{makersLimit},
	Reads: []string{
		"radiator.length_mm", "liquid_loop.radiator.length_mm",
		"chassis.limits.radiators.length_mm", "chassis.layouts.limits.radiators.length_mm",
	},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Texts: map[string]string{
		"pass":     "The radiator of {radiator} is {measured} long at {place}, where {required} are free: {margin} to spare.",
		"marginal": "The radiator of {radiator} is {measured} long at {place}, where {required} are free: {margin} to spare, less than the figures may be off.",
		"fail":     "The radiator of {radiator} is {measured} long at {place}, where only {required} are free.",
		"unknown":  "Whether the radiator of {radiator} is not too long for {place} cannot be told without {missing}; the length with tanks stands in its drawing.",
	},
	Remedies: map[string]string{
		"shorter": "Choose a radiator that is at least {shortfall} shorter, or another place.",
		"measure": "Measure radiator and place before you order: {shortfall} more room would put it beyond doubt.",
	},
	Judge: func(c *kit.Case) {
		d := deskOf(c)
		if d == nil {
			return
		}
		for i := range d.radiatorSeats {
			s := &d.radiatorSeats[i]
			if s.place.length == nil {
				continue
			}
			r := s.party
			length := c.Length(r.item, r.fieldOf("radiator.length_mm", "liquid_loop.radiator.length_mm"), r.radiator.LengthMm)
			f := c.AtMost(length, c.Length(d.chassis, s.place.path(placeLength), s.place.length)).About(r.item, d.chassis)
			lowerOrMeasure(f.Word("radiator", r.item.Name()).Word("place", s.place.mount), "shorter")
		}
	},
}
