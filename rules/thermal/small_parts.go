package thermal

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// smallPart is what the rules on memory, drives and regulators differ in.
type smallPart struct {
	kind  kit.Kind
	of    string // as in HeatPoint.Of
	field string // of the limit
	limit func(*kit.Item) *float64
	// assumed stands in for a limit that nobody states, 0 where none does.
	assumed float64
	// always judges also where no limit is stated: the finding is then UNKNOWN.
	always bool
}

// judge compares each part of a kind with its limit.
func (sp *smallPart) judge(c *kit.Case) {
	s := surveyOf(c)
	if !s.outlook.solved {
		return
	}
	for it := range c.Items(sp.kind) {
		p, ok := s.point(it.ID, sp.of)
		stated := sp.limit(it)
		if !ok || stated == nil && sp.assumed == 0 && !sp.always {
			continue
		}
		limit := c.Figure(it, sp.field, stated, "°C", 0)
		if stated == nil && sp.assumed > 0 {
			limit = kit.Constant(sp.assumed, "°C")
		}
		f := soften(c.AtMost(s.celsius(c, p.RiseK), limit)).AtWorst(kit.Marginal).About(it).Word("part", it.Name()).
			Number("rise", kit.Constant(p.RiseK.Nominal, "K")).
			Number("most", kit.Constant(s.temperature.Nominal+p.RiseK.High, "°C"))
		less := kit.Constant(f.Shortfall().Nominal, "K")
		f.Number("less", less).RemedyOf("air", less)
	}
}

// Texts that the rules on small parts share.
func smallTexts(unknown string) map[string]string {
	return map[string]string{
		"pass":     "{part} comes to {measured}, {rise} above the room, and may reach {required}.",
		"marginal": "{part} comes to about {measured}, {rise} above the room, and may reach {required}; by what is not exactly known it may be {most}.",
		"fail":     "{part} would come to {measured}, {rise} above the room, and may reach only {required}.",
		"unknown":  unknown,
	}
}

// Formula that the rules on small parts share.
const formulaSmall = " What lies between the part and the air around it is estimated from its surface, so that this rule warns and never fails a build." + textSolved

var smallSources = []standards.Source{srcNetwork, srcPlate, srcBalance, kit.CommonPractice}
