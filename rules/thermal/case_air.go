package thermal

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var maxRise = kit.Parameter{
	Name: "thermal.case-air.max_rise_k", Unit: "K", Default: 15, Least: 0.1, Greatest: 100,
	Purpose: "How much warmer the air may leave the enclosure than it came. Chip makers' guides ask for 5 K at the processor cooler's intake; " +
		"no source states a limit for the air that leaves.",
	Source: kit.CommonPractice,
}

var caseAir = kit.Rule{
	ID: "thermal.case-air", Title: "Air through the enclosure", Since: "0.1.0",
	Why: "Whatever the parts draw becomes heat, and the air that passes through has to carry it. " +
		"Too little air warms every cooler's intake by as much.",
	Formula: "The limit less the rise, which is power over density, specific heat and flow of the air, at the room's temperature and altitude. " +
		"All sustained demands count, the supply's own loss leaves by its own fan and does not. A flow that is not given is that of the enclosure's network, whose panels take part of the heat; " +
		"without openings to make a network of, it is the free flow of the fans, " +
		"the stronger of both directions and half of those that do not say, at their speed, times the delivered share; " +
		"by such an estimate a build fails only where even its favourable end misses the limit.",
	Parameters: []*kit.Parameter{&maxRise, &deliveredShare, &deliveredSpread},
	Sources:    []standards.Source{srcBalance, srcAtmosphere, srcNetwork, kit.CommonPractice},
	Reads: []string{
		"use.case_flow_m3h", "use.fans", "chassis.panels", "chassis.open_area_cm2", "chassis.feet_mm", "fan.max_flow_m3h", "fan.curve", "fan.max_speed_rpm", "liquid_loop.fans",
		"arrangement.placements", "room.temperature_c", "room.altitude_m",
	},
	UsesFacts: []string{DemandFact, ArrangementFact},
	Texts: map[string]string{
		"pass":     "{heat} warm the {flow} of air that pass through by {measured}, and {required} are allowed.",
		"marginal": "{heat} warm the {flow} of air that pass through by {measured}, with {required} allowed; by what is not exactly known it may be {most}.",
		"fail":     "{heat} warm the {flow} of air that pass through by {measured}, and only {required} are allowed.",
		"over-already": "The known {heat} alone warm the {flow} of air that pass through by {measured}, over the {required} that are allowed; " +
			"not known: {missing}.",
		"unknown": "How much the air warms cannot be told for want of {missing}; fans publish their free flow, and a build may give the measured one.",
	},
	Remedies: map[string]string{
		"more-air": "Bring {needed} of air through: more or faster fans, or openings with less resistance.",
		"less":     "Lower the power limits.",
	},
	Judge: judgeCaseAir,
}

func judgeCaseAir(c *kit.Case) {
	s := surveyOf(c)
	limit := c.Parameter(&maxRise)
	rise := s.rise
	misses := rise.Known() && rise.Nominal > limit.Nominal
	if s.estimated {
		misses = rise.Known() && rise.Low > limit.Nominal
	}
	var f *kit.Finding
	switch {
	case len(s.gaps) == 0:
		f = c.AtMost(rise, limit)
	case misses:
		f = c.AtMost(rise, limit).Despite(s.gaps...).Say("over-already")
	default:
		f = c.AtMost(c.Derived(rise.Range, "K", append(s.gaps, rise)...), limit)
	}
	if !misses || s.estimated {
		// Neither the estimate nor the limit, both customs, may fail a build alone.
		f.AtWorst(kit.Marginal)
	}
	f.Number("heat", s.heat).Number("flow", s.flow).Number("most", kit.Constant(rise.High, "K"))
	if rise.Known() {
		// Enough air that even the unfavourable end of the range stays below the limit.
		needed := kit.Constant(s.flow.Nominal*rise.High/limit.Nominal, "m3/h")
		f.Number("needed", needed).RemedyOf("more-air", needed).Remedy("less")
	}
}
