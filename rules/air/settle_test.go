package air

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// drawNetwork draws zones and ways without any thought for whether they make
// sense: closed ways, fans at rest and at three times their speed, resistances
// over twelve decades, zones that nothing joins to the room.
func drawNetwork(t *rapid.T) *Network {
	room, err := Room(rapid.Float64Range(-400, 8000).Draw(t, "altitude"), rapid.Float64Range(-40, 60).Draw(t, "room"))
	if err != nil {
		t.Fatal(err)
	}
	n := &Network{Room: room}
	for range rapid.IntRange(1, 8).Draw(t, "zones") {
		n.Nodes = append(n.Nodes, Node{Name: "zone", HasTemperature: true,
			TemperatureC: rapid.Float64Range(-40, 120).Draw(t, "zone"), HeightM: rapid.Float64Range(0, 1).Draw(t, "z")})
	}
	for range rapid.IntRange(0, 20).Draw(t, "ways") {
		b := Branch{Name: "way", From: rapid.IntRange(-1, len(n.Nodes)-1).Draw(t, "from"),
			To:          rapid.IntRange(-1, len(n.Nodes)-1).Draw(t, "to"),
			Closed:      rapid.IntRange(0, 5).Draw(t, "closed") == 0,
			FromHeightM: rapid.Float64Range(0, 1).Draw(t, "from z"), ToHeightM: rapid.Float64Range(0, 1).Draw(t, "to z"),
			Resistance: Resistance{QuadraticPaS2M6: math.Pow(10, rapid.Float64Range(2, 10).Draw(t, "lg R"))}}
		if rapid.Bool().Draw(t, "laminar") {
			b.Resistance.LinearPaSM3 = math.Pow(10, rapid.Float64Range(-2, 6).Draw(t, "lg L"))
		}
		if rapid.IntRange(0, 2).Draw(t, "fan") == 0 {
			c, err := NewCurve(drawFalling(t))
			if rapid.Bool().Draw(t, "estimated") {
				c, err = EstimateCurve(rapid.Float64Range(1e-4, .2).Draw(t, "max flow"), rapid.Float64Range(.5, 500).Draw(t, "max pressure"))
			}
			if err != nil {
				t.Fatal(err)
			}
			b.Fan = &Fan{Curve: c, SpeedRatio: rapid.SampledFrom([]float64{0, .01, .3, 1, 3}).Draw(t, "speed")}
			if rapid.Bool().Draw(t, "bare") {
				b.Resistance = Resistance{}
			}
		}
		if b.From != b.To {
			n.Branches = append(n.Branches, b)
		}
	}
	return n
}

// Mass is kept in every zone, every way obeys its own law, and nothing is NaN,
// whatever the network looks like.
func TestAnyNetworkSettlesInBalance(t *testing.T) {
	s := NewSolver(Options{})
	worst := 0
	rapid.Check(t, func(t *rapid.T) {
		n := drawNetwork(t)
		if err := s.Load(n); err != nil {
			t.Fatal(err)
		}
		r, err := s.Solve()
		if err != nil {
			t.Fatal(err)
		}
		worst = max(worst, r.Iterations)
		greatest := 0.0
		left := make([]float64, len(n.Nodes))
		for i, b := range n.Branches {
			m := s.FlowKgS(i)
			if math.IsNaN(m) || math.IsInf(m, 0) {
				t.Fatalf("flow %d is %g", i, m)
			}
			if b.Closed && m != 0 {
				t.Fatalf("closed way %d carries %g kg/s", i, m)
			}
			greatest = max(greatest, math.Abs(m))
			if b.From != Outside {
				left[b.From] -= m
			}
			if b.To != Outside {
				left[b.To] += m
			}
		}
		for i, v := range left {
			if math.Abs(v) > 1e-9*greatest+1e-9 {
				t.Fatalf("zone %d gains %g kg/s of %g; %+v", i, v, greatest, r)
			}
		}
	})
	t.Logf("greatest number of Newton steps: %d", worst)
}

