package heat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"slipfit.example/rules/air"
	"slipfit.example/rules/air/spice"
)

// plain takes out of a model what coupledDeck does not write.
func plain(m *Model) *Model {
	m.Loops, m.BranchPowerW = nil, nil
	for i := range m.Sinks {
		m.Sinks[i].AtRestKW = 0
	}
	return m
}

// coupledDeck writes flows and temperatures as one circuit: pascals and kelvins
// above the room as volts, grams a second and watts as amperes. The simulator
// gets nothing that the solver found.
func coupledDeck(s *Solver) string {
	c := &circuit{s: s, m: s.model}
	m := s.model
	room := m.Air.Room
	rk := room.TemperatureC + 273.15
	p := func(node int) string {
		if node == air.Outside {
			return "0"
		}
		return fmt.Sprintf("p%d", node)
	}
	// Density of a node's air, and of a way's: that of the end it comes from.
	rho := func(node int) string {
		if node == air.Outside {
			return fmt.Sprintf("(%.15g)", room.DensityKgM3)
		}
		return fmt.Sprintf("(%.15g/(v(t%d)+%.15g))", room.DensityKgM3*rk, node, rk)
	}
	for i := range m.Air.Branches {
		b := &m.Air.Branches[i]
		i0 := fmt.Sprintf("i(vm%d)", i) // g/s
		way := fmt.Sprintf("v(rho%d)", i)
		c.line("b", "rho%d 0 v=%s>0?%s:%s", i, i0, rho(b.From), rho(b.To))
		tk := fmt.Sprintf("(v(visc%d))", i)
		ups := func(node int) string {
			if node == air.Outside {
				return fmt.Sprintf("(%.15g)", rk)
			}
			return fmt.Sprintf("(v(t%d)+%.15g)", node, rk)
		}
		c.line("b", "visc%d 0 v=%s>0?%s:%s", i, i0, ups(b.From), ups(b.To))
		mu := fmt.Sprintf("(1.458e-6*%s*sqrt(abs(%s))/(%s+110.4))", tk, tk, tk)
		q := fmt.Sprintf("(%s*1e-3/%s)", i0, way)
		e := fmt.Sprintf("%.15g*%s*%s*abs(%s)+%.15g*%s*%s", b.Resistance.QuadraticPaS2M6/1.2, way, q, q,
			b.Resistance.LinearPaSM3/1.8134e-5, mu, q)
		column := func(node int, sign string, mouth float64) {
			if node != air.Outside {
				e += fmt.Sprintf("%s9.80665*%.15g*(%.15g-%s)", sign, mouth-m.Air.Nodes[node].HeightM, room.DensityKgM3, rho(node))
			}
		}
		column(b.From, "-", b.FromHeightM)
		column(b.To, "+", b.ToHeightM)
		if f := b.Fan; f != nil {
			e += fmt.Sprintf("-%s*(%.15g-%.15g*%s*abs(%s))", way, f.SpeedRatio*f.SpeedRatio*f.Curve.BlockedPa()/1.2, f.Curve.AtRestPaS2M6()/1.2, q, q)
		}
		fmt.Fprintf(c, "vm%d %s x%d 0\nbm%d x%d %s v=%s\n", i, p(b.From), i, i, i, p(b.To), e)
		// The stream's heat, and the swapping of still air.
		from, to := c.node(Ref(b.From)), c.node(Ref(b.To))
		rate := fmt.Sprintf("(%.15g*abs(%s))", room.CpJKgK*1e-3, i0)
		temp := func(n string) string {
			if n == "0" {
				return "0"
			}
			return "v(" + n + ")"
		}
		c.line("b", "%s %s i=%.15g*%s*(%s>0?%s:%s)+max(0,0.1-%s)*(%s-%s)", from, to, room.CpJKgK*1e-3, i0, i0, temp(from), temp(to),
			rate, temp(from), temp(to))
		for k := range m.Sinks {
			sk := &m.Sinks[k]
			if sk.Branch != i {
				continue
			}
			body := c.node(sk.Body)
			g := fmt.Sprintf("min(%.15g*%s,1/(%.15g+%.15g*pwr(abs(%.15g*%s)+1e-12,%.15g)))", sk.Share, rate,
				sk.Law.ConductionKW, sk.Law.CoefficientKW, sk.Share, q, -sk.Law.Exponent)
			c.line("b", "%s %s i=%s>0?%s*(v(%s)-%s):0", body, to, i0, g, body, temp(from))
			c.line("b", "%s %s i=%s>0?0:%s*(v(%s)-%s)", body, from, i0, g, body, temp(to))
		}
	}
	for i := range m.Sinks {
		if m.Sinks[i].Branch == NoBranch {
			c.sink(&m.Sinks[i])
		}
	}
	for i := range m.Conductors {
		k := &m.Conductors[i]
		c.resistor(k.A, k.B, k.ResistanceKW)
	}
	for i := range m.Panels {
		c.panel(&m.Panels[i], m.Panel(i))
	}
	for i, z := range m.Zones {
		c.line("i", "0 %s %.15g", c.node(m.Zone(i)), z.PowerW)
	}
	for i, b := range m.Bodies {
		c.line("i", "0 %s %.15g", c.node(m.Body(i)), b.PowerW)
	}
	return c.String()
}

