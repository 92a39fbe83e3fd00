package clearance

import "slipfit.example/rules/kit"

var coolerHeightRule = kit.Rule{
	ID: "clearance.cooler-height", Title: "Processor cooler under the panel", Since: "0.1.0",
	Why: "A cooler that is taller than the room above the processor keeps the panel open or presses on the board.",
	Formula: "Margin is the tallest cooler that the layout takes, less the height of the cooler, or of a loop's block, above the processor's lid. " +
		"Where the enclosure is described in space, it is the way from the lid to the first thing over the cooler.",
	Sources: []sourceOf{makersLimit, kit.CommonPractice},
	Reads: []string{
		"air_cooler.height_mm", "liquid_loop.block_height_mm",
		"chassis.limits.cooler_height_mm", "chassis.layouts.limits.cooler_height_mm", "chassis.panels", "chassis.layouts.mounts",
	},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Texts: map[string]string{
		"pass":      "{cooler} stands {measured} high where {required} are free, {margin} to spare.",
		"marginal":  "{cooler} stands {measured} high where {required} are free: it goes in with {margin} to spare, less than the figures may be off.",
		"fail":      "{cooler} stands {measured} high where only {required} are free.",
		"unknown":   "Whether {cooler} goes under the panel cannot be told without {missing}; heights stand in the data sheets of cooler and enclosure.",
		"no-cooler": "The build has a processor and names no cooler for it; add the cooler to know whether it goes under the panel.",
	},
	Remedies: map[string]string{
		"lower":   "Choose a cooler that is at least {shortfall} lower.",
		"measure": "Measure cooler and enclosure before you order: {shortfall} more room would put it beyond doubt.",
	},
	Judge: judgeCoolerHeight,
	Bound: boundCoolerHeight,
}

func judgeCoolerHeight(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	cooled := len(d.radiators) > 0
	for it := range c.Items(kit.KindAirCooler) {
		cooled = true
		judgeUnderPanel(d, it, c.Length(it, "air_cooler.height_mm", it.Part.GetAirCooler().HeightMm))
	}
	for it := range c.Items(kit.KindLiquidLoop) {
		judgeUnderPanel(d, it, c.Length(it, "liquid_loop.block_height_mm", it.Part.GetLiquidLoop().BlockHeightMm))
	}
	if processor := c.First(kit.KindProcessor); processor != nil && !cooled {
		c.Judged(kit.Unknown, c.Absent(noItem, "")).About(processor).Say("no-cooler")
	}
}

func judgeUnderPanel(d *desk, it *kit.Item, height kit.Value) {
	f := d.c.AtMost(height, d.roomFor(coolerHeight, it)).About(it, d.chassis).Word("cooler", it.Name())
	lowerOrMeasure(f, "lower")
}

// lowerOrMeasure adds the remedy for a part that is too large, or that may be.
func lowerOrMeasure(f *kit.Finding, smaller string) {
	if f.Verdict() == kit.Marginal {
		f.RemedyOf("measure", f.Shortfall())
		return
	}
	f.RemedyOf(smaller, f.Shortfall())
}
