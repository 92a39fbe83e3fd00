package electric

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// input is one value of a network that has a range.
type input struct {
	value *float64
	r     Range
}

// inputs lists every value of the sustained operation whose range has width.
func inputs(w *Workspace) []input {
	var all []input
	put := func(value *float64, r Range) {
		if r.Low < r.High {
			all = append(all, input{value, r})
		}
	}
	for i := range w.c.net.elements {
		switch e := &w.c.net.elements[i]; {
		case e.kind == loadElement:
			put(&w.ohms[i], e.figure(Sustained))
		case w.c.rigidOf[i] < 0:
			put(&w.ohms[i], w.c.ohms[i])
			put(&w.emf[i], e.emf)
		default:
			put(&w.emf[i], e.emf)
		}
	}
	return all
}

// parallelPaths is a rail that feeds a load through uneven paths side by side
// and back through two more.
func parallelPaths(c chance) *scatter {
	s := &scatter{chance: c, net: NewNetwork(copper)}
	rail := s.net.Node("rail")
	s.net.AddRail(Rail{Name: "12 V", Plus: rail, Minus: Return, Volts: Range{11.4, 12, 12.6}, Ohms: Range{0.001, 0.002, 0.004}})
	plus, minus := s.net.Node("plus"), s.net.Node("minus")
	for range 2 + s.below(2) {
		middle := s.net.Node("plug")
		s.net.AddConductor(Conductor{"wire", rail, middle, Wire{Gauge: 18, LengthMM: Exactly(s.between(100, 600)), Count: 1, TempC: Exactly(20)}})
		s.net.AddContact(Contact{"contact", middle, plus, s.contactOhms()})
	}
	for range 2 {
		s.net.AddContact(Contact{"return contact", minus, Return, s.contactOhms()})
	}
	s.net.AddLoad(Load{Name: "card", Plus: plus, Minus: minus, Kind: ConstantPower, Sustained: Range{100, 120, 140}})
	s.net.AddLoad(Load{Name: "fan", Plus: plus, Minus: Return, Kind: Resistance, Sustained: Range{50, 60, 80}})
	return s
}

// The bounds of every element's current are what trying all corners gives.
func TestBoundsAreTheExtremeCorners(t *testing.T) {
	for seed := range uint64(12) {
		w := mustCompile(t, parallelPaths(newSeeded(seed)).net).NewWorkspace()
		all, elements := inputs(w), len(w.c.net.elements)
		low, high := make([]float64, elements), make([]float64, elements)
		for i := range low {
			low[i], high[i] = math.Inf(1), math.Inf(-1)
		}
		for corner := range 1 << len(all) {
			w.Assume(Sustained, Nominal)
			for k, in := range all {
				if *in.value = in.r.Low; corner>>k&1 == 1 {
					*in.value = in.r.High
				}
			}
			mustSolve(t, w)
			for i := range low {
				amps := w.Amps(Element(i))
				low[i], high[i] = min(low[i], amps), max(high[i], amps)
			}
		}
		for i := range low {
			got, err := w.BoundAmps(Sustained, Element(i))
			if err != nil {
				t.Fatal(err)
			}
			if !within(got.Low, low[i], 1e-9, 1e-9) || !within(got.High, high[i], 1e-9, 1e-9) {
				t.Errorf("seed %d, %q: bounds %g to %g A, all %d corners give %g to %g A",
					seed, w.c.Name(Element(i)), got.Low, got.High, 1<<len(all), low[i], high[i])
			}
		}
	}
}

// The sensitivities of any voltage and any current, in any network, are the
// slopes that small changes of the inputs show.
func TestSlopesAreDifferences(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := solved(t)
		q := quantity{elem: int32(drawn{t}.below(len(w.c.net.elements))), sign: 1}
		if (drawn{t}).below(2) == 0 {
			q = quantity{elem: -1, a: Node(drawn{t}.below(w.c.Nodes())), b: Node(drawn{t}.below(w.c.Nodes())), sign: 1}
		}
		s := w.newSlope()
		w.slopes(q, s)
		at := drawn{t}.below(len(w.c.net.elements))
		value, slope := &w.ohms[at], s.ohms[at]
		if w.c.net.elements[at].kind == railElement {
			value, slope = &w.emf[at], s.emf[at]
		} else if w.c.rigidOf[at] >= 0 {
			t.Skip("a joint without resistance has no input")
		}
		centre := *value
		var reading [2]float64
		for k, shift := range [2]float64{-1e-4, 1e-4} {
			*value = centre * (1 + shift)
			if err := w.Solve(); err != nil {
				t.Skip(err)
			}
			reading[k] = w.read(q)
		}
		got, want := slope*centre, (reading[1]-reading[0])/2e-4
		if !within(got, want, 1e-4, 2e-5) {
			t.Fatalf("%q: slope %g here, %g by difference", w.c.Name(Element(at)), got, want)
		}
	})
}

// A desktop's worst contact carries more than its even share and the bounds
// hold the three corners.
func TestBoundsHoldTheCorners(t *testing.T) {
	d := newDesktop(smallPlan())
	w := mustCompile(t, d.net).NewWorkspace()
	amps, err := w.BoundAmps(Sustained, d.cardPlus.Plugs[2])
	if err != nil {
		t.Fatal(err)
	}
	volts, err := w.BoundAcross(Sustained, d.net.elements[d.card].a, d.net.elements[d.card].b)
	if err != nil {
		t.Fatal(err)
	}
	for _, corner := range []Corner{Nominal, Weak, Strong} {
		w.Assume(Sustained, corner)
		mustSolve(t, w)
		if x := w.Amps(d.cardPlus.Plugs[2]); x < amps.Low || x > amps.High {
			t.Errorf("corner %d: %g A outside %g to %g A", corner, x, amps.Low, amps.High)
		}
		if x := w.Across(d.card); x < volts.Low-1e-12 || x > volts.High+1e-12 {
			t.Errorf("corner %d: %g V outside %g to %g V", corner, x, volts.Low, volts.High)
		}
	}
	w.Assume(Sustained, Weak)
	mustSolve(t, w)
	if even := w.Amps(d.card) / 6; amps.High < 1.1*even {
		t.Errorf("worst contact carries %g A, hardly more than the even %g A, though resistances differ threefold", amps.High, even)
	}
}
