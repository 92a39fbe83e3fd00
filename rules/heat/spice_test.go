package heat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"slipfit.example/rules/air/spice"
)

// circuit writes a heat model at given flows for the circuit simulator: the
// temperature above the room is a voltage in kelvins, heat a current in watts.
// Everything is written down anew from the physics; only flows and the
// effectiveness of radiators, which have tests of their own, are taken over.
type circuit struct {
	strings.Builder
	s *Solver
	m *Model
	n int
}

func (c *circuit) node(r Ref) string {
	if r == Room {
		return "0"
	}
	return fmt.Sprintf("t%d", int(r))
}

// line adds an element with a fresh name.
func (c *circuit) line(kind, format string, args ...any) {
	c.n++
	fmt.Fprintf(c, "%s%d %s\n", kind, c.n, fmt.Sprintf(format, args...))
}

func (c *circuit) resistor(a, b Ref, kw float64) {
	c.line("r", "%s %s %.15g", c.node(a), c.node(b), kw)
}

// heat moves g times (driveA - driveB) watts from one node to another.
func (c *circuit) heat(from, to, driveA, driveB Ref, g float64) {
	c.line("b", "%s %s i=%.15g*(v(%s)-v(%s))", c.node(from), c.node(to), g, c.node(driveA), c.node(driveB))
}

// carry is a stream: it takes the heat of its air out of one node and into the
// other.
func (c *circuit) carry(from, to Ref, rate float64) {
	c.line("b", "%s %s i=%.15g*v(%s)", c.node(from), c.node(to), rate, c.node(from))
}

func (c *circuit) panel(p *Panel, r Ref) {
	room := c.m.Air.Room
	c.resistor(p.Inside, r, 1/(p.InnerWM2K*p.AreaM2))
	rk := room.TemperatureC + 273.15
	v := "v(" + c.node(r) + ")"
	c.line("b", "%s 0 i=%.15g*(pwr(%s+%.15g,4)-%.15g)", c.node(r), p.AreaM2*p.Emissivity*5.670374419e-8, v, rk, math.Pow(rk, 4))
	// Properties at the mean temperature tf, then Grashof and Nusselt numbers.
	tf := fmt.Sprintf("min(400,%.15g+%s/2)", rk, v)
	mu := fmt.Sprintf("(1.458e-6*%s*sqrt(%s)/(%s+110.4))", tf, tf, tf)
	k := fmt.Sprintf("(2.334e-3*%s*sqrt(%s)/(%s+164.54))", tf, tf, tf)
	cp := fmt.Sprintf("(1030.5-0.19975*%s+3.9734e-4*%s*%s)", tf, tf, tf)
	rho := fmt.Sprintf("(%.15g/(287.0530*%s))", room.PressurePa, tf)
	pr := fmt.Sprintf("(%s*%s/%s)", cp, mu, k)
	ra := fmt.Sprintf("(9.80665/%s*abs(%s)*%.15g*%s*%s*%s/(%s*%s))", tf, v, math.Pow(p.LengthM, 3), rho, rho, pr, mu, mu)
	// Hidden nodes keep the expressions short.
	c.n++
	ran, prn := fmt.Sprintf("ra%d", c.n), fmt.Sprintf("pr%d", c.n)
	c.line("b", "%s 0 v=%s", ran, ra)
	c.line("b", "%s 0 v=%s", prn, pr)
	nu := ""
	switch p.Facing {
	case Upright:
		nu = fmt.Sprintf("pwr(0.825+0.387*pwr(abs(v(%s)),1/6)/pwr(1+pwr(0.492/v(%s),9/16),8/27),2)", ran, prn)
	case Up:
		nu = fmt.Sprintf("max(max(1,0.54*pwr(abs(v(%s)),0.25)),0.15*pwr(abs(v(%s)),1/3))", ran, ran)
	case Down:
		nu = fmt.Sprintf("max(1,0.27*pwr(abs(v(%s)),0.25))", ran)
	}
	c.line("b", "%s 0 i=%.15g*%s*%s*%s", c.node(r), p.AreaM2/p.LengthM, k, v, nu)
}

