package power

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/standards"
)

// drawBuild is any build with power in it: figures missing, at the ends of what
// the contract lets a document say, and in between.
func drawBuild(t *rapid.T) *v1.Build {
	kinds := []string{"owl-9", "cpu-4+4", "pcie-6+2"}
	for _, c := range standards.Connectors() {
		kinds = append(kinds, c.Token)
	}
	number := func(label string, values ...float64) *float64 {
		switch rapid.IntRange(0, 3).Draw(t, label+" kind") {
		case 0:
			return nil
		case 1:
			v := rapid.SampledFrom(values).Draw(t, label)
			return &v
		default:
			v := rapid.Float64Range(values[0], values[len(values)-1]).Draw(t, label)
			return &v
		}
	}
	count := func(label string, values ...uint32) *uint32 {
		if rapid.Bool().Draw(t, label+" absent") {
			return nil
		}
		v := rapid.SampledFrom(values).Draw(t, label)
		return &v
	}
	kind := func() *string { k := rapid.SampledFrom(kinds).Draw(t, "connector"); return &k }
	demand := func() *v1.Demand {
		d := &v1.Demand{IdleW: number("idle", 0, 5, 5000), SustainedW: number("sustained", 0, 1e-300, 65, 360, 5000)}
		if w, ms := number("peak", 0, 700, 20000), 1.0; w != nil {
			d.Excursions = append(d.Excursions, &v1.Excursion{PowerW: w, DurationMs: &ms})
		}
		for range rapid.IntRange(0, 3).Draw(t, "rails") {
			rail, share := rapid.SampledFrom([]string{"12v", "5v", "3v3", "5vsb", "12v2", "-12v"}).Draw(t, "rail"), rapid.Float64Range(0, 1).Draw(t, "share")
			d.Rails = append(d.Rails, &v1.RailShare{Rail: &rail, Share: &share})
		}
		return d
	}
	sockets := func() (out []*v1.PowerSocket) {
		for range rapid.IntRange(0, 3).Draw(t, "sockets") {
			dispensable := rapid.Bool().Draw(t, "dispensable")
			out = append(out, &v1.PowerSocket{Connector: kind(), Count: count("socket count", 1, 2, 16), Dispensable: &dispensable})
		}
		return out
	}
	cable := func() *v1.Cable {
		captive := rapid.Bool().Draw(t, "captive")
		out := &v1.Cable{
			Captive: &captive, Count: count("cables", 1, 2, 32), GaugeAwg: count("gauge", 4, 16, 18, 40), PowerWires: count("wires", 1, 2, 6, 64),
		}
		if rapid.Bool().Draw(t, "adapter") {
			out.From = kind()
		}
		for range rapid.IntRange(1, 4).Draw(t, "ends") {
			out.Ends = append(out.Ends, &v1.CableEnd{Connector: kind(), LengthMm: number("length", 1e-300, 300, 5000), SenseW: number("sense", 150, 600)})
		}
		return out
	}
	var items []*v1.Item
	add := func(id string, part *v1.Part) {
		items = append(items, &v1.Item{Id: &id, Count: count("pieces", 1, 2, 64), Part: part})
	}
	add("board", &v1.Part{Kind: &v1.Part_Board{Board: &v1.Board{Demand: demand(), PowerSockets: sockets()}}})
	add("cpu", &v1.Part{Kind: &v1.Part_Processor{Processor: &v1.Processor{Demand: demand()}}})
	add("card", &v1.Part{Kind: &v1.Part_Card{Card: &v1.Card{Demand: demand(), PowerSockets: sockets()}}})
	add("drive", &v1.Part{Kind: &v1.Part_Drive{Drive: &v1.Drive{Demand: demand(), PowerSockets: sockets()}}})
	add("fan", &v1.Part{Kind: &v1.Part_Fan{Fan: &v1.Fan{CurrentA: number("fan", 0, 0.2, 50)}}})
	for i := range rapid.IntRange(0, 2).Draw(t, "bought") {
		add("bought"+string(rune('a'+i)), &v1.Part{Kind: &v1.Part_Cable{Cable: cable()}})
	}
	supply := &v1.Supply{
		RatedW: number("rated", 1e-300, 450, 1000, 10000), PowerFactor: number("factor", 1e-300, 0.9, 1), QuietShare: number("quiet", 0, 0.4, 1),
	}
	for range rapid.IntRange(0, 3).Draw(t, "own cables") {
		supply.Cables = append(supply.Cables, cable())
	}
	for range rapid.IntRange(0, 3).Draw(t, "ratings") {
		rail, amps := rapid.SampledFrom([]string{"12v", "12v1", "12v2", "5v", "3v3", "5vsb"}).Draw(t, "rating"), rapid.Float64Range(1e-300, 1000).Draw(t, "amps")
		supply.Rails = append(supply.Rails, &v1.RailRating{Rail: &rail, CurrentA: &amps})
	}
	if rapid.Bool().Draw(t, "guided") {
		guide, outlet := rapid.SampledFrom([]string{"atx-3.1", "atx-2.52"}).Draw(t, "guide"), "owl"
		supply.Guide = &guide
		supply.Outlets = []*v1.SupplyOutlet{{Socket: &outlet, Count: count("outlets", 1, 3)}}
		for _, c := range supply.Cables {
			c.From = &outlet
		}
	}
	if rapid.Bool().Draw(t, "marked") {
		mark := "80plus-gold"
		supply.EfficiencyMark = &mark
	}
	one := uint32(1)
	id := "supply"
	items = append(items, &v1.Item{Id: &id, Count: &one, Part: &v1.Part{Kind: &v1.Part_Supply{Supply: supply}}})
	return &v1.Build{
		Items: items,
		Room:  &v1.Room{TemperatureC: number("room", -40, 22, 60), MainsV: number("mains", 90, 150, 264), BranchA: number("branch", 1e-300, 16, 125)},
		Use:   &v1.Use{HoursPerDay: number("hours", 0, 8, 24), PricePerKwh: number("price", 0, 0.3, 100), BridgeMinutes: number("bridge", 1e-300, 10, 1440)},
	}
}

