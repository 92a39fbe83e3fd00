package mounting

import (
	_ "embed"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
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

// arrangementOf asks the clearance pack, as the host does.
func arrangementOf(t testing.TB, build string) kit.Fact {
	t.Helper()
	e, err := kit.NewEvaluator(clearance.Pack())
	if err != nil {
		t.Fatal(err)
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: kittest.Build(t, build)})
	if err != nil {
		t.Fatal(err)
	}
	var out kit.Outcome
	if err := e.Evaluate(check, nil, &out); err != nil {
		t.Fatal(err)
	}
	if len(out.Facts) != 1 || out.Facts[0].Name != factArrangement {
		t.Fatalf("clearance provides %v", out.Facts)
	}
	return out.Facts[0]
}

// The cutting desk in the arrangement that the clearance pack hands on.
func TestWholeBuildComesToItsVerdicts(t *testing.T) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	fact := new(v1.Fact)
	if err := proto.Unmarshal(arrangementOf(t, cuttingDesk).Value, fact); err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range kittest.Evaluate(t, e, kittest.Row{Build: cuttingDesk, Facts: []*v1.Fact{fact}}).Findings {
		got = append(got, f.GetRule()+" "+kittest.Line(f))
	}
	want := []string{
		"mounting.cooler-bracket PASS cooler,board",
		"mounting.board-standoffs PASS board,case margin 0",
		"mounting.board-screws PASS board,case margin 0",
		"mounting.supply-screws PASS supply,case margin 0",
		"mounting.fan-screws PASS side-fans,case margin 0",
		"mounting.fan-screws PASS rear-fan,case margin 0",
		"mounting.fan-hold MARGINAL rear-fan,case",
		"mounting.drive-screws PASS archive,case margin 0",
		"mounting.m2-screw PASS drive,case margin 0",
		"mounting.accessories PASS case margin 0",
		"mounting.mixed-threads PASS case",
		"mounting.card-moment MARGINAL card,case margin -0.16 N.m",
		"mounting.cooler-moment PASS cooler,board margin 0.67 N.m",
		"mounting.tipping PASS case margin 20.96 deg",
		"mounting.lifting PASS case margin 15.9 kg",
	}
	if !slices.Equal(got, want) {
		t.Errorf("findings\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
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
	facts := []kit.Fact{arrangementOf(b, cuttingDesk)}
	var out kit.Outcome
	b.ReportAllocs()
	for b.Loop() {
		if err := e.Evaluate(check, facts, &out); err != nil {
			b.Fatal(err)
		}
	}
}