// The energy that fans and buoyancy put in is what resistances take out: the
// sum of pressure times mass flow over all ways is zero in any closed balance
// (Tellegen's theorem), computed here from the laws and not from pressures.
func TestPowersBalance(t *testing.T) {
	s := NewSolver(Options{})
	rapid.Check(t, func(t *rapid.T) {
		n := drawNetwork(t)
		if err := s.Load(n); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Solve(); err != nil {
			t.Fatal(err)
		}
		sum, scale := 0.0, 0.0
		for i := range n.Branches {
			d, _ := s.law[i].at(s.flow[i])
			sum += d * s.flow[i]
			scale += math.Abs(s.law[i].head*s.flow[i]) + math.Abs((d+s.law[i].head)*s.flow[i])
		}
		if math.Abs(sum) > 1e-4*scale+1e-6 {
			t.Fatalf("power left over: %g of %g", sum, scale)
		}
	})
}

func TestWarmStartFindsTheSameFlows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := drawNetwork(t)
		warm, cold := NewSolver(Options{}), NewSolver(Options{})
		for _, s := range []*Solver{warm, cold} {
			if err := s.Load(n); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := warm.Solve(); err != nil {
			t.Fatal(err)
		}
		c := make([]float64, len(n.Nodes))
		for i := range c {
			c[i] = rapid.Float64Range(-40, 120).Draw(t, "later")
		}
		// The directions decide the densities: let both see the same.
		copy(cold.flow, warm.flow)
		for _, s := range []*Solver{warm, cold} {
			if err := s.SetTemperatures(c); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := warm.Solve(); err != nil {
			t.Fatal(err)
		}
		if _, err := cold.Solve(); err != nil {
			t.Fatal(err)
		}
		greatest := 0.0
		for _, m := range cold.flow {
			greatest = max(greatest, math.Abs(m))
		}
		for i := range n.Branches {
			if math.Abs(warm.flow[i]-cold.flow[i]) > 1e-4*greatest+1e-5 {
				t.Fatalf("way %d: %g warm, %g cold", i, warm.flow[i], cold.flow[i])
			}
		}
	})
}

// one builds a box with one zone.
func one(branches ...Branch) *Network {
	return &Network{Room: standardRoom, Nodes: []Node{{Name: "inside"}}, Branches: branches}
}

func TestSealedBoxStallsItsFan(t *testing.T) {
	fan := &Fan{Curve: estimate(t, .03, 25), SpeedRatio: 1}
	s, r := solve(t, one(Branch{Name: "fan", From: Outside, To: 0, Fan: fan, Resistance: square(1e4)}))
	near(t, "flow", s.FlowM3S(0), 0, 1e-9)
	near(t, "pressure", s.PressurePa(0), 25, 1e-6)
	if s.FanState(0) != Stalled || !r.Converged || s.Sealed(0) {
		t.Errorf("a fan into a box with no other opening must be told as stalled: %v %+v", s.FanState(0), r)
	}
	// Two zones that only a fan joins, and no way to the room at all.
	n := &Network{Room: standardRoom, Nodes: []Node{{Name: "a"}, {Name: "b"}, {Name: "alone"}},
		Branches: []Branch{
			{Name: "fan", From: 0, To: 1, Fan: fan, Resistance: square(1e4)},
			{Name: "back", From: 1, To: 0, Resistance: square(2e4)},
		}}
	s, _ = solve(t, n)
	want := math.Sqrt(25 / (25/(.03*.03) + 3e4))
	near(t, "circulation", s.FlowM3S(0), want, 1e-6)
	if !s.Sealed(0) || !s.Sealed(1) || !s.Sealed(2) {
		t.Error("no way leads to the room: all three zones are sealed")
	}
}