// Whatever a build says or leaves out, no rule breaks, every number is finite, and
// every range is in order.
func TestNoNumberIsEverBroken(t *testing.T) {
	e := newEvaluator(t)
	rapid.Check(t, func(r *rapid.T) {
		build := drawBuild(r)
		findings, facts := judged(t, e, build, CircuitFact)
		for _, f := range findings {
			if text := f.GetSummary().GetText(); strings.HasPrefix(text, "This rule broke") || strings.Contains(text, "{") {
				r.Fatalf("%s: %s", f.GetRule(), text)
			}
			numbers := []*v1.Quantity{f.Measured, f.Required, f.Margin}
			for _, a := range f.Summary.Arguments {
				numbers = append(numbers, a.Value)
			}
			for _, remedy := range f.Remedies {
				numbers = append(numbers, remedy.Change)
			}
			for _, q := range numbers {
				low, nominal, high := q.GetLow(), q.GetNominal(), q.GetHigh()
				if math.IsNaN(low+nominal+high) || math.IsInf(low, 0) || math.IsInf(nominal, 0) || math.IsInf(high, 0) || low > nominal || nominal > high {
					r.Fatalf("%s: %v", f.GetRule(), q)
				}
			}
		}
		c := facts[CircuitFact].GetCircuit()
		for _, load := range c.GetConnectors() {
			for _, v := range []float64{load.GetCurrentA(), load.GetContactA(), load.GetWireA(), load.GetWireC(), load.GetCableHeatW(), load.GetVoltageV(), load.GetVoltageLowV()} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					r.Fatalf("connector %v", load)
				}
			}
		}
	})
}
