package queue

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"slipfit.example/clients/batch"
)

// Asker answers the chunks of one batch by whoever works at the queue. It is a
// batch.Processor.
type Asker struct {
	queue    *Queue
	job      string // rules and job, as subjects have them
	patience time.Duration
	looking  time.Duration
	mu       sync.Mutex
	waiting  map[string]chan arrival
	early    map[string]arrival
	stored   map[string][]uint64 // answers to take away once written, by chunk
	stop     context.CancelFunc
	ended    chan struct{}
	idle     idleness
}

// arrival is an answer that has come.
type arrival struct {
	outcome  string
	reason   string
	data     []byte
	sequence uint64
}

// NewAsker asks under the name of a job: letters and digits, the same for every run
// of the same batch. Answers that an earlier run did not get to write are found.
func NewAsker(ctx context.Context, q *Queue, job string) (*Asker, error) {
	ctx, stop := context.WithCancel(ctx)
	a := &Asker{
		queue: q, job: q.options.Rules + "." + job, patience: q.options.Patience, looking: 5 * time.Second, stop: stop, ended: make(chan struct{}),
		waiting: map[string]chan arrival{}, early: map[string]arrival{}, stored: map[string][]uint64{},
	}
	if _, err := q.consumer(ctx); err != nil {
		stop()
		return nil, err
	}
	go a.listen(ctx)
	return a, nil
}

// Close stops listening.
func (a *Asker) Close() {
	a.stop()
	<-a.ended
}

// listen takes answers as they come. The reader makes itself anew when the server
// that it reads from goes away; what it misses meanwhile, look finds.
func (a *Asker) listen(ctx context.Context) {
	defer close(a.ended)
	for ctx.Err() == nil {
		c, err := a.queue.answers.OrderedConsumer(ctx, jetstream.OrderedConsumerConfig{FilterSubjects: []string{answerSubject + a.job + ".>"}})
		if err == nil {
			a.read(ctx, c)
		}
		select {
		case <-time.After(200 * time.Millisecond):
		case <-ctx.Done():
		}
	}
}

func (a *Asker) read(ctx context.Context, c jetstream.Consumer) {
	messages, err := c.Messages()
	if err != nil {
		return
	}
	stopped := context.AfterFunc(ctx, messages.Stop)
	defer stopped()
	defer messages.Stop()
	for {
		m, err := messages.Next()
		if err != nil {
			return
		}
		meta, err := m.Metadata()
		if err != nil {
			continue
		}
		a.arrive(m.Subject(), arrival{m.Headers().Get(headerOutcome), m.Headers().Get(headerReason), m.Data(), meta.Sequence.Stream})
	}
}

// arrive hands an answer to whoever waits for it.
func (a *Asker) arrive(subject string, got arrival) {
	chunk := strings.TrimPrefix(subject, answerSubject+a.job+".")
	a.mu.Lock()
	defer a.mu.Unlock()
	if w, ok := a.waiting[chunk]; ok {
		select {
		case w <- got:
		default: // it has come before
		}
		return
	}
	if len(a.early) < int(a.queue.options.Chunks) {
		a.early[chunk] = got
	}
}

// expect begins to wait for a chunk's answer.
func (a *Asker) expect(chunk string) chan arrival {
	w := make(chan arrival, 1)
	a.mu.Lock()
	defer a.mu.Unlock()
	a.waiting[chunk] = w
	if got, ok := a.early[chunk]; ok {
		delete(a.early, chunk)
		w <- got
	}
	return w
}

func (a *Asker) leave(chunk string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	delete(a.waiting, chunk)
}

// Process hands one chunk to the queue and waits for its answer.
func (a *Asker) Process(ctx context.Context, c *batch.Chunk) (batch.Answer, error) {
	return a.process(ctx, c, c.ID)
}

func (a *Asker) process(ctx context.Context, c *batch.Chunk, owner string) (batch.Answer, error) {
	data, err := encodeChunk(c)
	if err != nil {
		return batch.Answer{}, err
	}
	if most := a.queue.conn.MaxPayload() - 4096; most > 0 && int64(len(data)) > most {
		return a.halves(ctx, c, owner, fmt.Sprintf("the line takes %d bytes even compressed, more than the %d that a message of the queue may have", len(data), most))
	}
	w := a.expect(c.ID)
	defer a.leave(c.ID)
	got, err := a.ask(ctx, c.ID, data, w)
	if err != nil {
		return batch.Answer{}, err
	}
	a.mu.Lock()
	a.stored[owner] = append(a.stored[owner], got.sequence)
	a.mu.Unlock()
	switch got.outcome {
	case outcomeAnswer:
		return decodeAnswer(got.data)
	case outcomeTooLong:
		return a.halves(ctx, c, owner, got.reason)
	case outcomeAside:
		return batch.RefuseAll(c, got.reason), nil
	}
	return batch.Answer{}, fmt.Errorf("chunk %s came back as %q, which this version does not know", c.ID, got.outcome)
}

