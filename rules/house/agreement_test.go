package house

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"cel.dev/cel-go/cel"
	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// twin is one rule twice: as an expression and in plain Go over the same build.
type twin struct {
	expression string
	inGo       func(*v1.Build) kit.Verdict
}

func verdictOf(ok bool) kit.Verdict {
	if ok {
		return kit.Pass
	}
	return kit.Fail
}

func fans(b *v1.Build) (out []*v1.Fan) {
	for _, item := range b.Items {
		if f := item.GetPart().GetFan(); f != nil {
			out = append(out, f)
		}
	}
	return out
}

// twins are judged by strong three-valued logic (Kleene's): what is absent is
// UNKNOWN unless the rest decides.
var twins = []twin{
	{"build.items.filter(i, has(i.part.fan)).all(i, i.part.fan.size_mm >= 120)", func(b *v1.Build) kit.Verdict {
		verdict := kit.Pass
		for _, f := range fans(b) {
			switch {
			case f.SizeMm == nil:
				if verdict == kit.Pass {
					verdict = kit.Unknown
				}
			case *f.SizeMm < 120:
				verdict = kit.Fail
			}
		}
		return verdict
	}},
	{"build.items.filter(i, has(i.part.fan)).exists(i, i.part.fan.thickness_mm < 20.0)", func(b *v1.Build) kit.Verdict {
		verdict := kit.Fail
		for _, f := range fans(b) {
			switch {
			case f.ThicknessMm == nil:
				if verdict == kit.Fail {
					verdict = kit.Unknown
				}
			case *f.ThicknessMm < 20:
				verdict = kit.Pass
			}
		}
		return verdict
	}},
	{"build.items.filter(i, has(i.part.fan)).size() <= 3", func(b *v1.Build) kit.Verdict { return verdictOf(len(fans(b)) <= 3) }},
	{"!has(build.title) || build.title.startsWith('a')", func(b *v1.Build) kit.Verdict {
		return verdictOf(b.Title == nil || strings.HasPrefix(*b.Title, "a"))
	}},
	{"build.title.size() * 2 >= 4 && build.items.size() > 0", func(b *v1.Build) kit.Verdict {
		switch {
		case len(b.Items) == 0 && b.Title != nil && len([]rune(*b.Title))*2 < 4:
			return kit.Fail
		case b.Title == nil || len(b.Items) == 0:
			return kit.Unknown
		}
		return verdictOf(len([]rune(*b.Title))*2 >= 4)
	}},
}

func drawBuild(t *rapid.T) *v1.Build {
	build := &v1.Build{}
	if rapid.Bool().Draw(t, "titled") {
		build.Title = proto.String(rapid.StringMatching(`[ab]{0,4}`).Draw(t, "title"))
	}
	for i := range rapid.IntRange(1, 6).Draw(t, "items") {
		id := fmt.Sprintf("i%d", i)
		item := fan(id, rapid.SampledFrom([]uint32{0, 92, 120, 140}).Draw(t, "size"))
		if mm := rapid.SampledFrom([]float64{0, 15, 25}).Draw(t, "thickness"); mm > 0 {
			item.Part.GetFan().ThicknessMm = &mm
		}
		if rapid.IntRange(0, 3).Draw(t, "kind") == 0 {
			item.Part.Kind = &v1.Part_Drive{Drive: &v1.Drive{}}
		}
		build.Items = append(build.Items, item)
	}
	return build
}

// twinRules are the twins' expressions as one file, so many times over.
func twinRules(times int) string {
	var b strings.Builder
	b.WriteString("rules:\n")
	for n := range times {
		for i, t := range twins {
			fmt.Fprintf(&b, "- {id: r%d-%d, title: T, why: It has to be so., message: It is not so., requires: %q, tests: [{build: {items: [{part: {drive: {}}}]}, expect: %s}]}\n",
				n, i, t.expression, verdictWord(t.inGo(&v1.Build{Items: []*v1.Item{{Part: &v1.Part{Kind: &v1.Part_Drive{Drive: &v1.Drive{}}}}}})))
		}
	}
	return b.String()
}

