package thermal

import (
	"math"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var touchRule = kit.Rule{
	ID: "thermal.touch", Title: "Temperature of the panels that people touch", Since: "0.1.0",
	Why: "A panel that is too hot burns whoever takes hold of it.",
	Formula: "The limit of the standard for a surface touched for one to ten seconds, less the warmest panel's temperature. " +
		"The limit holds for a room of 25 degrees: the panel's rise is moved to that room, the limit is not." + textSolved,
	Sources:   []standards.Source{touchSource(), srcNetwork, kit.CommonPractice},
	Reads:     []string{"chassis.panels", "chassis.width_mm", "chassis.height_mm", "chassis.depth_mm"},
	UsesFacts: []string{DemandFact, ArrangementFact},
	Texts: map[string]string{
		"pass":     "The warmest panel, {panel}, comes to {measured} in a room of 25 °C, {rise} above it, and may have {required} where it is touched for seconds.",
		"marginal": "The warmest panel, {panel}, comes to about {measured} in a room of 25 °C and may have {required} where it is touched for seconds; it may be {most}.",
		"fail":     "The warmest panel, {panel}, would come to {measured} in a room of 25 °C and may have only {required} where it is touched for seconds.",
		"unknown":  "How warm the panels get cannot be told for want of {missing}.",
	},
	Remedies: map[string]string{"air": "Keep hot air off this panel, or let it out close to where it is made."},
	Cautions: map[string]string{
		"hot": "Do not touch the panel while the machine works hard, and keep children away from it. Local law and the safety standard in force decide what is allowed.",
	},
	Judge: judgeTouch,
}

// roomOfTouch is the room that touch limits are measured in, degrees Celsius.
const roomOfTouch = 25

func touchSource() standards.Source {
	limit, err := standards.TouchLimitFor(standards.SurfaceMetal, standards.ContactShort)
	if err != nil {
		panic(err) // the table is compiled in
	}
	return limit.Source
}

// surfaceOf is the material of a panel by the words of the standard.
func surfaceOf(material string) string {
	switch material {
	case "glass":
		return standards.SurfaceGlass
	case "plastic", "wood":
		return standards.SurfacePlastic
	default: // bare metal is the strictest
		return standards.SurfaceMetal
	}
}

// judgeTouch judges the panel that comes closest to its limit.
func judgeTouch(c *kit.Case) {
	s := surveyOf(c)
	if !s.outlook.solved {
		return
	}
	best, least, limitC := -1, math.Inf(1), 0.0
	for i := range s.outlook.points {
		p := &s.outlook.points[i]
		if p.Of != "panel" {
			continue
		}
		limit, err := standards.TouchLimitFor(surfaceOf(p.Material), standards.ContactShort)
		if err != nil {
			continue
		}
		if left := limit.TS1C - p.RiseK.Nominal; left < least {
			best, least, limitC = i, left, limit.TS1C
		}
	}
	if best < 0 {
		return
	}
	p := &s.outlook.points[best]
	at := kit.Constant(roomOfTouch, "°C")
	from := append([]kit.Value{s.heat}, s.gaps...)
	measured := c.Derived(at.Add(rangeOf(p.RiseK)), "°C", from...)
	f := soften(c.AtMost(measured, kit.Constant(limitC, "°C"))).About(s.outlook.chassis).Word("panel", p.Item).
		Number("rise", kit.Constant(p.RiseK.Nominal, "K")).Number("most", kit.Constant(roomOfTouch+p.RiseK.High, "°C"))
	f.Remedy("air")
	if f.Verdict() == kit.Fail || f.Verdict() == kit.Marginal {
		f.Caution("hot")
	}
}
