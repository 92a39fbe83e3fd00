package audit

import (
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

func TestCatalogueStands(t *testing.T) {
	if err := Pack().Check(); err != nil {
		t.Fatal(err)
	}
	if !Pack().OnRequest {
		t.Error("the pack must take part only where it is named: it judges entries, not builds")
	}
}

// entry is a build of one part.
func entry(part string) string { return "items: [{id: entry, part: {" + part + "}}]" }

type row struct {
	name, part string
	want       []string
}

func table(t *testing.T, rule string, rows []row) {
	t.Helper()
	full := make([]kittest.Row, len(rows))
	for i, r := range rows {
		full[i] = kittest.Row{Name: r.name, Build: entry(r.part), Want: r.want}
	}
	kittest.Table(t, Pack(), rule, full)
}

// suggestions are the values that a rule suggests for one part, with their unit.
func suggestions(t *testing.T, rule, part string) (out []string) {
	t.Helper()
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range kittest.Evaluate(t, e, kittest.Row{Build: entry(part)}).Findings {
		for _, r := range f.Remedies {
			if f.GetRule() == rule && r.Change != nil {
				out = append(out, kit.FormatNumber(r.Change.GetNominal(), r.Change.GetUnit()))
			}
		}
	}
	return out
}

const wholeCard = `name: Kauz 200, mass_g: 1020, card: {length_mm: 267, height_mm: 120, thickness_mm: 40, slots: 2, limit_c: 88,
  demand: {idle_w: 9, sustained_w: 220, excursions: [{power_w: 400, duration_ms: 0.1}]}, power_sockets: [{connector: pcie-8}], asked_supply_w: 600,
  fans: [{count: 2, fan: {size_mm: 92, thickness_mm: 15, max_speed_rpm: 2200, min_speed_rpm: 600, max_flow_m3h: 45, max_pressure_pa: 14.5}}]}`

func TestNothingIsWrongWithAWholeEntry(t *testing.T) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	answer := kittest.Evaluate(t, e, kittest.Row{Build: entry(wholeCard)})
	if len(answer.Findings) < 7 {
		t.Errorf("only %d rules had something to say", len(answer.Findings))
	}
	for _, f := range answer.Findings {
		if f.GetVerdict() != v1.Verdict_VERDICT_PASS {
			t.Errorf("%s: %s", kittest.Line(f), f.GetSummary().GetText())
		}
	}
}

func BenchmarkEvaluate(b *testing.B) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		b.Fatal(err)
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: kittest.Build(b, entry(wholeCard))})
	if err != nil {
		b.Fatal(err)
	}
	var out kit.Outcome
	b.ReportAllocs()
	for b.Loop() {
		if err := e.Evaluate(check, nil, &out); err != nil {
			b.Fatal(err)
		}
	}
}
