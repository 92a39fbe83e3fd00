package queue

import (
	"bytes"
	"context"
	"log/slog"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/nats-io/nats.go/jetstream"
	"github.com/prometheus/client_golang/prometheus"

	"slipfit.example/clients/batch"
)

// notes is a log that can be read while it is written.
type notes struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (n *notes) Write(p []byte) (int, error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.text.Write(p)
}

func (n *notes) String() string {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.text.String()
}

func (n *notes) log() *slog.Logger { return slog.New(slog.NewTextHandler(n, nil)) }

// open opens the queue of an embedded server once more, with other options.
func open(t testing.TB, e *Embedded, o Options) *Queue {
	t.Helper()
	q, err := Open(context.Background(), e.Conn(), o)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// Workers of other rules never see a batch's chunks; the batch waits and says so, and
// comes to its end when a worker of its rules is there.
func TestAWorkerOfOtherRulesMixesNoAnswersIn(t *testing.T) {
	var said notes
	e, old := embedded(t, Options{Rules: "old"})
	fresh := open(t, e, Options{Rules: "fresh", Log: said.log()})
	other := &refuser{}
	work(t, old, other, 2)
	out := output(t)
	var group errorGroup
	group.Go(func() error { return run(t, fresh, "job", out, 1000, 4) })
	waitFor(t, func() bool { return strings.Contains(said.String(), "chunks wait and nobody works on them") })
	if n := other.asked.Load(); n != 0 {
		t.Fatalf("the worker of other rules was asked %d times", n)
	}
	for _, want := range []string{"rules=fresh", `"other rules"=old`, "start `slipfit work` with this version"} {
		if !strings.Contains(said.String(), want) {
			t.Errorf("the log does not say %q: %s", want, said.String())
		}
	}
	mine := &refuser{}
	work(t, fresh, mine, 2)
	// The same job of the other rules is another job.
	group.Go(func() error { return run(t, old, "job", out+".old", 500, 4) })
	if err := group.Wait(); err != nil {
		t.Fatal(err)
	}
	once(t, out, 1000)
	once(t, out+".old", 500)
	if mine.asked.Load() != 4 || other.asked.Load() != 2 {
		t.Errorf("the workers were asked %d and %d chunks, want 4 and 2", mine.asked.Load(), other.asked.Load())
	}
}

// The last worker dies with chunks in its hands: the batch says that nobody works.
func TestABatchWhoseWorkersAreNoMoreSaysSo(t *testing.T) {
	var said notes
	e, _ := embedded(t, Options{})
	q := open(t, e, Options{Log: said.log(), AckWait: 200 * time.Millisecond})
	out := output(t)
	var group errorGroup
	group.Go(func() error { return run(t, q, "job", out, 1000, 4) })
	dead, err := q.consumer(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	held := 0
	waitFor(t, func() bool {
		got, err := dead.FetchNoWait(1)
		if err == nil {
			for range got.Messages() {
				held++
			}
		}
		return held > 0
	})
	waitFor(t, func() bool { return strings.Contains(said.String(), "no chunk has been taken or answered for a while") })
	work(t, q, &refuser{}, 1)
	if err := group.Wait(); err != nil {
		t.Fatal(err)
	}
	once(t, out, 1000)
}

// As many chunks as may be in hand belong to workers that are no more, and the server
// would wait an hour for them: an idle worker makes the consumer again.
func TestAConsumerThatDeliversNothingIsMadeAgain(t *testing.T) {
	e, _ := embedded(t, Options{})
	q := open(t, e, Options{AckWait: time.Hour, unacked: 2, attend: 50 * time.Millisecond})
	out := output(t)
	var group errorGroup
	group.Go(func() error { return run(t, q, "job", out, 2000, 8) })
	dead, err := q.consumer(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	held := 0
	waitFor(t, func() bool {
		got, err := dead.FetchNoWait(2 - held)
		if err == nil {
			for range got.Messages() {
				held++
			}
		}
		return held == 2
	})
	work(t, q, &refuser{}, 1)
	if err := group.Wait(); err != nil {
		t.Fatal(err)
	}
	once(t, out, 2000)
}

func TestAConsumerThatIsGoneIsMadeAgain(t *testing.T) {
	e, _ := embedded(t, Options{})
	q := open(t, e, Options{attend: 50 * time.Millisecond})
	work(t, q, &refuser{}, 1)
	waitFor(t, func() bool { s, err := q.State(context.Background()); return err == nil && s.Workers > 0 })
	if err := q.chunks.DeleteConsumer(context.Background(), workers+"any"); err != nil {
		t.Fatal(err)
	}
	out := output(t)
	if err := run(t, q, "job", out, 1000, 4); err != nil {
		t.Fatal(err)
	}
	once(t, out, 1000)
}

// A chunk that is asked three times, within the time that its name is remembered and
// long after, is answered the same and written once.
func TestAChunkAskedAgainHasOneAnswer(t *testing.T) {
	e, _ := embedded(t, Options{})
	q := open(t, e, Options{Window: 100 * time.Millisecond})
	p := &refuser{}
	work(t, q, p, 2)
	c := &batch.Chunk{ID: "1-1", Job: &batch.Job{}, Lines: []batch.Line{{Number: 1, Text: []byte("text of line 1")}}}
	for round := range 3 {
		a, err := NewAsker(context.Background(), q, "job")
		if err != nil {
			t.Fatal(err)
		}
		answer, err := a.Process(context.Background(), c)
		a.Close()
		if err != nil || string(answer.Output) != `{"line":1,"refused":{"reason":"text of line 1"}}`+"\n" {
			t.Fatalf("round %d: %v, %s", round, err, answer.Output)
		}
		if round == 1 {
			time.Sleep(300 * time.Millisecond) // the name is forgotten
		}
	}
	waitFor(t, func() bool { return count(t, q, chunkStream) == 0 })
	if n := count(t, q, answerStream); n != 1 {
		t.Errorf("%d answers lie there, want 1", n)
	}
}

func TestTheStateOfAQueueIsMeasured(t *testing.T) {
	e, q := embedded(t, Options{Rules: "r1"})
	registry := prometheus.NewRegistry()
	registry.MustRegister(NewCollector(q))
	a, err := NewAsker(context.Background(), q, "job")
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	for _, chunk := range []string{"1-1", "2-2", "3-3"} {
		if err := a.publish(context.Background(), chunk, []byte("x"), 0); err != nil {
			t.Fatal(err)
		}
	}
	c, err := q.consumer(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	got, err := c.Fetch(1, jetstream.FetchMaxWait(5*time.Second))
	if err != nil {
		t.Fatal(err)
	}
	for range got.Messages() {
	}
	for name, want := range map[string]float64{"slipfit_queue_chunks_in_hand": 1, "slipfit_queue_chunks_waiting": 2, "slipfit_queue_up": 1, "slipfit_queue_answers_unread": 0} {
		if got, ok := measured(t, registry)[name]; !ok || got != want {
			t.Errorf("%s is %v, want %v", name, got, want)
		}
	}
	if s, err := q.State(context.Background()); err != nil || s.Oldest <= 0 || s.Oldest > time.Minute {
		t.Errorf("the oldest chunk is %v old (%v)", s.Oldest, err)
	}
	e.Stop()
	if got := measured(t, registry); len(got) != 1 || got["slipfit_queue_up"] != 0 {
		t.Errorf("of a queue that is away it tells %v", got)
	}
}

// measured is every metric by its name.
func measured(t testing.TB, registry *prometheus.Registry) map[string]float64 {
	t.Helper()
	families, err := registry.Gather()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for _, f := range families {
		out[f.GetName()] = f.GetMetric()[0].GetGauge().GetValue()
	}
	return out
}
