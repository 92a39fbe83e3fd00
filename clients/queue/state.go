package queue

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// State is what lies in a queue. Waiting, InHand and Workers are those of the queue's
// own rules, the others those of all.
type State struct {
	// Waiting are chunks that no worker has taken, InHand those that one has.
	Waiting, InHand uint64
	// Workers are requests for chunks that wait: at least one for each idle worker.
	Workers int
	// Oldest is the age of the oldest chunk that has no answer; 0 where there is none.
	Oldest time.Duration
	// Unread are answers that the asking machine has not written yet.
	Unread uint64
	// Aside are chunks that no worker could answer.
	Aside uint64
}

// State asks the servers.
func (q *Queue) State(ctx context.Context) (s State, err error) {
	chunks, err := q.chunks.Info(ctx)
	if err != nil {
		return s, fmt.Errorf("the queue does not tell its state: %w", err)
	}
	if chunks.State.Msgs > 0 {
		s.Oldest = max(0, time.Since(chunks.State.FirstTime))
	}
	for stream, n := range map[jetstream.Stream]*uint64{q.answers: &s.Unread, q.aside: &s.Aside} {
		info, err := stream.Info(ctx)
		if err != nil {
			return s, fmt.Errorf("the queue does not tell its state: %w", err)
		}
		*n = info.State.Msgs
	}
	c, err := q.chunks.Consumer(ctx, workers+q.options.Rules)
	if err != nil {
		return s, fmt.Errorf("the queue does not tell its state: %w", err)
	}
	info := c.CachedInfo() // fetched just now
	s.Waiting, s.InHand, s.Workers = info.NumPending, uint64(info.NumAckPending), info.NumWaiting
	return s, nil
}

// others are the rules, beside the queue's own, by which somebody has worked.
func (q *Queue) others(ctx context.Context) (rules []string) {
	names := q.chunks.ConsumerNames(ctx)
	for name := range names.Name() {
		if of, ok := strings.CutPrefix(name, workers); ok && of != q.options.Rules {
			rules = append(rules, of)
		}
	}
	return rules
}

// idleness is how long nobody has worked on what waits.
type idleness struct {
	mu    sync.Mutex
	since time.Time
	last  State // what lay there then
	told  time.Time
}

// Patience with chunks that nobody takes, before an operator is told, and again.
const (
	idleBefore = 15 * time.Second
	idleAgain  = 5 * time.Minute
)

// tellIdle tells an operator when chunks wait and no worker of their rules is there.
func (a *Asker) tellIdle(ctx context.Context) {
	if !a.idle.mu.TryLock() {
		return
	}
	defer a.idle.mu.Unlock()
	ctx, cancel := context.WithTimeout(ctx, 3*time.Second)
	defer cancel()
	s, err := a.queue.State(ctx)
	if err != nil || s.Waiting+s.InHand == 0 || s.Workers > 0 {
		a.idle.since = time.Time{}
		return
	}
	now := time.Now()
	if a.idle.since.IsZero() || s.Waiting != a.idle.last.Waiting || s.InHand != a.idle.last.InHand || s.Unread != a.idle.last.Unread {
		a.idle.since, a.idle.last = now, s
	}
	patience := min(idleBefore, 2*a.looking)
	if s.InHand > 0 {
		// Whoever has them may be busy, or be no more: nobody is there to get them then.
		patience += 2 * a.queue.options.AckWait
	}
	if now.Sub(a.idle.since) < patience || !a.idle.told.IsZero() && now.Sub(a.idle.told) < idleAgain {
		return
	}
	a.idle.told = now
	message := "chunks wait and nobody works on them; start `slipfit work` with this version of the program"
	if s.InHand > 0 {
		message = "no chunk has been taken or answered for a while; do workers still run? Start `slipfit work` with this version of the program"
	}
	if others := a.queue.others(ctx); len(others) > 0 {
		a.queue.options.Log.Warn(message+": workers that answer by other rules do not get them", "rules", a.queue.options.Rules, "waiting", s.Waiting, "in hand", s.InHand, "other rules", strings.Join(others, " "))
		return
	}
	a.queue.options.Log.Warn(message, "rules", a.queue.options.Rules, "waiting", s.Waiting, "in hand", s.InHand)
}
