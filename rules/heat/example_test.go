package heat_test

import (
	"fmt"
	"log"

	"slipfit.example/rules/air"
	"slipfit.example/rules/heat"
)

// A processor on a cooler that stands between two zones, a side panel, and the
// time that the whole takes to warm up.
func Example() {
	room, err := air.Room(120, 24)
	if err != nil {
		log.Fatal(err)
	}
	curve, err := air.EstimateCurve(95*air.M3SPerM3H, 22)
	if err != nil {
		log.Fatal(err)
	}
	m := &heat.Model{
		Air: &air.Network{
			Room:  room,
			Nodes: []air.Node{{Name: "front"}, {Name: "rear"}},
			Branches: []air.Branch{
				{Name: "front fan", From: air.Outside, To: 0, Resistance: air.Resistance{QuadraticPaS2M6: 2e4},
					Fan: &air.Fan{Curve: curve, SpeedRatio: 0.8}},
				{Name: "cooler", From: 0, To: 1, Resistance: air.Resistance{LinearPaSM3: 60, QuadraticPaS2M6: 1e4}},
				{Name: "rear grille", From: 1, To: air.Outside, Resistance: air.Resistance{QuadraticPaS2M6: 4e4}},
			},
		},
		Zones:  []heat.Zone{{PowerW: 12}, {PowerW: 8}},
		Bodies: []heat.Body{{Name: "processor", PowerW: 90, CapacityJK: 450}},
	}
	laws, err := heat.EstimateLaw(heat.Reading{FlowM3S: 0.02, ResistanceKW: 0.21})
	if err != nil {
		log.Fatal(err)
	}
	m.Sinks = []heat.Sink{{Name: "cooler", Body: m.Body(0), Branch: 1, Law: laws.Nominal, AtRestKW: 3}}
	m.Panels = []heat.Panel{{Name: "side panel", Inside: m.Zone(1), AreaM2: 0.09, LengthM: 0.25,
		Emissivity: heat.Painted.Nominal, InnerWM2K: 7, CapacityJK: 600}}

	s := heat.NewSolver(heat.Options{})
	if err := s.Load(m); err != nil {
		log.Fatal(err)
	}
	r, err := s.Solve()
	if err != nil {
		log.Fatal(err)
	}
	w, err := s.WarmUp(heat.WarmupOptions{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("processor %.1f, rear %.1f, side panel %.1f degC\n",
		s.TemperatureC(m.Body(0)), s.TemperatureC(m.Zone(1)), s.TemperatureC(m.Panel(0)))
	fmt.Printf("%.0f W in: %.1f W by air, %.1f W by panels\n", r.Balance.SourcesW, r.Balance.ExhaustW, r.Balance.SurfacesW)
	fmt.Printf("within 1 K after %.0f s, %s last\n", w.SettledS, m.Name(w.Slowest))
	// Output:
	// processor 48.8, rear 32.0, side panel 27.7 degC
	// 110 W in: 107.3 W by air, 2.7 W by panels
	// within 1 K after 685 s, side panel last
}
