package queue

import (
	"context"
	"errors"
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"slipfit.example/clients/batch"
)

func TestEveryLineOnceThroughTheEmbeddedQueue(t *testing.T) {
	_, q := embedded(t, Options{})
	p := &refuser{}
	work(t, q, p, 2)
	work(t, q, p, 2)
	out := output(t)
	if err := run(t, q, "job", out, 5000, 8); err != nil {
		t.Fatal(err)
	}
	once(t, out, 5000)
	if left := count(t, q, chunkStream) + count(t, q, answerStream); left != 0 {
		t.Errorf("%d messages are left in the queue", left)
	}
}

func TestTheEmbeddedServerListensToNothingAndSyncsBeforeItAcknowledges(t *testing.T) {
	e, _ := embedded(t, Options{})
	if address := e.server.Addr(); address != nil {
		t.Errorf("it listens at %v", address)
	}
	if info := e.server.JetStreamConfig(); info == nil || !info.SyncAlways {
		t.Errorf("its streams are kept by %+v; what is acknowledged must be on disk", info)
	}
}

// What a run had published and not written is taken over by the next run of the
// same job: no chunk is asked twice, no line written twice.
func TestASecondRunTakesOverWhatTheFirstHadAsked(t *testing.T) {
	_, q := embedded(t, Options{})
	out := output(t)
	ctx, cancel := context.WithTimeout(context.Background(), 500*time.Millisecond)
	defer cancel()
	a, err := NewAsker(ctx, q, "job")
	if err != nil {
		t.Fatal(err)
	}
	// Nobody works: the first run publishes its chunks and is ended.
	if _, err := batch.Run(ctx, lines(t, 2000), a, batch.Options{Output: out, InFlight: 4, Identity: "job"}); err == nil {
		t.Fatal("the first run cannot have come to its end")
	}
	a.Close()
	if n := count(t, q, chunkStream); n != 4 {
		t.Fatalf("%d chunks wait, want 4", n)
	}
	p := &refuser{}
	work(t, q, p, 2)
	if err := run(t, q, "job", out, 2000, 4); err != nil {
		t.Fatal(err)
	}
	once(t, out, 2000)
	if asked := p.asked.Load(); asked != 8 {
		t.Errorf("8 chunks were asked %d times", asked)
	}
}

func TestAChunkThatAlwaysFailsIsSetAsideWithItsReason(t *testing.T) {
	_, q := embedded(t, Options{Deliveries: 2, AckWait: time.Second})
	p := &refuser{before: func(_ context.Context, c *batch.Chunk) error {
		switch c.Lines[0].Number {
		case 257:
			return errors.New("it divides by nought")
		case 513:
			panic("nothing is there")
		}
		return nil
	}}
	work(t, q, p, 2)
	out := output(t)
	if err := run(t, q, "job", out, 1000, 4); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	got := strings.Split(strings.TrimSpace(string(text)), "\n")
	if len(got) != 1000 {
		t.Fatalf("%d lines, want 1000", len(got))
	}
	for n, want := range map[int]string{
		1: "text of line 1", 257: "the chunk failed 2 times, at last because it divides by nought", 512: "it divides by nought",
		513: "at last because the worker broke: nothing is there", 1000: "text of line 1000",
	} {
		if !strings.Contains(got[n-1], want) {
			t.Errorf("line %d is %q, want %q", n, got[n-1], want)
		}
	}
	if aside, left := count(t, q, asideStream), count(t, q, chunkStream); aside != 2 || left != 0 {
		t.Errorf("%d chunks are set aside, %d left in the queue; want 2 and 0", aside, left)
	}
	s, err := q.js.Stream(context.Background(), asideStream)
	if err != nil {
		t.Fatal(err)
	}
	m, err := s.GetMsg(context.Background(), 1, jetstream.WithGetMsgSubject(asideSubject+"any.job.>"))
	if err != nil || m.Header.Get(headerReason) == "" {
		t.Fatalf("%v: the first bears the reason %q", err, m.Header.Get(headerReason))
	}
	if c, err := decodeChunk(m.Data); err != nil || len(c.Lines) == 0 {
		t.Errorf("what is set aside cannot be looked at: %v", err)
	}
}