func TestOneFanAgainstAllOthers(t *testing.T) {
	strong, weak := estimate(t, .05, 120), estimate(t, .01, 5)
	branches := []Branch{{Name: "weak", From: Outside, To: 0, Fan: &Fan{Curve: weak, SpeedRatio: 1}}}
	for range 4 {
		branches = append(branches, Branch{Name: "strong", From: Outside, To: 0, Fan: &Fan{Curve: strong, SpeedRatio: 1}})
	}
	branches = append(branches, Branch{Name: "slit", From: 0, To: Outside, Resistance: square(1e6)})
	s, _ := solve(t, one(branches...))
	if s.FanState(0) != BackFlow || s.FanState(1) != Working || s.FanState(5) != NoFan {
		t.Errorf("states %v %v %v, want back-flow, working, no fan", s.FanState(0), s.FanState(1), s.FanState(5))
	}
	if s.FanPressurePa(0) <= 5 || math.Abs(s.FanPressurePa(0)-s.PressurePa(0)) > 1e-6 {
		t.Errorf("the fan blown back must hold the box's pressure: %g and %g Pa", s.FanPressurePa(0), s.PressurePa(0))
	}
	// Pulled beyond its free delivery by a strong one in line.
	n := &Network{Room: standardRoom, Nodes: []Node{{Name: "between"}}, Branches: []Branch{
		{Name: "weak", From: Outside, To: 0, Fan: &Fan{Curve: weak, SpeedRatio: 1}},
		{Name: "strong", From: 0, To: Outside, Fan: &Fan{Curve: strong, SpeedRatio: 1}}}}
	s, _ = solve(t, n)
	if s.FanState(0) != Overrun || s.FanPressurePa(0) >= 0 {
		t.Errorf("weak fan in line: %v, %g Pa", s.FanState(0), s.FanPressurePa(0))
	}
	n.Branches[0].Fan.SpeedRatio = 0
	s, _ = solve(t, n)
	if s.FanState(0) != AtRest || s.FanPressurePa(0) >= 0 {
		t.Errorf("standing fan in line: %v, %g Pa", s.FanState(0), s.FanPressurePa(0))
	}
}

func TestSurgingFanIsTold(t *testing.T) {
	c, err := NewCurve([]Point{{0, 40}, {.01, 30}, {.02, 34}, {.03, 20}, {.04, 0}})
	if err != nil {
		t.Fatal(err)
	}
	var flows []float64
	for _, upper := range []bool{false, true} {
		n := one(Branch{Name: "fan", From: Outside, To: 0, Fan: &Fan{Curve: c, SpeedRatio: 1, UpperEnvelope: upper}},
			Branch{Name: "out", From: 0, To: Outside, Resistance: square(31 / (.013 * .013))})
		s, _ := solve(t, n)
		if s.FanState(0) != Surging {
			t.Errorf("state %v, want surging", s.FanState(0))
		}
		flows = append(flows, s.FlowM3S(0))
	}
	if !(flows[0] < flows[1]) {
		t.Errorf("the envelopes must bracket the flow: %v", flows)
	}
}

func TestNothingDrivesNothing(t *testing.T) {
	s, r := solve(t, one(Branch{Name: "hole", From: 0, To: Outside, Resistance: square(1e5)}))
	if s.FlowKgS(0) != 0 || s.PressurePa(0) != 0 || !r.Converged || !s.NearlyStill(0) {
		t.Errorf("still air: %g kg/s, %g Pa, %+v", s.FlowKgS(0), s.PressurePa(0), r)
	}
	empty := &Network{Room: standardRoom}
	if _, r := solve(t, empty); !r.Converged {
		t.Error("an empty network is settled")
	}
}

// Thin air moves the same volume and carries less: at 8000 m a fan keeps its
// flow and loses pressure with the density.
func TestThinAirKeepsVolumeFlow(t *testing.T) {
	var flow, pressure [2]float64
	for i, altitude := range []float64{0, 8000} {
		room, err := Room(altitude, 20)
		if err != nil {
			t.Fatal(err)
		}
		n := one(Branch{Name: "fan", From: Outside, To: 0, Fan: &Fan{Curve: estimate(t, .03, 25), SpeedRatio: 1}},
			Branch{Name: "out", From: 0, To: Outside, Resistance: square(5e4)})
		n.Room = room
		s, _ := solve(t, n)
		flow[i], pressure[i] = s.FlowM3S(0), s.PressurePa(0)/room.DensityKgM3
	}
	near(t, "flow at 8000 m", flow[1], flow[0], 1e-5*flow[0])
	near(t, "pressure over density", pressure[1], pressure[0], 1e-4*pressure[0])
}

