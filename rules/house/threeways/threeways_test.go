package threeways

import (
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/rego"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/house"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
	"slipfit.example/server/document"
)

//go:embed rules.rego
var regoText string

// reporter is what a test and a rapid test have in common.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

// ways are the three, ready to judge.
type ways struct {
	cel, inKit *kit.Evaluator
	rego       rego.PreparedEvalQuery
}

func newWays(tb testing.TB) *ways {
	tb.Helper()
	text, err := os.ReadFile("../testdata/twenty-five.yaml")
	if err != nil {
		tb.Fatal(err)
	}
	pack, err := house.Load("twenty-five.yaml", text)
	if err != nil {
		tb.Fatal(err)
	}
	for i, name := range Names {
		if pack.Rules[i].ID != "house."+name {
			tb.Fatalf("rule %d is %s, and %s in Go", i, pack.Rules[i].ID, name)
		}
	}
	w := &ways{}
	if w.cel, err = kit.NewEvaluator(pack); err != nil {
		tb.Fatal(err)
	}
	if w.inKit, err = kit.NewEvaluator(goPack()); err != nil {
		tb.Fatal(err)
	}
	w.rego, err = rego.New(rego.Query("data.house.verdicts"), rego.Module("rules.rego", regoText)).PrepareForEval(context.Background())
	if err != nil {
		tb.Fatal(err)
	}
	return w
}

// goPack is the plain Go as rules of the kit: the first judges, and each tells its own.
func goPack() *kit.Pack {
	pack := &kit.Pack{
		Name: "house", Version: "1.0.0", Purpose: "It judges as the expressions do.",
		Alternatives: func(c *kit.Case) int {
			out, ok := c.Workspace.(*Verdicts)
			if !ok {
				out = new(Verdicts)
				c.Workspace = out
			}
			Judge(c.Build, out)
			return 1
		},
	}
	for i, name := range Names {
		pack.Rules = append(pack.Rules, kit.Rule{
			ID: "house." + name, Title: name, Why: "It has to be so.", Formula: "It is judged in Go.", Since: "1.0.0",
			Sources: []standards.Source{kit.CommonPractice}, Reads: []string{"build.items"},
			Texts: map[string]string{"pass": "It is met.", "fail": "It is not so.", "unknown": "It is not known."},
			Judge: func(c *kit.Case) {
				if v := c.Workspace.(*Verdicts)[i]; v != v1.Verdict_VERDICT_UNSPECIFIED {
					c.Judged(v)
				}
			},
		})
	}
	return pack
}

// byEvaluator is the worst verdict of each rule.
func byEvaluator(tb reporter, e *kit.Evaluator, build *v1.Build) (out Verdicts) {
	tb.Helper()
	check, err := proto.Marshal(&v1.CheckRequest{Build: build})
	if err != nil {
		tb.Fatal(err)
	}
	var o kit.Outcome
	if err := e.Evaluate(check, nil, &o); err != nil {
		tb.Fatal(err)
	}
	answer := new(v1.CheckResponse)
	if err := proto.Unmarshal(o.Findings, answer); err != nil {
		tb.Fatal(err)
	}
	for _, f := range answer.Findings {
		i := slices.Index(Names[:], strings.TrimPrefix(f.GetRule(), "house."))
		out[i] = max(out[i], f.GetVerdict())
	}
	return out
}

// input is a build as Rego gets it: by the contract's JSON mapping.
func input(tb reporter, build *v1.Build) ast.Value {
	tb.Helper()
	encoded, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(build)
	if err != nil {
		tb.Fatal(err)
	}
	var value any
	if err := json.Unmarshal(encoded, &value); err != nil {
		tb.Fatal(err)
	}
	return ast.MustInterfaceToValue(value)
}

func byRego(tb reporter, query rego.PreparedEvalQuery, value ast.Value) (out Verdicts) {
	tb.Helper()
	results, err := query.Eval(context.Background(), rego.EvalParsedInput(value))
	if err != nil || len(results) != 1 {
		tb.Fatalf("%d results, error %v", len(results), err)
	}
	for name, word := range results[0].Expressions[0].Value.(map[string]any) {
		i := slices.Index(Names[:], name)
		out[i] = map[any]v1.Verdict{"pass": pass, "unknown": unknown, "fail": fail}[word]
	}
	return out
}

// agree compares the three, and Go within the kit.
func agree(tb reporter, w *ways, build *v1.Build) {
	tb.Helper()
	var inGo Verdicts
	Judge(build, &inGo)
	for way, got := range map[string]Verdicts{
		"CEL": byEvaluator(tb, w.cel, build), "Go in the kit": byEvaluator(tb, w.inKit, build), "Rego": byRego(tb, w.rego, input(tb, build)),
	} {
		for i, name := range Names {
			if got[i] != inGo[i] {
				tb.Errorf("%s: %v by %s, %v in Go, of %v", name, got[i], way, inGo[i], build)
			}
		}
	}
}

// demoBuilds are those of the demo.
func demoBuilds(tb testing.TB) (out []*v1.Build) {
	tb.Helper()
	files, err := filepath.Glob("../../../clients/demo/builds/*.yaml")
	if err != nil || len(files) == 0 {
		tb.Fatalf("there are no demo builds: %v", err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			tb.Fatal(err)
		}
		build := new(v1.Build)
		options := document.Options{Resolve: document.FileResolver("../../..")}
		if _, err := options.Read(strings.TrimPrefix(file, "../../../"), data, build); err != nil {
			tb.Fatal(err)
		}
		out = append(out, build)
	}
	return out
}

