package climate

import (
	"fmt"
	"math"

	"slipfit.example/rules/air"
	"slipfit.example/rules/heat"
)

// State is one solved state of a plan: flows, pressures, temperatures. Slices are
// in the plan's order and belong to the state.
type State struct {
	PressurePa []float64 // by zone
	RiseK      []float64 // by zone
	FlowM3S    []float64 // by way, at the density of its air
	FanPa      []float64 // by way
	Fans       []air.FanState
	ChipRiseK  []float64 // of dies above the room; NaN never, 0 where unknown
	SinkRiseK  []float64 // of their sinks
	LocalRiseK []float64
	PanelRiseK []float64
	LiquidK    []float64 // by loop: the warmest liquid
	IntakeK    []float64 // by chip: air that enters its sink
	ThroughM3S float64   // room air that enters
	ExhaustK   float64   // rise of the air that leaves
	Balance    heat.Balance
	ErrorKgS   float64 // greatest of a zone's mass balance
	Rounds     int
}

// Solve finds the state at some places of the coefficients and at some speeds, in
// rpm by motor; nil speeds are those of the build.
func (p *Plan) Solve(at Places, speeds []float64, out *State) error {
	p.settle(at, speeds)
	if err := p.solver.Load(&p.model); err != nil {
		return fmt.Errorf("the enclosure cannot be solved: %w", err)
	}
	report, err := p.solver.Solve()
	if err != nil {
		return fmt.Errorf("no steady state was found: %w", err)
	}
	p.take(at, report, out)
	return nil
}

// rpmOf is a motor's speed in a set of speeds.
func (p *Plan) rpmOf(m int, speeds []float64) float64 {
	if speeds != nil {
		return speeds[m]
	}
	return p.motors[m].rpm
}

// Short of their curves by a tenth at worst, as tests of fans scatter; an estimated
// curve by a fifth.
var (
	fanShort      = air.Range{Low: 0.95, Nominal: 1, High: 1.10}
	fanShortGuess = air.Range{Low: 0.85, Nominal: 1, High: 1.20}
)

// settle fills network and model for places and speeds.
func (p *Plan) settle(at Places, speeds []float64) {
	p.net.Room = p.Room
	p.net.Nodes, p.net.Branches, p.fans = p.net.Nodes[:0], p.net.Branches[:0], p.fans[:0]
	m := &p.model
	m.Air = &p.net
	m.Zones, m.BranchPowerW, m.Bodies, m.Sinks, m.Panels = m.Zones[:0], m.BranchPowerW[:0], m.Bodies[:0], m.Sinks[:0], m.Panels[:0]
	load := reach(around(1, 0.05), at[Loads])
	for i := range p.cells {
		c := &p.cells[i]
		p.net.Nodes = append(p.net.Nodes, air.Node{Name: c.name, HeightM: c.heightM})
		m.Zones = append(m.Zones, heat.Zone{PowerW: c.powerW * load, CapacityJK: 15})
	}
	if cap(p.fans) < len(p.ways) {
		p.fans = make([]air.Fan, 0, len(p.ways))
	}
	for i := range p.ways {
		p.settleWay(&p.ways[i], at, speeds, load)
	}
	p.settleChips(at, speeds, load)
	p.settleLoops(at)
	for i := range p.panels {
		n := &p.panels[i]
		m.Panels = append(m.Panels, heat.Panel{
			Name: n.name, Inside: m.Zone(n.zone), AreaM2: n.areaM2, LengthM: min(n.lengthM, 5), Facing: n.facing,
			Emissivity: n.emission, InnerWM2K: reach(innerWM2K, -at[Panels]), CapacityJK: n.capacityJK(),
		})
	}
}

func (p *Plan) settleWay(w *way, at Places, speeds []float64, load float64) {
	b := air.Branch{Name: w.name, From: w.from, To: w.to, FromHeightM: w.fromM, ToHeightM: w.toM}
	b.Resistance.LinearPaSM3 = w.linear
	for _, l := range w.losses[:w.count] {
		b.Resistance.QuadraticPaS2M6 += reach(l.quadratic, at[l.of])
	}
	if w.motor >= 0 {
		ratio := p.speedRatio(w.motor, &w.curve, p.rpmOf(w.motor, speeds), at)
		p.fans = append(p.fans, air.Fan{Curve: w.curve.air, SpeedRatio: ratio})
		b.Fan = &p.fans[len(p.fans)-1]
	} else if b.Resistance.QuadraticPaS2M6 <= 0 && b.Resistance.LinearPaSM3 <= 0 {
		b.Closed = true
		b.Resistance.QuadraticPaS2M6 = 1
	}
	p.net.Branches = append(p.net.Branches, b)
	p.model.BranchPowerW = append(p.model.BranchPowerW, w.powerW*load)
}

