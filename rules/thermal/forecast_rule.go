package thermal

import (
	"strings"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var mostWidth = kit.Parameter{
	Name: "thermal.forecast.max_width_k", Unit: "K", Default: 60, Least: 1, Greatest: 500,
	Purpose: "How wide the range of the processor's or a card's temperature may be before the forecast says nothing about a limit that lies in it.",
	Source:  kit.CommonPractice,
}

var forecastRule = kit.Rule{
	ID: "thermal.forecast", Title: "Whether the forecast says anything", Since: "0.1.0",
	Why:        "A forecast whose range spans from cool to far too hot tells nothing; it should say what to supply or to measure.",
	Formula:    "The width of the range of the die that is known least, against the width that is allowed where a limit lies inside it." + textSolved,
	Parameters: []*kit.Parameter{&mostWidth, &settingsMargin},
	Sources:    []standards.Source{srcNetwork, kit.CommonPractice},
	Reads: []string{
		"chassis.panels", "chassis.compartments", "chassis.open_area_cm2", "chassis.width_mm", "chassis.height_mm", "chassis.depth_mm",
	},
	UsesFacts: []string{DemandFact, ArrangementFact},
	Texts: map[string]string{
		"pass": "Air and heat were solved: {flow} pass through, {rise} warmer when they leave. Estimated for want of figures: {estimates}.",
		"wide": "How warm {part} gets lies anywhere within {measured}; measure it once and fit the forecast to it, or supply: {estimates}.",
		"bare": "How air passes the enclosure cannot be told for want of {missing}; a drawing, or the holes counted on a photograph, will do.",
		"fail": "No steady state was found: {reason}.", "unknown": "No steady state was found: {reason}.",
	},
	Judge: judgeForecast,
}

func judgeForecast(c *kit.Case) {
	s := surveyOf(c)
	o := &s.outlook
	switch {
	case o.chassis == nil:
		return
	case !o.planned:
		if missing, ok := s.missingOpenings(c); ok {
			c.Judged(kit.Unknown, missing...).Say("bare").About(o.chassis)
		}
		return
	case !o.solved:
		c.Judged(kit.Unknown).About(o.chassis).Word("reason", o.reason)
		return
	case !s.warmthKnown():
		return // what is missing is told by the rules on temperatures
	}
	estimates := "nothing that a data sheet states"
	if list := o.plan.Estimates; len(list) > 0 {
		estimates = strings.Join(list, ", ")
	}
	for i := range o.points {
		p := &o.points[i]
		width := p.RiseK.High - p.RiseK.Low
		if p.Of != "die" || !p.Known || p.LimitC == nil || !s.temperature.Known() || width <= c.Parameter(&mostWidth).Nominal {
			continue
		}
		at := s.temperature.Nominal
		it := c.ItemByID(p.Item)
		if it == nil || at+p.RiseK.Low > *p.LimitC || at+p.RiseK.High < *p.LimitC {
			continue
		}
		c.AtMost(kit.Constant(width, "K"), c.Parameter(&mostWidth)).Using(c.Absent(s.resistancesOf(it), "K/W")).Say("wide").
			About(it).Word("part", it.Name()).Word("estimates", estimates)
		return
	}
	through := kit.Constant(0, "m3/h").With(rangeOf(o.state.Through()).Scale(m3hPerM3S), "m3/h")
	c.Judged(kit.Pass).About(o.chassis).Number("flow", through).Number("rise", kit.Constant(o.state.Exhaust().Nominal, "K")).Word("estimates", estimates)
}

// resistancesOf is where the resistance that a die's temperature hangs on stands.
func (s *survey) resistancesOf(it *kit.Item) kit.Path {
	if it.Kind == kit.KindProcessor && len(s.coolers) > 0 {
		return s.coolers[0].item.At(s.coolers[0].prefix + "resistances")
	}
	return it.At("card.resistances")
}

// missingOpenings are the fields that a network needs.
func (s *survey) missingOpenings(c *kit.Case) ([]kit.Value, bool) {
	it := s.outlook.chassis
	chassis := it.Part.GetChassis()
	var missing []kit.Value
	if len(chassis.Compartments) == 0 && chassis.OpenAreaCm2 == nil {
		missing = append(missing, c.Absent(it.At("chassis.open_area_cm2"), "cm2"))
	}
	if len(chassis.Compartments) == 0 {
		for _, f := range [...]struct {
			field string
			value *float64
		}{{"chassis.width_mm", chassis.WidthMm}, {"chassis.height_mm", chassis.HeightMm}, {"chassis.depth_mm", chassis.DepthMm}} {
			if f.value == nil {
				missing = append(missing, c.Absent(it.At(f.field), "mm"))
			}
		}
	} else if len(chassis.Panels) == 0 {
		missing = append(missing, c.Absent(it.At("chassis.panels"), ""))
	}
	return missing, len(missing) > 0
}
