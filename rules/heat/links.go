package heat

import (
	"math"

	"slipfit.example/rules/air"
)

// linkUp turns the model at the present flows and temperatures into links.
func (s *Solver) linkUp() {
	m := s.model
	s.links = s.links[:0]
	for i := range m.Conductors {
		c := &m.Conductors[i]
		s.join(c.A, c.B, 1/c.ResistanceKW)
	}
	for i := range m.Sinks {
		s.linkSink(&m.Sinks[i])
	}
	room := m.Air.Room
	for i := range m.Panels {
		p, r := &m.Panels[i], m.Panel(i)
		t := s.temperature[r]
		s.join(p.Inside, r, p.InnerWM2K*p.AreaM2)
		outer := naturalH(p.Facing, p.LengthM, t, room.TemperatureC, room.PressurePa) +
			radiationH(p.Emissivity, t, room.TemperatureC)
		s.join(r, Room, outer*p.AreaM2)
	}
	for i := range m.Loops {
		s.linkLoop(i)
	}
	s.linkStreams()
}

// join is a plain conductance between two things.
func (s *Solver) join(a, b Ref, g float64) {
	s.links = append(s.links, link{driveA: a, driveB: b, from: a, to: b, g: g})
}

// ends of a way in the direction of its flow.
func (s *Solver) ends(branch int) (up, down Ref) {
	b := &s.model.Air.Branches[branch]
	if s.air.FlowKgS(branch) < 0 {
		return Ref(b.To), Ref(b.From)
	}
	return Ref(b.From), Ref(b.To)
}

// passing is the volume flow and the heat rate of a share of a way's air. The
// specific heat is that of the room's air throughout: it varies by 0.1 percent
// between 20 and 80 degC, and one value keeps the balance exact.
func (s *Solver) passing(branch int, share float64) (flow, heatRate float64) {
	if share == 0 {
		share = 1
	}
	return share * math.Abs(s.air.FlowM3S(branch)), share * math.Abs(s.air.FlowKgS(branch)) * s.model.Air.Room.CpJKgK
}

func (s *Solver) linkSink(k *Sink) {
	var up, down Ref
	var flow, rate float64
	if k.Branch == NoBranch {
		room := s.model.Air.Room
		up, down, flow = k.InZone, k.InZone, k.FlowM3S
		density := room.DensityKgM3 * (room.TemperatureC + air.ZeroCelsiusK) / (max(s.at(up), air.LowestTemperatureC) + air.ZeroCelsiusK)
		rate = flow * density * room.CpJKgK
	} else {
		up, down = s.ends(k.Branch)
		flow, rate = s.passing(k.Branch, k.Share)
	}
	g := k.Law.conductance(flow, rate)
	s.links = append(s.links, link{driveA: k.Body, driveB: up, from: k.Body, to: down, g: g})
	if k.AtRestKW > 0 && g < 1/k.AtRestKW {
		// What moving air does not take, still air around the sink does.
		rest, ahead := 1/k.AtRestKW-g, downstreamShare(rate)
		s.join(k.Body, down, ahead*rest)
		if ahead < 1 {
			s.join(k.Body, up, (1-ahead)*rest)
		}
	}
}

// downstreamShare is the part of heat set free in a way that goes with the
// air: all of it above a heat rate of 0.1 W/K (5 litres of air a minute), half
// in still air, which knows no direction. The smooth passage keeps a way that
// hardly moves from throwing its heat to and fro.
func downstreamShare(heatRate float64) float64 {
	const streaming = 0.1
	return min(1, 0.5+0.5*heatRate/streaming)
}

