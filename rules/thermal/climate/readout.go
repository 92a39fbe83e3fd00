package climate

import (
	"math"
	"sort"

	"slipfit.example/rules/air"
	"slipfit.example/rules/sound"
)

// Outlook is a plan solved at the likely places of its coefficients and at the two
// ends of belief.
type Outlook struct {
	Cool, Nominal, Warm State
	Noise               Noise
}

// Forecast solves a plan for a belief. The error is that of the first state that
// was not found; the sound does not depend on it and is there all the same.
func (p *Plan) Forecast(b Belief, out *Outlook) error {
	p.Sounds(nil, b.Nominal[Sound], &out.Noise)
	out.Noise.narrow(b)
	if err := p.Solve(b.Nominal, nil, &out.Nominal); err != nil {
		return err
	}
	if err := p.Solve(b.Cool, nil, &out.Cool); err != nil {
		return err
	}
	return p.Solve(b.Warm, nil, &out.Warm)
}

// span is a value of three states as a range around the nominal one.
func span(nominal, cool, warm float64) air.Range {
	return air.Range{Low: min(nominal, cool, warm), Nominal: nominal, High: max(nominal, cool, warm)}
}

// Through is the room's air that enters, in m3/s.
func (o *Outlook) Through() air.Range {
	return span(o.Nominal.ThroughM3S, o.Cool.ThroughM3S, o.Warm.ThroughM3S)
}

// Exhaust is how much warmer than the room the air is that leaves, in K.
func (o *Outlook) Exhaust() air.Range {
	return span(o.Nominal.ExhaustK, o.Cool.ExhaustK, o.Warm.ExhaustK)
}

// ZonePoint is the air of a zone.
type ZonePoint struct {
	Name       string
	PressurePa air.Range
	RiseK      air.Range
	Inside     bool // the enclosure; not the air beneath or in a card
}

// Zones is how many zones there are.
func (p *Plan) Zones() int { return len(p.cells) }

// Zone is one of them.
func (p *Plan) Zone(i int, o *Outlook) ZonePoint {
	return ZonePoint{
		Name:       p.cells[i].name,
		PressurePa: span(o.Nominal.PressurePa[i], o.Cool.PressurePa[i], o.Warm.PressurePa[i]),
		RiseK:      span(o.Nominal.RiseK[i], o.Cool.RiseK[i], o.Warm.RiseK[i]),
		Inside:     p.cells[i].chamber >= 0,
	}
}

// WayPoint is a way of air.
type WayPoint struct {
	Name, Item string
	From, To   string // "room" for the room
	FlowM3S    air.Range
	FanPa      air.Range
	Fan        air.FanState
	WorstFan   air.FanState // at the unfavourable end
	RPM        float64
	Outside    bool    // it joins inside and room
	Share      float64 // of its fans' free flow at their speed
}

// Ways is how many ways there are.
func (p *Plan) Ways() int { return len(p.ways) }

// Way is one of them.
func (p *Plan) Way(i int, o *Outlook) WayPoint {
	w := &p.ways[i]
	pt := WayPoint{
		Name: w.name, Item: w.item, From: p.zoneName(w.from), To: p.zoneName(w.to),
		FlowM3S: span(o.Nominal.FlowM3S[i], o.Cool.FlowM3S[i], o.Warm.FlowM3S[i]),
		FanPa:   span(o.Nominal.FanPa[i], o.Cool.FanPa[i], o.Warm.FanPa[i]),
		Fan:     o.Nominal.Fans[i], WorstFan: o.Warm.Fans[i],
		Outside: w.from == outside || w.to == outside || w.from == p.beneath && p.beneath >= 0 || w.to == p.beneath && p.beneath >= 0,
	}
	if w.motor >= 0 {
		m := &p.motors[w.motor]
		pt.RPM = m.rpm
		if free := w.curve.free * m.rpm / max(m.maxRPM, 1); free > 0 {
			pt.Share = pt.FlowM3S.Nominal / free
		}
	}
	return pt
}

func (p *Plan) zoneName(i int) string {
	if i < 0 {
		return "room"
	}
	return p.cells[i].name
}

// HeatPoint is a thing that gets warm.
type HeatPoint struct {
	Item, Of string
	RiseK    air.Range
	LimitC   *float64
	PowerW   float64
	IntakeK  air.Range // of dies: the air that enters their cooler
	Known    bool
	Material string // of panels
	index    int
}

// HeatPoints lists dies, liquids, small parts and panels, in this order.
func (p *Plan) HeatPoints(o *Outlook, dst []HeatPoint) []HeatPoint {
	for i := range p.chips {
		c := &p.chips[i]
		dst = append(dst, HeatPoint{
			Item: c.item, Of: c.of, LimitC: c.limitC, PowerW: c.powerW, Known: c.known, index: i,
			RiseK:   span(o.Nominal.ChipRiseK[i], o.Cool.ChipRiseK[i], o.Warm.ChipRiseK[i]),
			IntakeK: span(o.Nominal.IntakeK[i], o.Cool.IntakeK[i], o.Warm.IntakeK[i]),
		})
		if c.loop >= 0 {
			l := c.loop
			dst = append(dst, HeatPoint{Item: p.motors[c.motor].item, Of: "coolant", Known: true, RiseK: span(o.Nominal.LiquidK[l], o.Cool.LiquidK[l], o.Warm.LiquidK[l])})
		}
	}
	for i := range p.locals {
		l := &p.locals[i]
		dst = append(dst, HeatPoint{Item: l.item, Of: l.of, LimitC: l.limitC, PowerW: l.powerW, Known: true,
			RiseK: span(o.Nominal.LocalRiseK[i], o.Cool.LocalRiseK[i], o.Warm.LocalRiseK[i])})
	}
	for i := range p.panels {
		n := &p.panels[i]
		dst = append(dst, HeatPoint{Item: n.name, Of: "panel", Known: true, Material: n.material,
			RiseK: span(o.Nominal.PanelRiseK[i], o.Cool.PanelRiseK[i], o.Warm.PanelRiseK[i])})
	}
	return dst
}

