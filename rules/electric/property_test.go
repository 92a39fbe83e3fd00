package electric

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// drawn takes a generated network's choices from a property test.
type drawn struct{ t *rapid.T }

func (d drawn) below(n int) int { return rapid.IntRange(0, n-1).Draw(d.t, "choice") }
func (d drawn) between(low, high float64) float64 {
	return rapid.Float64Range(low, high).Draw(d.t, "value")
}

// solved draws a network and solves it at a drawn corner; networks that
// collapse are put aside.
func solved(t *rapid.T) *Workspace {
	c, err := newScatter(drawn{t}).Compile()
	if err != nil {
		t.Fatal(err)
	}
	w := c.NewWorkspace()
	w.Assume(Sustained, []Corner{Nominal, Weak, Strong}[drawn{t}.below(3)])
	if err := w.Solve(); err != nil {
		t.Skip(err)
	}
	return w
}

// What flows into a node flows out of it (Kirchhoff's current law), in every
// node of any network.
func TestNodesBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := solved(t)
		sum := make([]float64, w.c.Nodes())
		most := 0.0
		for i := range w.c.net.elements {
			e := &w.c.net.elements[i]
			sum[e.a] += w.amps[i]
			sum[e.b] -= w.amps[i]
			most = max(most, math.Abs(w.amps[i]))
		}
		for node, amps := range sum {
			if math.Abs(amps) > 1e-8*(1+most) {
				t.Fatalf("%.3g A vanish in node %q", amps, w.c.net.nodes[node])
			}
		}
	})
}

// What the rails give is what loads take and wires lose, and no load of
// constant power takes anything but its power.
func TestPowerBalances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := solved(t)
		given, taken := 0.0, 0.0
		for i := range w.c.net.elements {
			e := &w.c.net.elements[i]
			switch watts := w.Watts(Element(i)); e.kind {
			case railElement:
				given += watts
			case loadElement:
				taken += watts
				if e.load == ConstantPower && !within(watts, w.ohms[i], 1e-9, 1e-9) {
					t.Fatalf("load %q takes %g W of %g W", e.name, watts, w.ohms[i])
				}
			default:
				if watts < -1e-9 {
					t.Fatalf("%s %q gives %g W", e.kind, e.name, watts)
				}
			}
		}
		if !within(given, taken+w.LossWatts(), 1e-8, 1e-6) {
			t.Fatalf("the rails give %g W, loads and wires take %g W", given, taken+w.LossWatts())
		}
		if !within(given, w.DeliveredWatts(), 1e-12, 1e-12) {
			t.Fatalf("the rails give %g W one by one, %g W together", given, w.DeliveredWatts())
		}
	})
}
