package queue

import (
	"context"
	"errors"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// looksBeforeRenewal is how often in a row a worker that has nothing to do must see
// chunks wait, and none be delivered, before it takes the consumer for stuck.
const looksBeforeRenewal = 3

// attend looks after the consumer: one that is gone is made again, and so is one that
// delivers nothing while chunks wait and workers ask, as a server was known to leave
// it when as many chunks as may be in hand belonged to workers that are no more.
// Chunks in somebody's hand are delivered again then; their answers are taken once.
func (w *worker) attend(ctx context.Context) {
	tick := time.NewTicker(w.queue.options.attend)
	defer tick.Stop()
	var last uint64
	seen := 0
	for {
		select {
		case <-tick.C:
		case <-ctx.Done():
			return
		}
		delivered, stuck, err := w.look(ctx)
		switch {
		case errors.Is(err, jetstream.ErrConsumerNotFound):
			w.renew(ctx, "it was gone")
			seen = 0
		case err != nil || !stuck || delivered != last:
			seen = 0
		default:
			seen++
		}
		last = delivered
		if seen >= looksBeforeRenewal {
			seen = 0
			if err := w.queue.chunks.DeleteConsumer(ctx, workers+w.queue.options.Rules); err == nil {
				w.renew(ctx, "chunks waited and it delivered none")
			}
		}
	}
}

// look tells how much the consumer has delivered, and whether chunks wait although
// this worker has nothing to do.
func (w *worker) look(ctx context.Context) (delivered uint64, stuck bool, err error) {
	ctx, cancel := context.WithTimeout(ctx, 3*time.Second)
	defer cancel()
	info, err := w.pull().Info(ctx)
	if err != nil {
		return 0, false, err
	}
	return info.Delivered.Consumer, info.NumPending > 0 && w.inHand.Load() == 0, nil
}

// renew makes the consumer again.
func (w *worker) renew(ctx context.Context, why string) {
	c, err := w.queue.consumer(ctx)
	if err != nil {
		w.log.Error("the consumer of the queue cannot be made again", "error", err)
		return
	}
	w.consumer.Store(&c)
	w.log.Warn("the consumer of the queue was made again", "reason", why)
}
