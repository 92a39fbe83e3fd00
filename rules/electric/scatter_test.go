package electric

import (
	"fmt"
	"math/rand/v2"
)

// chance is where a generated network takes its choices from: a seeded
// generator for the oracle, a property test's draws otherwise.
type chance interface {
	below(n int) int
	between(low, high float64) float64
}

type seeded struct{ *rand.Rand }

func newSeeded(seed uint64) seeded { return seeded{rand.New(rand.NewPCG(seed, 7))} }

func (s seeded) below(n int) int                   { return s.IntN(n) }
func (s seeded) between(low, high float64) float64 { return low + s.Float64()*(high-low) }

// scatter builds random wiring: one or two supplies, cables with uneven
// contacts, splitters, chains, return wires that meet in a ground plane, and
// loads of every kind.
type scatter struct {
	chance
	net     *Network
	rails   []scatterRail
	grounds []Node
	devices int
}

type scatterRail struct {
	plus, minus Node // minus is the return terminal of its supply
	volts       float64
	negative    bool
}

func newScatter(c chance) *Network {
	s := &scatter{chance: c, net: NewNetwork(copper)}
	s.supply(Return, "first supply")
	if s.below(2) == 1 {
		back := s.net.Node("return of the second supply")
		s.supply(back, "second supply")
		s.net.AddConductor(Conductor{"chassis", back, Return, s.wire(12, 1)})
	}
	for range 1 + s.below(4) {
		s.device()
	}
	return s.net
}

// around is a range of a few percent about a value.
func (s *scatter) around(x float64) Range {
	if s.below(3) == 0 {
		return Exactly(x)
	}
	return Range{x * s.between(0.9, 1), x, x * s.between(1, 1.1)}
}

func (s *scatter) wire(g Gauge, count int) Wire {
	return Wire{Gauge: g, LengthMM: s.around(s.between(50, 700)), Count: count, TempC: Exactly(s.between(15, 80))}
}

func (s *scatter) contactOhms() Range {
	x := s.between(0.0005, 0.02)
	return Range{x, x * s.between(1, 2), x * s.between(2, 4)}
}

func (s *scatter) supply(back Node, name string) {
	all := []float64{12, 5, 3.3, -12}
	for i := range 1 + s.below(len(all)) {
		n := s.net.Node(fmt.Sprintf("%s, %g V", name, all[i]))
		r := Rail{Name: fmt.Sprintf("%s, %g V", name, all[i]), Plus: n, Minus: back, Volts: s.around(max(all[i], -all[i]))}
		if all[i] < 0 {
			r.Plus, r.Minus = back, n
		}
		if s.below(2) == 1 {
			r.Ohms = s.around(s.between(0.001, 0.02))
		}
		s.net.AddRail(r)
		s.rails = append(s.rails, scatterRail{n, back, max(all[i], -all[i]), all[i] < 0})
	}
}

// cable joins two nodes in one of the ways in which cables do.
func (s *scatter) cable(name string, from, to Node) {
	gauge := []Gauge{14, 16, 18, 20, 22}[s.below(5)]
	switch s.below(4) {
	case 0:
		s.net.AddConductor(Conductor{name, from, to, s.wire(gauge, 1+s.below(4))})
	case 1:
		h := Harness{Name: name, From: from, To: to, Wire: s.wire(gauge, 1+s.below(6))}
		for range h.Count {
			h.EachPlugOhms = append(h.EachPlugOhms, s.contactOhms())
		}
		if s.below(2) == 1 {
			socket := s.contactOhms()
			h.SocketOhms = &socket
		}
		s.net.AddHarness(h)
	case 2: // a splitter whose legs meet again in one plug
		legs := make([]Node, 1+s.below(3))
		for i := range legs {
			legs[i] = s.net.Node(name + " leg")
			s.net.AddContact(Contact{name + " leg contact", legs[i], to, s.contactOhms()})
		}
		middle := s.net.Node(name + " splitter")
		s.net.AddConductor(Conductor{name + " lead", from, middle, s.wire(gauge, 2)})
		s.net.AddAdapter(Adapter{name + " splitter", middle, legs, s.wire(gauge, 1)})
	case 3: // a joint without resistance before the cable
		middle := s.net.Node(name + " joint")
		s.net.AddContact(Contact{name + " joint", from, middle, Range{}})
		s.net.AddConductor(Conductor{name, middle, to, s.wire(gauge, 1+s.below(3))})
	}
}

// device is a part with one or more rails, a ground, and loads between them.
func (s *scatter) device() {
	s.devices++
	name := fmt.Sprintf("part %d", s.devices)
	ground := s.net.Node(name + " ground")
	rail := s.rails[s.below(len(s.rails))]
	s.cable(name+" return", ground, rail.minus)
	if len(s.grounds) > 0 && s.below(2) == 1 {
		s.net.AddContact(Contact{name + " ground plane", ground, s.grounds[s.below(len(s.grounds))], s.contactOhms()})
	}
	s.grounds = append(s.grounds, ground)
	for range 1 + s.below(2) {
		plus := s.net.Node(name + " plus")
		s.cable(name+" plus", rail.plus, plus)
		for i := range 1 + s.below(3) {
			s.load(fmt.Sprintf("%s, load %d", name, i+1), rail, plus, ground)
		}
		rail = s.rails[s.below(len(s.rails))]
	}
}

func (s *scatter) load(name string, rail scatterRail, plus, ground Node) {
	if rail.negative {
		plus, ground = ground, plus
	}
	amps := s.between(0.1, 4)
	l := Load{Name: name, Plus: plus, Minus: ground, Kind: LoadKind(1 + s.below(3))}
	switch l.Kind {
	case ConstantPower:
		l.Sustained = s.around(amps * rail.volts)
	case ConstantCurrent:
		l.Sustained = s.around(amps)
	case Resistance:
		l.Sustained = s.around(rail.volts / amps)
	}
	s.net.AddLoad(l)
}
