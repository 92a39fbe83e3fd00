package air

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"

	"slipfit.example/rules/air/spice"
)

// typical is an enclosure of 12 zones and 25 ways with five fans.
func typical() (*Network, []shape) {
	rng := rand.New(rand.NewPCG(3, 12))
	for {
		n, shapes := randomBox(rng)
		fans := 0
		for _, b := range n.Branches {
			if b.Fan != nil {
				fans++
			}
		}
		if len(n.Nodes) == 12 && len(n.Branches) == 25 && fans == 5 {
			return n, shapes
		}
	}
}

// gonumSolve is the general linear solver of gonum in place of the Cholesky
// factor written for small matrices.
func gonumSolve(lower, rhs []float64, n int) {
	a := mat.NewDense(n, n, nil)
	for i := range n {
		for j := range i + 1 {
			a.Set(i, j, lower[i*n+j])
			a.Set(j, i, lower[i*n+j])
		}
	}
	var x mat.VecDense
	if err := x.SolveVec(a, mat.NewVecDense(n, rhs)); err != nil {
		panic(err)
	}
	copy(rhs, x.RawVector().Data)
}

func TestGonumAgrees(t *testing.T) {
	n, _ := typical()
	own, _ := solve(t, n)
	other := NewSolver(Options{})
	other.linear = gonumSolve
	if err := other.Load(n); err != nil {
		t.Fatal(err)
	}
	if _, err := other.Solve(); err != nil {
		t.Fatal(err)
	}
	for i := range n.Branches {
		near(t, n.Branches[i].Name, own.FlowKgS(i), other.FlowKgS(i), 1e-9+1e-7*math.Abs(other.FlowKgS(i)))
	}
}

// coldSolve loads and solves from nothing, as for a new document.
func coldSolve(b *testing.B, s *Solver, n *Network) {
	if err := s.Load(n); err != nil {
		b.Fatal(err)
	}
	if _, err := s.Solve(); err != nil {
		b.Fatal(err)
	}
}

// BenchmarkTypical times a cold solution of the typical enclosure three ways
// in one run: own factor, gonum's general solver in the same Newton iteration,
// and the circuit simulator by the analysis time that it reports itself. The
// metrics say how many times longer the others take.
func BenchmarkTypical(b *testing.B) {
	n, shapes := typical()
	own, other := NewSolver(Options{}), NewSolver(Options{})
	other.linear = gonumSolve
	var ownNs float64
	b.Run("own", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			coldSolve(b, own, n)
		}
		ownNs = float64(b.Elapsed().Nanoseconds()) / float64(b.N)
	})
	b.Run("own-warm", func(b *testing.B) {
		c := make([]float64, len(n.Nodes))
		k := 0.0
		coldSolve(b, own, n)
		for b.Loop() {
			k = 1 - k // every zone one kelvin up, then down
			for i := range c {
				c[i] = n.Nodes[i].TemperatureC + k
			}
			if err := own.SetTemperatures(c); err != nil {
				b.Fatal(err)
			}
			if _, err := own.Solve(); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("gonum", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			coldSolve(b, other, n)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/ownNs, "times-own")
	})
	b.Run("ngspice", func(b *testing.B) {
		density, tempC := make([]float64, len(n.Branches)), make([]float64, len(n.Branches))
		for i := range n.Branches {
			density[i], tempC[i] = own.DensityKgM3(i), own.endTemperature(own.Upstream(i))
		}
		deck := deckOf(n, shapes, density, tempC)
		deck.Commands = "repeat 500\nop\nend\nrusage everything\n"
		start := time.Now()
		seconds := 0.0
		for b.Loop() {
			seconds += spice.Run(b, []spice.Deck{deck})[0]["total analysis time (seconds)"]
		}
		ns := seconds * 1e9 / float64(500*b.N)
		b.ReportMetric(ns, "reported-ns/solve")
		b.ReportMetric(ns/ownNs, "times-own")
		b.ReportMetric(float64(time.Since(start).Nanoseconds())/float64(500*b.N), "wall-ns/solve")
	})
}
