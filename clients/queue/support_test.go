package queue

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"go.uber.org/goleak"

	"slipfit.example/clients/batch"
)

func TestMain(m *testing.M) {
	// The embedded server keeps timers of its own for as long as the process lives.
	goleak.VerifyTestMain(m, goleak.IgnoreAnyFunction("github.com/nats-io/nats-server/v2/server.(*Server).startGoRoutine.func1"))
}

var quiet = slog.New(slog.NewTextHandler(io.Discard, nil))

func embedded(t testing.TB, o Options) (*Embedded, *Queue) {
	t.Helper()
	e, err := StartEmbedded(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(e.Stop)
	q, err := Open(context.Background(), e.Conn(), o)
	if err != nil {
		t.Fatal(err)
	}
	return e, q
}

// refuser answers every line with its own text, as batch does for lines that are no
// documents, and counts how often it was asked.
type refuser struct {
	asked  atomic.Int64
	before func(ctx context.Context, c *batch.Chunk) error
}

func (r *refuser) Process(ctx context.Context, c *batch.Chunk) (batch.Answer, error) {
	r.asked.Add(1)
	if r.before != nil {
		if err := r.before(ctx, c); err != nil {
			return batch.Answer{}, err
		}
	}
	var out batch.Answer
	for i := range c.Lines {
		one := batch.RefuseAll(&batch.Chunk{Job: c.Job, Lines: c.Lines[i : i+1]}, string(c.Lines[i].Text))
		out.Output = append(out.Output, one.Output...)
		out.Tally.Add(one.Tally)
	}
	return out, nil
}

// work starts a worker and gives what ends it as a killed process would: at once,
// with whatever it holds.
func work(t testing.TB, q *Queue, p batch.Processor, atOnce int) (kill func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	var group sync.WaitGroup
	group.Go(func() {
		if err := Work(ctx, q, p, atOnce, quiet); err != nil && ctx.Err() == nil {
			t.Error(err)
		}
	})
	kill = sync.OnceFunc(func() {
		cancel()
		group.Wait()
	})
	t.Cleanup(kill)
	return kill
}

// lines is a source of n numbered lines.
func lines(t testing.TB, n int) batch.Source {
	t.Helper()
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "text of line %d\n", i+1)
	}
	s, err := batch.NewLineSource("in", strings.NewReader(b.String()), 0, &batch.Job{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// run takes n lines through a queue into a file.
func run(t testing.TB, q *Queue, job, out string, n, inFlight int) error {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 90*time.Second)
	defer cancel()
	a, err := NewAsker(ctx, q, job)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	a.looking = 500 * time.Millisecond
	_, err = batch.Run(ctx, lines(t, n), a, batch.Options{Output: out, InFlight: inFlight, Identity: job})
	return err
}

// once counts every line of an output by its number and text.
func once(t testing.TB, name string, n int) {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	seen := make([]int, n+1)
	scanner := bufio.NewScanner(bytes.NewReader(text))
	for scanner.Scan() {
		var line struct {
			Line    int
			Refused struct{ Reason string }
		}
		if err := json.Unmarshal(scanner.Bytes(), &line); err != nil || line.Line < 1 || line.Line > n || line.Refused.Reason != fmt.Sprintf("text of line %d", line.Line) {
			t.Fatalf("%s holds %q", name, scanner.Text())
		}
		seen[line.Line]++
	}
	for i, times := range seen[1:] {
		if times != 1 {
			t.Fatalf("line %d is there %d times", i+1, times)
		}
	}
}

func output(t testing.TB) string { return filepath.Join(t.TempDir(), "out.ndjson") }

func count(t testing.TB, q *Queue, stream string) uint64 {
	t.Helper()
	s, err := q.js.Stream(context.Background(), stream)
	if err != nil {
		t.Fatal(err)
	}
	info, err := s.Info(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return info.State.Msgs
}
