package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"
	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	"slipfit.example/clients/batch"
	"slipfit.example/clients/queue"
)

// embeddedQueue is the word for the queue within this program.
const embeddedQueue = "embedded"

// workOptions are the flags of work.
type workOptions struct {
	target
	queue      string
	atOnce     int
	replicas   int
	ackWait    time.Duration
	tries      int
	operations string
}

func workCommand() *cobra.Command {
	o := &workOptions{}
	cmd := &cobra.Command{
		Use:   "work --queue URL",
		Short: "Answer chunks of batches from a queue until told to stop",
		Long: `Take chunks of batches from a NATS JetStream queue and answer them until SIGINT or
SIGTERM; chunks that are under way then go back to the queue. Any number of workers
may share a queue, and come and go as they like: no line is lost, none written twice.

A chunk is up to 256 lines of somebody's "slipfit batch --queue URL". It is answered by
the packs within this program, one process for each processor, or by the service named
with --server. A worker takes the chunks of batches that were begun with the same packs
in the same versions as its own, and leaves all others; a batch without workers of its
version waits and says so.

A worker that dies, or is silent for --ack-wait, leaves its chunk to the next; long
chunks are no silence. A chunk that fails --tries times is set aside with its reason,
and its lines are refused in the output. Everything that the operator should know is
logged to standard error; --operations serves it to Prometheus (GET /metrics):
slipfit_queue_oldest_chunk_seconds tells when nobody keeps up.

The exit code is 0 after a stop, 64 when the call is bad, 69 when the queue or the
service cannot be reached, 70 for anything else.`,
		Example: `  slipfit work --queue nats://queue-1:4222
  slipfit work --queue nats://queue-1:4222,nats://queue-2:4222,nats://queue-3:4222 --replicas 3
  slipfit work --queue nats://queue-1:4222 --operations 127.0.0.1:7482`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return runWork(cmd, o) },
	}
	o.flags(cmd)
	f := cmd.Flags()
	f.StringVar(&o.queue, "queue", "", "take chunks from the NATS servers at `URL`, several joined by commas (required)")
	f.IntVar(&o.atOnce, "at-once", 0, "answer `N` chunks at once (default: two for each processor)")
	f.IntVar(&o.replicas, "replicas", 1, "keep the queue's streams on `N` servers; the same for every batch and worker")
	f.DurationVar(&o.ackWait, "ack-wait", 30*time.Second, "give the chunk of a worker that is silent for so long to another")
	f.IntVar(&o.tries, "tries", 5, "set a chunk aside after `N` failures")
	f.StringVar(&o.operations, "operations", "", "serve the queue's state to Prometheus at `HOST:PORT`, nowhere if empty")
	_ = cmd.MarkFlagRequired("queue")
	return cmd
}

func runWork(cmd *cobra.Command, o *workOptions) error {
	collectLess()
	if o.queue == embeddedQueue {
		return &exit{exitUsage, errors.New("an embedded queue is served by its own batch; name a URL")}
	}
	conn, err := queue.Connect(o.queue)
	if err != nil {
		return &exit{exitAway, err}
	}
	defer conn.Close()
	log := slog.New(slog.NewTextHandler(cmd.ErrOrStderr(), nil))
	return o.answer(cmd, func(ctx context.Context, a answering) error {
		q, err := queue.Open(ctx, conn, queue.Options{Replicas: o.replicas, AckWait: o.ackWait, Deliveries: o.tries, Rules: a.rules, Log: log})
		if err != nil {
			return &exit{exitAway, err}
		}
		stop, err := serveQueueState(o.operations, q, log)
		if err != nil {
			return &exit{exitUsage, err}
		}
		defer stop()
		if o.atOnce <= 0 {
			o.atOnce = 2 * a.hands
		}
		log.Info("working", "queue", o.queue, "at once", o.atOnce, "rules", a.rules)
		return queue.Work(ctx, q, a, o.atOnce, log)
	})
}

// serveQueueState serves metrics of a queue, and returns what ends it.
func serveQueueState(address string, q *queue.Queue, log *slog.Logger) (stop func(), err error) {
	if address == "" {
		return func() {}, nil
	}
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("the queue's state cannot be served at %s: %w", address, err)
	}
	registry := prometheus.NewRegistry()
	registry.MustRegister(queue.NewCollector(q))
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(registry, promhttp.HandlerOpts{}))
	s := &http.Server{Handler: mux, ReadHeaderTimeout: 5 * time.Second}
	go func() {
		if err := s.Serve(l); !errors.Is(err, http.ErrServerClosed) {
			log.Error("the queue's state is no longer served", "error", err)
		}
	}()
	return func() { _ = s.Close() }, nil
}

// batchRun runs a batch by a processor that answers by some rules.
type batchRun func(ctx context.Context, processor batch.Processor, rules string) error

