package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/encoding/protojson"

	"slipfit.example/clients/batch"
	v1 "slipfit.example/proto/slipfit/v1"
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

// Hands that live with all packs in one process, and a service whose packs are
// processes, write the same bytes.
func TestHandsAnswerAsTheServiceDoes(t *testing.T) {
	ask := &target{}
	cmd := &cobra.Command{}
	cmd.SetErr(os.Stderr)
	hands, err := ask.crew(cmd)
	if err != nil {
		t.Fatal(err)
	}
	defer hands.Close()
	conn, stop, err := ask.connect(t.Context(), os.Stderr)
	if err != nil {
		t.Fatal(err)
	}
	defer stop()
	text := demoLines(t, 12) + `{"bad` + "\n{}\n[]\n" + `{"items":[{"id":"x","part":{"fan":{"size_mn":1}}}]}` + "\n" + `{"items":[{"id":"x","part":"none.yaml#x"}]}` + "\n"
	for detail, name := range batch.Details {
		t.Run(name, func(t *testing.T) {
			outputs := map[string]batch.Processor{"hands": hands, "service": batch.NewService(conn, partResolver())}
			got := map[string][]byte{}
			for who, processor := range outputs {
				out := filepath.Join(t.TempDir(), who)
				source, err := batch.NewLineSource("in", strings.NewReader(text), 0, &batch.Job{Detail: batch.Detail(detail), File: "in"})
				if err != nil {
					t.Fatal(err)
				}
				if _, err := batch.Run(t.Context(), source, processor, batch.Options{Output: out}); err != nil {
					t.Fatal(err)
				}
				if got[who], err = os.ReadFile(out); err != nil {
					t.Fatal(err)
				}
			}
			if !bytes.Equal(got["hands"], got["service"]) || bytes.Count(got["hands"], []byte("\n")) != 17 {
				t.Errorf("hands write\n%s\nthe service\n%s", got["hands"], got["service"])
			}
		})
	}
	if rules, err := hands.Rules(t.Context()); err != nil {
		t.Error(err)
	} else if of, err := rulesOf(t.Context(), conn); err != nil || of != rules {
		t.Errorf("the hands answer by the rules %s, the service by %s (%v)", rules, of, err)
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
