package thermal

import (
	"slipfit.example/rules/air"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
	"slipfit.example/rules/thermal/climate"
)

// outlook is the solved enclosure: air, heat and sound together.
type outlook struct {
	plan   climate.Plan
	state  climate.Outlook
	belief climate.Belief

	points  []climate.HeatPoint
	sources []climate.Source
	pairs   []climate.BeatPair

	question climate.Question
	chassis  *kit.Item
	planned  bool   // the enclosure is a network
	solved   bool   // it has a steady state
	reason   string // why not
}

// takeOutlook makes the network of the build and solves it. Where there is no
// enclosure there is nothing to solve, and no reason either.
func (s *survey) takeOutlook(c *kit.Case) {
	o := &s.outlook
	o.points, o.sources, o.pairs = o.points[:0], o.sources[:0], o.pairs[:0]
	o.planned, o.solved, o.reason = false, false, ""
	o.chassis = c.First(kit.KindChassis)
	o.belief = climate.Calibrated(c.Build.GetCalibration())
	o.question = climate.Question{Build: c.Build, Arrangement: arrangementOf(c), Demand: s.demand}
	if o.chassis == nil {
		o.reason = "the build names no enclosure; add it"
		return
	}
	if err := o.plan.Read(o.question); err != nil {
		o.reason = err.Error()
		return
	}
	o.planned = true
	if err := o.plan.Forecast(o.belief, &o.state); err != nil {
		o.reason = err.Error()
	} else {
		o.solved = true
		o.points = o.plan.HeatPoints(&o.state, o.points)
	}
	o.sources = o.plan.Sources(&o.state.Noise, o.sources)
	o.pairs = o.plan.Beats(&o.state.Noise, o.pairs)
}

// warmthKnown tells whether all heat is known, so that temperatures mean something.
func (s *survey) warmthKnown() bool {
	return s.outlook.solved && s.heat.Known() && len(s.gaps) == 0
}

// rangeOf is a range of the engines as one of the findings.
func rangeOf(r air.Range) quantity.Range {
	return quantity.Range{Nominal: r.Nominal, Low: r.Low, High: r.High}
}

// celsius is a temperature of the solved enclosure: a rise on the room's.
func (s *survey) celsius(c *kit.Case, rise air.Range, from ...kit.Value) kit.Value {
	from = append(from, s.temperature, s.heat)
	from = append(from, s.gaps...)
	return c.Derived(s.temperature.Add(rangeOf(rise)), "°C", from...)
}

// point finds a thing that gets warm.
func (s *survey) point(item, of string) (climate.HeatPoint, bool) {
	for i := range s.outlook.points {
		if p := &s.outlook.points[i]; p.Item == item && p.Of == of {
			return *p, true
		}
	}
	return climate.HeatPoint{}, false
}

// solvedBy is what the temperatures of the network rest on.
var solvedBy = []standards.Source{srcNetwork, srcBalance, srcConvection, srcPlate, kit.CommonPractice}

// textSolved ends the formula of every rule on the solved network.
const textSolved = " Air and heat are solved together in a network of the enclosure: zones that the parts cut, openings, fans and coolers by their curves. " +
	"Ranges come from solving it at the unfavourable and the favourable end of what is not known. " +
	"As much of that is estimated, a build fails only where even the favourable end misses."

// soften keeps an estimate from failing a build unless its favourable end misses.
func soften(f *kit.Finding) *kit.Finding {
	if f.Verdict() == kit.Fail && f.Margin().High >= 0 {
		f.AtWorst(kit.Marginal)
	}
	return f
}
