package queue

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"slipfit.example/clients/batch"
)

// Work takes chunks from the queue and has them answered, so many at a time, until
// the context ends. Chunks that are under way then go back to the queue.
func Work(ctx context.Context, q *Queue, processor batch.Processor, atOnce int, log *slog.Logger) error {
	c, err := q.consumer(ctx)
	if ctx.Err() != nil {
		return nil
	}
	if err != nil {
		return err
	}
	w := &worker{queue: q, processor: processor, log: log}
	w.consumer.Store(&c)
	var group sync.WaitGroup
	group.Go(func() { w.attend(ctx) })
	for range max(1, atOnce) {
		group.Go(func() { w.run(ctx) })
	}
	group.Wait()
	return nil
}

type worker struct {
	queue     *Queue
	processor batch.Processor
	consumer  atomic.Pointer[jetstream.Consumer]
	inHand    atomic.Int64
	log       *slog.Logger
}

func (w *worker) pull() jetstream.Consumer { return *w.consumer.Load() }

func (w *worker) run(ctx context.Context) {
	for ctx.Err() == nil {
		fetched, err := w.pull().FetchNoWait(1)
		taken := 0
		if err == nil {
			for m := range fetched.Messages() {
				taken++
				w.one(ctx, m)
			}
			err = fetched.Error()
		}
		if taken > 0 {
			continue
		}
		if err != nil && ctx.Err() == nil && !errors.Is(err, nats.ErrTimeout) {
			w.log.Debug("no chunk could be fetched", "error", err)
		}
		w.waitForMore(ctx)
	}
}

// waitForMore asks for one chunk and waits for it a while; it is given back at once
// to whoever fetches next.
func (w *worker) waitForMore(ctx context.Context) {
	wait, cancel := context.WithTimeout(ctx, 2*time.Second)
	defer cancel()
	fetched, err := w.pull().Fetch(1, jetstream.FetchContext(wait))
	if err != nil {
		select {
		case <-time.After(200 * time.Millisecond):
		case <-ctx.Done():
		}
		return
	}
	for m := range fetched.Messages() {
		w.one(ctx, m)
	}
	if fetched.Error() != nil && wait.Err() == nil {
		select {
		case <-time.After(100 * time.Millisecond):
		case <-ctx.Done():
		}
	}
}

// one takes a chunk through and acknowledges it when its answer is stored.
func (w *worker) one(ctx context.Context, m jetstream.Msg) {
	if ctx.Err() != nil {
		_ = m.Nak()
		return
	}
	w.inHand.Add(1)
	defer w.inHand.Add(-1)
	stop := w.beat(m)
	defer stop()
	meta, err := m.Metadata()
	if err != nil {
		w.log.Error("a message of the queue tells nothing of itself", "error", err)
		return
	}
	most := uint64(w.queue.options.Deliveries)
	if meta.NumDelivered > most {
		w.setAside(ctx, m, fmt.Sprintf("the chunk was delivered %d times and no worker lived to answer it", most))
		return
	}
	answer, err := w.process(ctx, m)
	switch {
	case err == nil:
		w.store(ctx, m, answer)
	case ctx.Err() != nil:
		_ = m.Nak()
	case meta.NumDelivered == most:
		w.setAside(ctx, m, fmt.Sprintf("the chunk failed %d times, at last because %v", most, err))
	default:
		w.log.Warn("a chunk failed and will be tried again", "subject", m.Subject(), "delivery", meta.NumDelivered, "error", err)
		_ = m.NakWithDelay(min(time.Duration(meta.NumDelivered)*time.Second, w.queue.options.AckWait))
	}
}

// beat tells the server, three times as often as it must, that the chunk is being
// worked on.
func (w *worker) beat(m jetstream.Msg) (stop func()) {
	done := make(chan struct{})
	var group sync.WaitGroup
	group.Go(func() {
		tick := time.NewTicker(w.queue.options.AckWait / 3)
		defer tick.Stop()
		for {
			select {
			case <-tick.C:
				_ = m.InProgress()
			case <-done:
				return
			}
		}
	})
	return func() {
		close(done)
		group.Wait()
	}
}

// process answers one chunk. A fault of the program is an error like another: the
// chunk goes to somebody else, and is set aside in the end.
func (w *worker) process(ctx context.Context, m jetstream.Msg) (answer batch.Answer, err error) {
	defer func() {
		if broken := recover(); broken != nil {
			err = fmt.Errorf("the worker broke: %v", broken)
		}
	}()
	chunk, err := decodeChunk(m.Data())
	if err != nil {
		return answer, err
	}
	return w.processor.Process(ctx, chunk)
}

// store puts an answer where its job looks for it, then acknowledges the chunk. An
// answer that is there already is the same: both were made of the same lines.
func (w *worker) store(ctx context.Context, m jetstream.Msg, answer batch.Answer) {
	out := w.reply(m, outcomeAnswer)
	out.Data = encodeAnswer(answer)
	if most := w.queue.conn.MaxPayload() - 4096; most > 0 && int64(len(out.Data)) > most {
		reason := fmt.Sprintf("the answer takes %d bytes even compressed, more than the %d that a message of the queue may have", len(out.Data), most)
		out = w.reply(m, outcomeTooLong)
		out.Header.Set(headerReason, reason)
	}
	if w.publish(ctx, out) {
		w.acknowledge(m)
	}
}

func (w *worker) reply(m jetstream.Msg, outcome string) *nats.Msg {
	out := nats.NewMsg(answerSubject + strings.TrimPrefix(m.Subject(), chunkSubject))
	out.Header.Set(headerOutcome, outcome)
	return out
}

// setAside keeps a chunk that nobody can answer where people can look at it, tells
// its job so, and takes it out of the queue.
func (w *worker) setAside(ctx context.Context, m jetstream.Msg, reason string) {
	w.log.Error("a chunk is set aside", "subject", m.Subject(), "reason", reason)
	kept := nats.NewMsg(asideSubject + strings.TrimPrefix(m.Subject(), chunkSubject))
	kept.Header.Set(headerReason, reason)
	kept.Data = m.Data()
	told := w.reply(m, outcomeAside)
	told.Header.Set(headerReason, reason)
	if w.publish(ctx, kept) && w.publish(ctx, told) {
		_ = m.TermWithReason(reason)
	}
}

// tellAfter is how long an answer may wait before an operator is told.
const tellAfter = 10 * time.Second

// publish stores a message, and waits while the stream is full or its leader away.
// Without success until the end of the context, the chunk is left to another.
func (w *worker) publish(ctx context.Context, m *nats.Msg) bool {
	started, told := time.Now(), false
	for pause := 20 * time.Millisecond; ; pause = min(2*pause, time.Second) {
		attempt, cancel := context.WithTimeout(ctx, 5*time.Second)
		_, err := w.queue.js.PublishMsg(attempt, m)
		cancel()
		if err == nil || taken(err) {
			return true
		}
		if !told && time.Since(started) > tellAfter {
			told = true
			w.log.Warn("an answer waits to be stored; is there room on the servers' disks, and does the asking machine run?", "subject", m.Subject, "error", err)
		}
		select {
		case <-time.After(pause):
		case <-ctx.Done():
			return false
		}
	}
}

// acknowledge waits for the server to have heard it; where it does not, the chunk
// comes again and its answer is found to be there.
func (w *worker) acknowledge(m jetstream.Msg) {
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	if err := m.DoubleAck(ctx); err != nil {
		w.log.Debug("a chunk may come again", "subject", m.Subject(), "error", err)
	}
}