func TestNetworkRefusals(t *testing.T) {
	nan := math.NaN()
	c := estimate(t, .03, 25)
	hole := Branch{Name: "hole", From: 0, To: Outside, Resistance: square(1e5)}
	with := func(change func(*Branch)) *Network {
		b := hole
		change(&b)
		return one(b)
	}
	for _, row := range []struct {
		name string
		n    *Network
		want string
	}{
		{"no room", &Network{Nodes: []Node{{Name: "a"}}}, "stands in no room"},
		{"end", with(func(b *Branch) { b.To = 5 }), `way "hole" of the flow network: it ends at zone number 5 but there are 1 zones; use 0 to 0, or Outside`},
		{"loop", with(func(b *Branch) { b.To = 0 }), "leads from a zone to the same zone"},
		{"open", with(func(b *Branch) { b.Resistance = Resistance{} }), "neither resistance nor fan"},
		{"negative", with(func(b *Branch) { b.Resistance.QuadraticPaS2M6 = -1 }), "quadratic resistance of -1"},
		{"NaN", with(func(b *Branch) { b.Resistance.LinearPaSM3 = nan }), "linear resistance is not a number"},
		{"no curve", with(func(b *Branch) { b.Fan = &Fan{} }), "has no curve"},
		{"speed", with(func(b *Branch) { b.Fan = &Fan{Curve: c, SpeedRatio: nan} }), "speed ratio of the fan is not a number"},
		{"height", with(func(b *Branch) { b.ToHeightM = nan }), "height is not a number"},
		{"head", with(func(b *Branch) { b.HeadPa = math.Inf(1) }), "driving pressure of +Inf"},
		{"node height", &Network{Room: standardRoom, Nodes: []Node{{Name: "a", HeightM: nan}}}, `zone "a" of the flow network: height is not a number`},
		{"node temperature", &Network{Room: standardRoom, Nodes: []Node{{Name: "a", HasTemperature: true, TemperatureC: 400}}}, "air temperature of 400"},
		{"feed", &Network{Room: standardRoom, Nodes: []Node{{Name: "a", InflowM3S: nan}}}, "air fed in is not a number"},
		{"sealed feed", &Network{Room: standardRoom, Nodes: []Node{{Name: "a", InflowM3S: 1}}}, `zone "a" of the flow network is fed 1.2 kg/s but has no way to the room`},
		{"too many", &Network{Room: standardRoom, Nodes: make([]Node, MostNodes+1)}, "merge zones"},
	} {
		s := NewSolver(Options{})
		err := s.Load(row.n)
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: got %v, want a sentence with %q", row.name, err, row.want)
		}
		if _, err := s.Solve(); err == nil {
			t.Errorf("%s: a network that was refused was solved", row.name)
		}
	}
	s := NewSolver(Options{})
	if _, err := s.Solve(); err == nil {
		t.Error("nothing loaded: want an error")
	}
	if err := s.SetTemperatures(nil); err == nil {
		t.Error("nothing loaded: want an error")
	}
	if err := s.Load(one(hole)); err != nil {
		t.Fatal(err)
	}
	for _, bad := range [][]float64{nil, {nan}} {
		if err := s.SetTemperatures(bad); err == nil {
			t.Errorf("temperatures %v: want an error", bad)
		}
	}
}

func TestBoundOnIterationsIsTold(t *testing.T) {
	s := NewSolver(Options{MostIterations: 1})
	if err := s.Load(bridge()); err != nil {
		t.Fatal(err)
	}
	_, err := s.Solve()
	var e *ConvergenceError
	if !errors.As(err, &e) || e.Branch == "none" || e.Report.Converged || e.Report.Iterations != 1 {
		t.Fatalf("got %v", err)
	}
	if !strings.HasPrefix(err.Error(), "the flow network did not settle in 1 iterations: way ") {
		t.Errorf("sentence: %s", err)
	}
}

func TestSteadyStateDoesNotAllocate(t *testing.T) {
	n := fanBox(t)
	s := NewSolver(Options{})
	if err := s.Load(n); err != nil {
		t.Fatal(err)
	}
	c := []float64{30, 35}
	allocs := testing.AllocsPerRun(50, func() {
		if err := s.Load(n); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Solve(); err != nil {
			t.Fatal(err)
		}
		if err := s.SetTemperatures(c); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Solve(); err != nil {
			t.Fatal(err)
		}
	})
	if allocs != 0 {
		t.Errorf("%g allocations in the steady state, want none", allocs)
	}
}

func TestFanStatesHaveWords(t *testing.T) {
	for f := NoFan; f <= AtRest; f++ {
		if strings.HasPrefix(f.String(), "unknown") {
			t.Errorf("state %d has no word", int(f))
		}
	}
	if FanState(99).String() != "unknown fan state 99" {
		t.Error(FanState(99).String())
	}
}
