package packs

import (
	"context"
	"errors"
	"fmt"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/status"

	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// missesOfAHang is how many probes in a row must go unanswered: one alone can be a
// busy machine.
const missesOfAHang = 2

// health is what the last probe said.
type health struct {
	serving bool
	changed chan struct{} // closed and replaced when serving changes
}

// isServing tells what the last probe said; wait is closed when that changes.
func (i *Instance) isServing() (serving bool, wait <-chan struct{}) {
	i.mu.Lock()
	defer i.mu.Unlock()
	return i.health.serving, i.health.changed
}

func (i *Instance) setServing(serving bool) {
	i.mu.Lock()
	defer i.mu.Unlock()
	if i.health.serving != serving {
		i.health.serving = serving
		close(i.health.changed)
		i.health.changed = make(chan struct{})
	}
}

// probeForever asks from the introduction on until the instance is gone. It recycles
// a pack that does not answer twice in a row, or that says for longer than the
// patience that it does not serve.
func (i *Instance) probeForever() {
	select {
	case <-i.introduced:
	case <-i.ctx.Done():
		return
	}
	misses := 0
	var refusingSince time.Time
	for {
		serving, err := i.ask()
		switch {
		case i.ctx.Err() != nil:
			return
		case err != nil:
			if misses++; misses >= missesOfAHang {
				i.Recycle(fmt.Errorf("it did not answer %d health probes: %w", misses, err))
				return
			}
			continue
		case serving:
			misses, refusingSince = 0, time.Time{}
		case refusingSince.IsZero():
			misses, refusingSince = 0, time.Now()
		case time.Since(refusingSince) > i.probe.Patience:
			i.Recycle(fmt.Errorf("it said for %v that it does not serve", i.probe.Patience))
			return
		}
		i.setServing(serving)
		if !sleep(i.ctx, i.probe.Period) {
			return
		}
	}
}

// ask asks once whether the pack serves. An error means that it did not answer in
// time. A pack that does not know the service, or health at all, did answer.
func (i *Instance) ask() (serving bool, err error) {
	ctx, cancel := context.WithTimeoutCause(i.ctx, i.probe.Timeout,
		fmt.Errorf("no answer within %v", i.probe.Timeout))
	defer cancel()
	r, err := grpc_health_v1.NewHealthClient(i.conn).Check(ctx,
		&grpc_health_v1.HealthCheckRequest{Service: plug.HealthService})
	switch status.Code(err) {
	case codes.OK:
		return r.GetStatus() == grpc_health_v1.HealthCheckResponse_SERVING, nil
	case codes.NotFound, codes.Unimplemented:
		return true, nil
	default:
		// An error that comes at once is often the end of the process, which says
		// more about itself in a moment.
		<-ctx.Done()
		if status.Code(err) == codes.DeadlineExceeded {
			err = context.Cause(ctx)
		}
		return false, err
	}
}

// sleep waits, and tells whether it waited to the end.
func sleep(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return true
	case <-ctx.Done():
		return false
	}
}

var errNotServing = errors.New("it says that it does not serve at the moment")
