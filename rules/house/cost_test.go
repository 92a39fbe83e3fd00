package house_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/house"
	mating "slipfit.example/rules/interface"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/mounting"
	"slipfit.example/rules/power"
	"slipfit.example/rules/thermal"
	"slipfit.example/server/document"
)

// demoChecks are encoded checks of all demo builds.
func demoChecks(tb testing.TB) (checks [][]byte) {
	tb.Helper()
	files, err := filepath.Glob("../../clients/demo/builds/*.yaml")
	if err != nil || len(files) == 0 {
		tb.Fatalf("there are no demo builds: %v", err)
	}
	resolve := document.Options{Resolve: document.FileResolver("../..")}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			tb.Fatal(err)
		}
		build := new(v1.Build)
		if _, err := resolve.Read(strings.TrimPrefix(file, "../../"), data, build); err != nil {
			tb.Fatal(err)
		}
		check, err := proto.Marshal(&v1.CheckRequest{Build: build})
		if err != nil {
			tb.Fatal(err)
		}
		checks = append(checks, check)
	}
	return checks
}

// BenchmarkInProcess judges the demo builds by all packs in this process, and then by
// 25 house rules: "added" is the share of its time that these add.
func BenchmarkInProcess(b *testing.B) {
	text, err := os.ReadFile("testdata/twenty-five.yaml")
	if err != nil {
		b.Fatal(err)
	}
	rules, err := house.Load("twenty-five.yaml", text)
	if err != nil {
		b.Fatal(err)
	}
	var all []*kit.Evaluator
	for _, pack := range []*kit.Pack{clearance.Pack(), power.Pack(), mating.Pack(), thermal.Pack(), mounting.Pack(), rules} {
		e, err := kit.NewEvaluator(pack)
		if err != nil {
			b.Fatal(err)
		}
		all = append(all, e)
	}
	checks := demoChecks(b)
	outcomes := make([]kit.Outcome, len(all))
	var packs, added time.Duration
	for b.Loop() {
		for _, check := range checks {
			var facts []kit.Fact
			start := time.Now()
			for i, e := range all[:len(all)-1] {
				if err := e.Evaluate(check, facts, &outcomes[i]); err != nil {
					b.Fatal(err)
				}
				facts = append(facts, outcomes[i].Facts...)
			}
			middle := time.Now()
			if err := all[len(all)-1].Evaluate(check, facts, &outcomes[len(all)-1]); err != nil {
				b.Fatal(err)
			}
			packs += middle.Sub(start)
			added += time.Since(middle)
		}
	}
	b.ReportMetric(float64(added)/float64(packs), "added")
	b.ReportMetric(float64(packs.Microseconds())/float64(b.N*len(checks)), "us/check")
}
