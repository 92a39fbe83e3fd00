package heat

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"slipfit.example/rules/air/spice"
)

// typical is an enclosure of 12 zones and 25 ways with bodies, panels and a
// liquid loop.
func typical() *Model {
	g := generator{rand.New(rand.NewPCG(8, 1))}
	for {
		m := g.model(12)
		if len(m.Air.Branches) == 25 && len(m.Loops) == 1 && len(m.Bodies) == 5 && len(m.Panels) == 3 {
			return m
		}
	}
}

// gonumHeat solves the linear heat network of the last round by gonum's
// general solver.
func gonumHeat(s *Solver) ([]float64, error) {
	n := s.size
	a := mat.NewDense(n, n, nil)
	b := mat.NewVecDense(n, nil)
	for i := range n {
		b.SetVec(n-1-i, s.rhs[i])
		for j := range n {
			a.Set(i, j, s.matrix[i*n+j])
		}
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		return nil, err
	}
	return x.RawVector().Data, nil
}

func TestEliminationAgainstGonum(t *testing.T) {
	g := generator{rand.New(rand.NewPCG(5, 6))}
	for range 40 {
		s, _ := solve(t, g.model(2+g.IntN(9)))
		s.linkUp()
		s.assemble(0, nil)
		want, err := gonumHeat(s)
		if err != nil {
			t.Fatal(err)
		}
		copy(s.found, s.rhs)
		if stuck := s.eliminate(); stuck >= 0 {
			t.Fatalf("no pivot for %s", s.model.Name(Ref(stuck)))
		}
		for i, v := range s.found {
			near(t, s.model.Name(Ref(i)), v, want[s.size-1-i], 1e-7)
		}
	}
}

// BenchmarkCoupled times flows and temperatures of the typical enclosure from
// nothing, and beside it what the heat part alone costs here, in gonum's
// general solver, and in the circuit simulator by the time that it reports.
func BenchmarkCoupled(b *testing.B) {
	m := typical()
	s := NewSolver(Options{})
	var heatNs float64
	b.Run("flow-and-heat", func(b *testing.B) {
		b.ReportAllocs()
		rounds := 0
		for b.Loop() {
			if err := s.Load(m); err != nil {
				b.Fatal(err)
			}
			r, err := s.Solve()
			if err != nil {
				b.Fatal(err)
			}
			rounds = r.Rounds
		}
		b.ReportMetric(float64(rounds), "rounds")
		b.ReportMetric(float64(s.size), "temperatures")
	})
	b.Run("heat-only-one-round", func(b *testing.B) {
		for b.Loop() {
			s.linkUp()
			s.assemble(0, nil)
			copy(s.found, s.rhs)
			if s.eliminate() >= 0 {
				b.Fatal("no pivot")
			}
		}
		heatNs = float64(b.Elapsed().Nanoseconds()) / float64(b.N)
	})
	b.Run("heat-gonum-one-round", func(b *testing.B) {
		for b.Loop() {
			s.linkUp()
			s.assemble(0, nil)
			if _, err := gonumHeat(s); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/heatNs, "times-own")
	})
	b.Run("heat-ngspice", func(b *testing.B) {
		var print strings.Builder
		for r := range s.size {
			fmt.Fprintf(&print, "print v(t%d)\n", r)
		}
		deck := spice.Deck{Netlist: deckOf(s, false), Commands: "repeat 500\nop\nend\nrusage everything\n"}
		seconds := 0.0
		for b.Loop() {
			seconds += spice.Run(b, []spice.Deck{deck})[0]["total analysis time (seconds)"]
		}
		ns := seconds * 1e9 / float64(500*b.N)
		b.ReportMetric(ns, "reported-ns/solve")
		b.ReportMetric(ns/heatNs, "times-own")
	})
	b.Run("warm-up", func(b *testing.B) {
		steps := 0
		for b.Loop() {
			w, err := s.WarmUp(WarmupOptions{})
			if err != nil {
				b.Fatal(err)
			}
			steps = w.Steps
		}
		b.ReportMetric(float64(steps), "steps")
	})
}