func (c *circuit) sink(k *Sink) {
	cp := c.m.Air.Room.CpJKgK
	if k.Branch == NoBranch {
		// The air's density in the sink's own fan follows the zone.
		room := c.m.Air.Room
		rk := room.TemperatureC + 273.15
		base := 1 / (k.Law.ConductionKW + k.Law.CoefficientKW/math.Pow(k.FlowM3S, k.Law.Exponent))
		body, zone := c.node(k.Body), c.node(k.InZone)
		c.line("b", "%s %s i=min(%.15g,%.15g/(v(%s)+%.15g))*(v(%s)-v(%s))", body, zone,
			base, k.FlowM3S*cp*room.DensityKgM3*rk, zone, rk, body, zone)
		return
	}
	up, down := c.s.ends(k.Branch)
	q, rate := k.Share*math.Abs(c.s.air.FlowM3S(k.Branch)), k.Share*math.Abs(c.s.air.FlowKgS(k.Branch))*cp
	g := 0.0
	if q > 1e-9 {
		g = math.Min(rate, 1/(k.Law.ConductionKW+k.Law.CoefficientKW/math.Pow(q, k.Law.Exponent)))
	}
	c.heat(k.Body, down, k.Body, up, g)
	if k.AtRestKW > 0 && g < 1/k.AtRestKW {
		ahead := math.Min(1, .5+5*rate)
		c.resistor(k.Body, down, 1/(ahead*(1/k.AtRestKW-g)))
		if ahead < 1 {
			c.resistor(k.Body, up, 1/((1-ahead)*(1/k.AtRestKW-g)))
		}
	}
}

func (c *circuit) loop(i int) {
	l := &c.m.Loops[i]
	rate := l.FlowM3S * l.Liquid.DensityKgM3 * l.Liquid.CpJKgK
	n := len(l.Stations)
	for k := range l.Stations {
		st := &l.Stations[k]
		in, out := c.m.Liquid(i, (k+n-1)%n), c.m.Liquid(i, k)
		c.carry(in, out, rate)
		if st.PlateKW > 0 {
			c.heat(st.Body, out, st.Body, in, math.Min(rate, 1/st.PlateKW))
			continue
		}
		up, down := c.s.ends(st.Branch)
		q := math.Abs(c.s.air.FlowM3S(st.Branch))
		airRate := math.Abs(c.s.air.FlowKgS(st.Branch)) * c.m.Air.Room.CpJKgK
		ua := st.UAWK * math.Pow(q/st.UAFlowM3S, st.UAExponent)
		small := math.Min(airRate, rate)
		e := effectiveness(st.Arrangement, math.Min(ua/small, mostNTU), small/math.Max(airRate, rate))
		c.heat(out, down, in, up, e*small)
	}
}

// deckOf writes the model at the solver's flows. With capacities it is a
// transient from the room's temperature.
func deckOf(s *Solver, capacities bool) string {
	c := &circuit{s: s, m: s.model}
	m := s.model
	for i := range m.Conductors {
		k := &m.Conductors[i]
		c.resistor(k.A, k.B, k.ResistanceKW)
	}
	for i := range m.Sinks {
		c.sink(&m.Sinks[i])
	}
	for i := range m.Panels {
		c.panel(&m.Panels[i], m.Panel(i))
	}
	for i := range m.Loops {
		c.loop(i)
	}
	for i := range m.Air.Branches {
		up, down := s.ends(i)
		rate := math.Abs(s.air.FlowKgS(i)) * m.Air.Room.CpJKgK
		c.carry(up, down, rate)
		if rate < StillMixingWK {
			c.resistor(up, down, 1/(StillMixingWK-rate))
		}
		ahead := math.Min(1, .5+5*rate)
		c.line("i", "0 %s %.15g", c.node(down), ahead*m.BranchPowerW[i])
		c.line("i", "0 %s %.15g", c.node(up), (1-ahead)*m.BranchPowerW[i])
	}
	for i, z := range m.Zones {
		c.line("i", "0 %s %.15g", c.node(m.Zone(i)), z.PowerW)
	}
	for i, b := range m.Bodies {
		c.line("i", "0 %s %.15g", c.node(m.Body(i)), b.PowerW)
	}
	if capacities {
		for i, jk := range s.capacity {
			c.line("c", "%s 0 %.15g ic=0", c.node(Ref(i)), jk)
		}
	}
	return c.String()
}

