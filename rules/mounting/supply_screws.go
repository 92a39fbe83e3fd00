package mounting

import "slipfit.example/rules/kit"

var supplyScrewsRule = kit.Rule{
	ID: "mounting.supply-screws", Title: "Screws of the power supply", Since: "0.1.0",
	Why:     "A supply hangs on its screws with all its mass; a loose one tears at its cables.",
	Formula: "Margin is the number of 6-32 screws in the boxes that may serve the supply, less four for each supply of the ATX and SFX families.",
	Sources: []sourceOf{sourceByID("supply-screw"), sourceByID("screw-uses")},
	Reads:   []string{"supply.form_factor", "kit.fasteners", "chassis.layouts.mounts.joints", "joints"},
	Texts: map[string]string{
		"pass":    "{part} needs {required} screws, and the boxes hold them.",
		"fail":    "{part} needs {required} screws and the boxes hold {measured}.",
		"unknown": "Whether there are screws for {part} cannot be told without {missing}; look into the boxes of supply and enclosure.",
	},
	Remedies: map[string]string{
		"buy": "Buy {lacking} screws 6-32, about 6 mm long.",
	},
	Cautions: map[string]string{
		"long": "Never drive a screw into a power supply that was not made for it: a long one reaches parts that carry mains voltage.",
	},
	Judge: judgeSupplyScrews,
}

func judgeSupplyScrews(c *kit.Case) {
	s := sceneOf(c)
	for i := range s.joints {
		j := &s.joints[i]
		switch supply := j.item.Part.GetSupply(); {
		case j.rule != screwsOfSupply:
		case j.need > 0:
			s.judge(j, "supply-screws", j.item, s.chassis).CautionWhen("long")
		case supply.FormFactor == nil:
			c.Judged(kit.Unknown, c.Absent(j.item.At("supply.form_factor"), "")).About(j.item).Word("part", j.item.Name())
		default:
			c.Judged(kit.Unknown, c.Absent(j.item.At("joints"), "")).About(j.item).Word("part", j.item.Name())
		}
	}
}
