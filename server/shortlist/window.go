package shortlist

import (
	"container/heap"
	"context"
	"sync"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/pipeline"
)

// WindowEntries is how many candidates are held at once. More make better use of
// bounds, and take more memory.
const WindowEntries = 2048

// How many candidates are looked at together, and how many such looks are open at
// once. What is solved for travels in small lots: while they are on their way, others
// may turn out the better ones.
const (
	glanceLot = 128
	solveLot  = 8
	openLooks = 4
)

// Window judges some more candidates, as far as the list wants. The entries are the
// list's from then on. The error is the context's, or Decline's.
func (l *List) Window(ctx context.Context, entries []Entry) error {
	if l.Decline == nil {
		l.terse.Do(l.Slate.BeTerse)
	}
	w := &window{list: l}
	w.turn = sync.NewCond(&l.mu)
	l.mu.Lock()
	for _, e := range entries {
		if err := w.add(e); err != nil {
			l.mu.Unlock()
			return err
		}
	}
	l.mu.Unlock()
	heap.Init(&w.queue)
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	defer context.AfterFunc(ctx, func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		w.turn.Broadcast()
	})()
	var workers sync.WaitGroup
	for range openLooks {
		workers.Go(func() {
			if err := w.work(ctx); err != nil {
				cancel(err)
			}
		})
	}
	workers.Wait()
	return context.Cause(ctx)
}

// window is candidates of which some look may still be needed. All of it is guarded by
// the list's lock.
type window struct {
	list  *List
	turn  *sync.Cond
	queue queue
	open  int // looks that are under way
}

func (w *window) add(e Entry) error {
	l := w.list
	l.counts.candidates++
	if e.Refusal != nil {
		return l.refuse(&e)
	}
	if l.currency == "" {
		l.currency = e.Price.GetCurrency()
	}
	c := &contender{entry: e, Candidate: pipeline.NewCandidate(e.Part)}
	l.bound(c)
	w.queue = append(w.queue, c)
	return nil
}

// work takes lots through their next step until nothing is left.
func (w *window) work(ctx context.Context) error {
	for {
		lot := w.take(ctx)
		if len(lot) == 0 {
			return context.Cause(ctx)
		}
		err := w.look(ctx, lot)
		if err == nil {
			err = w.settle(lot)
		}
		w.list.mu.Lock()
		w.open--
		w.turn.Broadcast()
		w.list.mu.Unlock()
		if err != nil {
			return err
		}
	}
}

// take returns the next lot, those with the best bounds that stand at one step; none
// when all is done.
func (w *window) take(ctx context.Context) []*contender {
	l := w.list
	l.mu.Lock()
	defer l.mu.Unlock()
	for ctx.Err() == nil {
		if len(w.queue) > 0 && l.hopeless(w.queue[0]) {
			l.counts.setAside += uint64(len(w.queue))
			w.queue = nil
		}
		if len(w.queue) > 0 {
			w.open++
			return w.lot()
		}
		if w.open == 0 {
			w.turn.Broadcast()
			return nil
		}
		w.turn.Wait()
	}
	return nil
}

func (w *window) lot() []*contender {
	step, most := w.queue[0].step, solveLot
	if step == 0 {
		most = glanceLot
	}
	var lot []*contender
	for len(w.queue) > 0 && w.queue[0].step == step && len(lot) < most {
		lot = append(lot, heap.Pop(&w.queue).(*contender))
	}
	return lot
}

func (w *window) look(ctx context.Context, lot []*contender) error {
	if enter := w.list.Enter; enter != nil {
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
	return w.list.Slate.Look(ctx, lot[0].step, candidates)
}

// settle says of each in a lot whether it is out, done, or goes on.
func (w *window) settle(lot []*contender) error {
	l := w.list
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, c := range lot {
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
			heap.Push(&w.queue, c)
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
	if err := l.Window(ctx, entries); err != nil {
		return nil, err
	}
	for _, c := range l.Fitting() {
		out[at[c.GetPlace()]] = c
	}
	return out, nil
}
