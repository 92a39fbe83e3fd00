package packs

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"
)

// Pack is one pack, whichever process of it lives. Its methods may be called at once
// from several goroutines.
type Pack struct {
	name string

	mu       sync.Mutex
	live     *Instance
	spare    *Instance
	version  string
	restarts int
	lastErr  error
	nextTry  time.Time // of a pack that waits for its next start
	givenUp  bool
	since    time.Time
	changed  chan struct{} // closed and replaced with every change
	settled  chan struct{} // closed after the first start, well or not
}

// Status is how a pack is.
type Status struct {
	Name string
	// Version of the process that serves, or served last. Empty: none ever did.
	Version string
	// Serving tells that Instance gives an instance.
	Serving bool
	// Spare tells that another process is ready to take over.
	Spare bool
	// PID of the process that serves, zero if none lives.
	PID int
	// Restarts counts the processes that took over from an earlier one.
	Restarts int
	// LastError is why the pack does not serve, or why it did not last. Nil: it never
	// failed.
	LastError error
	// Since is when Serving or the process last changed.
	Since time.Time
	// GivenUpUntil is when a pack that failed too often in a row is tried again. Zero:
	// it is not given up.
	GivenUpUntil time.Time
}

func newPack(name string) *Pack {
	return &Pack{
		name: name, since: time.Now(),
		lastErr: errors.New("it has not started yet"),
		changed: make(chan struct{}),
		settled: make(chan struct{}),
	}
}

// Name is the name from the Launch.
func (p *Pack) Name() string { return p.name }

// Instance is the process that serves now. The error says why there is none, and what
// will happen.
func (p *Pack) Instance() (*Instance, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.live == nil {
		return nil, fmt.Errorf("the pack %q does not serve%s: %w", p.name, p.outlook(), p.lastErr)
	}
	if err := p.live.Err(); err != nil {
		return nil, fmt.Errorf("the pack %q does not serve: %w", p.name, err)
	}
	if serving, _ := p.live.isServing(); !serving {
		return nil, fmt.Errorf("the pack %q does not serve: %w", p.name, errNotServing)
	}
	return p.live, nil
}

// outlook says when a pack that is down is tried again.
func (p *Pack) outlook() string {
	at := p.nextTry.Format(time.TimeOnly)
	switch {
	case p.givenUp:
		return " and is given up until " + at
	case p.nextTry.After(time.Now()):
		return " and is started again at " + at
	}
	return ""
}

// Await waits for an instance. The error joins the context's with why there was
// none.
func (p *Pack) Await(ctx context.Context) (*Instance, error) {
	for {
		changed := p.Changed()
		i, err := p.Instance()
		if err == nil {
			return i, nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return nil, errors.Join(ctx.Err(), err)
		}
	}
}

// Changed is closed when Instance may give another answer than now. Take it before
// asking for the instance.
func (p *Pack) Changed() <-chan struct{} {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.changed
}

// Recycle kills the process that lives now and has another take over. A caller that
// holds an instance does better with that instance's own Recycle, since another may
// have taken over already.
func (p *Pack) Recycle(reason error) {
	p.mu.Lock()
	live := p.live
	p.mu.Unlock()
	if live != nil {
		live.Recycle(reason)
	}
}

// Status tells how the pack is.
func (p *Pack) Status() Status {
	p.mu.Lock()
	defer p.mu.Unlock()
	s := Status{
		Name: p.name, Version: p.version, Restarts: p.restarts,
		LastError: p.lastErr, Since: p.since, Spare: p.spare != nil,
	}
	if p.live != nil {
		s.PID = p.live.PID()
		serving, _ := p.live.isServing()
		ended := p.live.Err()
		s.Serving = serving && ended == nil
		switch {
		case ended != nil:
			s.LastError = ended
		case !serving:
			s.LastError = errNotServing
		}
	}
	if p.givenUp {
		s.GivenUpUntil = p.nextTry
	}
	return s
}

// update changes the pack and wakes those who wait for a change.
func (p *Pack) update(change func()) {
	p.mu.Lock()
	defer p.mu.Unlock()
	change()
	close(p.changed)
	p.changed = make(chan struct{})
}

// settle marks the first start as over.
func (p *Pack) settle() {
	select {
	case <-p.settled:
	default:
		close(p.settled)
	}
}
