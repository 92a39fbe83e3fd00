// Package queue hands chunks of a batch to any number of workers over NATS
// JetStream, so that one command spreads over machines and still writes every line
// once.
//
// Chunks lie in a work queue until a worker has stored their answer and
// acknowledged them; a worker that dies leaves its chunk to the next. A chunk is
// told apart by its job and its lines: the queue drops one that is published twice
// (Nats-Msg-Id), and an answer's subject takes one message and no second. A chunk
// that fails on every delivery is set aside with its reason under a subject of its
// own, and its lines are refused in the output.
//
// The packs and their versions by which a batch is to be answered are part of every
// subject, so that workers of other rules never see its chunks; those of one ruleset
// share one consumer. A batch whose rules nobody works by waits, and says so.
//
// Both streams are bounded and refuse
// what is new when full: whoever publishes waits. What the server has acknowledged
// lies on disk where it syncs always, as the embedded one does.
package queue

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// Names of streams, of the consumer that all workers of one ruleset share, and of
// subjects. Behind the subjects' beginnings stand rules, job and chunk.
const (
	chunkStream    = "SLIPFIT_CHUNKS"
	answerStream   = "SLIPFIT_ANSWERS"
	asideStream    = "SLIPFIT_ASIDE"
	workers        = "slipfit-workers-" // and the rules by which they answer
	chunkSubject   = "slipfit.chunk."
	answerSubject  = "slipfit.answer."
	asideSubject   = "slipfit.aside."
	headerReason   = "Slipfit-Reason"
	headerOutcome  = "Slipfit-Outcome"
	outcomeAnswer  = "answer"
	outcomeAside   = "set-aside"
	outcomeTooLong = "too-long"
)

// Options say how a queue is kept.
type Options struct {
	// Replicas is on how many servers the streams lie. Zero: 1.
	Replicas int
	// AckWait is how long a worker may be silent before its chunk goes to another; a
	// living worker reports three times as often. Zero: 30 s.
	AckWait time.Duration
	// Deliveries is how often a chunk is tried before it is set aside. Zero: 5.
	Deliveries int
	// Chunks is how many chunks may wait. Zero: 1024.
	Chunks int64
	// Bytes bounds each stream. Zero: 1 GiB.
	Bytes int64
	// Window is how long a chunk's name is remembered. Zero: one hour.
	Window time.Duration
	// Rules names the rules by which chunks are to be answered, or by which a worker
	// answers: letters and digits, the same for the same packs in the same versions.
	// Empty: "any", which is a name like another.
	Rules string
	// Patience is how long the servers may be away before a batch gives up. Zero: two
	// minutes.
	Patience time.Duration
	// Log is told of what an operator should know. Nil: slog.Default.
	Log *slog.Logger

	unacked int           // chunks that may be in hand; zero: Chunks
	attend  time.Duration // how often a worker looks after the consumer; zero: AckWait, 10 s at most
}

func (o *Options) setDefaults() {
	if o.Replicas <= 0 {
		o.Replicas = 1
	}
	if o.AckWait <= 0 {
		o.AckWait = 30 * time.Second
	}
	if o.Deliveries <= 0 {
		o.Deliveries = 5
	}
	if o.Chunks <= 0 {
		o.Chunks = 1024
	}
	if o.Bytes <= 0 {
		o.Bytes = 1 << 30
	}
	if o.Window <= 0 {
		o.Window = time.Hour
	}
	if o.Patience <= 0 {
		o.Patience = 2 * time.Minute
	}
	if o.Rules == "" {
		o.Rules = "any"
	}
	if o.Log == nil {
		o.Log = slog.Default()
	}
	if o.unacked <= 0 {
		o.unacked = int(o.Chunks)
	}
	if o.attend <= 0 {
		o.attend = min(o.AckWait, 10*time.Second)
	}
}

// Queue is a connection to a queue whose streams exist.
type Queue struct {
	conn    *nats.Conn
	js      jetstream.JetStream
	options Options
	chunks  jetstream.Stream
	answers jetstream.Stream
	aside   jetstream.Stream
}

// Connect connects to the servers of a NATS cluster, URLs joined by commas, and goes
// on connecting for as long as it is used.
func Connect(url string, more ...nats.Option) (*nats.Conn, error) {
	conn, err := nats.Connect(url, append([]nats.Option{
		nats.Name("slipfit"), nats.MaxReconnects(-1), nats.ReconnectWait(200 * time.Millisecond), nats.PingInterval(5 * time.Second), nats.MaxPingsOutstanding(2),
		nats.Timeout(5 * time.Second),
	}, more...)...)
	if err != nil {
		return nil, fmt.Errorf("the queue at %s cannot be reached: %w", url, err)
	}
	return conn, nil
}