func TestTheThreeAgreeOverTheDemo(t *testing.T) {
	w := newWays(t)
	for _, build := range demoBuilds(t) {
		agree(t, w, build)
	}
}

// maybe is a value or nothing.
func maybe[T any](t *rapid.T, name string, values ...T) *T {
	i := rapid.IntRange(-1, len(values)-1).Draw(t, name)
	if i < 0 {
		return nil
	}
	return &values[i]
}

// drawPart draws figures on, under and above the rules' limits, and none.
func drawPart(t *rapid.T) *v1.Part {
	part := &v1.Part{}
	switch rapid.IntRange(0, 10).Draw(t, "kind") {
	case 0, 1:
		part.Kind = &v1.Part_Fan{Fan: &v1.Fan{SizeMm: maybe[uint32](t, "size", 92, 120, 140), ThicknessMm: maybe(t, "thickness", 12, 15, 30, 30.5)}}
	case 2:
		part.Kind = &v1.Part_Card{Card: &v1.Card{LengthMm: maybe(t, "length", 300, 300.1), HeightMm: maybe(t, "height", 140, 141.0), ThicknessMm: maybe(t, "thickness", 60, 61.0)}}
	case 3:
		part.Kind = &v1.Part_Supply{Supply: &v1.Supply{
			LengthMm: maybe(t, "length", 180, 181.0), RatedW: maybe(t, "rated", 449, 450.0),
			FormFactor: maybe(t, "form", "SFX", "TFX"), EfficiencyMark: maybe(t, "mark", "gold", "bronze"),
		}}
	case 4:
		part.Kind = &v1.Part_AirCooler{AirCooler: &v1.AirCooler{HeightMm: maybe(t, "height", 155, 156.0)}}
	case 5:
		part.Kind = &v1.Part_LiquidLoop{LiquidLoop: &v1.LiquidLoop{}}
	case 6, 7:
		part.Kind = &v1.Part_Drive{Drive: &v1.Drive{CapacityGb: maybe(t, "capacity", 999, 1000.0), Bus: maybe(t, "bus", "nvme", "sata"), FormFactor: maybe(t, "form", "2.5in", "3.5in")}}
	case 8:
		part.Kind = &v1.Part_Memory{Memory: &v1.Memory{CapacityGb: maybe[uint32](t, "capacity", 8, 16, 32), HeightMm: maybe(t, "height", 44, 44.5)}}
	case 9:
		part.Kind = &v1.Part_Processor{Processor: &v1.Processor{RatedHeatW: maybe(t, "heat", 125, 126.0), Cores: maybe[uint32](t, "cores", 4, 6)}}
	default:
		board := &v1.Board{SataPorts: maybe[uint32](t, "ports", 1, 2)}
		for range rapid.IntRange(0, 2).Draw(t, "slots") {
			board.M2Slots = append(board.M2Slots, &v1.M2Slot{Id: proto.String("a")})
		}
		part.Kind = &v1.Part_Board{Board: board}
	}
	return part
}

func TestTheThreeAgreeOverGeneratedBuilds(t *testing.T) {
	w := newWays(t)
	rapid.Check(t, func(t *rapid.T) {
		build := &v1.Build{}
		for i := range rapid.IntRange(0, 10).Draw(t, "items") {
			build.Items = append(build.Items, &v1.Item{Id: proto.String(fmt.Sprint("i", i)), Count: maybe[uint32](t, "count", 1, 2), Part: drawPart(t)})
		}
		if rapid.Bool().Draw(t, "room") {
			build.Room = &v1.Room{TemperatureC: maybe(t, "temperature", 30, 30.5)}
		}
		agree(t, w, build)
	})
}

// BenchmarkThreeWays judges the demo builds by the twenty-five rules in each way in
// turn, within one loop, so that all meet the same machine. Plain Go gets decoded builds
// and gives verdicts; Rego gets builds as values of its own, made before, and gives
// verdicts by a prepared query; CEL is what house rules are: encoded builds in, whole
// findings out, as is Go in the kit. "times" are multiples of plain Go.
func BenchmarkThreeWays(b *testing.B) {
	w := newWays(b)
	builds := demoBuilds(b)
	var checks [][]byte
	var values []ast.Value
	for _, build := range builds {
		check, err := proto.Marshal(&v1.CheckRequest{Build: build})
		if err != nil {
			b.Fatal(err)
		}
		checks, values = append(checks, check), append(values, input(b, build))
	}
	var out kit.Outcome
	evaluate := func(e *kit.Evaluator) {
		for _, check := range checks {
			if err := e.Evaluate(check, nil, &out); err != nil {
				b.Fatal(err)
			}
		}
	}
	const rounds = 200 // of plain Go, which is too short for the clock by itself
	var verdicts Verdicts
	took := map[string]time.Duration{}
	lap := func(way string, run func()) {
		start := time.Now()
		run()
		took[way] += time.Since(start)
	}
	for b.Loop() {
		lap("go", func() {
			for range rounds {
				for _, build := range builds {
					Judge(build, &verdicts)
				}
			}
		})
		lap("go-in-kit", func() { evaluate(w.inKit) })
		lap("cel", func() { evaluate(w.cel) })
		lap("rego", func() {
			for _, value := range values {
				if _, err := w.rego.Eval(context.Background(), rego.EvalParsedInput(value)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	plain := float64(took["go"]) / rounds
	for _, way := range []string{"go-in-kit", "cel", "rego"} {
		b.ReportMetric(float64(took[way])/plain, "times-"+way)
	}
	b.ReportMetric(plain/float64(b.N*len(builds)), "ns/build-go")
}
