package slipfit

import (
	"context"
	"math/rand/v2"
	"sync"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Pauses between attempts: up to twice as long each time, at random below that, so
// that clients which failed together do not come back together.
const (
	firstPause   = 50 * time.Millisecond
	longestPause = 2 * time.Second
)

// call makes a call within its time, and makes it again where that is safe and of use.
func call[T any](ctx context.Context, c *Client, once func(context.Context) (T, error)) (answer T, err error) {
	if _, bounded := ctx.Deadline(); !bounded {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, c.options.Timeout)
		defer cancel()
	}
	ctx = c.as(ctx)
	pause := firstPause
	for attempt := 1; ; attempt++ {
		if answer, err = once(ctx); err == nil {
			c.budget.earn()
			return answer, nil
		}
		least, again := retryable(err)
		if !again || attempt >= c.options.Attempts || !c.budget.spend() {
			return answer, err
		}
		if !sleep(ctx, least+rand.N(pause)) {
			return answer, err
		}
		pause = min(2*pause, longestPause)
	}
}

// retryable tells whether a call that failed may be made again, and how long to wait
// at least: the service was not there, or it said when to come again.
func retryable(err error) (least time.Duration, again bool) {
	st := status.Convert(err)
	for _, detail := range st.Details() {
		if retry, ok := detail.(*errdetails.RetryInfo); ok {
			least, again = min(max(retry.GetRetryDelay().AsDuration(), 0), longestPause), true
		}
	}
	switch st.Code() {
	case codes.Unavailable:
		return least, true
	case codes.ResourceExhausted:
		return least, again
	}
	return 0, false
}

// sleep waits, and reports false where ctx ends before that.
func sleep(ctx context.Context, d time.Duration) bool {
	if deadline, ok := ctx.Deadline(); ok && time.Until(deadline) <= d {
		return false
	}
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return true
	case <-ctx.Done():
		return false
	}
}

// budget keeps all calls together from asking a service again and again that answers
// nobody: each repetition costs one token, each answer earns a tenth of one.
type budget struct {
	mu     *sync.Mutex
	tokens *float64
}

const (
	fullBudget = 10
	earned     = 0.1
)

func newBudget() budget {
	tokens := float64(fullBudget)
	return budget{new(sync.Mutex), &tokens}
}

func (b budget) earn() {
	b.mu.Lock()
	defer b.mu.Unlock()
	*b.tokens = min(*b.tokens+earned, fullBudget)
}

func (b budget) spend() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if *b.tokens < 1 {
		return false
	}
	*b.tokens--
	return true
}

// Refused gives the violations of an error that says that a document is not good, nil
// where it is another. The service tells the first of them.
func Refused(err error) (violations []*v1.Violation) {
	st, ok := status.FromError(err)
	if !ok || st.Code() != codes.InvalidArgument {
		return nil
	}
	for _, detail := range st.Details() {
		if bad, ok := detail.(*errdetails.BadRequest); ok {
			for _, v := range bad.GetFieldViolations() {
				violations = append(violations, &v1.Violation{Path: &v.Field, Reason: &v.Description})
			}
		}
	}
	return violations
}
