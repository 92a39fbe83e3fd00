package packs

import (
	"context"
	"errors"
	"log/slog"
	"slices"
	"sync"
	"time"
)

// keeper keeps one pack alive. All its state belongs to one goroutine.
type keeper struct {
	pack    *Pack
	starter *starter
	pacer   *pacer
	options Options
	log     *slog.Logger

	live, spare *Instance
	leaving     []*Instance     // done, and perhaps not gone yet
	health      <-chan struct{} // of live, closed when it changes
	served      bool            // ever
	starting    bool
	started     chan startResult
	began       time.Time
	stopped     error
	counts      bool               // among the supervisor's packs; guarded by its lock
	leave       context.CancelFunc // has keep return
	gone        chan struct{}      // closed when nothing of the pack is left
}

type startResult struct {
	instance *Instance
	err      error
}

// keep runs until the context ends.
func (k *keeper) keep(ctx context.Context) {
	for ctx.Err() == nil {
		next := k.startIfDue(ctx)
		k.await(ctx, next)
	}
}

// startIfDue begins a start if one is wanted and due. Else it gives the timer of the
// next, or nil if none is wanted.
func (k *keeper) startIfDue(ctx context.Context) <-chan time.Time {
	wanted := k.live == nil || (k.options.Spare && k.spare == nil)
	if !wanted || k.starting {
		return nil
	}
	if wait := k.pacer.until(time.Now()); wait > 0 {
		return time.After(wait)
	}
	k.starting, k.began = true, time.Now()
	go func() {
		i, err := k.starter.start(ctx)
		k.started <- startResult{i, err}
	}()
	return nil
}

// await handles the next thing that happens.
func (k *keeper) await(ctx context.Context, next <-chan time.Time) {
	select {
	case r := <-k.started:
		k.starting = false
		k.take(ctx, r)
	case <-doneOf(k.live):
		k.lose()
	case <-doneOf(k.spare):
		k.loseSpare()
	case <-k.health:
		_, k.health = k.live.isServing()
		k.pack.update(func() { k.pack.since = time.Now() })
	case <-next:
	case <-ctx.Done():
	}
}

// doneOf is nil, and so never ready, without an instance.
func doneOf(i *Instance) <-chan struct{} {
	if i == nil {
		return nil
	}
	return i.Done()
}

// take puts a started instance to use, or notes why there is none.
func (k *keeper) take(ctx context.Context, r startResult) {
	if r.err != nil {
		if ctx.Err() == nil {
			k.fail(r.err, 0)
		}
		k.pack.settle()
		return
	}
	spare := k.live != nil
	if hook := k.options.Hooks.OnStart; hook != nil {
		hook(k.pack.name, r.instance.describe.GetVersion(), time.Since(k.began), spare)
	}
	if spare {
		k.spare = r.instance
		k.pack.update(func() { k.pack.spare = r.instance })
		return
	}
	k.promote(r.instance)
}

// promote makes an instance the one that serves.
func (k *keeper) promote(i *Instance) {
	k.live = i
	// Taken before the instance is given out, so that no change goes untold.
	_, k.health = i.isServing()
	restarted := k.served
	k.served = true
	k.pack.update(func() {
		p := k.pack
		p.live, p.spare, p.since = i, nil, time.Now()
		p.version = i.describe.GetVersion()
		p.nextTry, p.givenUp = time.Time{}, false
		if restarted {
			p.restarts++
		} else if k.pacer.failures == 0 {
			p.lastErr = nil
		}
	})
	k.pack.settle()
	k.log.Info("the pack serves", "version", i.describe.GetVersion(), "pid", i.PID())
	if hook := k.options.Hooks.OnRestart; hook != nil && restarted {
		hook(k.pack.name, k.pack.Status().Restarts)
	}
}

// lose notes the end of the instance that served and lets the spare take over.
func (k *keeper) lose() {
	lost, spare := k.live, k.spare
	k.live, k.spare, k.health = nil, nil, nil
	k.pack.update(func() { k.pack.live, k.pack.since = nil, time.Now() })
	k.exited(lost)
	if spare != nil {
		k.promote(spare)
	}
}

func (k *keeper) loseSpare() {
	lost := k.spare
	k.spare = nil
	k.pack.update(func() { k.pack.spare = nil })
	k.exited(lost)
}

func (k *keeper) exited(i *Instance) {
	k.leaving = append(slices.DeleteFunc(k.leaving, (*Instance).isGone), i)
	lived := max(time.Since(i.ready), 1)
	if hook := k.options.Hooks.OnExit; hook != nil {
		hook(k.pack.name, i.Err(), lived)
	}
	k.fail(i.Err(), lived)
}

// fail notes a failure and when the next start is due.
func (k *keeper) fail(reason error, lived time.Duration) {
	k.pacer.failed(time.Now(), lived)
	k.pack.update(func() {
		k.pack.lastErr = reason
		k.pack.nextTry, k.pack.givenUp = k.pacer.next, k.pacer.givenUp
	})
	attrs := []any{"error", reason, "failures", k.pacer.failures}
	if until := k.pacer.givenUpUntil(); !until.IsZero() {
		attrs = append(attrs, "given_up_until", until)
	}
	k.log.Warn("the pack failed", attrs...)
}

// stop ends what runs, in parallel. Afterwards no process of the pack is left, or
// stopped says which. The end of grace has it kill at once.
func (k *keeper) stop(grace context.Context) {
	if k.starting {
		// The start's context is that of the keeper: it ends by itself.
		if r := <-k.started; k.live == nil {
			k.live = r.instance
		} else {
			k.spare = r.instance
		}
	}
	k.pack.update(func() {
		p := k.pack
		p.live, p.spare, p.since, p.lastErr = nil, nil, time.Now(), errStopped
		p.nextTry, p.givenUp = time.Time{}, false
	})
	k.pack.settle()
	leaving := k.leaving
	for _, i := range []*Instance{k.live, k.spare} {
		if i != nil {
			leaving = append(leaving, i)
		}
	}
	errs := make([]error, len(leaving))
	var stopping sync.WaitGroup
	for n, i := range leaving {
		stopping.Go(func() { errs[n] = i.stop(grace, k.options.StopGrace) })
	}
	stopping.Wait()
	k.starter.close()
	k.stopped = errors.Join(errs...)
}
