package electric_test

import (
	"fmt"

	"slipfit.example/rules/electric"
)

// An extension of 0.6 m, three pairs of 18 AWG, feeds a card of 150 W.
func Example() {
	copper := electric.Metal{OhmMetre: 1.7241e-8, PerKelvin: 0.00393}
	wires := electric.Wire{
		Gauge: 18, LengthMM: electric.Exactly(600), Count: 3,
		TempC: electric.Range{Low: 20, Nominal: 40, High: 60},
	}
	n := electric.NewNetwork(copper)
	outlet, plus, minus := n.Node("outlet"), n.Node("card 12 V"), n.Node("card ground")
	n.AddRail(electric.Rail{Name: "12 V", Plus: outlet, Minus: electric.Return, Volts: electric.Range{Low: 11.2, Nominal: 12, High: 12.6}})
	n.AddConductor(electric.Conductor{Name: "extension", From: outlet, To: plus, Wire: wires})
	n.AddConductor(electric.Conductor{Name: "extension, return", From: minus, To: electric.Return, Wire: wires})
	n.AddLoad(electric.Load{Name: "card", Plus: plus, Minus: minus, Kind: electric.ConstantPower, Sustained: electric.Exactly(150)})

	circuit, err := n.Compile()
	if err != nil {
		fmt.Println(err)
		return
	}
	volts, err := circuit.NewWorkspace().BoundAcross(electric.Sustained, plus, minus)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("the card gets %.2f V, between %.2f and %.2f V\n", volts.Nominal, volts.Low, volts.High)
	// Output: the card gets 11.89 V, between 11.07 and 12.50 V
}
