package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/batch"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/server/document"
)

// demoLines are the demo's builds as lines of JSON, again and again, n in all.
func demoLines(t testing.TB, n int) string {
	t.Helper()
	files, err := filepath.Glob(builds + "*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no builds: %v", err)
	}
	var all []string
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		build := new(v1.Build)
		options := document.Options{Resolve: document.FileResolver("..")}
		if _, err := options.Read("demo/builds/"+filepath.Base(name), text, build); err != nil {
			t.Fatal(err)
		}
		encoded, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(build)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, string(encoded))
	}
	var b strings.Builder
	for i := range n {
		b.WriteString(all[i%len(all)])
		b.WriteByte('\n')
	}
	return b.String()
}

// The queue, the stream and a resumed run all write the same bytes.
func TestBatchWritesTheSameByEveryWay(t *testing.T) {
	in := keep(t, "builds.ndjson", demoLines(t, 20)+"{\"bad\n")
	dir := t.TempDir()
	outputs := map[string][]string{
		"direct.ndjson": nil, "queued.ndjson": {"--queue", "embedded"}, "packed.ndjson.zst": nil,
	}
	for name, flags := range outputs {
		code, _, errOut := slipfit(t, "", append([]string{"batch", in, "-o", filepath.Join(dir, name)}, flags...)...)
		if code != exitFits || !strings.Contains(errOut, "1 refused") {
			t.Fatalf("%s: exit code %d, %s", name, code, errOut)
		}
	}
	direct, err := os.ReadFile(filepath.Join(dir, "direct.ndjson"))
	if err != nil {
		t.Fatal(err)
	}
	queued, err := os.ReadFile(filepath.Join(dir, "queued.ndjson"))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(direct, queued) || bytes.Count(direct, []byte("\n")) != 21 {
		t.Errorf("%d lines directly, %d bytes against %d by the queue", bytes.Count(direct, []byte("\n")), len(direct), len(queued))
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*.queue")); len(left) > 0 {
		t.Errorf("%v is left", left)
	}
	code, _, errOut := slipfit(t, "", "batch", in, "-o", filepath.Join(dir, "direct.ndjson"))
	if code != exitFits || !strings.Contains(errOut, "whole already") {
		t.Errorf("a second run: exit code %d, %s", code, errOut)
	}
}

func TestBatchOfPartsAsksTheAudit(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out.ndjson")
	code, _, errOut := slipfit(t, `{"air_cooler":{"height_mm":15.8}}`+"\n", "batch", "--parts", "-", "-o", out)
	text, err := os.ReadFile(out)
	if code != exitFits || err != nil || !bytes.Contains(text, []byte(`"rule":"audit.usual-figures"`)) {
		t.Errorf("exit code %d, %v, %s%s", code, err, text, errOut)
	}
}

func TestBatchOfAMatrixNamesEveryPair(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out.ndjson")
	code, _, errOut := slipfit(t, "", "batch", "--cards", "../demo/parts", "--enclosures", "../demo/parts/chassis.yaml", "--detail", "verdicts", "--packs", "clearance", "-o", out)
	text, err := os.ReadFile(out)
	if code != exitFits || err != nil || !bytes.HasPrefix(text, []byte(`{"line":1,"parts":{"card":"gischt-220","enclosure":"lichtung-18"},"verdict":`)) {
		t.Errorf("exit code %d, %v, %.200s%s", code, err, text, errOut)
	}
}

func TestBadBatchesSayWhatToDo(t *testing.T) {
	dir := t.TempDir()
	for name, c := range map[string]struct {
		args []string
		code int
		want string
	}{
		"nothing":       {[]string{"batch", "-o", dir + "/o"}, exitUsage, "name either one file or a matrix"},
		"no output":     {[]string{"batch", "-"}, exitUsage, `required flag(s) "output" not set`},
		"detail":        {[]string{"batch", "-", "-o", dir + "/o", "--detail", "all"}, exitUsage, `--detail is findings, verdicts, full, not "all"`},
		"no folder":     {[]string{"batch", "--cards", "none", "--enclosures", "none", "-o", dir + "/o"}, exitUsage, "none cannot be opened"},
		"no queue":      {[]string{"batch", "-", "-o", dir + "/o", "--queue", "nats://127.0.0.1:1"}, exitAway, "the queue at nats://127.0.0.1:1 cannot be reached"},
		"no queue work": {[]string{"work", "--queue", "nats://127.0.0.1:1"}, exitAway, "cannot be reached"},
		"no kind":       {[]string{"schema", "cable"}, exitUsage, `invalid argument "cable"`},
		"unwritable":    {[]string{"batch", "-", "-o", dir + "/none/o"}, exitBroke, dir + "/none/o"},
	} {
		t.Run(name, func(t *testing.T) {
			if code, _, errOut := slipfit(t, "", c.args...); code != c.code || !strings.Contains(errOut, c.want) {
				t.Errorf("exit code %d, errors %q", code, errOut)
			}
		})
	}
}

