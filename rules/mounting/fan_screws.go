package mounting

import "slipfit.example/rules/kit"

var fanScrewsRule = kit.Rule{
	ID: "mounting.fan-screws", Title: "Screws of the fans", Since: "0.1.0",
	Why: "A fan that is not held in its holes rattles and works loose.",
	Formula: "Margin is the number of fan screws or like fasteners in the boxes, less one for every open hole of every fan: four for each, less those that " +
		"the enclosure covers, or something in the arrangement. Fans on a radiator are held by the radiator's screws.",
	Sources:   []sourceOf{sourceByID("fan-hole"), kit.CommonPractice},
	Reads:     []string{"fan.size_mm", "kit.fasteners", "chassis.limits.fans.covered_holes", "chassis.layouts.mounts.joints", "joints", "holes", "fan.hole_pitch_mm", "chassis.panels", "chassis.layouts.mounts.holes"},
	UsesFacts: []string{factArrangement},
	Texts: map[string]string{
		"pass":    "{part} needs {required} screws, and the boxes hold them.",
		"fail":    "{part} needs {required} screws and the boxes hold {measured}.",
		"unknown": "Whether there are screws for {part} cannot be told without {missing}; look into the fan's box.",
	},
	Remedies: map[string]string{
		"buy": "Buy {lacking} fan screws, self-tapping, or rubber pins for the fan's holes.",
	},
	Judge: func(c *kit.Case) {
		s := sceneOf(c)
		for i := range s.joints {
			if j := &s.joints[i]; j.rule == screwsOfFan && j.need > 0 {
				s.judge(j, "fan-screws", j.item, s.chassis)
			}
		}
	},
}