// halves asks a chunk that is too large for one message in two.
func (a *Asker) halves(ctx context.Context, c *batch.Chunk, owner, reason string) (batch.Answer, error) {
	if len(c.Lines) == 1 {
		return batch.RefuseAll(c, reason), nil
	}
	var out batch.Answer
	middle := len(c.Lines) / 2
	for i, part := range [][]batch.Line{c.Lines[:middle], c.Lines[middle:]} {
		half := &batch.Chunk{ID: c.ID + "-" + strconv.Itoa(i), Job: c.Job, Binary: c.Binary, Lines: part}
		answer, err := a.process(ctx, half, owner)
		if err != nil {
			return out, err
		}
		out.Output = append(out.Output, answer.Output...)
		out.Tally.Add(answer.Tally)
	}
	return out, nil
}

// ask publishes a chunk and waits. Now and then it looks for itself: whether the
// answer lies there unread, and whether the chunk still waits; where there is
// neither, it is published under another name, and an answer is still taken once.
func (a *Asker) ask(ctx context.Context, chunk string, data []byte, w chan arrival) (arrival, error) {
	for round := 0; ; round++ {
		if err := a.publish(ctx, chunk, data, round); err != nil {
			return arrival{}, err
		}
		away := time.Time{}
		for lost := 0; lost < 3; {
			select {
			case got := <-w:
				return got, nil
			case <-ctx.Done():
				return arrival{}, context.Cause(ctx)
			case <-time.After(a.looking):
			}
			got, waits, err := a.look(ctx, chunk)
			if err == nil {
				away = time.Time{}
			} else if away.IsZero() {
				away = time.Now()
			}
			switch {
			case err != nil && time.Since(away) > a.patience:
				return arrival{}, a.gone(err)
			case err != nil: // the queue is away; it may be back
			case got != nil:
				return *got, nil
			case !waits:
				lost++
			default:
				lost = 0
				a.tellIdle(ctx)
			}
		}
	}
}

// publish puts a chunk into the queue, and waits while that is full. Only a queue
// that stays away for longer than patience is an error.
func (a *Asker) publish(ctx context.Context, chunk string, data []byte, round int) error {
	id := a.job + "." + chunk + "." + strconv.Itoa(round)
	away := time.Time{}
	for pause := 20 * time.Millisecond; ; pause = min(2*pause, time.Second) {
		attempt, cancel := context.WithTimeout(ctx, 5*time.Second)
		_, err := a.queue.js.Publish(attempt, chunkSubject+a.job+"."+chunk, data, jetstream.WithMsgID(id), jetstream.WithExpectStream(chunkStream))
		cancel()
		switch {
		case err == nil:
			return nil
		case ctx.Err() != nil:
			return context.Cause(ctx)
		case full(err):
			away = time.Time{}
		case away.IsZero():
			away = time.Now()
		case time.Since(away) > a.patience:
			return a.gone(err)
		}
		select {
		case <-time.After(pause):
		case <-ctx.Done():
			return context.Cause(ctx)
		}
	}
}

func (a *Asker) gone(err error) error {
	return fmt.Errorf("the queue has been away for %s (%w); run the same command again when it is back", a.patience, err)
}

// look asks the streams themselves.
func (a *Asker) look(ctx context.Context, chunk string) (got *arrival, waits bool, err error) {
	ctx, cancel := context.WithTimeout(ctx, 3*time.Second)
	defer cancel()
	m, err := a.queue.answers.GetLastMsgForSubject(ctx, answerSubject+a.job+"."+chunk)
	if err == nil {
		return &arrival{m.Header.Get(headerOutcome), m.Header.Get(headerReason), m.Data, m.Sequence}, false, nil
	}
	if !errors.Is(err, jetstream.ErrMsgNotFound) {
		return nil, false, err
	}
	_, err = a.queue.chunks.GetLastMsgForSubject(ctx, chunkSubject+a.job+"."+chunk)
	if errors.Is(err, jetstream.ErrMsgNotFound) {
		return nil, false, nil
	}
	return nil, err == nil, err
}

// Committed takes away the answers of a chunk that is written for good. One that
// stays for want of a server is of no harm.
func (a *Asker) Committed(c *batch.Chunk) {
	a.mu.Lock()
	sequences := a.stored[c.ID]
	delete(a.stored, c.ID)
	a.mu.Unlock()
	for _, s := range sequences {
		ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
		_ = a.queue.answers.DeleteMsg(ctx, s)
		cancel()
	}
}