func TestExpressionsAgreeWithGo(t *testing.T) {
	pack, err := Load("twins.yaml", []byte(twinRules(1)))
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(rt *rapid.T) {
		build := drawBuild(rt)
		got := findings(t, pack, build)
		for i, twin := range twins {
			if want := twin.inGo(build); got[i].GetVerdict() != want {
				rt.Fatalf("%s: %v, in Go %v, of %v", twin.expression, got[i].GetVerdict(), want, build)
			}
		}
	})
}

// goPack is the twins' Go side as rules of the kit, so many times over.
func goPack(times int) *kit.Pack {
	pack := &kit.Pack{Name: "twins", Version: "1.0.0", Purpose: "It judges as the expressions do."}
	for n := range times {
		for i, t := range twins {
			pack.Rules = append(pack.Rules, kit.Rule{
				ID: fmt.Sprintf("twins.r%d-%d", n, i), Title: "T", Why: "It has to be so.", Formula: "It is judged in Go.", Since: "1.0.0",
				Sources: []standards.Source{kit.CommonPractice}, Reads: []string{"build.items"},
				Texts: map[string]string{"pass": "It is met.", "fail": "It is not so.", "unknown": "It is not known."},
				Judge: func(c *kit.Case) { c.Judged(t.inGo(c.Build)) },
			})
		}
	}
	return pack
}

// benchmarkBuild is a build of ordinary size.
func benchmarkBuild() *v1.Build {
	build := &v1.Build{Title: proto.String("a build")}
	for i := range 12 {
		item := fan(fmt.Sprintf("i%d", i), 140)
		item.Part.GetFan().ThicknessMm = proto.Float64(25)
		build.Items = append(build.Items, item)
	}
	return build
}

// BenchmarkJudgement sets the bare judgements of 25 rules beside each other, as
// expressions and in Go: "times_go" is the ratio.
func BenchmarkJudgement(b *testing.B) {
	lang, err := newLanguage()
	if err != nil {
		b.Fatal(err)
	}
	var compiledTwins []*expression
	for _, t := range twins {
		env, _ := lang.of("")
		e, err := compile(env, t.expression, cel.BoolType)
		if err != nil {
			b.Fatal(err)
		}
		compiledTwins = append(compiledTwins, e)
	}
	build := benchmarkBuild()
	all, err := theContract()
	if err != nil {
		b.Fatal(err)
	}
	d := &desk{all: all, facts: map[string]*view{}}
	d.lay(build)
	// Both in turn within one loop, so that both meet the same machine.
	var inGo, asExpressions time.Duration
	for b.Loop() {
		start := time.Now()
		for range 50 {
			for _, t := range twins {
				t.inGo(build)
			}
		}
		middle := time.Now()
		for range 50 {
			for _, e := range compiledTwins {
				_, _ = e.eval(d)
			}
		}
		inGo += middle.Sub(start)
		asExpressions += time.Since(middle)
	}
	b.ReportMetric(float64(asExpressions)/float64(inGo), "times_go")
	b.ReportMetric(float64(asExpressions.Nanoseconds())/float64(b.N)/10, "ns/25rules")
}

// BenchmarkPack judges one encoded check by 25 rules through the kit.
func BenchmarkPack(b *testing.B) {
	house, err := Load("twins.yaml", []byte(twinRules(5)))
	if err != nil {
		b.Fatal(err)
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: benchmarkBuild()})
	if err != nil {
		b.Fatal(err)
	}
	for name, pack := range map[string]*kit.Pack{"CEL": house, "Go": goPack(5)} {
		b.Run(name, func(b *testing.B) {
			evaluator, err := kit.NewEvaluator(pack)
			if err != nil {
				b.Fatal(err)
			}
			var out kit.Outcome
			for b.Loop() {
				if err := evaluator.Evaluate(check, nil, &out); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
