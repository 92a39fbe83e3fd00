package air_test

import (
	"fmt"
	"log"

	"slipfit.example/rules/air"
)

// A box with one fan at two thirds of its speed, a grille of 50 percent open
// area before it and a slotted rear.
func Example() {
	room, err := air.Room(500, 22)
	if err != nil {
		log.Fatal(err)
	}
	curve, err := air.EstimateCurve(95*air.M3SPerM3H, 22)
	if err != nil {
		log.Fatal(err)
	}
	k, err := air.GrilleK(0.5)
	if err != nil {
		log.Fatal(err)
	}
	front, err := air.FromK(k.Nominal, air.DiscAreaM2(0.12))
	if err != nil {
		log.Fatal(err)
	}
	rear, err := air.FromK(air.OrificeK().Nominal, 0.004)
	if err != nil {
		log.Fatal(err)
	}
	network := &air.Network{
		Room:  room,
		Nodes: []air.Node{{Name: "inside"}},
		Branches: []air.Branch{
			{Name: "front fan", From: air.Outside, To: 0, Resistance: front, Fan: &air.Fan{Curve: curve, SpeedRatio: 2.0 / 3}},
			{Name: "rear slots", From: 0, To: air.Outside, Resistance: rear},
		},
	}
	solver := air.NewSolver(air.Options{})
	if err := solver.Load(network); err != nil {
		log.Fatal(err)
	}
	if _, err := solver.Solve(); err != nil {
		log.Fatal(err)
	}
	rise, err := room.RiseK(150, solver.FlowM3S(0))
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.1f m3/h, fan %s, 150 W warm the air by %.1f K\n", solver.FlowM3S(0)/air.M3SPerM3H, solver.FanState(0), rise)
	// Output: 29.2 m3/h, fan working, 150 W warm the air by 16.3 K
}
