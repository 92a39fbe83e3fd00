package thermal

import (
	"strconv"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var coolerRating = kit.Rule{
	ID: "thermal.cooler-rating", Title: "Cooler's rating against the processor's power", Since: "0.1.0", Alone: true,
	Kinds:      []kit.Kind{kit.KindAirCooler, kit.KindLiquidLoop, kit.KindRadiator, kit.KindProcessor},
	Why:        "A cooler that is rated for less than the processor draws makes it slow down under load, and its fans run at full speed.",
	Formula:    "The heat that the cooler's maker rates it for less the processor's power: the load of the build, else its sustained power, else the power that its maker rates a cooler for.",
	Parameters: []*kit.Parameter{&kit.PowerTolerance},
	Sources:    []standards.Source{srcRatedHeat},
	Reads: []string{
		"air_cooler.rated_heat_w", "liquid_loop.rated_heat_w", "processor.demand.sustained_w", "processor.rated_heat_w", "use.loads",
	},
	Texts: map[string]string{
		"pass":         "{processor} gives off {measured} and {cooler} is rated for {required}, {margin} to spare.",
		"marginal":     "{processor} gives off {measured} and {cooler} is rated for {required}, both as printed; if they are off it lacks {shortfall}.",
		"fail":         "{processor} gives off {measured} and {cooler} is rated for only {required}.",
		"unknown":      "Whether {cooler} is strong enough for {processor} cannot be told for want of {missing}; data sheets print both.",
		"no-cooler":    textNoCooler,
		"no-processor": textNoProcessor,
	},
	Remedies: map[string]string{
		"stronger": "Choose a cooler that is rated for at least {shortfall} more.",
		"less":     "Lower the processor's power limit by {shortfall}.",
	},
	Judge: judgeCoolerRating,
}

func judgeCoolerRating(c *kit.Case) {
	s := surveyOf(c)
	if s.incomplete(c) {
		return
	}
	for i := range s.coolers {
		k := &s.coolers[i]
		rated := c.Power(k.item, k.prefix+"rated_heat_w", k.ratedHeat)
		f := c.AtMost(processorPower(c, s.processor), rated).About(k.item, s.processor).
			Word("processor", s.processor.Name()).Word("cooler", k.item.Name())
		f.RemedyOf("stronger", f.Shortfall()).RemedyOf("less", f.Shortfall())
	}
}

func loadField(i int) string { return "use.loads[" + strconv.Itoa(i) + "].power_w" }