// speedRatio is a motor's speed over that of its fans' curve, less what they fall short.
func (p *Plan) speedRatio(motor int, c *curve, rpm float64, at Places) float64 {
	short := fanShort
	if c.estimated {
		short = fanShortGuess
	}
	ratio := 0.0
	if most := p.motors[motor].maxRPM; most > 0 {
		ratio = rpm / most / reach(short, at[Fans])
	}
	return clamp(ratio, 0, 3)
}

func (p *Plan) settleChips(at Places, speeds []float64, load float64) {
	m := &p.model
	for i := range p.chips {
		c := &p.chips[i]
		if !c.known {
			if c.way >= 0 {
				m.BranchPowerW[c.way] += c.powerW * load
			}
			continue
		}
		m.Bodies = append(m.Bodies, heat.Body{Name: c.item, PowerW: c.powerW * load, CapacityJK: c.capacity})
	}
	n := 0
	for i := range p.chips {
		c := &p.chips[i]
		if !c.known {
			continue
		}
		body := m.Body(n)
		n++
		if c.loop >= 0 {
			continue // its loop takes the heat
		}
		f := reach(c.spread, at[c.sinkOf])
		s := heat.Sink{Name: c.item, Body: body, Branch: c.way, Law: c.law, AtRestKW: clamp(c.rest*f, 1e-3, 1e5)}
		s.Law.ConductionKW *= f
		s.Law.CoefficientKW *= f
		if c.way < 0 {
			s.Branch, s.InZone = heat.NoBranch, m.Zone(c.zone)
			if c.motor >= 0 && p.motors[c.motor].maxRPM > 0 {
				s.FlowM3S = c.flow * clamp(p.rpmOf(c.motor, speeds)/p.motors[c.motor].maxRPM, 0, 3)
			}
		}
		m.Sinks = append(m.Sinks, s)
	}
}

func (p *Plan) settleLoops(at Places) {
	m := &p.model
	m.Loops = m.Loops[:0]
	n := 0
	for i := range p.chips {
		c := &p.chips[i]
		if !c.known {
			continue
		}
		body := m.Body(n)
		n++
		if c.loop < 0 {
			continue
		}
		l := &p.loops[c.loop]
		f := reach(c.spread, at[Cooler])
		m.Loops = append(m.Loops, heat.Loop{
			Name: c.item, FlowM3S: l.pumpM3S, Liquid: heat.Water, CapacityJK: 0.3 * 4.2 * l.mass,
			Stations: []heat.Station{
				{Name: "plate", Body: body, PlateKW: clamp(l.plate.Nominal*f, 1e-4, 900)},
				{Name: "radiator", Branch: c.way, UAWK: clamp(l.ua/f, 0.01, 1e5), UAFlowM3S: l.uaFlow, UAExponent: radiatorExponent, Arrangement: heat.CrossUnmixed},
			},
		})
	}
}

// take reads the solution.
func (p *Plan) take(at Places, report heat.Report, out *State) {
	s, room := p.solver, p.Room.TemperatureC
	flows, m := s.Flows(), &p.model
	out.Balance, out.ErrorKgS, out.Rounds = report.Balance, report.Air.ResidualKgS, report.Rounds
	out.PressurePa, out.RiseK = out.PressurePa[:0], out.RiseK[:0]
	for i := range p.cells {
		out.PressurePa = append(out.PressurePa, flows.PressurePa(i))
		out.RiseK = append(out.RiseK, s.TemperatureC(m.Zone(i))-room)
	}
	out.FlowM3S, out.FanPa, out.Fans = out.FlowM3S[:0], out.FanPa[:0], out.Fans[:0]
	in, carried, left := 0.0, 0.0, 0.0
	for i := range p.ways {
		out.FlowM3S = append(out.FlowM3S, flows.FlowM3S(i))
		out.FanPa = append(out.FanPa, flows.FanPressurePa(i))
		out.Fans = append(out.Fans, flows.FanState(i))
		kg := flows.FlowKgS(i)
		w := &p.ways[i]
		if w.from == outside && kg > 0 || w.to == outside && kg < 0 {
			in += math.Abs(kg)
			continue
		}
		up := w.from
		if w.to != outside {
			if w.from != outside {
				continue
			}
			up = w.to
		}
		left += math.Abs(kg)
		carried += math.Abs(kg) * out.RiseK[up]
		if cp := p.Room.CpJKgK; kg != 0 {
			carried += w.powerW / cp
		}
	}
	out.ThroughM3S = in / p.Room.DensityKgM3
	out.ExhaustK = 0
	if left > 1e-9 {
		out.ExhaustK = carried / left
	}
	p.takeChips(at, out)
	p.takeLocals(at, out)
	out.PanelRiseK = out.PanelRiseK[:0]
	for i := range p.panels {
		out.PanelRiseK = append(out.PanelRiseK, s.TemperatureC(m.Panel(i))-room)
	}
}

