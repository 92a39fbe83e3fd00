package mating

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

// mixingDesk is a whole build in which each rule has something to judge.
//
//go:embed testdata/mixing-desk.yaml
var mixingDesk string

func TestCatalogueStands(t *testing.T) {
	if err := Pack().Check(); err != nil {
		t.Fatal(err)
	}
}

func evaluator(t testing.TB) *kit.Evaluator {
	t.Helper()
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestWholeBuildComesToItsVerdicts(t *testing.T) {
	var got []string
	row := kittest.Row{Build: mixingDesk, Facts: []*v1.Fact{arrangement("upright", "card upright")}}
	for _, f := range kittest.Evaluate(t, evaluator(t), row).Findings {
		got = append(got, f.GetRule()+" "+kittest.Line(f))
	}
	want := []string{
		"interface.socket PASS cpu,board",
		"interface.firmware PASS board,cpu",
		"interface.memory-kind PASS memory,board",
		"interface.memory-count PASS memory,board margin 0",
		"interface.memory-module PASS memory,board margin 16 GB",
		"interface.memory-total PASS memory,board,cpu margin 32 GB",
		"interface.memory-rate PASS memory,board,cpu margin 0 MT/s",
		"interface.m2-socket PASS system,board",
		"interface.m2-socket PASS takes,board",
		"interface.sata-ports PASS archive,board margin 0",
		"interface.drive-rate PASS system,board margin 2.25 GB/s",
		"interface.drive-rate PASS takes,board margin 0.68 GB/s",
		"interface.drive-rate PASS archive,board margin 0.05 GB/s",
		"interface.drive-figure PASS system margin 2.25 GB/s",
		"interface.drive-figure PASS takes margin 0.68 GB/s",
		"interface.drive-figure PASS archive margin 0.05 GB/s",
		"interface.card-slot PASS card,board,riser",
		"interface.card-link PASS card,board,riser margin 0 GB/s",
		"interface.displays PASS card,board,cpu margin 1",
		"interface.front-panel PASS case,board",
		"interface.fan-headers PASS cooler,rear,bottom,board margin 1",
		"interface.header-current PASS bottom,board margin 0.88 A",
		"interface.light-headers PASS rear,board margin 0",
		"interface.antennas PASS board margin 0",
	}
	if !slices.Equal(got, want) {
		t.Errorf("findings\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// BenchmarkEvaluate shows the whole judgement beside the reading of the document
// alone, which every pack does and which no rule can make faster.
func BenchmarkEvaluate(b *testing.B) {
	check, err := proto.Marshal(&v1.CheckRequest{Build: kittest.Build(b, mixingDesk)})
	if err != nil {
		b.Fatal(err)
	}
	seated, err := proto.Marshal(arrangement("upright", "card upright"))
	if err != nil {
		b.Fatal(err)
	}
	facts := []kit.Fact{{Name: factArrangement, Value: seated}}
	e := evaluator(b)
	b.Run("whole", func(b *testing.B) {
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
