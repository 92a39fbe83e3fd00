// Package pipeline takes checks through packs: as a graph over the facts that they
// need and provide, in parallel where it can, in batches where checks wait. It
// forwards the document's bytes as they came and puts the answer together from the
// packs' bytes.
package pipeline

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// Options set a pipeline's patience and its ears.
type Options struct {
	// Timeout is how long one pack may take for one check, from queue to answer.
	// Zero: two seconds.
	Timeout time.Duration
	// Patience is how long a check waits for a pack that is being started again.
	// Zero: half a second.
	Patience time.Duration
	// Watch is told what became of each check. May be nil.
	Watch Watch
}

// Watch is told what became of checks, for metrics. Calls must not block.
type Watch interface {
	// Judged is told the four counts of each rule of a pack: PASS, MARGINAL,
	// UNKNOWN, FAIL. Neither slice may be kept.
	Judged(pack string, rules []string, counts []uint32)
	// Silent is told that a pack gave no answer, and the kind of failure.
	Silent(pack, kind string)
}

// Pipeline is safe for use by several goroutines.
type Pipeline struct {
	lanes   []*lane
	options Options
	current atomic.Pointer[ruleset]
	known   map[string]*packv1.DescribeResponse
	mu      sync.Mutex
	stop    context.CancelFunc
	running sync.WaitGroup
}

// Start begins to take checks through the packs of the sources. It fails where
// the packs that serve already cannot work together.
func Start(sources []Source, options Options) (*Pipeline, error) {
	if options.Timeout <= 0 {
		options.Timeout = 2 * time.Second
	}
	if options.Patience <= 0 {
		options.Patience = time.Second / 2
	}
	ctx, stop := context.WithCancel(context.Background())
	p := &Pipeline{options: options, known: map[string]*packv1.DescribeResponse{}, stop: stop}
	for _, s := range sources {
		p.lanes = append(p.lanes, newLane(s, options.Timeout, options.Patience))
	}
	if err := p.refresh(); err != nil {
		stop()
		return nil, err
	}
	for _, l := range p.lanes {
		p.running.Add(2)
		go func() {
			defer p.running.Done()
			l.serve(ctx)
		}()
		go func() {
			defer p.running.Done()
			p.follow(ctx, l)
		}()
	}
	return p, nil
}

// Stop ends all conversations. Checks that still wait are answered UNKNOWN.
func (p *Pipeline) Stop() {
	p.stop()
	p.running.Wait()
}

// follow makes a new ruleset whenever a pack comes back as another version.
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

// refresh makes the ruleset anew from what the packs say of themselves. A pack
// that is away keeps the description it had.
func (p *Pipeline) refresh() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	fresh := p.current.Load() == nil
	packs := make([]*rulesetPack, 0, len(p.lanes))
	for _, l := range p.lanes {
		name := l.source.Name()
		if instance, _, err := l.source.Instance(); err == nil {
			if d := instance.Describe(); p.known[name].GetVersion() != d.GetVersion() || p.known[name] == nil {
				p.known[name] = d
				fresh = true
			}
		}
		d := p.known[name]
		pack := &rulesetPack{name: name, version: d.GetVersion(), description: d, lane: l}
		for _, r := range d.GetRules() {
			pack.rules = append(pack.rules, r.GetId())
		}
		packs = append(packs, pack)
	}
	if !fresh {
		return nil
	}
	rs, err := newRuleset(packs)
	if err != nil {
		return err
	}
	p.current.Store(rs)
	return nil
}

// Violation is one thing in a request that the ruleset cannot follow.
type Violation struct{ Path, Reason string }

// RefusedError says what in a request the ruleset cannot follow.
type RefusedError struct{ Violations []Violation }

// Error names the first violation.
func (e *RefusedError) Error() string {
	if len(e.Violations) == 0 {
		return "the request is refused"
	}
	return e.Violations[0].Path + ": " + e.Violations[0].Reason
}

// Pending is a check on its way.
type Pending struct{ run *run }

// Abandon says that nobody waits for the answer any more.
func (p Pending) Abandon() { p.run.gone.Store(true) }

// Submit takes a validated, encoded CheckRequest through the packs and calls done
// once with the encoded CheckResponse, on a goroutine of the pipeline; done must
// not block. The bytes must stay as they are until then. An error, always a
// *RefusedError or one about unreadable bytes, means that done is not called.
func (p *Pipeline) Submit(check []byte, done func(answer []byte)) (Pending, error) {
	e, err := openEnvelope(check)
	if err != nil {
		return Pending{}, err
	}
	rs := p.current.Load()
	if refused := rs.refuse(e); len(refused) > 0 {
		return Pending{}, &RefusedError{refused}
	}
	r := newRun(rs, check, e, func(r *run) {
		p.report(r)
		done(r.answer())
	})
	r.start()
	return Pending{r}, nil
}

// Check is Submit for a caller that waits. The error is the context's, or Submit's.
func (p *Pipeline) Check(ctx context.Context, check []byte) ([]byte, error) {
	answers := make(chan []byte, 1)
	pending, err := p.Submit(check, func(answer []byte) { answers <- answer })
	if err != nil {
		return nil, err
	}
	select {
	case answer := <-answers:
		return answer, nil
	case <-ctx.Done():
		pending.Abandon()
		return nil, context.Cause(ctx)
	}
}

func (p *Pipeline) report(r *run) {
	if p.options.Watch == nil || r.abandoned() {
		return
	}
	for i := range r.outcomes {
		o, pack := &r.outcomes[i], r.ruleset.packs[i]
		switch {
		case !r.asks(i):
		case o.failure != nil:
			p.options.Watch.Silent(pack.name, string(o.failure.kind))
		default:
			p.options.Watch.Judged(pack.name, pack.rules, o.counts)
		}
	}
}

// Ruleset describes what answers when a request pins nothing and sets no policy.
func (p *Pipeline) Ruleset() *v1.Ruleset {
	rs := p.current.Load()
	return rs.message(rs.digest, rs.ordinary, nil)
}

// Rule returns the description of a rule. The error names the nearest that exists.
func (p *Pipeline) Rule(id string) (*v1.Rule, error) {
	rs := p.current.Load()
	if r, ok := rs.rules[id]; ok {
		return r, nil
	}
	return nil, fmt.Errorf("no rule is called %q%s", id, suggestion(id, keys(rs.rules)))
}

// Described returns what each pack said of itself, by name; nil for a pack that
// never came up.
func (p *Pipeline) Described() map[string]*packv1.DescribeResponse {
	out := map[string]*packv1.DescribeResponse{}
	for _, pack := range p.current.Load().packs {
		out[pack.name] = pack.description
	}
	return out
}

// Depths returns how many tasks wait for and travel with each pack.
func (p *Pipeline) Depths(visit func(pack string, queued, inFlight int)) {
	for _, l := range p.lanes {
		queued, inFlight := l.depth()
		visit(l.source.Name(), queued, inFlight)
	}
}

// ErrRefused matches every *RefusedError in errors.Is.
var ErrRefused = errors.New("the request is refused")

// Is makes errors.Is(err, ErrRefused) true.
func (e *RefusedError) Is(target error) bool { return target == ErrRefused }

func keys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
