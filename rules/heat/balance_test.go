package heat

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"slipfit.example/rules/air"
)

// draw makes a model from two words of rapid's choice.
func draw(t *rapid.T) *Model {
	g := generator{rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), rapid.Uint64().Draw(t, "second seed")))}
	return g.model(2 + g.IntN(7))
}

// Heat in is heat out, and air in is air out, for every enclosure.
func TestHeatInIsHeatOut(t *testing.T) {
	s := NewSolver(Options{})
	rounds := 0
	rapid.Check(t, func(t *rapid.T) {
		m := draw(t)
		if err := s.Load(m); err != nil {
			t.Fatal(err)
		}
		r, err := s.Solve()
		if unsettled := (*ConvergenceError)(nil); errors.As(err, &unsettled) && r.Beyond {
			return // a zone beyond the properties of air may swing, and is told
		}
		if err != nil {
			t.Fatal(err)
		}
		rounds = max(rounds, r.Rounds)
		if r.Balance.Relative() > 1e-3 {
			t.Fatalf("balance %+v", r.Balance)
		}
		left := make([]float64, len(m.Air.Nodes))
		greatest := 0.0
		for i, b := range m.Air.Branches {
			flow := s.Flows().FlowKgS(i)
			greatest = max(greatest, math.Abs(flow))
			if b.From != air.Outside {
				left[b.From] -= flow
			}
			if b.To != air.Outside {
				left[b.To] += flow
			}
		}
		for i, v := range left {
			if math.Abs(v) > 1e-6*greatest {
				t.Fatalf("zone %d gains %g kg/s of %g", i, v, greatest)
			}
		}
		// Second law: with heat set free everywhere, nothing is colder than the room.
		for k := range s.size {
			if c := s.TemperatureC(Ref(k)); !(c >= m.Air.Room.TemperatureC-1e-6) {
				t.Fatalf("%s at %g degC is colder than the room", m.Name(Ref(k)), c)
			}
		}
	})
	t.Logf("greatest number of rounds: %d", rounds)
}

// A warm-up from the room's temperature only rises, and ends in the steady
// state.
func TestWarmUpRisesToTheEnd(t *testing.T) {
	s := NewSolver(Options{})
	rapid.Check(t, func(t *rapid.T) {
		m := draw(t)
		if err := s.Load(m); err != nil {
			t.Fatal(err)
		}
		w, err := s.WarmUp(WarmupOptions{Keep: true, SteadyFlows: true})
		if unsettled := (*ConvergenceError)(nil); errors.As(err, &unsettled) && unsettled.Report.Beyond {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		last := w.TemperaturesC[len(w.TemperaturesC)-1]
		for i, end := range w.EndC {
			if math.Abs(last[i]-end) > .1 {
				t.Fatalf("%s stops at %g of %g degC", m.Name(Ref(i)), last[i], end)
			}
			if w.WithinOneKS[i] > w.SettledS {
				t.Fatalf("%s needs %g s, all need %g s", m.Name(Ref(i)), w.WithinOneKS[i], w.SettledS)
			}
		}
		// Heat only ever warms: all temperatures rise on the way.
		for j := 1; j < len(w.TemperaturesC); j++ {
			for i, c := range w.TemperaturesC[j] {
				if c < w.TemperaturesC[j-1][i]-.1 {
					t.Fatalf("%s falls from %g to %g degC at %g s", m.Name(Ref(i)), w.TemperaturesC[j-1][i], c, w.TimesS[j])
				}
			}
		}
	})
}

// More heat in a body makes it hotter.
func TestMoreHeatMakesHotter(t *testing.T) {
	s := NewSolver(Options{ToleranceK: 1e-5})
	rapid.Check(t, func(t *rapid.T) {
		m := draw(t)
		for i := range m.Air.Branches { // flows that warmth does not move
			m.Air.Branches[i].FromHeightM, m.Air.Branches[i].ToHeightM = 0, 0
		}
		for i := range m.Air.Nodes {
			m.Air.Nodes[i].HeightM = 0
		}
		solveAll := func() []float64 {
			if err := s.Load(m); err != nil {
				t.Fatal(err)
			}
			_, err := s.Solve()
			if unsettled := (*ConvergenceError)(nil); errors.As(err, &unsettled) && unsettled.Report.Beyond {
				return nil
			}
			if err != nil {
				t.Fatal(err)
			}
			return append([]float64(nil), s.temperature...)
		}
		before := solveAll()
		m.Bodies[0].PowerW += 20
		after := solveAll()
		if before == nil || after == nil {
			return
		}
		if after[m.Body(0)] <= before[m.Body(0)] {
			t.Fatalf("20 W more leave the body at %g degC, before %g", after[m.Body(0)], before[m.Body(0)])
		}
	})
}

func TestSteadyStateDoesNotAllocate(t *testing.T) {
	g := generator{rand.New(rand.NewPCG(4, 4))}
	m := g.model(8)
	s := NewSolver(Options{})
	run := func() {
		if err := s.Load(m); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Solve(); err != nil {
			t.Fatal(err)
		}
	}
	run()
	if allocs := testing.AllocsPerRun(50, run); allocs != 0 {
		t.Errorf("%g allocations in the steady state, want none", allocs)
	}
}
