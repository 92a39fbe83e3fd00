package heat

import (
	"fmt"
	"math"
	"math/rand/v2"

	"slipfit.example/rules/air"
)

// generator draws enclosures that could stand on a desk.
type generator struct{ *rand.Rand }

func (g generator) span(lo, hi float64) float64 { return lo * math.Pow(hi/lo, g.Float64()) }

// air draws zones in a row with fans at both ends, and ways across.
func (g generator) air(zones int) *air.Network {
	room, err := air.Room(2500*g.Float64(), 15+20*g.Float64())
	if err != nil {
		panic(err)
	}
	n := &air.Network{Room: room}
	fan := func() *air.Fan {
		c, err := air.EstimateCurve(g.span(.01, .05), g.span(8, 60))
		if err != nil {
			panic(err)
		}
		return &air.Fan{Curve: c, SpeedRatio: .4 + .6*g.Float64()}
	}
	add := func(from, to int, f *air.Fan) {
		z := .3 * g.Float64()
		n.Branches = append(n.Branches, air.Branch{Name: fmt.Sprintf("way %d", len(n.Branches)), From: from, To: to, Fan: f,
			FromHeightM: z, ToHeightM: z,
			Resistance: air.Resistance{LinearPaSM3: g.span(1, 50), QuadraticPaS2M6: g.span(3e3, 3e5)}})
	}
	for i := range zones {
		n.Nodes = append(n.Nodes, air.Node{Name: fmt.Sprintf("zone %d", i), HeightM: .3 * g.Float64()})
		add(i, i-1, nil)
	}
	add(air.Outside, 0, fan())
	add(zones-1, air.Outside, fan())
	for range 1 + g.IntN(2*zones) {
		a, b := g.IntN(zones), g.IntN(zones+1)-1
		if a != b {
			add(a, b, nil)
		}
	}
	return n
}

// model draws bodies on sinks and conductors, panels, and sometimes a loop.
func (g generator) model(zones int) *Model {
	m := &Model{Air: g.air(zones)}
	for range zones {
		m.Zones = append(m.Zones, Zone{PowerW: 30 * g.Float64(), CapacityJK: g.span(20, 300)})
	}
	for range m.Air.Branches {
		m.BranchPowerW = append(m.BranchPowerW, 2*g.Float64())
	}
	bodies := 2 + g.IntN(4)
	free := g.Perm(len(m.Air.Branches))
	for i := range bodies {
		m.Bodies = append(m.Bodies, Body{Name: fmt.Sprintf("body %d", i), PowerW: g.span(2, 150), CapacityJK: g.span(5, 800)})
	}
	panels := 1 + g.IntN(3)
	for i := range panels {
		m.Panels = append(m.Panels, Panel{Name: fmt.Sprintf("panel %d", i), Inside: m.Zone(g.IntN(zones)), AreaM2: g.span(.02, .2),
			LengthM: g.span(.05, .4), Facing: Facing(g.IntN(3)), Emissivity: g.span(.05, .95), InnerWM2K: g.span(3, 20), CapacityJK: g.span(100, 900)})
	}
	for i := range bodies {
		switch k := i % 3; {
		case k == 0 && len(free) > 1:
			m.Sinks = append(m.Sinks, Sink{Name: "sink", Body: m.Body(i), Branch: free[0], AtRestKW: g.span(1, 5),
				Share: g.span(.3, 1), Law: FlowLaw{g.span(.02, .3), g.span(.005, .05), .5 + .3*g.Float64()}})
			free = free[1:]
		case k == 1:
			m.Sinks = append(m.Sinks, Sink{Name: "sink with fan", Body: m.Body(i), Branch: NoBranch, InZone: m.Zone(g.IntN(zones)),
				FlowM3S: g.span(.003, .03), Law: FlowLaw{g.span(.02, .3), g.span(.005, .05), .5 + .3*g.Float64()}})
		}
		m.Conductors = append(m.Conductors, Conductor{Name: "to the air", A: m.Body(i), B: m.Zone(g.IntN(zones)), ResistanceKW: g.span(.5, 20)})
		if i > 0 {
			m.Conductors = append(m.Conductors, Conductor{Name: "between", A: m.Body(i), B: m.Body(i - 1), ResistanceKW: g.span(.5, 20)})
		}
	}
	if g.IntN(2) == 0 && len(free) > 0 {
		m.Loops = []Loop{{Name: "loop", FlowM3S: g.span(5e-6, 4e-5), Liquid: Water, CapacityJK: g.span(200, 3000), Stations: []Station{
			{Name: "plate", Body: m.Body(0), PlateKW: g.span(.03, .2)},
			{Name: "second plate", Body: m.Body(bodies - 1), PlateKW: g.span(.03, .2)},
			{Name: "radiator", Branch: free[0], UAWK: g.span(5, 60), UAFlowM3S: g.span(.01, .05), UAExponent: .6 * g.Float64(),
				Arrangement: Arrangement(g.IntN(int(Counterflow) + 1))},
		}}}
	}
	return m
}
