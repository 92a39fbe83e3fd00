package clearance

import (
	"slipfit.example/rules/kit"
)

var memoryUnderCoolerRule = kit.Rule{
	ID: "clearance.memory-under-cooler", Title: "Memory under the cooler", Since: "0.1.0",
	Why: "A cooler that reaches over the memory must leave its height free, or its fan has to move up and the cooler grows taller.",
	Formula: "Margin is the height that the cooler leaves free for memory, less the height of a module with its heat spreader. A tower's fan that moves up " +
		"by what is lacking adds as much to the cooler's height, which must still go under the panel.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads: []string{
		"memory.height_mm", "memory.module", "air_cooler.memory_clearance_mm", "air_cooler.over_memory", "air_cooler.tower", "air_cooler.fans",
		"air_cooler.height_mm", "chassis.limits.cooler_height_mm", "chassis.layouts.limits.cooler_height_mm",
	},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Texts: map[string]string{
		"pass":     "{memory} is {measured} high under {cooler}, which leaves {required}: {margin} to spare.",
		"marginal": "{memory} is {measured} high under {cooler}, which leaves {required}: {margin} to spare, less than the figures may be off.",
		"beside":   "{cooler} does not reach over the memory.",
		"raised": "{memory} is {measured} high and {cooler} leaves {required}. With its fan moved up by {lift} it stands {raised}, and {limit} are free: " +
			"it goes in if the fan's clips allow.",
		"too-tall": "{memory} is {measured} high and {cooler} leaves {required}. With its fan moved up by {lift} it would stand {raised}, and only {limit} are free.",
		"fail":     "{memory} is {measured} high and {cooler} leaves only {required}.",
		"unknown":  "Whether {memory} goes under {cooler} cannot be told without {missing}; look in the data sheets of both, heat spreader included.",
	},
	Remedies: map[string]string{
		"lower":   "Choose modules that are at least {shortfall} lower.",
		"raise":   "Move the fan up by {lift}, or choose modules that are at least {shortfall} lower.",
		"measure": "Measure a module with its heat spreader before you order: {shortfall} more room would put it beyond doubt.",
	},
	Judge: judgeMemoryUnderCooler,
	Bound: boundMemoryUnderCooler,
}

// liesFlat reports whether modules of a kind lie along the board, where no cooler
// reaches their height.
func liesFlat(module string) bool { return module == "sodimm" || module == "camm2" }

func judgeMemoryUnderCooler(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	for cooler := range c.Items(kit.KindAirCooler) {
		for memory := range c.Items(kit.KindMemory) {
			if liesFlat(memory.Part.GetMemory().GetModule()) {
				continue
			}
			judgeModules(d, memory, cooler)
		}
	}
}

func judgeModules(d *desk, memory, cooler *kit.Item) {
	c, document := d.c, cooler.Part.GetAirCooler()
	if document.OverMemory != nil && !*document.OverMemory {
		c.Judged(kit.Pass, c.Given(cooler.At("air_cooler.over_memory"), new(float64), "")).
			About(memory, cooler).Say("beside").Word("cooler", cooler.Name())
		return
	}
	height := c.Length(memory, "memory.height_mm", memory.Part.GetMemory().HeightMm)
	free := c.Length(cooler, "air_cooler.memory_clearance_mm", document.MemoryClearanceMm)
	f := c.AtMost(height, free).About(memory, cooler).Word("memory", memory.Name()).Word("cooler", cooler.Name())
	if f.Verdict() == kit.Fail && document.GetTower() && len(document.Fans) > 0 {
		judgeRaisedFan(d, f, cooler)
		return
	}
	lowerOrMeasure(f, "lower")
}

// judgeRaisedFan softens a finding where a tower's fan can move up above the
// memory and the cooler then still goes under the panel.
func judgeRaisedFan(d *desk, f *kit.Finding, cooler *kit.Item) {
	stands := d.c.Length(cooler, "air_cooler.height_mm", cooler.Part.GetAirCooler().HeightMm)
	limit := d.length(coolerHeight)
	if !stands.Known() || !limit.Known() {
		f.RemedyOf("lower", f.Shortfall())
		return
	}
	lift := f.Shortfall()
	raised := stands.With(stands.Add(lift.Range), "mm")
	f.Number("lift", lift).Number("raised", raised).Number("limit", limit).Using(raised, limit)
	if raised.Nominal > limit.Nominal {
		f.Say("too-tall").RemedyOf("lower", f.Shortfall())
		return
	}
	f.AtWorst(kit.Marginal).Say("raised").RemedyOf("raise", lift)
}
