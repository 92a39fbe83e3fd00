// Package crew answers chunks of a batch by processes of this program, one for each
// processor, each with all packs in it. A chunk goes to such a hand whole and comes
// back line by line, so that a check costs little beside its rules, and what takes a
// process down is still kept apart from the batch: a hand that dies or hangs has left
// a line without an answer. That line is asked once more where every pack is a
// process of its own, which answers what the other packs say; it is named; and the
// rest goes on with another hand.
package crew

import (
	"context"
	"fmt"
	"log/slog"
	"runtime"
	"sync"
	"time"

	"slipfit.example/clients/batch"
)

// Options say how a crew works.
type Options struct {
	// Command starts a hand: a program that calls Serve over its standard input and
	// output.
	Command []string
	// Env is added to the environment of hands.
	Env []string
	// Hands is how many there are. Zero: one for each processor.
	Hands int
	// Patience is how long a hand may be silent over a line. Zero: 5 s.
	Patience time.Duration
	// Apart gives, once, what answers lines that a hand did not, and what ends it.
	Apart func(context.Context) (batch.Processor, func(), error)
	// Log is told of lines that a hand did not answer. Nil: slog.Default.
	Log *slog.Logger
}

// deathsOfChunk is how many hands may die over one chunk before what is left of it
// is asked apart.
const deathsOfChunk = 16

// Crew is a batch.Processor.
type Crew struct {
	options Options
	seats   chan *hand // nil: to be started

	mu        sync.Mutex
	apart     batch.Processor
	stopApart func()
}

// New makes a crew; hands are started when they are needed.
func New(o Options) *Crew {
	if o.Hands <= 0 {
		o.Hands = runtime.GOMAXPROCS(0)
	}
	if o.Patience <= 0 {
		o.Patience = 5 * time.Second
	}
	if o.Log == nil {
		o.Log = slog.Default()
	}
	c := &Crew{options: o, seats: make(chan *hand, o.Hands)}
	for range o.Hands {
		c.seats <- nil
	}
	return c
}

// Hands is how many chunks are answered at once.
func (c *Crew) Hands() int { return c.options.Hands }

// Rules names the rules by which the crew answers, as its hands do.
func (c *Crew) Rules(ctx context.Context) (string, error) {
	h, err := c.take(ctx)
	if err != nil {
		return "", err
	}
	defer c.leave(h)
	return h.rules, nil
}

// Close ends all hands once their chunks are done.
func (c *Crew) Close() {
	for range c.options.Hands {
		if h := <-c.seats; h != nil {
			h.stop()
		}
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.stopApart != nil {
		c.stopApart()
	}
}

// take takes a hand that is free; leave gives it back, nil for one that has ended.
func (c *Crew) take(ctx context.Context) (*hand, error) {
	select {
	case h := <-c.seats:
		if h != nil {
			return h, nil
		}
		h, err := startHand(&c.options)
		if err != nil {
			c.leave(nil)
			return nil, fmt.Errorf("a process that answers lines cannot be started (%s): %w", c.options.Command[0], err)
		}
		return h, nil
	case <-ctx.Done():
		return nil, context.Cause(ctx)
	}
}

func (c *Crew) leave(h *hand) { c.seats <- h }

// Process answers one chunk. The error is about the crew, never about a line.
func (c *Crew) Process(ctx context.Context, chunk *batch.Chunk) (batch.Answer, error) {
	w := &working{crew: c, chunk: chunk, answers: batch.NewAnswers(chunk), unsure: map[int]bool{}}
	for deaths := 0; ; deaths++ {
		open := w.open()
		if len(open) == 0 {
			break
		}
		if deaths == deathsOfChunk {
			w.giveUp(open)
			break
		}
		if err := w.byHand(ctx, open); err != nil {
			return batch.Answer{}, err
		}
	}
	if err := w.byOthers(ctx); err != nil {
		return batch.Answer{}, err
	}
	return w.answers.Answer()
}

// working is one chunk on its way.
type working struct {
	crew    *Crew
	chunk   *batch.Chunk
	answers *batch.Answers
	unsure  map[int]bool // places that are to be asked apart
	careful bool
}

// open gives the places that a hand has to answer yet.
func (w *working) open() (places []int) {
	for _, i := range w.answers.Open() {
		if !w.unsure[i] {
			places = append(places, i)
		}
	}
	return places
}

// byHand has a hand answer what is open. One that ends is asked again, and tells of
// every line then; so the second one's end tells over which line it was.
func (w *working) byHand(ctx context.Context, open []int) error {
	h, err := w.crew.take(ctx)
	if err != nil {
		return err
	}
	ended := h.answer(ctx, w.part(open), w.careful, func(k int, output []byte, o batch.Outcome) error {
		if k < 0 || k >= len(open) {
			return fmt.Errorf("it answered place %d of %d", k, len(open))
		}
		if o == batch.Unsure {
			w.unsure[open[k]] = true
			return nil
		}
		return w.answers.Set(open[k], output, o)
	})
	if ended == nil {
		w.crew.leave(h)
		return nil
	}
	w.crew.leave(nil)
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	left := w.open()
	if !w.careful || len(left) == 0 {
		w.careful = true
		return nil
	}
	w.careful = false
	w.unsure[left[0]] = true
	w.crew.options.Log.Warn("a line ended the process that answered it, and is asked again with every pack in a process of its own",
		"line", w.chunk.Lines[left[0]].Number, "reason", ended)
	return nil
}

// giveUp leaves the rest of a chunk to be asked apart.
func (w *working) giveUp(open []int) {
	for _, i := range open {
		w.unsure[i] = true
	}
	w.crew.options.Log.Warn("too many processes ended over these lines; what is left of them is asked with every pack in a process of its own",
		"first line", w.chunk.Lines[open[0]].Number, "lines", len(open))
}

// part is a chunk of some of the lines.
func (w *working) part(places []int) *batch.Chunk {
	c := &batch.Chunk{ID: w.chunk.ID, Job: w.chunk.Job, Binary: w.chunk.Binary, Lines: make([]batch.Line, len(places))}
	for k, i := range places {
		c.Lines[k] = w.chunk.Lines[i]
	}
	return c
}

// byOthers has the unsure lines answered apart.
func (w *working) byOthers(ctx context.Context) error {
	places := w.answers.Open()
	if len(places) == 0 {
		return nil
	}
	processor, err := w.crew.others(ctx)
	if err != nil {
		return fmt.Errorf("line %d cannot be asked with every pack in a process of its own: %w", w.chunk.Lines[places[0]].Number, err)
	}
	answer, err := processor.Process(ctx, w.part(places))
	if err != nil {
		return err
	}
	return w.answers.SetAll(places, answer)
}

// others starts what answers lines apart, once.
func (c *Crew) others(ctx context.Context) (batch.Processor, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.apart == nil {
		processor, stop, err := c.options.Apart(context.WithoutCancel(ctx))
		if err != nil {
			return nil, err
		}
		c.apart, c.stopApart = processor, stop
	}
	return c.apart, nil
}
