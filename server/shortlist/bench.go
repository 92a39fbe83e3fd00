package shortlist

import (
	"container/heap"
	"context"
	"errors"
	"io"
	"math"
	"slices"
	"sync"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/pipeline"
)

// How many candidates are held at once, how many bytes of them, and of facts about them
// that further looks want. More make better use of bounds, and take more memory.
const (
	heldEntries = 1 << 14
	heldBytes   = 16 << 20
	heldFacts   = 32 << 20
)

// How many candidates are looked at together, and how many such looks are open at
// once. What is solved for travels in small lots: while they are on their way, others
// may turn out the better ones.
const (
	glanceLot = 128
	solveLot  = 8
	openLooks = 4
)

// Next gives one candidate after the other, then io.EOF. What it gives is the list's. It
// ends with the context, although candidates may still come.
type Next func(context.Context) (Entry, error)

// Judge judges candidates as they come, as far as the list wants. Those of which nothing
// is known are glanced at at once; solving begins when all are there, or as many as are
// held. The error is that of next, the context's, or Decline's.
func (l *List) Judge(ctx context.Context, next Next) error {
	if l.Decline == nil {
		l.Slate.BeTerse()
	}
	l.Slate.Bound(l.bounds())
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	b := &bench{list: l, queues: make([]queue, l.Slate.Steps())}
	b.turn = sync.NewCond(&l.mu)
	defer context.AfterFunc(ctx, func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		b.turn.Broadcast()
	})()
	var workers sync.WaitGroup
	for range openLooks {
		workers.Go(func() {
			if err := b.work(ctx); err != nil {
				cancel(err)
			}
		})
	}
	if err := b.fill(ctx, next); err != nil {
		cancel(err)
	}
	workers.Wait()
	return context.Cause(ctx)
}

// bench is where candidates wait of which some look may still be needed. All of it is
// guarded by the list's lock.
type bench struct {
	list   *List
	turn   *sync.Cond
	queues []queue // by the step that comes next
	open   int     // looks that are under way
	held   int     // candidates in the queues and in looks
	bytes  int     // of their parts
	facts  int     // bytes of facts about them
	last   bool
}

// fill puts candidates on the bench as they come, and waits while it is full.
func (b *bench) fill(ctx context.Context, next Next) error {
	l := b.list
	for {
		e, err := next(ctx)
		l.mu.Lock()
		switch {
		case errors.Is(err, io.EOF):
			b.last, err = true, nil
		case err == nil:
			for b.full() && ctx.Err() == nil {
				b.turn.Wait()
			}
			if err = context.Cause(ctx); err == nil {
				err = b.add(e)
			}
		}
		last := b.last
		if last || b.ready() {
			b.turn.Broadcast()
		}
		l.mu.Unlock()
		if err != nil || last {
			return err
		}
	}
}

func (b *bench) full() bool { return b.held >= heldEntries || b.bytes >= heldBytes }

func (b *bench) add(e Entry) error {
	l := b.list
	l.counts.candidates++
	if e.Refusal != nil {
		return l.refuse(&e)
	}
	if l.currency == "" {
		l.currency = e.Price.GetCurrency()
	}
	c := &contender{entry: e, Candidate: pipeline.NewCandidate(e.Part)}
	l.bound(c)
	b.keep(c)
	return nil
}

// keep lets a contender wait for its next look, unless there is no use in it.
func (b *bench) keep(c *contender) {
	if b.list.hopeless(c) {
		b.list.counts.setAside++
		return
	}
	c.holds = c.Holds()
	b.held++
	b.bytes += len(c.entry.Part)
	b.facts += c.holds
	heap.Push(&b.queues[c.step], c)
}

// work takes lots through their next step until nothing is left.
func (b *bench) work(ctx context.Context) error {
	for {
		lot := b.take(ctx)
		if len(lot) == 0 {
			return context.Cause(ctx)
		}
		err := b.look(ctx, lot)
		if err == nil {
			err = b.settle(lot)
		}
		b.list.mu.Lock()
		b.open--
		b.turn.Broadcast()
		b.list.mu.Unlock()
		if err != nil {
			return err
		}
	}
}

// take returns the next lot, those with the best bounds that stand at one step; none
// when all is done.
func (b *bench) take(ctx context.Context) []*contender {
	l := b.list
	l.mu.Lock()
	defer l.mu.Unlock()
	for ctx.Err() == nil {
		best := b.best()
		if best >= 0 && l.hopeless(b.queues[best][0]) {
			b.clear()
			best = -1
		}
		switch {
		case best >= 0 && (b.last || b.ready()):
			b.open++
			return b.lot(best)
		case b.last && b.open == 0:
			b.turn.Broadcast()
			return nil
		}
		b.turn.Wait()
	}
	return nil
}

