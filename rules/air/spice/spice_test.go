package spice_test

import (
	"math"
	"testing"

	"slipfit.example/rules/air/spice"
)

func TestDividerAndCharge(t *testing.T) {
	got := spice.Run(t, []spice.Deck{
		{Netlist: "v1 a 0 10\nr1 a b 1k\nr2 b 0 3k\n", Commands: "op\nprint v(b)\n"},
		{Netlist: "i1 0 a 1\nr1 a 0 2\nc1 a 0 3 ic=0\n",
			Commands: "tran 0.01 10 uic\nmeas tran warm find v(a) at=6\n"},
	})
	if v := got[0]["v(b)"]; math.Abs(v-7.5) > 1e-6 {
		t.Errorf("divider gives %g V, want 7.5", v)
	}
	if v, want := got[1]["warm"], 2*(1-math.Exp(-1)); math.Abs(v-want) > 1e-3 {
		t.Errorf("charge gives %g V, want %g", v, want)
	}
}
