package clearance

import "slipfit.example/rules/kit"

var memoryHeightRule = kit.Rule{
	ID: "clearance.memory-height", Title: "Memory under the enclosure", Since: "0.1.0",
	Why:     "In some layouts a rail, a drive or a fan lies above the memory and takes what height a heat spreader would need.",
	Formula: "Margin is the tallest module that the layout takes, less the height of a module with its heat spreader. An enclosure that publishes no such limit sets none.",
	Sources: []sourceOf{makersLimit},
	Reads: []string{
		"memory.height_mm", "memory.module", "chassis.limits.memory_height_mm", "chassis.layouts.limits.memory_height_mm",
	},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Texts: map[string]string{
		"pass":     "{memory} is {measured} high where {required} are free, {margin} to spare.",
		"marginal": "{memory} is {measured} high where {required} are free: it goes in with {margin} to spare, less than the figures may be off.",
		"fail":     "{memory} is {measured} high where only {required} are free.",
		"unknown":  "Whether {memory} is not too high for the enclosure cannot be told without {missing}; look in the module's data sheet.",
	},
	Remedies: map[string]string{
		"lower":   "Choose modules that are at least {shortfall} lower.",
		"measure": "Measure a module with its heat spreader before you order: {shortfall} more room would put it beyond doubt.",
	},
	Bound: boundMemoryHeight,
	Judge: func(c *kit.Case) {
		d := deskOf(c)
		if d == nil || !d.states(memoryHeight) {
			return
		}
		for it := range c.Items(kit.KindMemory) {
			memory := it.Part.GetMemory()
			if liesFlat(memory.GetModule()) {
				continue
			}
			f := c.AtMost(c.Length(it, "memory.height_mm", memory.HeightMm), d.length(memoryHeight))
			lowerOrMeasure(f.About(it, d.chassis).Word("memory", it.Name()), "lower")
		}
	},
}