// The whole program is killed, packs and all, and run again until it is done.
func TestAKilledProgramIsCompletedByTheNext(t *testing.T) {
	dir := t.TempDir()
	program := filepath.Join(dir, "slipfit")
	if built, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, built)
	}
	const n = 1000
	in, out := keep(t, "builds.ndjson", demoLines(t, n)), filepath.Join(dir, "out.ndjson.gz")
	kills := 0
	for attempt := 0; ; attempt++ {
		cmd := exec.Command(program, "batch", in, "-o", out, "--detail", "verdicts")
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		ended := make(chan error, 1)
		go func() { ended <- cmd.Wait() }()
		var err error
		select {
		case err = <-ended:
		case <-time.After(time.Duration(400+100*attempt) * time.Millisecond):
			_ = cmd.Process.Kill()
			err = <-ended
		}
		if err == nil {
			break
		}
		kills++
		if attempt > 60 {
			t.Fatal("it never comes to its end")
		}
	}
	t.Logf("%d kills", kills)
	unpacked, err := exec.Command("gzip", "-dc", out).Output()
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for line := range strings.Lines(string(unpacked)) {
		seen++
		if !strings.HasPrefix(line, fmt.Sprintf(`{"line":%d,`, seen)) {
			t.Fatalf("line %d is %.80s", seen, line)
		}
	}
	if seen != n {
		t.Errorf("%d lines, want %d", seen, n)
	}
}

// BenchmarkBatch gives the rate of a batch over the demo's builds beside that of the
// same rules called within this process on both processors, and their ratio.
func BenchmarkBatch(b *testing.B) {
	const n = 1500
	text := demoLines(b, n)
	var own, whole time.Duration
	for b.Loop() {
		own += rulesAlone(b, text)
		whole += throughBatch(b, text)
	}
	rules, lines := float64(n*b.N)/own.Seconds(), float64(n*b.N)/whole.Seconds()
	b.ReportMetric(rules, "rules/s")
	b.ReportMetric(lines, "batch/s")
	b.ReportMetric(lines/rules, "ratio")
}

// rulesAlone is how long the rules alone take for all lines, encoded beforehand.
func rulesAlone(b *testing.B, text string) time.Duration {
	var checks [][]byte
	for line := range strings.Lines(text) {
		build := new(v1.Build)
		if err := protojson.Unmarshal([]byte(line), build); err != nil {
			b.Fatal(err)
		}
		check, err := proto.Marshal(&v1.CheckRequest{Build: build})
		if err != nil {
			b.Fatal(err)
		}
		checks = append(checks, check)
	}
	var packs []*kit.Evaluator
	for _, p := range builtin {
		if p.pack().OnRequest {
			continue
		}
		e, err := kit.NewEvaluator(p.pack())
		if err != nil {
			b.Fatal(err)
		}
		packs = append(packs, e)
	}
	order := byNeeds(packs)
	var next atomic.Int64
	var group sync.WaitGroup
	started := time.Now()
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			out := make([]kit.Outcome, len(order))
			for i := next.Add(1) - 1; i < int64(len(checks)); i = next.Add(1) - 1 {
				var facts []kit.Fact
				for k, e := range order {
					if err := e.Evaluate(checks[i], facts, &out[k]); err != nil {
						b.Error(err)
					}
					facts = append(facts, out[k].Facts...)
				}
			}
		})
	}
	group.Wait()
	return time.Since(started)
}

// byNeeds puts packs into an order in which each comes after those that it needs.
func byNeeds(packs []*kit.Evaluator) (order []*kit.Evaluator) {
	provided := map[string]bool{}
	all := map[string]bool{}
	for _, p := range packs {
		for _, f := range p.Describe().Provides {
			all[f] = true
		}
	}
	for len(order) < len(packs) {
		for _, p := range packs {
			ready := !contains(order, p)
			for _, f := range p.Describe().Needs {
				ready = ready && (provided[f] || !all[f])
			}
			if ready {
				order = append(order, p)
				for _, f := range p.Describe().Provides {
					provided[f] = true
				}
			}
		}
	}
	return order
}

func contains(list []*kit.Evaluator, e *kit.Evaluator) bool {
	for _, other := range list {
		if other == e {
			return true
		}
	}
	return false
}

// throughBatch is how long a batch takes from lines of JSON to answers on disk, the
// start of the packs not counted.
func throughBatch(b *testing.B, text string) time.Duration {
	ask := &target{}
	conn, stop, err := ask.connect(context.Background(), os.Stderr)
	if err != nil {
		b.Fatal(err)
	}
	defer stop()
	job := &batch.Job{}
	source, err := batch.NewLineSource("in", strings.NewReader(text), int64(len(text)), job)
	if err != nil {
		b.Fatal(err)
	}
	out := filepath.Join(b.TempDir(), "out.ndjson")
	started := time.Now()
	if _, err := batch.Run(context.Background(), source, batch.NewService(conn, "in", nil), batch.Options{Output: out}); err != nil && !errors.Is(err, batch.ErrDone) {
		b.Fatal(err)
	}
	return time.Since(started)
}
