package mounting

import "slipfit.example/rules/kit"

var m2ScrewRule = kit.Rule{
	ID: "mounting.m2-screw", Title: "Screw of the M.2 drive", Since: "0.1.0",
	Why: "An M.2 drive stands up from its socket unless a small screw holds its end, and that screw is easily lost.",
	Formula: "Margin is the number of M2 or M3 drive screws in the boxes, less one for each M.2 drive. Boards that hold drives without a tool need none, so that a " +
		"missing screw is doubtful at worst.",
	Sources: []sourceOf{sourceByID("m2-screw"), sourceByID("screw-uses-memory")},
	Reads:   []string{"drive.form_factor", "kit.fasteners", "joints"},
	Texts: map[string]string{
		"pass":     "{part} needs {required} M.2 screws, and the boxes hold them.",
		"marginal": "{part} needs {required} M.2 screws and the boxes list {measured}; the board may hold it without a tool.",
		"fail":     "{part} needs {required} M.2 screws and the boxes hold {measured}.",
		"unknown":  "Whether there is a screw for {part} cannot be told without {missing}; look into the board's box.",
	},
	Remedies: map[string]string{
		"buy": "Look whether the board holds drives without a tool, else buy {lacking} screws M2, about 3 mm long.",
	},
	Judge: func(c *kit.Case) {
		s := sceneOf(c)
		for i := range s.joints {
			if j := &s.joints[i]; j.rule == screwOfM2 {
				s.judge(j, "m2-screw", c.First(kit.KindBoard)).AtWorst(kit.Marginal)
			}
		}
	},
}
