package parcel

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var (
	massLimit = kit.Parameter{
		Name: "parcel.mass.limit_kg", Unit: "kg", Default: 20, Least: 0.1, Greatest: 100,
		Purpose: "What the parcel may weigh.",
		Source:  postal,
	}
	packing = kit.Parameter{
		Name: "parcel.mass.packing_kg", Unit: "kg", Default: 1.5, Least: 0, Greatest: 50,
		Purpose: "What the packing weighs.",
		Source:  kit.CommonPractice,
	}
)

var massRule = kit.Rule{
	ID: "parcel.mass", Title: "Mass of the parcel", Since: "1.0.0",
	Why:        "A parcel that is too heavy is turned away at the counter, and one that was declared too light may be returned.",
	Formula:    "Margin is the limit, less the mass of the machine, as the mounting pack works it out, and of its packing.",
	Sources:    []standards.Source{postal},
	UsesFacts:  []string{factAssembly},
	Parameters: []*kit.Parameter{&massLimit, &packing},
	Texts: map[string]string{
		"pass":    "The parcel weighs {measured}; it may weigh {required}.",
		"fail":    "The parcel weighs {measured}, and it may weigh {required}.",
		"unknown": "What the parcel weighs cannot be told without {missing}; weigh the machine, or state the masses of its parts.",
	},
	Remedies: map[string]string{"apart": "Send {shortfall} of it in a parcel of its own, or send it as freight."},
	Cautions: map[string]string{"loose": "Take out heavy cards and tall coolers before the machine is sent: they break loose on the way."},
	Judge: func(c *kit.Case) {
		chassis := c.First(kit.KindChassis)
		if chassis == nil {
			return
		}
		f := c.AtMost(c.Sum("kg", machineMass(c), c.Parameter(&packing)), c.Parameter(&massLimit)).About(chassis).Caution("loose")
		f.RemedyOf("apart", f.Shortfall())
	},
}

// machineMass is what the mounting pack found, in kg. Where it could not tell either,
// its fact is as good as missing.
func machineMass(c *kit.Case) kit.Value {
	fact, ok := c.Fact(factAssembly)
	if !ok || fact.GetAssembly().MassG == nil {
		return c.AbsentFact(factAssembly, "kg")
	}
	return kit.Constant(fact.GetAssembly().GetMassG()/1000, "kg")
}
