package power

import (
	"math"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var insideRise = kit.Parameter{
	Name: "power.wires.inside_rise_k", Unit: "K", Default: 15, Least: 0, Greatest: 60,
	Purpose: "How much warmer than the room the air around the cables is taken to be; at its high end it is warmer by half as much again.",
	Source:  kit.CommonPractice,
}

// Sources of what wires give their heat to.
var (
	srcWireHeat = standards.Source{
		ID: "wire-heat", Title: "heat balance of a wire: Joule's law, free convection after Churchill and Chu 1975, radiation",
		Standing: standards.Derived, Witnesses: 1,
	}
	srcBundle = standards.Source{
		ID: "nfpa70-310.15c1", Title: "NFPA 70, adjustment for more than three current-carrying conductors", Clause: "table 310.15(C)(1)",
		Standing: standards.Memory, Witnesses: 1,
	}
)

var wires = kit.Rule{
	ID: "power.wires", Title: "Temperature of the wires", Since: "0.1.0",
	Why: "A wire too thin for its current cooks its own insulation, and bundled wires keep each other warm.",
	Formula: "85 °C, which the design guide asks of the insulation, less the copper's temperature: the current of one wire from the solved " +
		"network, raised for the heat of the wires beside it, in still air that is warmer than the room. The high end takes high draws, low voltage, " +
		"the uneven share of the contact that the wire ends in, and a thin gauge where none is stated.",
	Parameters: []*kit.Parameter{&insideRise, &kit.PowerTolerance},
	Sources:    []standards.Source{standards.SupplyWireTemperature.Source, standards.WireSource(), srcWireHeat, srcBundle},
	Reads: []string{
		"supply.cables", "cable.gauge_awg", "cable.power_wires", "cable.ends", "room.temperature_c",
		"processor.demand", "card.demand", "drive.demand", "board.demand", "use.loads",
	},
	Texts: map[string]string{
		"pass": "Every wire stays cool; the warmest, {rail} in the {plug} cable to {parts}, comes to {measured} with {amps} in each, " +
			"and its insulation bears {required}.",
		"marginal": "The wires of {rail} in the {plug} cable to {parts} come to {measured} with {amps} in each, and their insulation bears {required}; " +
			"with an uneven share or warm air one may reach {top}.",
		"fail": "The wires of {rail} in the {plug} cable to {parts} would come to {measured} with {amps} in each, and their insulation bears {required}.",
		"unknown": "How warm the wires get cannot be told everywhere for want of {missing}; " +
			"the gauge is printed on the wire, and data sheets list what parts draw.",
	},
	Remedies: map[string]string{
		"thicker": "Use a cable of thicker wire or with more wires to {parts}, or lower its power limit.",
		"air":     "Bring cooler air to the cables and do not tie them in thick bundles.",
	},
	Cautions: map[string]string{
		"hot-wire": "Hot insulation softens, chars and can start a fire. If a cable feels hot or smells, switch off and pull the mains cord before you touch it.",
	},
	Judge: judgeWires,
	Bound: boundWires,
}

// wireLoad is one leg's wires and how warm they get.
type wireLoad struct {
	feed, rail int
	celsius    quantity.Range
	amps       float64
}

// wireLoads are what there is to say of the wires: those that are too warm, the warmest
// of the others, and what is missing.
type wireLoads struct {
	over    []wireLoad
	warmest wireLoad
	some    bool // there is a warmest one
	unknown []kit.Value
}

func judgeWires(c *kit.Case) {
	s := surveyOf(c)
	r := s.operate(c)
	if r == nil || !r.solved {
		return // the rules on contacts and voltage say so
	}
	air := s.airAround(c)
	limit := kit.Constant(standards.SupplyWireTemperature.Value, "°C")
	l := s.wireLoads(c, r, air, limit.Nominal)
	for i := range l.over {
		s.reportWire(c, l.over[i], limit, air)
	}
	if len(l.unknown) > 0 {
		c.Judged(kit.Unknown, l.unknown...).About(s.supply)
	} else if l.some {
		s.reportWire(c, l.warmest, limit, air)
	}
}

// wireLoads compares the wires of all plugs with what insulation bears. The list of
// those over it is the survey's.
func (s *survey) wireLoads(c *kit.Case, r *reading, air kit.Value, limitC float64) wireLoads {
	circuit, uneven := s.laid.circuit, c.Parameter(&unevenFactor).Nominal
	out := wireLoads{over: s.overWires[:0]}
	for i := range circuit.feeds.all {
		load, known := s.warmest(circuit, r, i, air.Range, uneven)
		if !known {
			continue
		}
		gap := s.gapsOn(circuit, i)
		if doubt, ok := s.unsaidGauge(c, circuit, i); ok && load.celsius.High > limitC {
			gap = append(gap, doubt)
		}
		if !air.Known() && load.celsius.High > limitC {
			gap = append(gap, air)
		}
		switch {
		case len(gap) > 0:
			out.unknown = append(out.unknown, gap...)
		case load.celsius.High > limitC:
			out.over = append(out.over, load)
		case !out.some || load.celsius.High > out.warmest.celsius.High:
			out.warmest, out.some = load, true
		}
	}
	s.overWires = out.over
	return out
}

// Air around the cables where the room's temperature is not stated: what passes in
// a warm room passes in any that people work in.
const (
	usualRoomC   = 22
	hottestRoomC = 40
)

// airAround is the air inside the enclosure, by the room's and by custom; a
// forecast of it comes only after this pack's facts.
func (s *survey) airAround(c *kit.Case) kit.Value {
	rise := c.Parameter(&insideRise).Nominal
	room := c.Build.GetRoom()
	if room == nil || room.TemperatureC == nil {
		v := c.Absent(kit.Path{Field: "room.temperature_c"}, "°C")
		return v.With(quantity.Range{Nominal: usualRoomC + rise, Low: usualRoomC, High: hottestRoomC + 1.5*rise}, "°C")
	}
	v := c.Given(kit.Path{Field: "room.temperature_c"}, room.TemperatureC, "°C")
	return v.With(quantity.Range{Nominal: v.Nominal + rise, Low: v.Nominal, High: v.Nominal + 1.5*rise}, "°C")
}

// unsaidGauge is the gauge of a plug's cable where it is not stated.
func (s *survey) unsaidGauge(c *kit.Case, circuit *circuit, feed int) (kit.Value, bool) {
	at := circuit.feeds.all[feed].cable
	if circuit.feeds.strands[at].lead.cable.GaugeAwg != nil {
		return kit.Value{}, false
	}
	return s.unsaidOf(c, circuit, feed)
}

// warmWires is how many wires like the busiest one would warm the cable of a plug as
// much as its wires do: each counts by the square of its current.
func (c *circuit) warmWires(r *reading, feed int) int {
	most, sum := 0.0, 0.0
	for rail := range railCount + 1 {
		if n := float64(c.legs[feed][rail].wires); n > 0 {
			amps := r.legs[feed][rail].wire
			most, sum = max(most, amps), sum+n*amps*amps
		}
	}
	if most == 0 {
		return 1
	}
	return int(math.Ceil(sum/(most*most) - 1e-9))
}

// warmest is the rail of a plug's cable whose wires get warmest.
func (s *survey) warmest(c *circuit, r *reading, feed int, air quantity.Range, uneven float64) (out wireLoad, known bool) {
	f := &c.feeds.all[feed]
	awg, _ := c.feeds.strands[f.cable].gaugeOf(f.plug)
	share := bundleShare(c.warmWires(r, feed))
	for rail := range railCount + 1 {
		l, amps := &c.legs[feed][rail], &r.legs[feed][rail]
		if l.wires == 0 || known && amps.wireTop <= out.amps && amps.wire <= out.amps {
			continue
		}
		k := uneven
		if l.wires == 1 || chained(f.plug) {
			k = 1
		}
		load := wireLoad{feed: feed, rail: rail, amps: amps.wire}
		load.celsius.Nominal = wireC(int(awg.Nominal), air.Nominal, amps.wire/share)
		load.celsius.Low = min(load.celsius.Nominal, wireC(int(awg.Low), air.Low, amps.wire/share))
		load.celsius.High = max(load.celsius.Nominal, wireC(int(awg.High), air.High, amps.wireTop*k/share))
		if !known || load.celsius.High > out.celsius.High {
			out, known = load, true
		}
	}
	return out, known
}

func (s *survey) reportWire(c *kit.Case, l wireLoad, limit, air kit.Value) {
	circuit := s.laid.circuit
	f := &circuit.feeds.all[l.feed]
	out := c.AtMost(kit.Constant(0, "°C").With(l.celsius, "°C"), limit)
	out.Despite(s.gaugeValue(c, circuit, l.feed))
	if air.Known() {
		out.Despite(air)
	}
	s.citeFeed(out, circuit, l.feed)
	out.About(s.fedItem(circuit, l.feed)).Word("plug", plugName(f.plug)).Word("parts", s.fedName(circuit, l.feed)).
		Word("rail", railNames[l.rail]).Number("amps", kit.Constant(l.amps, "A")).Number("top", kit.Constant(l.celsius.High, "°C"))
	out.Remedy("thicker").Remedy("air").CautionWhen("hot-wire")
}