func TestHeatAgainstCircuitSimulator(t *testing.T) {
	const models, enough = 230, 200
	g := generator{rand.New(rand.NewPCG(11, 5))}
	var solvers []*Solver
	var decks []spice.Deck
	for range models {
		m := g.model(2 + g.IntN(7))
		s, _ := solve(t, m)
		var print strings.Builder
		for r := range s.size {
			fmt.Fprintf(&print, "print v(t%d)\n", r)
		}
		solvers = append(solvers, s)
		decks = append(decks, spice.Deck{Netlist: deckOf(s, false), Commands: "op\n" + print.String()})
	}
	compared, things, worst := 0, 0, 0.0
	for i, r := range spice.Run(t, decks) {
		if len(r) == 0 {
			continue // the simulator found no operating point
		}
		compared++
		s := solvers[i]
		for k := range s.size {
			v, ok := r[fmt.Sprintf("v(t%d)", k)]
			if !ok {
				t.Fatalf("model %d: the simulator printed nothing for %q", i, s.model.Name(Ref(k)))
			}
			things++
			want := v + s.model.Air.Room.TemperatureC
			worst = max(worst, math.Abs(s.TemperatureC(Ref(k))-want))
			near(t, fmt.Sprintf("model %d, %s", i, s.model.Name(Ref(k))), s.TemperatureC(Ref(k)), want, .1)
		}
	}
	if compared < enough {
		t.Errorf("only %d of %d models could be compared, want %d", compared, models, enough)
	}
	t.Logf("%d models with %d temperatures agree; greatest deviation %.4f K", compared, things, worst)
}

// The simulator steps a transient of its own at the final flows.
func TestWarmUpAgainstCircuitSimulator(t *testing.T) {
	g := generator{rand.New(rand.NewPCG(2, 9))}
	type run struct {
		s  *Solver
		w  Warmup
		at []float64
	}
	var runs []run
	var decks []spice.Deck
	for range 25 {
		m := g.model(2 + g.IntN(4))
		s := NewSolver(Options{})
		if err := s.Load(m); err != nil {
			t.Fatal(err)
		}
		w, err := s.WarmUp(WarmupOptions{Keep: true, StepErrorK: .005, SteadyFlows: true})
		if err != nil {
			t.Fatal(err)
		}
		r := run{s: s, w: w}
		commands := fmt.Sprintf("tran %g %g uic\n", w.SettledS/400, w.SettledS)
		for j, share := range []float64{.05, .2, .5, .95} {
			r.at = append(r.at, share*w.SettledS)
			for k := range s.size {
				commands += fmt.Sprintf("meas tran m%d_%d find v(t%d) at=%g\n", j, k, k, share*w.SettledS)
			}
		}
		runs = append(runs, r)
		decks = append(decks, spice.Deck{Netlist: deckOf(s, true), Commands: commands})
	}
	compared, worst := 0, 0.0
	for i, got := range spice.Run(t, decks) {
		r := runs[i]
		for j, at := range r.at {
			for k := range r.s.size {
				v, ok := got[fmt.Sprintf("m%d_%d", j, k)]
				if !ok {
					continue
				}
				compared++
				want := v + r.s.model.Air.Room.TemperatureC
				own := interpolate(r.w.TimesS, r.w.TemperaturesC, k, at)
				worst = max(worst, math.Abs(own-want))
				near(t, fmt.Sprintf("run %d, %s after %.0f s", i, r.s.model.Name(Ref(k)), at), own, want, .1)
			}
		}
	}
	if compared < 500 {
		t.Errorf("only %d temperatures could be compared, want 500", compared)
	}
	t.Logf("%d temperatures on the way agree; greatest deviation %.3f K", compared, worst)
}

func interpolate(times []float64, values [][]float64, k int, at float64) float64 {
	for i := 1; i < len(times); i++ {
		if at <= times[i] {
			w := (at - times[i-1]) / (times[i] - times[i-1])
			return (1-w)*values[i-1][k] + w*values[i][k]
		}
	}
	return values[len(values)-1][k]
}
