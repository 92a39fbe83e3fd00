package thermal

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/thermal/climate"
)

var settingsMargin = kit.Parameter{
	Name: "thermal.forecast.settings_margin_k", Unit: "K", Default: 5, Least: 0, Greatest: 50,
	Purpose: "How far below its limit each die stays at the fan speeds that thermal.settings gives.",
	Source:  kit.CommonPractice,
}

var settingsName = SettingsFact

// mostImprovements bounds what one answer lists.
const mostImprovements = 12

// provideSettings works out fan speeds and what changes would bring.
func provideSettings(c *kit.Case) {
	s := surveyOf(c)
	o := &s.outlook
	out := &v1.Settings{}
	if s.warmthKnown() {
		margin := c.Parameter(&settingsMargin).Nominal
		for i, t := range o.plan.Tryouts(o.belief, &o.state) {
			if i == mostImprovements {
				break
			}
			out.Improvements = append(out.Improvements, &v1.Improvement{Action: &t.Action, ChangeK: spanOf(t.ChangeK), ChangeDb: spanOf(t.ChangeDB)})
		}
		if set, ok := o.plan.Quietest(o.belief.Nominal, margin); ok {
			out.Reachable = &set.Reachable
			for i, steered := range set.Steered {
				if steered {
					out.Speeds = append(out.Speeds, s.fanSpeed(o.plan.Motor(i), set.RPM[i], margin))
				}
			}
			var n climate.Noise
			o.plan.Sounds(set.RPM, o.belief.Nominal[climate.Sound], &n)
			switch {
			case n.Known && n.HasRoom:
				out.LevelDba = spanOf(n.Reading)
			case n.Known && !n.Silent:
				out.LevelDba = spanOf(n.Machine)
			}
		}
	}
	c.Provide(&v1.Fact{Name: &settingsName, Content: &v1.Fact_Settings{Settings: out}})
}

func spanOf(r air.Range) *v1.Span { return &v1.Span{Nominal: &r.Nominal, Low: &r.Low, High: &r.High} }

// fanSpeed is one motor's speed with three points for firmware: the least speed
// until 15 K below the aim, the speed that was found at the aim, and all it has
// just below the limit. Cards' fans go by the card's die, all others by the
// processor's.
func (s *survey) fanSpeed(m climate.Motor, rpm, margin float64) *v1.FanSpeed {
	limit := 0.0
	for i := range s.outlook.points {
		p := &s.outlook.points[i]
		if p.Of == "die" && p.LimitC != nil && (p.Item == m.Item || !m.OfCard && s.processor != nil && p.Item == s.processor.ID) {
			limit = *p.LimitC
		}
	}
	out := &v1.FanSpeed{Item: &m.Item, SpeedRpm: &rpm}
	if limit <= 0 {
		return out
	}
	aim := limit - margin
	for _, pt := range [...][2]float64{{aim - 15, min(m.MinRPM, rpm)}, {aim, rpm}, {limit - min(2, margin/2), m.MaxRPM}} {
		out.Curve = append(out.Curve, &v1.CurvePoint{TemperatureC: &pt[0], SpeedRpm: &pt[1]})
	}
	return out
}