// Source is a source of sound.
type Source struct {
	Item     string
	Level    air.Range
	Heard    bool
	RPM      float64
	BladesHz float64
	Count    int
	Like     int // fans of one item that turn together
}

// Sources lists the sources of sound.
func (p *Plan) Sources(n *Noise, dst []Source) []Source {
	for i := range p.motors {
		m := &p.motors[i]
		s := Source{Item: m.item, Level: n.Levels[i], Heard: n.Heard[i], Count: m.count}
		if m.kind != pump {
			s.RPM = m.rpm
			if m.blades > 0 && m.rpm >= 1 {
				s.BladesHz, _ = sound.BladePassHz(m.rpm, m.blades)
			}
		}
		dst = append(dst, s)
	}
	return dst
}

// BeatPair is two fans whose blade tones lie close together.
type BeatPair struct {
	First, Second string
	Hz            float64 // at the speeds that are set
	Beat          sound.Beat
	OffsetRPM     float64 // that takes the wobble away
	LevelDB       float64 // of both together at the listener
	Count         int     // of fans of the first item
}

// driftShare is how far fans of one kind and one setting differ in speed (common
// practice, no source).
const driftShare = 0.01

// Beats lists pairs that can be heard beating: fans in panels and on coolers whose
// tones lie within 15 Hz and within 10 dB of each other. Fans of one item turn at
// one setting, drift apart by a little, and so swell.
func (p *Plan) Beats(n *Noise, dst []BeatPair) []BeatPair {
	for i := range p.motors {
		a := &p.motors[i]
		hz, ok := a.tone(n.Heard[i])
		if !ok {
			continue
		}
		if a.count > 1 && a.kind != cardFan {
			dst = p.beat(dst, a, a, hz, hz*(1+driftShare), n.Levels[i].Nominal, n.Levels[i].Nominal)
		}
		for j := i + 1; j < len(p.motors); j++ {
			b := &p.motors[j]
			if other, ok := b.tone(n.Heard[j]); ok && a.kind != cardFan && b.kind != cardFan {
				dst = p.beat(dst, a, b, hz, other, n.Levels[i].Nominal, n.Levels[j].Nominal)
			}
		}
	}
	sort.SliceStable(dst, func(i, j int) bool { return dst[i].LevelDB > dst[j].LevelDB })
	return dst
}

func (m *motor) tone(heard bool) (float64, bool) {
	if !heard || m.blades == 0 || m.rpm < 1 || m.kind == pump {
		return 0, false
	}
	hz, err := sound.BladePassHz(m.rpm, m.blades)
	return hz, err == nil
}

// clearHz is from where two tones no longer wobble.
const clearHz = 15

func (p *Plan) beat(dst []BeatPair, a, b *motor, aHz, bHz, aDB, bDB float64) []BeatPair {
	if math.Abs(aHz-bHz) >= clearHz || math.Abs(aDB-bDB) > 10 {
		return dst
	}
	beat, err := sound.Neighbours(aHz, aDB, bHz, bDB)
	if err != nil || !beat.Prominent && a != b {
		return dst
	}
	both, err := sound.Sum(aDB, bDB)
	if a == b {
		both, err = aDB, nil // its level is already that of all its fans
	}
	if err != nil {
		return dst
	}
	hz := math.Abs(aHz - bHz)
	if a == b {
		hz = 0
	}
	return append(dst, BeatPair{
		Count: a.count, First: a.item, Second: b.item, Hz: hz, Beat: beat, LevelDB: both,
		OffsetRPM: math.Ceil((clearHz-hz)*60/float64(b.blades)/10) * 10,
	})
}

// RiseOf is how far a thing lies above the room in a state, by the words of a
// reading: "die", "coolant", "drive", "memory", "regulator", "panel", or "air" of a
// zone.
func (p *Plan) RiseOf(item, of string, s *State) (riseK float64, ok bool) {
	switch of {
	case "die", "coolant":
		for i := range p.chips {
			c := &p.chips[i]
			switch {
			case of == "die" && c.item == item && c.known:
				return s.ChipRiseK[i], true
			case of == "coolant" && c.loop >= 0 && (c.item == item || p.motors[c.motor].item == item):
				return s.LiquidK[c.loop], true
			}
		}
	case "panel":
		for i := range p.panels {
			if p.panels[i].name == item {
				return s.PanelRiseK[i], true
			}
		}
	case "air":
		for i := range p.cells {
			if p.cells[i].name == item {
				return s.RiseK[i], true
			}
		}
	default:
		for i := range p.locals {
			if p.locals[i].item == item && p.locals[i].of == of {
				return s.LocalRiseK[i], true
			}
		}
	}
	return 0, false
}
