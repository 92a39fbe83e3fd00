package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

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
	queue    string
	atOnce   int
	replicas int
	ackWait  time.Duration
	tries    int
}

func workCommand() *cobra.Command {
	o := &workOptions{}
	cmd := &cobra.Command{
		Use:   "work --queue URL",
		Short: "Answer chunks of batches from a queue until told to stop",
		Long: `Take chunks of batches from a NATS JetStream queue and answer them, by the packs
within this program or by a service, until SIGINT or SIGTERM. Chunks that are under
way then go back to the queue. Any number of workers may share a queue.`,
		Example: "  slipfit work --queue nats://queue-1:4222,nats://queue-2:4222 --replicas 3",
		Args:    cobra.NoArgs,
		RunE:    func(cmd *cobra.Command, _ []string) error { return runWork(cmd, o) },
	}
	o.flags(cmd)
	f := cmd.Flags()
	f.StringVar(&o.queue, "queue", "", "take chunks from the NATS servers at `URL` (required)")
	f.IntVar(&o.atOnce, "at-once", 4, "answer `N` chunks at once")
	f.IntVar(&o.replicas, "replicas", 1, "keep the queue's streams on `N` servers")
	f.DurationVar(&o.ackWait, "ack-wait", 30*time.Second, "give the chunk of a worker that is silent for so long to another")
	f.IntVar(&o.tries, "tries", 5, "set a chunk aside after `N` failures")
	_ = cmd.MarkFlagRequired("queue")
	return cmd
}

func (o *workOptions) queueOptions() queue.Options {
	return queue.Options{Replicas: o.replicas, AckWait: o.ackWait, Deliveries: o.tries}
}

func runWork(cmd *cobra.Command, o *workOptions) error {
	if o.queue == embeddedQueue {
		return &exit{exitUsage, errors.New("an embedded queue is served by its own batch; name a URL")}
	}
	conn, err := queue.Connect(o.queue)
	if err != nil {
		return &exit{exitAway, err}
	}
	defer conn.Close()
	return o.with(cmd, func(ctx context.Context, service *grpc.ClientConn) error {
		q, err := queue.Open(ctx, conn, o.queueOptions())
		if err != nil {
			return &exit{exitAway, err}
		}
		log := slog.New(slog.NewTextHandler(cmd.ErrOrStderr(), nil))
		log.Info("working", "queue", o.queue, "at once", o.atOnce)
		return queue.Work(ctx, q, batch.NewService(service, "", nil), o.atOnce, log)
	})
}

// runQueue runs a batch over a queue: one that somebody serves, or one within this
// program, whose chunks its own packs answer.
func runQueue(cmd *cobra.Command, o *batchOptions, run func(context.Context, batch.Processor, string) error) error {
	job := jobName(o)
	if o.queue != embeddedQueue {
		conn, err := queue.Connect(o.queue)
		if err != nil {
			return &exit{exitAway, err}
		}
		defer conn.Close()
		q, err := queue.Open(cmd.Context(), conn, queue.Options{Replicas: o.replicas})
		if err != nil {
			return &exit{exitAway, err}
		}
		return askQueue(cmd.Context(), q, job, run)
	}
	folder := o.output + ".queue"
	e, err := queue.StartEmbedded(folder)
	if err != nil {
		return &exit{exitBroke, err}
	}
	err = o.with(cmd, func(ctx context.Context, service *grpc.ClientConn) error {
		q, err := queue.Open(ctx, e.Conn(), queue.Options{})
		if err != nil {
			return err
		}
		ctx, stop := context.WithCancel(ctx)
		worked := make(chan error, 1)
		log := slog.New(slog.NewTextHandler(quietUnless(o.verbose, cmd.ErrOrStderr()), nil))
		go func() { worked <- queue.Work(ctx, q, batch.NewService(service, "", nil), o.inFlight, log) }()
		err = askQueue(ctx, q, job, run)
		stop()
		return errors.Join(err, <-worked)
	})
	e.Stop()
	// Until the output is whole, the next run goes on with what lies in the queue.
	if err == nil {
		if err := os.RemoveAll(folder); err != nil {
			return &exit{exitBroke, fmt.Errorf("%s is of no more use and cannot be removed: %w", folder, err)}
		}
	}
	return err
}

func askQueue(ctx context.Context, q *queue.Queue, job string, run func(context.Context, batch.Processor, string) error) error {
	a, err := queue.NewAsker(ctx, q, job)
	if err != nil {
		return &exit{exitAway, err}
	}
	defer a.Close()
	return run(ctx, a, "")
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