func TestFlowAndHeatAgainstCircuitSimulator(t *testing.T) {
	g := generator{rand.New(rand.NewPCG(21, 3))}
	var solvers []*Solver
	var decks []spice.Deck
	for range 60 {
		m := plain(g.model(2 + g.IntN(5)))
		s := NewSolver(Options{ToleranceK: 1e-6})
		if err := s.Load(m); err != nil {
			t.Fatal(err)
		}
		if r, err := s.Solve(); err != nil {
			t.Fatal(err)
		} else if r.Beyond {
			continue // the simulator knows no end of the properties of air
		}
		var print strings.Builder
		for r := range s.size {
			fmt.Fprintf(&print, "print v(t%d)\n", r)
		}
		for i := range m.Air.Branches {
			fmt.Fprintf(&print, "print i(vm%d)\n", i)
		}
		solvers = append(solvers, s)
		decks = append(decks, spice.Deck{Netlist: coupledDeck(s), Commands: "op\n" + print.String()})
	}
	compared := 0
	var others []int // with more than one steady state
	for i, r := range spice.Run(t, decks) {
		if len(r) == 0 {
			continue // the simulator found no operating point
		}
		compared++
		if deviation(solvers[i], r) > 1 {
			others = append(others, i)
		}
	}
	if compared < len(decks)/2 || compared < 20 || len(others) > compared/10 {
		t.Errorf("%d of %d models could be compared and %d of them have another solution", compared, len(decks), len(others))
	}
	// Warmth can drive a draught either way round, and the simulator may have
	// found the other way: started from here, it must stay here.
	var again []spice.Deck
	for _, i := range others {
		d := decks[i]
		for k := range solvers[i].size {
			d.Netlist += fmt.Sprintf(".nodeset v(t%d)=%.10g\n", k, solvers[i].TemperatureC(Ref(k))-solvers[i].model.Air.Room.TemperatureC)
		}
		for k := range solvers[i].zones {
			d.Netlist += fmt.Sprintf(".nodeset v(p%d)=%.10g\n", k, solvers[i].Flows().PressurePa(k))
		}
		again = append(again, d)
	}
	for j, r := range spice.Run(t, again) {
		if d := deviation(solvers[others[j]], r); d > 1 {
			t.Errorf("model %d is %.1f tolerances off the simulator, from either start", others[j], d)
		}
	}
	t.Logf("%d of %d models compared, %d with another solution", compared, len(decks), len(others))
}

// deviation is the greatest difference to the simulator, in tolerances of 0.1
// K, and of half a percent of a flow plus a milligram a second.
func deviation(s *Solver, r spice.Result) float64 {
	worst := 0.0
	for k := range s.size {
		want, ok := r[fmt.Sprintf("v(t%d)", k)]
		if !ok {
			return math.Inf(1)
		}
		worst = max(worst, math.Abs(s.TemperatureC(Ref(k))-s.model.Air.Room.TemperatureC-want)/.1)
	}
	for k := range s.model.Air.Branches {
		want, ok := r[fmt.Sprintf("i(vm%d)", k)]
		if !ok {
			return math.Inf(1)
		}
		worst = max(worst, math.Abs(s.Flows().FlowKgS(k)-want*1e-3)/(.005*math.Abs(want*1e-3)+1e-6))
	}
	return worst
}
