package clearance

import (
	_ "embed"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

// cuttingDesk is the whole build of the invented nature-sound archive's quiet
// cutting desk: three layouts, a card, a tower, a supply, loose fans and drives.
//
//go:embed testdata/cutting-desk.yaml
var cuttingDesk string

func TestCatalogueStands(t *testing.T) {
	if err := Pack().Check(); err != nil {
		t.Fatal(err)
	}
}

// The cutting desk fits in one of its three layouts, and what is tight there is
// the rear fan: 25 mm thick where 25 mm are free.
func TestWholeBuildComesToItsVerdicts(t *testing.T) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range kittest.Evaluate(t, e, kittest.Row{Build: cuttingDesk}).Findings {
		got = append(got, f.GetRule()+" "+kittest.Line(f))
	}
	want := []string{
		"clearance.board-form PASS board,case",
		"clearance.card-length PASS card,case margin 21 mm",
		"clearance.card-height PASS card,case margin 8 mm",
		"clearance.card-thickness PASS card,case margin 1 mm",
		"clearance.card-slots PASS card,case margin 0",
		"clearance.cooler-height PASS cooler,case margin 10 mm",
		"clearance.memory-under-cooler PASS memory,cooler margin 6 mm",
		"clearance.supply-form PASS supply,case",
		"clearance.supply-length PASS supply,case margin 30 mm",
		"clearance.fan-place PASS side-fans,case margin 0",
		"clearance.fan-place PASS rear-fan,case margin 0",
		"clearance.fan-thickness PASS side-fans,case margin 5 mm",
		"clearance.fan-thickness MARGINAL rear-fan,case margin 0 mm",
		"clearance.drive-bays PASS archive,case margin 0",
		"clearance.arrangement PASS case",
	}
	if !slices.Equal(got, want) {
		t.Errorf("findings\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Reading the document is the floor under every evaluation; the pack's own work
// is the difference between the two.
func BenchmarkReadingAlone(b *testing.B) {
	check, err := proto.Marshal(&v1.CheckRequest{Build: kittest.Build(b, cuttingDesk)})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		request := v1.CheckRequestFromVTPool()
		if err := request.UnmarshalVTUnsafe(check); err != nil {
			b.Fatal(err)
		}
		request.ReturnToVTPool()
	}
}

func BenchmarkEvaluate(b *testing.B) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		b.Fatal(err)
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: kittest.Build(b, cuttingDesk)})
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
