package power

import (
	"math"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/electric"
	"slipfit.example/rules/kit"
)

// The table of wire temperatures reads within a kelvin of the laws that it was
// worked out by, wherever insulation survives.
func TestTableOfWireTemperatures(t *testing.T) {
	worst := 0.0
	for _, gauge := range []int{16, 18, 24} {
		for _, air := range []float64{0, 21.5, 47, 60} {
			for amps := 0.3; amps < 40; amps *= 1.37 {
				around := stillAir
				around.AirC = electric.Exactly(air)
				exact, err := around.WireTemperature(copper, electric.Wire{Gauge: electric.Gauge(gauge)}, electric.Exactly(amps))
				if err != nil || exact.Nominal > 120 {
					continue
				}
				got := wireC(gauge, air, amps)
				worst = max(worst, math.Abs(got-exact.Nominal))
				if math.Abs(got-exact.Nominal) > 1 {
					t.Errorf("%d AWG with %.3g A in air of %g °C: %.2f °C, by the laws %.2f °C", gauge, amps, air, got, exact.Nominal)
				}
			}
		}
	}
	t.Logf("largest difference %.2f K", worst)
}

// Beyond the table a wire still gets warmer with its current, up to copper's
// melting point.
func TestWireTemperatureRises(t *testing.T) {
	last := 0.0
	for amps := 0.0; amps < 1000; amps += 0.5 {
		c := wireC(18, 30, amps)
		if c < last || math.IsNaN(c) || c > hottestNamedC {
			t.Fatalf("%g A give %g °C after %g °C", amps, c, last)
		}
		last = c
	}
}

// A build that came before answers from memory, with the same answer, also when
// its items bear other names or its loads have changed in between.
func TestCircuitsAreKept(t *testing.T) {
	e := newEvaluator(t)
	first := demoBuild(t, "archive-editor")
	other := proto.CloneOf(first)
	name, watts := "gischt", 200.0
	for _, it := range other.Items {
		if it.GetId() == "card" {
			it.Id = &name
		}
	}
	for _, l := range other.Use.Loads {
		if l.GetItem() == "card" {
			l.Item, l.PowerW = &name, &watts
		}
	}
	fact := func(e *kit.Evaluator, b *v1.Build) *v1.Circuit {
		_, facts := judged(t, e, b, CircuitFact)
		return facts[CircuitFact].GetCircuit()
	}
	for _, b := range []*v1.Build{first, other, first, other} {
		if got, want := fact(e, b), fact(newEvaluator(t), b); !proto.Equal(got, want) {
			t.Errorf("from memory %v, anew %v", got, want)
		}
	}
}

// The memory of circuits never holds more than two generations.
func TestCircuitsAreBounded(t *testing.T) {
	s := newCircuits(4)
	for i := range 100 {
		s.put([]byte{byte(i)}, &wired{})
		if s.get([]byte{byte(i)}) == nil {
			t.Fatal("what was just put is gone")
		}
		if n := len(s.young) + len(s.old); n > 8 {
			t.Fatalf("%d circuits are kept", n)
		}
	}
	if s.get([]byte{0}) != nil {
		t.Error("what nobody asked for any more is still there")
	}
}

// The demo's builds come out as their comments say: the editor and the front desk
// pass whole, the overreach fails, and the draft is not known.
func TestDemoBuilds(t *testing.T) {
	e := newEvaluator(t)
	for id, want := range map[string]kit.Verdict{
		"archive-editor": kit.Pass, "front-desk": kit.Pass, "listening-room": kit.Pass, "upright-card": kit.Pass, "fans-under-card": kit.Pass,
		"long-supply": kit.Pass, "archive-overreach": kit.Fail, "archive-draft": kit.Unknown,
	} {
		worst := kit.Pass
		findings, _ := judged(t, e, demoBuild(t, id))
		for _, f := range findings {
			worst = max(worst, f.GetVerdict())
			if f.GetVerdict() > want {
				t.Errorf("build %s: %s %s: %s", id, f.GetVerdict(), f.GetRule(), f.GetSummary().GetText())
			}
		}
		if worst != want {
			t.Errorf("build %s comes to %v, want %v", id, worst, want)
		}
	}
}

// BenchmarkCircuit is what the network of a demo build costs: set up from its
// parts, solved for loads that changed at all four operations, and answered from
// memory.
func BenchmarkCircuit(b *testing.B) {
	build := demoBuild(b, "archive-editor")
	c := circuitOf(b, build)
	v := c.newSolver()
	draws := make([]itemDraw, 32)
	set := func(watts float64) {
		for i := range draws {
			draws[i].known = true
			draws[i].sustained.Nominal, draws[i].sustained.Low, draws[i].sustained.High = watts, watts, 1.05*watts
			draws[i].peak = draws[i].sustained.Scale(1.5)
		}
	}
	b.Run("set up", func(b *testing.B) {
		pack := Pack()
		pack.Conclude = func(c *kit.Case) {
			s := surveyOf(c)
			s.wire(c)
			for b.Loop() {
				if buildCircuit(&s.wiring, s.items, s.supply) == nil {
					b.Fatal("no circuit")
				}
			}
		}
		e, err := kit.NewEvaluator(pack)
		if err != nil {
			b.Fatal(err)
		}
		judged(b, e, build)
	})
	b.Run("one operation", func(b *testing.B) {
		set(20)
		v.asked = append(v.asked[:0], draws...)
		b.ReportAllocs()
		for b.Loop() {
			if at := -1; !v.run(c, electric.Nominal, sustainedOf, &at) {
				b.Fatal("no solution")
			}
		}
	})
	b.Run("other loads", func(b *testing.B) {
		b.ReportAllocs()
		v.asked = nil
		for i := 0; b.Loop(); i++ {
			set(20 + float64(i%7))
			if v.solve(c, draws, false); !v.solved {
				b.Fatal("no solution")
			}
		}
	})
	b.Run("same loads", func(b *testing.B) {
		set(20)
		b.ReportAllocs()
		for b.Loop() {
			v.solve(c, draws, false)
		}
	})
}