func (s *Solver) linkLoop(i int) {
	l := &s.model.Loops[i]
	first := s.model.Liquid(i, 0)
	n := Ref(len(l.Stations))
	rate := l.FlowM3S * l.Liquid.DensityKgM3 * l.Liquid.CpJKgK
	for k := range l.Stations {
		st := &l.Stations[k]
		out := first + Ref(k)
		in := first + (Ref(k)+n-1)%n
		// The stream: what comes in, goes out.
		s.links = append(s.links, link{driveA: in, driveB: out, from: streamOnly, to: out, g: rate})
		if st.PlateKW > 0 {
			s.links = append(s.links, link{driveA: st.Body, driveB: in, from: st.Body, to: out, g: min(rate, 1/st.PlateKW)})
			continue
		}
		up, down := s.ends(st.Branch)
		flow, airRate := s.passing(st.Branch, st.Share)
		ua := st.UAWK * math.Pow(flow/st.UAFlowM3S, st.UAExponent)
		s.links = append(s.links, link{driveA: in, driveB: up, from: out, to: down, g: exchange(st.Arrangement, ua, airRate, rate)})
	}
}

// streamOnly marks a link that fills its receiver from a stream: the heat
// leaves with the stream itself, not from a thing.
const streamOnly Ref = -2

// StillMixingWK is the conductance in W/K that an open way has although no
// air passes it: warm and cold air swap through it by themselves. Two-way flow
// (Cd/3) A sqrt(g H dT/T) through 20 square centimetres, 5 cm high, at 20 K
// gives 0.1 W/K (formula of natural ventilation through one opening; from
// memory). Flow that passes the way takes its place, so that it counts only
// where next to nothing moves.
const StillMixingWK = 0.1

// linkStreams lets the air of every way carry its temperature downstream.
func (s *Solver) linkStreams() {
	room := s.model.Air.Room
	for i := range s.model.Air.Branches {
		if s.model.Air.Branches[i].Closed {
			continue
		}
		up, down := s.ends(i)
		_, rate := s.passing(i, 1)
		if down != Room && rate > 0 {
			s.links = append(s.links, link{driveA: up, driveB: down, from: streamOnly, to: down, g: rate})
		}
		if rate < StillMixingWK {
			s.join(up, down, StillMixingWK-rate)
		}
	}
	for i := range s.model.Air.Nodes {
		if in := s.model.Air.Nodes[i].InflowM3S; in > 0 {
			rate := in * room.DensityKgM3 * room.CpJKgK
			s.links = append(s.links, link{driveA: Room, driveB: Ref(i), from: streamOnly, to: Ref(i), g: rate})
		}
	}
}

// assemble writes the linear network: for every thing, heat that leaves minus
// heat that arrives is its source. With perSecond above zero it adds the
// implicit time term capacity perSecond (T - from).
func (s *Solver) assemble(perSecond float64, from []float64) {
	n := s.size
	clear(s.matrix)
	copy(s.rhs, s.source)
	for i, p := range s.model.BranchPowerW {
		up, down := s.ends(i)
		_, rate := s.passing(i, 1)
		ahead := downstreamShare(rate)
		if down != Room {
			s.rhs[down] += ahead * p
		}
		if up != Room {
			s.rhs[up] += (1 - ahead) * p
		}
	}
	for i := range s.links {
		l := &s.links[i]
		if l.from >= 0 {
			s.enter(l.from, l.driveA, l.g)
			s.enter(l.from, l.driveB, -l.g)
		}
		if l.to >= 0 {
			s.enter(l.to, l.driveA, -l.g)
			s.enter(l.to, l.driveB, l.g)
		}
	}
	if perSecond > 0 {
		for i, c := range s.capacity {
			s.matrix[(n-1-i)*n+n-1-i] += c * perSecond
			s.rhs[i] += c * perSecond * from[i]
		}
	}
}

// enter adds g times the temperature of a thing to the balance of another.
func (s *Solver) enter(row, column Ref, g float64) {
	if column == Room {
		s.rhs[row] -= g * s.model.Air.Room.TemperatureC
		return
	}
	n := s.size
	s.matrix[(n-1-int(row))*n+n-1-int(column)] += g
}