// best is the step at which the candidate with the best bound waits, -1 for none.
func (b *bench) best() int {
	best := -1
	for step, q := range b.queues {
		if len(q) > 0 && (best < 0 || before(q[0], b.queues[best][0]) < 0) {
			best = step
		}
	}
	return best
}

// deep tells that whoever has come farthest goes first: where all are judged to the end
// anyway, or facts take too much memory.
func (b *bench) deep() bool { return b.list.Decline != nil || b.facts >= heldFacts }

// ready tells that there is no use in waiting for more candidates: no more are held, or
// there are enough for a lot of which nothing is known, so that looking at them now takes
// nothing away from better ones. Where all are judged to the end anyway, any lot will do.
func (b *bench) ready() bool {
	first := b.queues[0]
	enough := len(first) >= glanceLot
	if b.list.Decline != nil {
		return b.full() || enough || slices.ContainsFunc(b.queues[1:], func(q queue) bool { return len(q) > 0 })
	}
	return b.full() || enough && math.IsInf(first[0].key, 1)
}

// clear sets everything aside that waits.
func (b *bench) clear() {
	for step, q := range b.queues {
		b.list.counts.setAside += uint64(len(q))
		for _, c := range q {
			b.release(c)
		}
		b.queues[step] = nil
	}
	b.turn.Broadcast()
}

func (b *bench) release(c *contender) {
	b.held--
	b.bytes -= len(c.entry.Part)
	b.facts -= c.holds
}

// lot takes those that wait for the step of the best candidate, as long as they are the
// best, or for the farthest step.
func (b *bench) lot(step int) []*contender {
	deep := b.deep()
	for later := len(b.queues) - 1; deep && later > step; later-- {
		if len(b.queues[later]) > 0 {
			step = later
		}
	}
	most := solveLot
	if step == 0 {
		most = glanceLot
	}
	var lot []*contender
	for len(b.queues[step]) > 0 && len(lot) < most && (deep || b.best() == step) {
		lot = append(lot, heap.Pop(&b.queues[step]).(*contender))
	}
	return lot
}

func (b *bench) look(ctx context.Context, lot []*contender) error {
	if enter := b.list.Enter; enter != nil {
		leave, err := enter(ctx)
		if err != nil {
			return err
		}
		defer leave()
	}
	candidates := make([]*pipeline.Candidate, len(lot))
	for i, c := range lot {
		candidates[i] = &c.Candidate
	}
	return b.list.Slate.Look(ctx, lot[0].step, candidates)
}

// settle says of each in a lot whether it is out, done, or goes on.
func (b *bench) settle(lot []*contender) error {
	l := b.list
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, c := range lot {
		b.release(c)
		c.step++
		l.bound(c)
		switch {
		case c.Decided():
			if err := l.decline(c); err != nil {
				return err
			}
		case c.step == l.Slate.Steps():
			l.accept(c)
		default:
			b.keep(c)
		}
	}
	return nil
}

// queue is contenders by their bounds, the best on top.
type queue []*contender

func (q queue) Len() int           { return len(q) }
func (q queue) Less(i, j int) bool { return before(q[i], q[j]) < 0 }
func (q queue) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }

// Push adds a contender.
func (q *queue) Push(x any) { *q = append(*q, x.(*contender)) }

// Pop takes the last one out.
func (q *queue) Pop() any {
	old := *q
	c := old[len(old)-1]
	old[len(old)-1] = nil
	*q = old[:len(old)-1]
	return c
}

// Settle takes candidates through every step until each is decided, whatever the
// others are. The error is the context's.
func Settle(ctx context.Context, slate *pipeline.Slate, entries []Entry, enter func(context.Context) (func(), error)) ([]*v1.Candidate, error) {
	out := make([]*v1.Candidate, len(entries))
	at := make(map[uint64]int, len(entries))
	for i := range entries {
		at[entries[i].Place] = i
	}
	l := &List{Slate: slate, Most: max(1, len(entries)), Enter: enter, Decline: func(c *v1.Candidate) error {
		out[at[c.GetPlace()]] = c
		return nil
	}}
	if err := l.Judge(ctx, Each(entries)); err != nil {
		return nil, err
	}
	for _, c := range l.Fitting() {
		out[at[c.GetPlace()]] = c
	}
	return out, nil
}

// Each gives entries that are all there.
func Each(entries []Entry) Next {
	next := 0
	return func(context.Context) (Entry, error) {
		if next == len(entries) {
			return Entry{}, io.EOF
		}
		next++
		return entries[next-1], nil
	}
}
