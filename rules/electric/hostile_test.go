package electric

import (
	"math"
	"slices"
	"sync"
	"testing"

	"pgregory.net/rapid"
)

// poison is a figure that documents should not hold and do.
func poison(c chance) float64 {
	wild := []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, 1e-300, 1e-9, 1e6, 1e300, math.MaxFloat64}
	return wild[c.below(len(wild))]
}

// Whatever stands in one field of one element: either an error says so, or
// every reading is a finite number.
func TestNothingInfiniteLeavesANetwork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawn{t}
		n := newScatter(c)
		e := &n.elements[c.below(len(n.elements))]
		fields := []*float64{
			&e.ohms.Low, &e.ohms.Nominal, &e.ohms.High, &e.emf.Low, &e.emf.Nominal, &e.emf.High,
			&e.fig[Sustained].Low, &e.fig[Sustained].Nominal, &e.fig[Sustained].High, &e.lim,
			&e.wire.AreaMM2, &e.wire.LengthMM.Low, &e.wire.LengthMM.High, &e.wire.TempC.High,
		}
		x := poison(c)
		if c.below(3) == 0 { // all three values of a range alike
			for _, f := range [][]*float64{fields[0:3], fields[3:6], fields[6:9]} {
				for _, p := range f {
					*p = x
				}
			}
		} else {
			*fields[c.below(len(fields))] = x
		}
		circuit, err := n.Compile()
		if err != nil {
			return
		}
		w := circuit.NewWorkspace()
		for _, solve := range []func() error{w.Solve, func() error { return w.SolveWarm(stillAir) }} {
			if solve() != nil {
				continue
			}
			for i := range n.elements {
				k := Element(i)
				if err := finite("reading", w.Amps(k), w.Across(k), w.Watts(k), w.WireAmps(k), w.CopperC(k)); err != nil {
					t.Fatalf("%q: %v", circuit.Name(k), err)
				}
			}
		}
		if r, err := w.BoundAmps(Sustained, Element(c.below(len(n.elements)))); err == nil && r.Check("bound") != nil {
			t.Fatalf("bound %+v", r)
		}
	})
}

// The same for the supply as a box.
func TestNothingInfiniteLeavesASupply(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawn{t}
		s, p := gold(1000), Peak{Exactly(1200), 1e-3, 0.05}
		d := Demand{Exactly(200), Exactly(400), []Peak{p}}
		load := Range{100, 200, 300}
		u := UPS{"closet", 600, 0.6, Exactly(90), Exactly(0.9)}
		b := BranchCircuit{"office", 15, 0.8, Exactly(1), Exactly(1)}
		set, wire := Contacts{"plug", 6, 0, Exactly(0.003), Exactly(0.01)}, stillAir
		s.Efficiency, s.Derating, s.Excursions = slices.Clone(s.Efficiency), slices.Clone(s.Derating), slices.Clone(s.Excursions)
		fields := []*float64{
			&s.RatedW, &s.QuietShare, &s.PowerFactor.Low, &s.PowerFactor.High, &s.Efficiency[1].X, &s.Efficiency[1].Y.Low,
			&s.Derating[1].X, &s.Derating[1].Y.Nominal, &s.Excursions[2].Seconds, &s.Excursions[2].Share, &s.Excursions[2].Duty,
			&p.Watts.High, &p.Seconds, &p.Duty, &d.TypicalW.Low, &d.SustainedW.High, &d.Peaks[0].Watts.High, &d.Peaks[0].Duty,
			&load.Low, &load.High, &u.VA, &u.OutputFactor, &u.BatteryWh.Low, &u.Efficiency.Low, &b.BreakerA, &b.ContinuousShare,
			&b.OtherA.High, &set.Ohms.Low, &set.WireOhms.High, &wire.AirC.Low, &wire.WallMM, &wire.Emissivity, &wire.BundleShare,
		}
		*fields[c.below(len(fields))] = poison(c)
		var out []Range
		keep := func(r Range, err error) {
			if err == nil {
				out = append(out, r)
			}
		}
		keep(s.CapacityW(load))
		if draw, err := s.Draw(load); err == nil {
			out = append(out, draw.Share, draw.Efficiency, draw.HeatW, draw.MainsW, draw.MainsVA)
			keep(draw.Amps(Exactly(230)))
		}
		if e, err := s.Excursion(load, p); err == nil {
			out = append(out, Exactly(e.LimitW), e.MarginW, e.RMSW, e.RMSMargin, Exactly(e.BaseW))
		}
		if rest, err := p.RestSeconds(); err == nil {
			out = append(out, Exactly(rest))
		}
		if z, err := s.Size(d, archivePolicy); err == nil {
			out = append(out, Exactly(z.LeastW), Exactly(z.SizeW), z.PlateauW, Exactly(z.QuietFromW), z.SustainedShare, z.TypicalShare)
		}
		keep(s.CostPerYear(Profile{Uses: []Use{{"editing", Exactly(40), load}}}, Exactly(0.3)))
		if z, err := u.Check(load, s.PowerFactor); err == nil {
			out = append(out, Exactly(z.WattsLimit), z.MarginW, z.MarginVA, z.Minutes)
		}
		keep(SizeUPS(load, s.PowerFactor, u.OutputFactor, 0.2))
		if z, err := b.Check(load, true); err == nil {
			out = append(out, z.LimitA, z.MarginA, z.Share)
		}
		if z, err := set.Share(load); err == nil {
			out = append(out, z.Amps, Exactly(z.Factor))
		}
		keep(wire.WireTemperature(copper, metre(18), Range{1, 2, 3}))
		for i, r := range out {
			if err := r.Check("result"); err != nil {
				t.Fatalf("result %d of %d: %v (%+v)", i, len(out), err, r)
			}
		}
	})
}

// A circuit can be shared, and what a workspace did before does not show in
// what it does next.
func TestSameStateSameBits(t *testing.T) {
	c := mustCompile(t, newDesktop(smallPlan()).net)
	first := c.NewWorkspace()
	mustSolve(t, first)
	var all sync.WaitGroup
	for k := range 4 {
		all.Go(func() {
			w := c.NewWorkspace()
			for round := range 20 {
				w.Assume(Operation((k+round)%3), Corner(round%3))
				if err := w.Solve(); err != nil {
					t.Error(err)
				}
				w.Assume(Sustained, Nominal)
				if err := w.Solve(); err != nil {
					t.Error(err)
				}
				if !slices.Equal(w.volts, first.volts) || !slices.Equal(w.amps, first.amps) {
					t.Errorf("round %d differs from a fresh workspace", round)
				}
			}
		})
	}
	all.Wait()
}
