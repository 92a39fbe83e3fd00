package mounting

import "slipfit.example/rules/kit"

var baySheet = kit.Parameter{
	Name: "mounting.drive-screws.sheet_mm", Unit: "mm", Default: 1, Least: 0, Greatest: 10,
	Purpose: "How thick the sheet of a bay is whose panel is not described.",
	Source:  kit.CommonPractice,
}

var driveScrewsRule = kit.Rule{
	ID: "mounting.drive-screws", Title: "Screws of drives in bays", Since: "0.1.0",
	Why: "Drives take threads of their own: M3 in 2.5-inch drives, 6-32 in 3.5-inch ones; the other one ruins the drive's thread, and a screw that is too long " +
		"reaches its board.",
	Formula: "Margin is the number of screws in the boxes that have the drive's thread and a length that holds, less four for each drive. Where the " +
		"drive lists how deep its holes are, a screw must hold in them through the bay's sheet and go no deeper; where the mount gives lengths, those count.",
	Sources:    []sourceOf{sourceByID("screw-uses"), kit.CommonPractice},
	Reads:      []string{"drive.form_factor", "kit.fasteners", "chassis.layouts.mounts.joints", "joints", "holes", "chassis.panels", "chassis.layouts.mounts.holes"},
	Parameters: []*kit.Parameter{&baySheet},
	Texts: map[string]string{
		"pass":    "{part} needs {required} screws, and the boxes hold them.",
		"fail":    "{part} needs {required} screws and the boxes hold {measured}.",
		"unknown": "Whether there are screws for {part} cannot be told without {missing}; look into the enclosure's box.",
	},
	Remedies: map[string]string{
		"buy": "Buy {lacking} screws of the drive's thread, about 5 mm long, unless the bay holds drives without screws.",
	},
	Judge: func(c *kit.Case) {
		s := sceneOf(c)
		for i := range s.joints {
			j := &s.joints[i]
			switch {
			case j.rule != screwsOfDrive:
			case j.need > 0:
				s.judge(j, "drive-screws", s.chassis)
			case j.item.Part.GetDrive().FormFactor == nil:
				c.Judged(kit.Unknown, c.Absent(j.item.At("drive.form_factor"), "")).About(j.item).Word("part", j.item.Name())
			default:
				c.Judged(kit.Unknown, c.Absent(j.item.At("joints"), "")).About(j.item).Word("part", j.item.Name())
			}
		}
	},
}
