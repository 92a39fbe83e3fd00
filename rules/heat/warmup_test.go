package heat

import (
	"math"
	"strings"
	"testing"

	"slipfit.example/rules/air"
)

func warm(t *testing.T, m *Model, opt WarmupOptions) (*Solver, Warmup) {
	t.Helper()
	s := NewSolver(Options{})
	if err := s.Load(m); err != nil {
		t.Fatal(err)
	}
	w, err := s.WarmUp(opt)
	if err != nil {
		t.Fatal(err)
	}
	return s, w
}

// single is one body behind one resistance: T = room + PR (1 - exp(-t/RC)).
func single(t *testing.T, power, resistance, capacity float64) *Model {
	m := &Model{Air: &air.Network{Room: roomAt(t, 0, 20)}, Bodies: []Body{{Name: "block", PowerW: power, CapacityJK: capacity}}}
	m.Conductors = []Conductor{{Name: "wall", A: m.Body(0), B: Room, ResistanceKW: resistance}}
	return m
}

func TestOneBodyWarmsExponentially(t *testing.T) {
	s, w := warm(t, single(t, 80, .5, 1000), WarmupOptions{Keep: true})
	near(t, "end", w.EndC[0], 60, 1e-3)
	near(t, "within 1 K", w.WithinOneKS[0], 500*math.Log(40), .005*500*math.Log(40))
	if w.SettledS != w.WithinOneKS[0] || w.Slowest != 0 || s.TemperatureC(0) != w.EndC[0] {
		t.Errorf("settled %g s, slowest %d", w.SettledS, w.Slowest)
	}
	for i, at := range w.TimesS {
		near(t, "on the way", w.TemperaturesC[i][0], 20+40*(1-math.Exp(-at/500)), .1)
	}
	if len(w.TimesS) < 10 || len(w.TimesS) > 400 {
		t.Errorf("%d steps", len(w.TimesS))
	}
}

func TestHalvedStepErrorConverges(t *testing.T) {
	exact := 500 * math.Log(40)
	_, coarse := warm(t, single(t, 80, .5, 1000), WarmupOptions{StepErrorK: .4})
	_, fine := warm(t, single(t, 80, .5, 1000), WarmupOptions{StepErrorK: .004})
	a, b := math.Abs(coarse.SettledS-exact), math.Abs(fine.SettledS-exact)
	if b > a/5 || fine.Steps <= coarse.Steps {
		t.Errorf("errors %g s and %g s in %d and %d steps: a hundredth of the step error must gain a factor of five at least",
			a, b, coarse.Steps, fine.Steps)
	}
}

func TestStiffPairDoesNotNeedTinySteps(t *testing.T) {
	// A chip of 2 J/K behind .05 K/W on a block of 5000 J/K: time constants of
	// 0.1 s and 2500 s.
	m := single(t, 0, .5, 5000)
	m.Bodies = append(m.Bodies, Body{Name: "chip", PowerW: 100, CapacityJK: 2})
	m.Conductors = append(m.Conductors, Conductor{Name: "paste", A: m.Body(1), B: m.Body(0), ResistanceKW: .05})
	_, w := warm(t, m, WarmupOptions{})
	near(t, "chip's end", w.EndC[1], 20+50+5, 1e-3)
	// The chip rides on the block: both come within a kelvin together.
	near(t, "block", w.WithinOneKS[0], 2500*math.Log(50), 60)
	near(t, "chip", w.WithinOneKS[1], w.WithinOneKS[0], 60)
	if w.Steps > 400 {
		t.Errorf("%d steps for a stiff pair", w.Steps)
	}
}

func TestCoolingDownFromAStart(t *testing.T) {
	m := single(t, 0, .5, 1000)
	_, w := warm(t, m, WarmupOptions{StartC: []float64{70}})
	near(t, "within 1 K", w.SettledS, 500*math.Log(50), .005*500*math.Log(50))
}

func TestDraughtSetsInFromCold(t *testing.T) {
	hole := square(3e4)
	m := &Model{Air: &air.Network{Room: roomAt(t, 0, 20), Nodes: []air.Node{{Name: "inside"}},
		Branches: []air.Branch{
			{Name: "low", From: air.Outside, To: 0, Resistance: hole},
			{Name: "high", From: 0, To: air.Outside, Resistance: hole, FromHeightM: .3, ToHeightM: .3},
		}},
		Bodies: []Body{{Name: "chip", PowerW: 20, CapacityJK: 300}}}
	m.Conductors = []Conductor{{Name: "fins", A: m.Body(0), B: m.Zone(0), ResistanceKW: 1.5}}
	s, w := warm(t, m, WarmupOptions{})
	if s.Flows().FlowKgS(0) <= 0 || w.SettledS < 500 || w.SettledS > 4000 {
		t.Errorf("draught %g kg/s, settled after %g s", s.Flows().FlowKgS(0), w.SettledS)
	}
}

func TestWarmUpRefusals(t *testing.T) {
	s := NewSolver(Options{})
	if err := s.Load(single(t, 80, .5, 1000)); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		opt  WarmupOptions
		want string
	}{
		{WarmupOptions{StartC: []float64{1, 2}}, "the start has 2 temperatures but the heat model has 1"},
		{WarmupOptions{MostSteps: 3}, `"block" is still`},
		{WarmupOptions{MostSeconds: 10}, `"block" is still`},
		{WarmupOptions{StartC: []float64{math.NaN()}}, "temperature at the start of \"block\" is not a number"},
	} {
		if _, err := s.WarmUp(row.opt); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("got %v, want a sentence with %q", err, row.want)
		}
	}
	m := single(t, 80, .5, 1000)
	m.Conductors = nil
	if err := s.Load(m); err != nil {
		t.Fatal(err)
	}
	if _, err := s.WarmUp(WarmupOptions{}); err == nil || !strings.Contains(err.Error(), "no way to a steady state") {
		t.Errorf("got %v", err)
	}
}