// A chunk that takes three times as long as a silent worker would be waited for runs
// once: its worker reports.
func TestALongChunkRunsOnce(t *testing.T) {
	_, q := embedded(t, Options{AckWait: 300 * time.Millisecond})
	p := &refuser{before: func(context.Context, *batch.Chunk) error {
		time.Sleep(time.Second)
		return nil
	}}
	work(t, q, p, 1)
	work(t, q, p, 1)
	out := output(t)
	if err := run(t, q, "job", out, 100, 1); err != nil {
		t.Fatal(err)
	}
	once(t, out, 100)
	if asked := p.asked.Load(); asked != 1 {
		t.Errorf("the chunk ran %d times", asked)
	}
}

func TestAWorkerThatDiesLeavesItsChunkToAnother(t *testing.T) {
	_, q := embedded(t, Options{AckWait: 400 * time.Millisecond})
	var held atomic.Int64
	// It never reports: what a killed process does.
	c, err := q.consumer(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var group errorGroup
	group.Go(func() error {
		fetched, err := c.Fetch(2, jetstream.FetchMaxWait(10*time.Second))
		if err != nil {
			return err
		}
		for range fetched.Messages() {
			if held.Add(1) == 2 {
				return nil
			}
		}
		return fetched.Error()
	})
	out := output(t)
	group.Go(func() error { return run(t, q, "job", out, 1000, 4) })
	waitFor(t, func() bool { return held.Load() >= 1 })
	work(t, q, &refuser{}, 2)
	if err := group.Wait(); err != nil {
		t.Fatal(err)
	}
	once(t, out, 1000)
}

func TestAFullQueueHoldsThePublisherBack(t *testing.T) {
	_, q := embedded(t, Options{Chunks: 2})
	out := output(t)
	var group errorGroup
	group.Go(func() error { return run(t, q, "job", out, 4000, 8) })
	waitFor(t, func() bool { return count(t, q, chunkStream) == 2 })
	time.Sleep(200 * time.Millisecond)
	if n := count(t, q, chunkStream); n != 2 {
		t.Errorf("%d chunks wait where 2 may", n)
	}
	work(t, q, &refuser{}, 1)
	if err := group.Wait(); err != nil {
		t.Fatal(err)
	}
	once(t, out, 4000)
}

// A chunk larger than a message of the queue goes in halves, and a line larger than
// one is refused.
func TestWhatIsLargerThanAMessageGoesInHalves(t *testing.T) {
	_, q := embedded(t, Options{})
	work(t, q, &refuser{}, 1)
	a, err := NewAsker(context.Background(), q, "job")
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	c := &batch.Chunk{ID: "1-3", Job: &batch.Job{}}
	random := noise(5 << 20)
	for i := range 3 {
		c.Lines = append(c.Lines, batch.Line{Number: int64(i + 1), Text: random[i*1000 : i*1000+4<<20]})
	}
	c.Lines[1].Text = noise(9 << 20)
	answer, err := a.Process(context.Background(), c)
	if err != nil {
		t.Fatal(err)
	}
	got := strings.Split(strings.TrimSpace(string(answer.Output)), "\n")
	if len(got) != 3 || !strings.Contains(got[1], "the line takes") || answer.Tally.Refused != 3 {
		t.Fatalf("%d lines, the second %.200q", len(got), got[1])
	}
	for i, line := range got {
		if want := `{"line":` + string(rune('1'+i)); !strings.HasPrefix(line, want) {
			t.Errorf("line %d begins %.20q", i+1, line)
		}
	}
}

func noise(n int) []byte {
	b := make([]byte, n)
	x := uint32(1)
	for i := range b {
		x = x*1664525 + 1013904223
		b[i] = 'a' + byte(x>>27)%26
	}
	return b
}

type errorGroup struct{ results []chan error }

func (g *errorGroup) Go(do func() error) {
	c := make(chan error, 1)
	g.results = append(g.results, c)
	go func() { c <- do() }()
}

func (g *errorGroup) Wait() (err error) {
	for _, c := range g.results {
		err = errors.Join(err, <-c)
	}
	return err
}

func waitFor(t testing.TB, done func() bool) {
	t.Helper()
	for range 1000 {
		if done() {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("it did not come about within ten seconds")
}
