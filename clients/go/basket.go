package slipfit

import (
	"context"
	"sync"
	"time"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Basket follows a basket that changes: it asks for its newest state, and not before
// it has been still for a moment. What was asked for an older state is given up.
type Basket struct {
	client *Client
	quiet  time.Duration
	show   func(check *v1.CheckRequest, answer *v1.CheckResponse, err error)
	life   context.Context
	end    context.CancelFunc

	mu      sync.Mutex
	state   uint64 // how often the basket has changed
	giveUp  context.CancelFunc
	asking  sync.WaitGroup
	showing sync.Mutex // held while show is called
}

// Basket makes an empty basket. Show is called with the answer for a state or with the
// error, one call at a time, only for a state that is still the newest, and never after
// Close; it must call neither Ask nor Close. Quiet is how long the basket has to be still
// before it is asked for; zero asks at once.
func (c *Client) Basket(ctx context.Context, quiet time.Duration, show func(check *v1.CheckRequest, answer *v1.CheckResponse, err error)) *Basket {
	life, end := context.WithCancel(ctx)
	return &Basket{client: c, quiet: quiet, show: show, life: life, end: end, giveUp: func() {}}
}

// Ask says what the basket holds now. The check must stay as it is.
func (b *Basket) Ask(check *v1.CheckRequest) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.giveUp()
	if b.life.Err() != nil {
		return
	}
	b.state++
	state := b.state
	ctx, cancel := context.WithCancel(b.life)
	b.giveUp = cancel
	b.asking.Go(func() {
		defer cancel()
		b.answer(ctx, state, check)
	})
}

// answer waits until the basket is still, asks, and shows the answer.
func (b *Basket) answer(ctx context.Context, state uint64, check *v1.CheckRequest) {
	if b.quiet > 0 {
		timer := time.NewTimer(b.quiet)
		defer timer.Stop()
		select {
		case <-timer.C:
		case <-ctx.Done():
			return
		}
	}
	answer, err := b.client.Check(ctx, check)
	b.showing.Lock()
	defer b.showing.Unlock()
	b.mu.Lock()
	newest := b.state == state && ctx.Err() == nil
	b.mu.Unlock()
	if newest {
		b.show(check, answer, err)
	}
}

// Close gives up what is on its way, and waits for it.
func (b *Basket) Close() {
	b.mu.Lock()
	b.end()
	b.mu.Unlock()
	b.asking.Wait()
}
