package audit

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var fanCurveRule = kit.Rule{
	ID: "audit.fan-curve", Title: "A fan's greatest figures against its own curve", Since: "0.1.0",
	Why:     "The greatest flow is where the curve ends and the greatest pressure where it begins; two figures for one thing leave the reader to guess.",
	Formula: "Flow at the curve's last point and pressure at its first are held against the greatest figures, a tenth to either side.",
	Sources: []source{arithmetic},
	Reads:   []string{"fan.curve.flow_m3h", "fan.curve.pressure_pa", "fan.max_flow_m3h", "fan.max_pressure_pa"},
	Texts: texts("The greatest flow and pressure of {part} are those of its curve.",
		"Whether the curve of {part} agrees with its greatest figures cannot be told without {missing}."),
	Remedies: remedies(),
	Judge:    each(judgeFanCurve),
}

// curveShare is what a curve read off a print may be off.
const curveShare = 0.1

func judgeFanCurve(s *sheet) {
	eachFan(s.it.Part, func(prefix string, fan *v1.Fan) {
		if len(fan.Curve) < 2 {
			return
		}
		first, last := fan.Curve[0], fan.Curve[len(fan.Curve)-1]
		// A curve that ends before either axis says nothing about the greatest.
		if last.GetPressurePa() == 0 && last.GetFlowM3H() > 0 {
			holdNear(s, prefix+"max_flow_m3h", fan.MaxFlowM3H, last.GetFlowM3H(), "m3/h", "the flow at the end of its curve is ")
		}
		if first.GetFlowM3H() == 0 && first.GetPressurePa() > 0 {
			holdNear(s, prefix+"max_pressure_pa", fan.MaxPressurePa, first.GetPressurePa(), "Pa", "the pressure at the start of its curve is ")
		}
	})
}

func holdNear(s *sheet, field string, v *float64, other float64, unit, words string) {
	s.hold(figure{field, v, unit, other * (1 - curveShare), other * (1 + curveShare),
		func() string { return words + kit.FormatNumber(other, unit) }, true})
}