// runQueue runs a batch over a queue: one that somebody serves, or one within this
// program, whose chunks its own packs answer.
func runQueue(cmd *cobra.Command, o *batchOptions, run batchRun) error {
	if o.inFlight <= 0 {
		o.inFlight = max(8, 4*runtime.GOMAXPROCS(0))
	}
	if o.queue == embeddedQueue {
		return runEmbedded(cmd, o, run)
	}
	conn, err := queue.Connect(o.queue)
	if err != nil {
		return &exit{exitAway, err}
	}
	defer conn.Close()
	rules, err := o.rules(cmd)
	if err != nil {
		return err
	}
	log := slog.New(slog.NewTextHandler(cmd.ErrOrStderr(), nil))
	q, err := queue.Open(cmd.Context(), conn, queue.Options{Replicas: o.replicas, Rules: rules, Log: log})
	if err != nil {
		return &exit{exitAway, err}
	}
	return askQueue(cmd.Context(), q, jobName(o), rules, run)
}

// rules names the rules by which workers are to answer: those of the service that is
// named, or of this program.
func (o *batchOptions) rules(cmd *cobra.Command) (rules string, err error) {
	if o.server == "" {
		if rules, err = ownRules(); err != nil {
			return "", &exit{exitBroke, err}
		}
		return rules, nil
	}
	err = o.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) (err error) {
		rules, err = rulesOf(ctx, conn)
		return err
	})
	return rules, err
}

// embeddedBytes bounds each stream of an embedded queue: the chunks on their way are
// a few megabytes, and the server sets the room aside.
const embeddedBytes = 64 << 20

// endWithDisk ends a run whose queue has no room left on its disk: the server would
// go on trying for ever.
func endWithDisk(ctx context.Context, e *queue.Embedded, stop func()) {
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for {
		select {
		case <-tick.C:
			if e.DiskFull() {
				stop()
				return
			}
		case <-ctx.Done():
			return
		}
	}
}

// embeddedAckWait is how long a chunk of an embedded queue stays in hand in silence:
// whoever took it ends with the queue, and the next run should not wait long for it.
const embeddedAckWait = 5 * time.Second

// embeddedPatience is how long an embedded queue may be away: it never comes back.
const embeddedPatience = 5 * time.Second

func runEmbedded(cmd *cobra.Command, o *batchOptions, run batchRun) error {
	folder := o.output + ".queue"
	e, err := queue.StartEmbedded(folder)
	if err != nil {
		return &exit{exitBroke, err}
	}
	err = o.answer(cmd, func(ctx context.Context, a answering) error {
		log := slog.New(slog.NewTextHandler(quietUnless(o.verbose, cmd.ErrOrStderr()), nil))
		q, err := queue.Open(ctx, e.Conn(), queue.Options{Rules: a.rules, Bytes: embeddedBytes, Patience: embeddedPatience, AckWait: embeddedAckWait, Log: log})
		if err != nil {
			return &exit{exitBroke, fmt.Errorf("%s: %w", folder, err)}
		}
		ctx, stop := context.WithCancel(ctx)
		go endWithDisk(ctx, e, stop)
		worked := make(chan error, 1)
		go func() { worked <- queue.Work(ctx, q, a, 2*a.hands, log) }()
		err = askQueue(ctx, q, jobName(o), a.rules, run)
		stop()
		return errors.Join(err, <-worked)
	})
	e.Stop()
	if err != nil && e.DiskFull() {
		return &exit{exitBroke, fmt.Errorf("there is no room left for the queue in %s; make some and run the same command again, it goes on where it stopped: %s", folder, e.Trouble())}
	}
	if trouble := e.Trouble(); err != nil && trouble != "" {
		return &exit{exitBroke, fmt.Errorf("%w\nThe queue in %s said: %s", err, folder, trouble)}
	}
	// Until the output is whole, the next run goes on with what lies in the queue.
	if err == nil {
		if err := os.RemoveAll(folder); err != nil {
			return &exit{exitBroke, fmt.Errorf("%s is of no more use and cannot be removed: %w", folder, err)}
		}
	}
	return err
}

func askQueue(ctx context.Context, q *queue.Queue, job, rules string, run batchRun) error {
	a, err := queue.NewAsker(ctx, q, job)
	if err != nil {
		return &exit{exitAway, err}
	}
	defer a.Close()
	return run(ctx, a, rules)
}

// jobName is the same for every run of the same output of the same command.
func jobName(o *batchOptions) string {
	output, err := filepath.Abs(o.output)
	if err != nil {
		output = o.output
	}
	host, _ := os.Hostname()
	h := sha256.New()
	fmt.Fprintf(h, "%q %q %q %q %t %q %q", host, output, o.detail, strings.Join(o.cross, ","), o.parts, o.policy, o.packs)
	return hex.EncodeToString(h.Sum(nil))[:16]
}

func quietUnless(verbose bool, w io.Writer) io.Writer {
	if verbose {
		return w
	}
	return io.Discard
}