func (p *Plan) takeChips(at Places, out *State) {
	s, room, m := p.solver, p.Room.TemperatureC, &p.model
	load := reach(around(1, 0.05), at[Loads])
	out.ChipRiseK, out.SinkRiseK, out.IntakeK, out.LiquidK = out.ChipRiseK[:0], out.SinkRiseK[:0], out.IntakeK[:0], out.LiquidK[:0]
	for range p.loops {
		out.LiquidK = append(out.LiquidK, 0)
	}
	n, loops := 0, 0
	for i := range p.chips {
		c := &p.chips[i]
		intake := 0.0
		if c.way >= 0 {
			if up := s.Flows().Upstream(c.way); up >= 0 {
				intake = out.RiseK[up]
			}
		} else if c.zone >= 0 {
			intake = out.RiseK[c.zone]
		}
		out.IntakeK = append(out.IntakeK, intake)
		if !c.known {
			out.ChipRiseK, out.SinkRiseK = append(out.ChipRiseK, 0), append(out.SinkRiseK, 0)
			continue
		}
		sink := s.TemperatureC(m.Body(n)) - room
		n++
		out.SinkRiseK = append(out.SinkRiseK, sink)
		out.ChipRiseK = append(out.ChipRiseK, sink+c.powerW*load*reach(c.lid, at[Lid]))
		if c.loop >= 0 {
			out.LiquidK[c.loop] = s.TemperatureC(m.Liquid(loops, 0)) - room
			loops++
		}
	}
}

// takeLocals works out small parts from the air of their zones.
func (p *Plan) takeLocals(at Places, out *State) {
	out.LocalRiseK = out.LocalRiseK[:0]
	load := reach(around(1, 0.05), at[Loads])
	for i := range p.locals {
		l := &p.locals[i]
		r := l.resistanceKW(p.airSpeedMS(l.zone, out)) * reach(l.spread(), at[Local])
		out.LocalRiseK = append(out.LocalRiseK, out.RiseK[l.zone]+l.powerW*load*r)
	}
}

// airSpeedMS is the middling speed of a zone's air: what passes it over half of its
// cross-section.
func (p *Plan) airSpeedMS(zone int, out *State) float64 {
	sum := 0.0
	for i := range p.ways {
		if p.ways[i].from == zone || p.ways[i].to == zone {
			sum += math.Abs(out.FlowM3S[i])
		}
	}
	return sum / 2 / p.cells[zone].acrossM
}

// WarmUp is the time in minutes after which everything stays within 1 K of its end,
// at some places, from a cold start at the build's loads and speeds.
func (p *Plan) WarmUp(at Places, state *State) (minutes float64, err error) {
	p.settle(at, nil)
	if err := p.solver.Load(&p.model); err != nil {
		return 0, fmt.Errorf("the enclosure cannot be followed in time: %w", err)
	}
	w, err := p.solver.WarmUp(heat.WarmupOptions{SteadyFlows: true, StepErrorK: 0.5, MostSteps: 2000})
	if err != nil {
		return 0, fmt.Errorf("the enclosure cannot be followed in time: %w", err)
	}
	seconds := w.SettledS
	for i := range p.locals {
		l := &p.locals[i]
		own := state.LocalRiseK[i] - state.RiseK[l.zone]
		if l.powerW > 0 && own > 1 {
			seconds = max(seconds, w.WithinOneKS[l.zone]/2+l.capacity*own/l.powerW*math.Log(own))
		}
	}
	return seconds / 60, nil
}
