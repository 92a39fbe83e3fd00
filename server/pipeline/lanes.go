package pipeline

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// Add takes another pack in, or another version of one, for the checks that begin
// from now on. It fails, and leaves everything as it was, where the packs cannot
// work together.
func (p *Pipeline) Add(source Source) error {
	_, err := p.Exchange(nil, []Source{source})
	return err
}

// Replace puts one pack in the place of another at once: no check meets both or
// neither. The old one answers what has begun with it; when Replace returns nil, it
// is no longer needed.
func (p *Pipeline) Replace(ctx context.Context, old, fresh Source) error {
	left, err := p.Exchange([]Source{old}, []Source{fresh})
	if err != nil {
		return err
	}
	return left(ctx)
}

// Remove withdraws a pack from the checks that begin from now on, and returns when
// none needs it any more.
func (p *Pipeline) Remove(ctx context.Context, source Source) error {
	left, err := p.Exchange([]Source{source}, nil)
	if err != nil {
		return err
	}
	return left(ctx)
}

// Exchange takes packs out and others in, in one step: every check meets all of the
// change or nothing of it. It fails, and leaves everything as it was, where the packs
// cannot work together then. Those taken out answer what has begun with them: left
// returns when none is needed any more, or with an error when its context ends.
func (p *Pipeline) Exchange(out, in []Source) (left func(context.Context) error, err error) {
	gone, err := p.swap(out, in)
	if err != nil {
		return nil, err
	}
	// Whoever loaded the old roster has counted itself in by the time that the lock
	// is free of readers.
	p.entering.Lock()
	//lint:ignore SA2001 waiting for the readers is all that is wanted
	p.entering.Unlock()
	return func(ctx context.Context) error {
		var errs []error
		for _, l := range gone {
			errs = append(errs, l.end(ctx))
		}
		return errors.Join(errs...)
	}, nil
}

// end waits until no check needs the lane, and ends it.
func (l *lane) end(ctx context.Context) error {
	tick := time.NewTicker(2 * time.Millisecond)
	defer tick.Stop()
	for l.users.Load() > 0 {
		select {
		case <-tick.C:
		case <-ctx.Done():
			l.stop()
			return fmt.Errorf("checks still waited for the withdrawn pack %s: %w", l.source.Name(), context.Cause(ctx))
		}
	}
	l.stop()
	l.running.Wait()
	return nil
}

// swap changes the list of lanes and the roster, or neither.
func (p *Pipeline) swap(out, in []Source) (gone []*lane, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.ctx.Err() != nil {
		return nil, errors.New("the service is stopping")
	}
	before := p.lanes
	lanes := slices.Clone(before)
	for _, old := range out {
		place := slices.IndexFunc(lanes, func(l *lane) bool { return l.source == old })
		if place < 0 {
			return nil, fmt.Errorf("pack %s is not in the pipeline", old.Name())
		}
		gone = append(gone, lanes[place])
		lanes = slices.Delete(lanes, place, place+1)
	}
	fresh := make([]*lane, len(in))
	for i, source := range in {
		fresh[i] = newLane(source, p.options.Timeout, p.options.Patience)
	}
	p.lanes = append(lanes, fresh...)
	if err := p.renew(); err != nil {
		p.lanes = before
		return nil, err
	}
	for _, l := range fresh {
		p.begin(l)
	}
	return gone, nil
}

// begin starts what attends to a lane.
func (p *Pipeline) begin(l *lane) {
	ctx, stop := context.WithCancel(p.ctx)
	l.stop = stop
	if l.resident != nil {
		return
	}
	l.running.Go(func() { l.serve(ctx) })
	l.running.Go(func() { p.follow(ctx, l) })
}

// follow makes a new roster whenever a pack comes back as another version.
func (p *Pipeline) follow(ctx context.Context, l *lane) {
	for {
		changed := l.source.Changed()
		// A set of packs that cannot work together leaves the serving one untouched.
		_ = p.refresh()
		l.nudge()
		select {
		case <-changed:
		case <-ctx.Done():
			return
		}
	}
}

// refresh makes the roster anew where a pack says something new of itself.
func (p *Pipeline) refresh() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.current.Load() != nil && !p.learn() {
		return nil
	}
	return p.renew()
}

// learn asks every pack what it is. A pack that is away keeps what it said.
func (p *Pipeline) learn() (news bool) {
	for _, l := range p.lanes {
		instance, _, err := l.source.Instance()
		if err != nil {
			continue
		}
		if d := instance.Describe(); l.known == nil || l.known.GetVersion() != d.GetVersion() {
			l.know(d)
			news = true
		}
	}
	return news
}

// know keeps what a pack says of itself.
func (l *lane) know(d *packv1.DescribeResponse) {
	l.known, l.rules = d, nil
	for _, r := range d.GetRules() {
		l.rules = append(l.rules, r.GetId())
	}
}

// renew makes the roster from what is known; p.mu is held.
func (p *Pipeline) renew() error {
	p.learn()
	fresh, err := newRoster(p.lanes, p.options.Versions)
	if err != nil {
		return err
	}
	p.current.Store(fresh)
	return nil
}

// PackState is one version of a pack in the pipeline.
type PackState struct {
	// Source is the pack.
	Source Source
	// Description is what it said of itself; nil: it never came up.
	Description *packv1.DescribeResponse
	// Chosen tells that it answers checks that pin no version.
	Chosen bool
}

// Packs are all packs by name, the versions of each from the newest.
func (p *Pipeline) Packs() (out []PackState) {
	r := p.current.Load()
	for _, name := range r.names {
		chosen := r.find(name).lane
		for _, m := range r.members[name] {
			out = append(out, PackState{Source: m.lane.source, Description: m.description, Chosen: m.lane == chosen})
		}
	}
	return out
}

// Depths returns how many tasks wait for and travel with each pack.
func (p *Pipeline) Depths(visit func(source Source, queued, inFlight int)) {
	p.mu.Lock()
	lanes := slices.Clone(p.lanes)
	p.mu.Unlock()
	for _, l := range lanes {
		queued, inFlight := l.depth()
		visit(l.source, queued, inFlight)
	}
}
