package parcel

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var (
	girthLimit = kit.Parameter{
		Name: "parcel.girth.limit_mm", Unit: "mm", Default: 3000, Least: 100, Greatest: 20000,
		Purpose: "What the longest side and the girth round the other two may come to together.",
		Source:  postal,
	}
	padding = kit.Parameter{
		Name: "parcel.girth.padding_mm", Unit: "mm", Default: 50, Least: 0, Greatest: 500,
		Purpose: "How much packing lies round the machine on every side.",
		Source:  kit.CommonPractice,
	}
)

var girthRule = kit.Rule{
	ID: "parcel.girth", Title: "Length and girth of the parcel", Since: "1.0.0",
	Why:        "A parcel that is too long or too thick is turned away at the counter, or costs freight.",
	Formula:    "Margin is the limit, less the longest side of the packed machine and twice the other two.",
	Sources:    []standards.Source{postal},
	Reads:      []string{"chassis.width_mm", "chassis.height_mm", "chassis.depth_mm"},
	Parameters: []*kit.Parameter{&girthLimit, &padding, &kit.LengthTolerance},
	Texts: map[string]string{
		"pass":    "Packed, the machine measures {measured} in length and girth; a parcel may measure {required}.",
		"fail":    "Packed, the machine measures {measured} in length and girth, and a parcel may measure {required}.",
		"unknown": "Whether the packed machine is a parcel cannot be told without {missing}.",
	},
	Remedies: map[string]string{"smaller": "Choose an enclosure whose length and girth are {shortfall} less, pack it tighter, or send it as freight."},
	Judge: func(c *kit.Case) {
		chassis := c.First(kit.KindChassis)
		if chassis == nil {
			return
		}
		of := chassis.Part.GetChassis()
		width, height, depth := c.Length(chassis, "chassis.width_mm", of.WidthMm), c.Length(chassis, "chassis.height_mm", of.HeightMm),
			c.Length(chassis, "chassis.depth_mm", of.DepthMm)
		pad := c.Parameter(&padding)
		size := c.Derived(lengthAndGirth(pad.Range, width.Range, height.Range, depth.Range), "mm", width, height, depth, pad)
		f := c.AtMost(size, c.Parameter(&girthLimit)).About(chassis)
		f.RemedyOf("smaller", f.Shortfall())
	},
}

// lengthAndGirth is the longest side and twice the other two, each with packing at
// both ends. It grows with every side, so that its ends are those of the sides.
func lengthAndGirth(pad, width, height, depth quantity.Range) quantity.Range {
	at := func(pad, a, b, c float64) float64 {
		a, b, c = a+2*pad, b+2*pad, c+2*pad
		return 2*(a+b+c) - max(a, b, c)
	}
	return quantity.Range{
		Nominal: at(pad.Nominal, width.Nominal, height.Nominal, depth.Nominal),
		Low:     at(pad.Low, width.Low, height.Low, depth.Low),
		High:    at(pad.High, width.High, height.High, depth.High),
	}
}
