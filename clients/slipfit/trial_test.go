package main

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protojson"

	"slipfit.example/clients/trial"
	v1 "slipfit.example/proto/slipfit/v1"
)

// written writes a file into a folder of the test.
func written(t testing.TB, name, text string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestTrialOfARulesetAgainstItselfFlipsNothing(t *testing.T) {
	same := written(t, "same.yaml", "policy: {tolerance.length_mm: 0.5}\n")
	code, out, errOut := slipfit(t, "", "trial", "--baseline", same, "--candidate", same, "--fail-on", "any", builds)
	if code != exitFits || errOut != "" || !strings.HasPrefix(out, "No verdict flips in ") {
		t.Errorf("exit code %d, errors %q:\n%s", code, errOut, out)
	}
}

// A wider tolerance turns what passes into what is tight, and nothing into FAIL.
func TestTrialFailsOnTheVerdictsNamed(t *testing.T) {
	wide := written(t, "wide.yaml", "title: Wide\npolicy: {tolerance.length_mm: 8}\n")
	for words, want := range map[string]int{"fail": exitFits, "marginal": exitFails, "fail,any": exitFails, "unknown,gone": exitFits} {
		code, out, _ := slipfit(t, "", "trial", "--candidate", wide, "--fail-on", words, builds+"archive-editor.yaml")
		if code != want || !strings.Contains(out, "PASS to MARGINAL") {
			t.Errorf("--fail-on %s: exit code %d, want %d:\n%s", words, code, want, out)
		}
	}
}

func TestTrialAsLinesEndsWithTheSummary(t *testing.T) {
	wide := written(t, "wide.yaml", "policy: {tolerance.length_mm: 8}\n")
	corpus := `{"id":"bad","items":[{"id":"a","part":{"fan":{"size_m":1}}}]}` + "\n" + `{"id":"good","items":[{"id":"a","part":{"fan":{"size_mm":120}}}]}` + "\n"
	file := written(t, "c.ndjson", corpus)
	code, out, errOut := slipfit(t, "", "trial", "--candidate", wide, "--format", "ndjson", file)
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if code != exitUsage || len(lines) != 2 || errOut != "" {
		t.Fatalf("exit code %d, errors %q, lines:\n%s", code, errOut, out)
	}
	var refused, last v1.RunTrialResponse
	if err := protojson.Unmarshal([]byte(lines[0]), &refused); err != nil {
		t.Fatal(err)
	}
	if err := protojson.Unmarshal([]byte(lines[1]), &last); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(refused.GetDifference().GetRefusal().GetReason(), "c.ndjson:1:") {
		t.Errorf("the refusal says %v", refused.GetDifference())
	}
	if s := last.GetSummary(); s.GetBuilds() != 1 || s.GetRefused() != 1 {
		t.Errorf("the summary says %v", s)
	}
}

func TestTrialRefusesPlansBeforeBuilds(t *testing.T) {
	for name, c := range map[string]struct{ ruleset, want string }{
		"parameter": {"policy: {tolerance.lenght_mm: 1}", `candidate.policy[0].parameter: no parameter is called "tolerance.lenght_mm"; did you mean "tolerance.length_mm"?`},
		"range":     {"policy: {tolerance.length_mm: 99}", "candidate.policy[0].value: tolerance.length_mm may lie between 0 and 20 mm, not at 99"},
		"pack":      {"packs: {clearence: '1'}", `candidate.packs[0].name: no pack is called "clearence"; did you mean "clearance"?`},
		"key":       {"policies: {}", `:1:1: a ruleset holds 'title', 'packs', 'policy' and 'house', not "policies"`},
	} {
		t.Run(name, func(t *testing.T) {
			code, out, errOut := slipfit(t, "", "trial", "--candidate", written(t, "r.yaml", c.ruleset), builds+"archive-editor.yaml")
			if code != exitUsage || out != "" || !strings.Contains(errOut, c.want) {
				t.Errorf("exit code %d, errors %q, want %q", code, errOut, c.want)
			}
		})
	}
	code, _, errOut := slipfit(t, "", "trial", "--candidate", written(t, "r.yaml", ""), "--fail-on", "fial", builds)
	if code != exitUsage || !strings.Contains(errOut, `--fail-on knows pass, marginal, unknown, fail, gone and any, not "fial"`) {
		t.Errorf("exit code %d, errors %q", code, errOut)
	}
}

// The smallest example of a real flip still flips, and no longer does with any
// single item, field or entry taken out: each is tried.
func TestSmallestExampleIsMinimal(t *testing.T) {
	wide := written(t, "wide.yaml", "policy: {tolerance.length_mm: 8}\n")
	ruleset, err := trial.ReadRuleset(wide)
	if err != nil {
		t.Fatal(err)
	}
	plan := &v1.TrialPlan{Baseline: &v1.TrialRuleset{}, Candidate: ruleset.Message}
	way := trial.Direction{Rule: "clearance.card-length", From: v1.Verdict_VERDICT_PASS, To: v1.Verdict_VERDICT_MARGINAL}
	inProcess(t, func(ctx context.Context, conn *grpc.ClientConn) {
		client := v1.NewTrialServiceClient(conn)
		entry, err := oneBuild(nil, builds+"upright-card.yaml")
		if err != nil {
			t.Fatal(err)
		}
		example, err := trial.NewExample(ctx, client, plan, way, "upright-card", entry.Message)
		if err != nil || !example.Minimal {
			t.Fatalf("minimal %v, error %v", example.Minimal, err)
		}
		least, err := oneBuild(strings.NewReader(example.Document), "-")
		if err != nil {
			t.Fatal(err)
		}
		if yes, err := flipsThere(ctx, client, plan, way, least.Message); err != nil || !yes {
			t.Fatalf("the example flips %v, error %v:\n%s", yes, err, example.Document)
		}
		sites := trial.Sites(least.Message)
		if len(sites) == 0 || len(sites) > 40 {
			t.Fatalf("the example has %d places:\n%s", len(sites), example.Document)
		}
		for _, site := range sites {
			if yes, err := flipsThere(ctx, client, plan, way, trial.Without(least.Message, site)); err != nil || yes {
				t.Errorf("it flips without %s as well (error %v):\n%s", site, err, example.Document)
			}
		}
	})
}

func flipsThere(ctx context.Context, client v1.TrialServiceClient, plan *v1.TrialPlan, way trial.Direction, build *v1.Build) (yes bool, err error) {
	one := slices.Values([]*v1.TrialBuild{{Build: build}})
	_, err = trial.Run(ctx, client, plan, one, func(d *v1.BuildDifference) error {
		for _, f := range d.Flips {
			yes = yes || trial.DirectionOf(f) == way
		}
		return nil
	})
	return yes, err
}

// inProcess runs the service with its packs for the time of do.
func inProcess(t testing.TB, do func(context.Context, *grpc.ClientConn)) {
	t.Helper()
	conn, stop, err := (&target{}).connect(t.Context(), os.Stderr)
	if err != nil {
		t.Fatal(err)
	}
	defer stop()
	do(t.Context(), conn)
}

// BenchmarkTrial tells what a trial of two rulesets costs beside one ruleset over
// the same corpus: "of_one" is the ratio of the times, "cpu_of_one" that of the
// processor's times of client, service and packs.
func BenchmarkTrial(b *testing.B) {
	corpus, err := openCorpus(nil, []string{builds})
	if err != nil {
		b.Fatal(err)
	}
	var all []*v1.Build
	for range 20 {
		for entry := range corpus {
			all = append(all, entry.Message)
		}
	}
	plan := &v1.TrialPlan{Baseline: &v1.TrialRuleset{}, Candidate: &v1.TrialRuleset{Policy: []*v1.PolicyValue{{Parameter: ptrTo("tolerance.length_mm"), Value: ptrTo(2.0)}}}}
	inProcess(b, func(ctx context.Context, conn *grpc.ClientConn) {
		one := func() { checkAll(b, ctx, conn, all) }
		both := func() {
			_, err := trial.Run(ctx, v1.NewTrialServiceClient(conn), plan, func(yield func(*v1.TrialBuild) bool) {
				for _, build := range all {
					if !yield(&v1.TrialBuild{Build: build}) {
						return
					}
				}
			}, func(*v1.BuildDifference) error { return nil })
			if err != nil {
				b.Fatal(err)
			}
		}
		one()
		both()
		var single, double, cpuSingle, cpuDouble float64
		for b.Loop() {
			before := cpuSeconds(b)
			single += seconds(one)
			between := cpuSeconds(b)
			double += seconds(both)
			cpuSingle, cpuDouble = cpuSingle+between-before, cpuDouble+cpuSeconds(b)-between
		}
		b.ReportMetric(double/single, "of_one")
		b.ReportMetric(cpuDouble/cpuSingle, "cpu_of_one")
		b.ReportMetric(single/float64(b.N)/float64(len(all))*1e6, "us/check")
	})
}

// checkAll checks builds over one stream, as one ruleset over a corpus is.
func checkAll(b *testing.B, ctx context.Context, conn *grpc.ClientConn, all []*v1.Build) {
	stream, err := v1.NewCheckServiceClient(conn).CheckMany(ctx)
	if err != nil {
		b.Fatal(err)
	}
	go func() {
		for _, build := range all {
			if stream.Send(&v1.CheckManyRequest{Check: &v1.CheckRequest{Build: build}}) != nil {
				return
			}
		}
		_ = stream.CloseSend()
	}()
	for range all {
		if _, err := stream.Recv(); err != nil {
			b.Fatal(err)
		}
	}
}

func ptrTo[T any](v T) *T { return &v }

// seconds is how long something takes.
func seconds(do func()) float64 {
	start := time.Now()
	do()
	return time.Since(start).Seconds()
}
