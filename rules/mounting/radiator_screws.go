package mounting

import "slipfit.example/rules/kit"

var radiatorScrewsRule = kit.Rule{
	ID: "mounting.radiator-screws", Title: "Screws between fans and radiator", Since: "0.1.0",
	Why: "Every fan on a radiator takes four screws as long as the fan is thick and a little more; short ones do not reach the thread.",
	Formula: "Margin is the number of screws in the boxes that have the radiator's thread, reach through the fan and one diameter into the radiator, and stay " +
		"above its screw depth, less four for each fan of the radiator's row.",
	Sources: []sourceOf{sourceByID("fan-hole"), sourceByID("thread-engagement"), sourceByID("radiator-holes")},
	Reads: []string{
		"radiator.nominal_mm", "radiator.thread", "radiator.screw_depth_mm", "liquid_loop.radiator.nominal_mm", "liquid_loop.radiator.thread",
		"liquid_loop.fans.fan.thickness_mm", "fan.thickness_mm", "kit.fasteners", "joints",
	},
	UsesFacts: []string{factArrangement},
	Texts: map[string]string{
		"pass":    "The radiator of {part} needs {required} screws that reach through its fans, and the boxes hold them.",
		"fail":    "The radiator of {part} needs {required} screws that reach through its fans, and the boxes hold {measured}.",
		"unknown": "Whether there are long screws for the radiator of {part} cannot be told without {missing}; look into its box.",
	},
	Remedies: map[string]string{
		"buy": "Buy {lacking} screws of the radiator's thread, as long as the fan is thick and 3 to 5 mm more.",
	},
	Cautions: map[string]string{
		"pierce": "A screw that is too long pierces the radiator's tubes, and coolant reaches live parts; try every screw by hand before you tighten it.",
	},
	Judge: func(c *kit.Case) {
		s := sceneOf(c)
		for i := range s.joints {
			j := &s.joints[i]
			if j.rule != screwsOfRadiator {
				continue
			}
			if j.need > 0 {
				s.judge(j, "radiator-screws", j.item).CautionWhen("pierce")
				continue
			}
			field := "radiator.nominal_mm"
			if j.item.Kind == kit.KindLiquidLoop {
				field = "liquid_loop.radiator.nominal_mm"
			}
			c.Judged(kit.Unknown, c.Absent(j.item.At(field), "mm")).About(j.item).Word("part", j.item.Name())
		}
	},
}