// Open makes the streams where they do not exist. The connection stays the caller's.
func Open(ctx context.Context, conn *nats.Conn, o Options) (*Queue, error) {
	o.setDefaults()
	js, err := jetstream.New(conn)
	if err != nil {
		return nil, err
	}
	q := &Queue{conn: conn, js: js, options: o}
	if q.chunks, err = q.stream(ctx, jetstream.StreamConfig{
		Name: chunkStream, Description: "chunks of batches that wait for a worker", Subjects: []string{chunkSubject + ">"},
		Retention: jetstream.WorkQueuePolicy, MaxMsgs: o.Chunks, MaxBytes: o.Bytes, Discard: jetstream.DiscardNew, Duplicates: o.Window,
	}); err != nil {
		return nil, err
	}
	if q.answers, err = q.stream(ctx, jetstream.StreamConfig{
		Name: answerStream, Description: "answers that wait to be written", Subjects: []string{answerSubject + ">"},
		MaxMsgsPerSubject: 1, DiscardNewPerSubject: true, MaxBytes: o.Bytes, MaxMsgs: 4 * o.Chunks, Discard: jetstream.DiscardNew, AllowDirect: true,
	}); err != nil {
		return nil, err
	}
	if q.aside, err = q.stream(ctx, jetstream.StreamConfig{
		Name: asideStream, Description: "chunks that no worker could answer, with the reason in a header", Subjects: []string{asideSubject + ">"},
		MaxMsgsPerSubject: 1, MaxBytes: o.Bytes, Discard: jetstream.DiscardOld,
	}); err != nil {
		return nil, err
	}
	return q, nil
}

func (q *Queue) stream(ctx context.Context, c jetstream.StreamConfig) (jetstream.Stream, error) {
	c.Replicas, c.Storage = q.options.Replicas, jetstream.FileStorage
	var s jetstream.Stream
	err := patiently(ctx, 20*time.Second, func(ctx context.Context) (err error) {
		s, err = q.js.CreateOrUpdateStream(ctx, c)
		return err
	})
	var refused *jetstream.APIError
	switch {
	case err == nil:
		return s, nil
	case errors.As(err, &refused) && refused.ErrorCode == noStorage:
		return nil, fmt.Errorf("the queue's servers have no room left for %s (%d MiB); make some and run the same command again: %w", c.Name, c.MaxBytes>>20, err)
	}
	return nil, fmt.Errorf("the queue cannot keep %s: %w", c.Name, err)
}

// noStorage is the server's code for a disk without room for a stream
// (JSStorageResourcesExceededErr in the server's errors.json).
const noStorage = 10047

// patiently tries again while servers are away or choose a leader.
func patiently(ctx context.Context, patience time.Duration, do func(context.Context) error) error {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	for pause := 50 * time.Millisecond; ; pause = min(2*pause, time.Second) {
		attempt, done := context.WithTimeout(ctx, 3*time.Second)
		err := do(attempt)
		done()
		var refused *jetstream.APIError
		if err == nil || errors.As(err, &refused) && (refused.Code < 500 && refused.Code != 408 || refused.ErrorCode == noStorage) {
			return err
		}
		select {
		case <-time.After(pause):
		case <-ctx.Done():
			return err
		}
	}
}

// consumer is the one that all workers of these rules take chunks from. How often a chunk may be
// delivered is the workers' own count: the server would go on keeping, silently, a
// chunk that is over a limit of its own.
func (q *Queue) consumer(ctx context.Context) (jetstream.Consumer, error) {
	var c jetstream.Consumer
	err := patiently(ctx, 20*time.Second, func(ctx context.Context) (err error) {
		c, err = q.chunks.CreateOrUpdateConsumer(ctx, jetstream.ConsumerConfig{
			Durable: workers + q.options.Rules, FilterSubject: chunkSubject + q.options.Rules + ".>",
			AckPolicy: jetstream.AckExplicitPolicy, AckWait: q.options.AckWait, MaxDeliver: -1,
			MaxAckPending: q.options.unacked, MaxWaiting: 4096,
		})
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("the queue's workers cannot be served: %w", err)
	}
	return c, nil
}

// full tells that a stream has no room, and wants the publisher to wait.
func full(err error) bool {
	var api *jetstream.APIError
	if !errors.As(err, &api) {
		return false
	}
	switch api.Description {
	case "maximum messages exceeded", "maximum bytes exceeded", "maximum messages per subject exceeded":
		return true
	}
	return false
}

// taken tells that an answer's subject has its message already.
func taken(err error) bool {
	var api *jetstream.APIError
	return errors.As(err, &api) && api.Description == "maximum messages per subject exceeded"
}
