package thermal_test

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/thermal"
)

// workstation is the cutting desk of a nature-sound archive.
const workstation = `
id: cutting-desk
items:
- id: cpu
  part: {name: Wren 16, processor: {limit_c: 95, lid_resistance_k_per_w: 0.1, demand: {sustained_w: 230}}}
- id: loop
  part:
    name: Brook 240
    liquid_loop:
      radiator: {nominal_mm: 240}
      rated_heat_w: 300
      rated_rise_k: 40
      fans: [{count: 2, fan: {max_speed_rpm: 2000, max_flow_m3h: 110}}]
- id: fans
  count: 2
  part: {name: Moth 120, fan: {max_speed_rpm: 1500, max_flow_m3h: 100}}
- id: card
  part: {name: Heron 360, card: {demand: {sustained_w: 360}}}
room: {temperature_c: 22, altitude_m: 100}
arrangement: {placements: [{item: loop, flow: FLOW_INTAKE}, {item: fans, flow: FLOW_EXHAUST}]}
use: {case_flow_m3h: 200}
`

// edited is a text with pieces replaced. A piece that it does not have is a
// mistake in the test.
func edited(t testing.TB, text string, pairs ...string) string {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("the build has no %q", pairs[i])
		}
		text = strings.ReplaceAll(text, pairs[i], pairs[i+1])
	}
	return text
}

// draws is the fact of a build that draws so many W, without or with something
// missing from the sum.
func draws(watts float64, missing ...string) []*v1.Fact {
	return drawsBetween(watts, watts, watts, missing...)
}

func drawsBetween(nominal, low, high float64, missing ...string) []*v1.Fact {
	name := thermal.DemandFact
	return []*v1.Fact{{Name: &name, Content: &v1.Fact_Demand{Demand: &v1.BuildDemand{
		SustainedW: &nominal, SustainedLowW: &low, SustainedHighW: &high, Missing: missing,
	}}}}
}

func evaluator(t testing.TB) *kit.Evaluator {
	t.Helper()
	e, err := kit.NewEvaluator(thermal.Pack())
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// findingOf is the only finding of a rule.
func findingOf(t *testing.T, rule string, row kittest.Row) *v1.Finding {
	t.Helper()
	var found []*v1.Finding
	for _, f := range kittest.Evaluate(t, evaluator(t), row).Findings {
		if f.GetRule() == rule {
			found = append(found, f)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d findings of %s, want one", len(found), rule)
	}
	return found[0]
}

func TestWorkstationStaysCool(t *testing.T) {
	row := kittest.Row{Build: workstation, Facts: drawsBetween(660, 627, 693)}
	for _, f := range kittest.Evaluate(t, evaluator(t), row).Findings {
		if f.GetVerdict() != kit.Pass {
			t.Errorf("%s: %s: %s", f.GetRule(), kittest.Line(f), f.GetSummary().GetText())
		}
	}
}

// At the ends of what the contract lets a document say, every number that leaves
// the pack is finite and no rule breaks.
func TestEndsOfTheContract(t *testing.T) {
	e := evaluator(t)
	for _, pairs := range [][]string{
		{"case_flow_m3h: 200", "case_flow_m3h: 1e-300"},
		{"use: {case_flow_m3h: 200}", "use: {fans: [{item: fans, speed_rpm: 1e-300}, {item: loop, speed_rpm: 1e-300}]}"},
		{"altitude_m: 100", "altitude_m: 8000", "temperature_c: 22", "temperature_c: -40"},
		{"altitude_m: 100", "altitude_m: -500", "temperature_c: 22", "temperature_c: 60"},
		{"rated_heat_w: 300", "rated_heat_w: 1e-300"},
		{"rated_rise_k: 40", "resistances: [{speed_rpm: 1000, resistance_k_per_w: 1e-300}, {speed_rpm: 1000, resistance_k_per_w: 10}]"},
		{"lid_resistance_k_per_w: 0.1", "lid_resistance_k_per_w: 0", "sustained_w: 230", "sustained_w: 0"},
	} {
		for _, f := range kittest.Evaluate(t, e, kittest.Row{Build: edited(t, workstation, pairs...), Facts: drawsBetween(5000, 0, 64*5000)}).Findings {
			if err := kittest.Sound(f); err != nil {
				t.Errorf("with %v: %v", pairs, err)
			}
		}
	}
}

// BenchmarkEvaluate shows the whole judgement beside a yardstick: the reading of
// the same document, and nothing else, by the generated code.
func BenchmarkEvaluate(b *testing.B) {
	check, err := proto.Marshal(&v1.CheckRequest{Build: kittest.Build(b, edited(b, workstation, "use: {case_flow_m3h: 200}", "use: {fans: [{item: fans, speed_rpm: 1200}]}"))})
	if err != nil {
		b.Fatal(err)
	}
	fact, err := proto.Marshal(draws(660)[0])
	if err != nil {
		b.Fatal(err)
	}
	facts := []kit.Fact{{Name: thermal.DemandFact, Value: fact}}
	b.Run("whole", func(b *testing.B) {
		e := evaluator(b)
		var out kit.Outcome
		b.ReportAllocs()
		for b.Loop() {
			if err := e.Evaluate(check, facts, &out); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("reading", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			request := v1.CheckRequestFromVTPool()
			if err := request.UnmarshalVTUnsafe(check); err != nil {
				b.Fatal(err)
			}
			request.ReturnToVTPool()
		}
	})
}
