package mounting

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var liftByOne = kit.Parameter{
	Name: "mounting.lifting.one_person_kg", Unit: "kg", Default: 25, Least: 1, Greatest: 100,
	Purpose: "How heavy the machine may be to be lifted by one person.",
	Source:  liftingSource,
}

var liftingSource = standards.Source{
	ID: "lifting-reference-mass", Title: "ISO 11228-1, reference mass of lifting", Standing: standards.Memory, Witnesses: 1,
}

// cautionFromKg is from which mass on lifting is worth a word (common practice, no
// source).
const cautionFromKg = 10

var liftingRule = kit.Rule{
	ID: "mounting.lifting", Title: "Mass of the whole and how to lift it", Since: "0.1.0", Alone: true,
	Why: "A full machine is carried to its desk and turned over on the bench; one that is too heavy for one person hurts backs and falls.",
	Formula: "Margin is the mass that one person lifts, less the masses of all parts. Small parts that state none count with what such parts weigh, as a range; " +
		"it is doubtful at worst.",
	Sources:    []sourceOf{liftingSource, kit.CommonPractice},
	Reads:      []string{"mass_g"},
	Parameters: []*kit.Parameter{&liftByOne},
	Texts: map[string]string{
		"pass":     "The machine weighs {measured}; one person lifts {required}.",
		"marginal": "The machine weighs {measured}, more than the {required} that one person should lift.",
		"fail":     "The machine weighs {measured}, more than the {required} that one person should lift.",
		"unknown":  "What the machine weighs cannot be told without {missing}; the masses stand in the data sheets, or weigh the parts.",
	},
	Remedies: map[string]string{"two": "Lift it with two people, or carry the heavy parts separately."},
	Cautions: map[string]string{
		"lift": "Lift the machine close to your body and with your knees, with the plug out, and never by its card, its cables or a panel that comes off.",
	},
	Judge: func(c *kit.Case) {
		s := sceneOf(c)
		if s.chassis == nil {
			return
		}
		mass := s.wholeMass()
		f := c.AtMost(mass, c.Parameter(&liftByOne)).About(s.chassis).AtWorst(kit.Marginal).Remedy("two")
		if mass.Nominal >= cautionFromKg {
			f.Caution("lift")
		}
	},
}
