package thermal

import (
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/thermal/climate"
)

// Facts that the pack works out.
const (
	ForecastFact = "thermal.forecast"
	SettingsFact = "thermal.settings"
	ChartFact    = "thermal.chart"
)

// spans hands out the ranges of a forecast from memory that serves the next case.
type spans struct {
	messages []v1.Span
	numbers  []float64
	used     int
}

func (s *spans) reset(want int) {
	if len(s.messages) < want {
		s.messages, s.numbers = make([]v1.Span, want), make([]float64, 3*want)
	}
	s.used = 0
}

func (s *spans) of(r air.Range, scale float64) *v1.Span {
	if s.used == len(s.messages) { // more than was foreseen
		s.messages, s.numbers, s.used = make([]v1.Span, 64), make([]float64, 3*64), 0
	}
	m, n := &s.messages[s.used], s.numbers[3*s.used:3*s.used+3]
	n[0], n[1], n[2] = r.Nominal*scale, r.Low*scale, r.High*scale
	m.Nominal, m.Low, m.High = &n[0], &n[1], &n[2]
	s.used++
	return m
}

// texts hands out texts of a forecast from memory that serves the next case.
type texts struct {
	list []string
	used int
}

func (t *texts) reset(want int) {
	if len(t.list) < want {
		t.list = make([]string, want)
	}
	t.used = 0
}

func (t *texts) of(v string) *string {
	if t.used == len(t.list) { // more than was foreseen
		t.list, t.used = make([]string, 64), 0
	}
	t.list[t.used] = v
	t.used++
	return &t.list[t.used-1]
}

// forecastFact is the memory of the fact that the pack provides.
type forecastFact struct {
	spans    spans
	texts    texts
	zones    []v1.AirZone
	branches []v1.AirBranch
	points   []v1.HeatPoint
	sources  []v1.SoundSource
}

var (
	forecastName = ForecastFact
	yes, no      = true, false
)

// provideForecast hands on what was solved. The time of warming up is followed only
// for an asker who wants the fact.
func provideForecast(c *kit.Case) {
	s := surveyOf(c)
	o := &s.outlook
	f := &v1.Forecast{Solved: &no}
	if o.reason != "" {
		f.Reason = &o.reason
	}
	if o.planned {
		s.fact.spans.reset(2*o.plan.Zones() + 2*o.plan.Ways() + 2*len(o.points) + len(o.sources) + 8)
		s.fact.texts.reset(o.plan.Zones() + 5*o.plan.Ways())
		s.addSound(f)
		f.Estimates = append(f.Estimates, o.plan.Estimates...)
	}
	if o.solved {
		s.addAir(f)
		if s.warmthKnown() {
			f.Solved = &yes
			s.addHeat(c, f)
		} else {
			reason := "Not all heat is known, so that no temperatures can be told."
			f.Reason = &reason
		}
	}
	c.Provide(&v1.Fact{Name: &forecastName, Content: &v1.Fact_Forecast{Forecast: f}})
}

const m3hPerM3S = 3600

func (s *survey) addAir(f *v1.Forecast) {
	o, t := &s.outlook, &s.fact
	warm := s.warmthKnown()
	t.zones = slices.Grow(t.zones[:0], o.plan.Zones())[:o.plan.Zones()]
	for i := range t.zones {
		z := o.plan.Zone(i, &o.state)
		m := &t.zones[i]
		m.Id, m.PressurePa, m.RiseK = t.texts.of(z.Name), t.spans.of(z.PressurePa, 1), nil
		if warm {
			m.RiseK = t.spans.of(z.RiseK, 1)
		}
		f.Zones = append(f.Zones, m)
	}
	t.branches = slices.Grow(t.branches[:0], o.plan.Ways())[:o.plan.Ways()]
	for i := range t.branches {
		w := o.plan.Way(i, &o.state)
		m := &t.branches[i]
		m.Id, m.From, m.To, m.FlowM3H = t.texts.of(w.Name), t.texts.of(w.From), t.texts.of(w.To), t.spans.of(w.FlowM3S, m3hPerM3S)
		m.Item, m.PressurePa, m.Stalled, m.State = nil, nil, nil, nil
		if w.Fan != air.NoFan {
			m.Item, m.PressurePa, m.State = t.texts.of(w.Item), t.spans.of(w.FanPa, 1), t.texts.of(w.Fan.String())
			m.Stalled = &no
			if w.Fan == air.Stalled || w.Fan == air.BackFlow {
				m.Stalled = &yes
			}
		}
		f.Branches = append(f.Branches, m)
	}
	f.ThroughM3H = t.spans.of(o.state.Through(), m3hPerM3S)
}

func text(v string) *string { return &v }

func (s *survey) addHeat(c *kit.Case, f *v1.Forecast) {
	o, t := &s.outlook, &s.fact
	f.ExhaustRiseK = t.spans.of(o.state.Exhaust(), 1)
	t.points = slices.Grow(t.points[:0], len(o.points))[:len(o.points)]
	for i := range o.points {
		p, m := &o.points[i], &t.points[i]
		if !p.Known {
			continue
		}
		m.Item, m.Of, m.RiseK, m.TemperatureC, m.LimitC = &p.Item, &p.Of, t.spans.of(p.RiseK, 1), nil, p.LimitC
		if s.temperature.Known() {
			at := s.temperature.Nominal
			m.TemperatureC = t.spans.of(air.Range{Low: p.RiseK.Low + at, Nominal: p.RiseK.Nominal + at, High: p.RiseK.High + at}, 1)
		}
		f.Points = append(f.Points, m)
	}
	if c.Wants(ForecastFact) {
		if minutes, err := o.plan.WarmUp(o.belief.Nominal, &o.state.Nominal); err == nil {
			// Heat capacities are estimated from mass: a third both ways.
			f.WarmUpMin = t.spans.of(air.Range{Low: minutes * 2 / 3, Nominal: minutes, High: minutes * 4 / 3}, 1)
		}
	}
}

func (s *survey) addSound(f *v1.Forecast) {
	o, t := &s.outlook, &s.fact
	n := &o.state.Noise
	t.sources = slices.Grow(t.sources[:0], len(o.sources))[:len(o.sources)]
	for i := range o.sources {
		src, m := &o.sources[i], &t.sources[i]
		if !src.Heard {
			continue
		}
		m.Item, m.LevelDba, m.SpeedRpm, m.BladeToneHz = &src.Item, t.spans.of(src.Level, 1), nil, nil
		if src.RPM > 0 {
			m.SpeedRpm = &src.RPM
		}
		if src.BladesHz > 0 {
			m.BladeToneHz = &src.BladesHz
		}
		f.Sources = append(f.Sources, m)
	}
	if n.Known && !n.Silent {
		f.MachineDba = t.spans.of(n.Machine, 1)
	}
	if n.Known && n.HasRoom {
		f.LevelDba = t.spans.of(n.Reading, 1)
	}
	for i := range o.pairs {
		f.Pairs = append(f.Pairs, tonePair(&o.pairs[i]))
	}
}

func tonePair(p *climate.BeatPair) *v1.TonePair {
	return &v1.TonePair{First: &p.First, Second: &p.Second, BeatHz: &p.Hz, Heard: text(p.Beat.Hearing.String()), OffsetRpm: &p.OffsetRPM}
}
