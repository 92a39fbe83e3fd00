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

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/policy"
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
	// InlineHouse lets requests bring house rules of their own.
	InlineHouse bool
	// Versions are the versions, or ranges of versions, that answer by default instead
	// of the newest release, by pack. Packs that are not there do not count.
	Versions map[string]string
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
	options  Options
	current  atomic.Pointer[roster]
	entering sync.RWMutex // read from loading current until the check has counted itself in
	ctx      context.Context
	stop     context.CancelFunc

	mu    sync.Mutex
	lanes []*lane
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
	p := &Pipeline{options: options}
	p.ctx, p.stop = context.WithCancel(context.Background())
	for _, s := range sources {
		p.lanes = append(p.lanes, newLane(s, options.Timeout, options.Patience))
	}
	if err := p.refresh(); err != nil {
		p.stop()
		return nil, err
	}
	for _, l := range p.lanes {
		p.begin(l)
	}
	return p, nil
}

// Stop ends all conversations. Checks that still wait are answered UNKNOWN.
func (p *Pipeline) Stop() {
	p.stop()
	p.mu.Lock()
	lanes := p.lanes
	p.mu.Unlock()
	for _, l := range lanes {
		l.running.Wait()
	}
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
	return p.SubmitOver(nil, check, done)
}

// SubmitOver is Submit for an asker with a policy of its own, over which the
// request's is laid.
func (p *Pipeline) SubmitOver(lower policy.Values, check []byte, done func(answer []byte)) (Pending, error) {
	e, err := openEnvelope(check)
	if err != nil {
		return Pending{}, err
	}
	p.entering.RLock()
	rs, refused := p.follows(&e, lower)
	if len(refused) > 0 {
		p.entering.RUnlock()
		return Pending{}, &RefusedError{refused}
	}
	r := newRun(rs, append(check[:len(check):len(check)], e.added...), e, func(r *run) {
		p.report(r)
		done(r.answer())
		r.leave()
	})
	r.enter()
	p.entering.RUnlock()
	r.start()
	return Pending{r}, nil
}

// follows finds the ruleset that a request asks for, and lays its policy over the
// lower one.
func (p *Pipeline) follows(e *envelope, lower policy.Values) (*ruleset, []Violation) {
	r := p.current.Load()
	chosen, refused := r.choose(e.packs)
	if len(refused) > 0 {
		return nil, append(refused, r.main.refuse(*e)...)
	}
	rs, err := r.rulesetOf(chosen)
	if err != nil {
		return nil, []Violation{{"packs", err.Error()}}
	}
	refused = rs.refuse(*e)
	refused = append(refused, p.refuseHouse(e, rs)...)
	if len(lower) > 0 {
		refused = append(refused, rs.layOver(e, lower)...)
	}
	rs.wantFacts(e)
	return rs, refused
}

// Vet says what in a request the ruleset cannot follow, as Submit would. The build
// may be left out.
func (p *Pipeline) Vet(check []byte) error {
	e, err := openEnvelope(check)
	if err != nil {
		return err
	}
	if _, refused := p.follows(&e, nil); len(refused) > 0 {
		return &RefusedError{refused}
	}
	return nil
}

// Provided are those of some facts that the packs which a request asks for work
// out, in the order given. It fails where Vet does.
func (p *Pipeline) Provided(check []byte, facts []string) (provided []string, err error) {
	e, err := openEnvelope(check)
	if err != nil {
		return nil, err
	}
	rs, refused := p.follows(&e, nil)
	if len(refused) > 0 {
		return nil, &RefusedError{refused}
	}
	for _, fact := range facts {
		if _, known := rs.provider[fact]; known {
			provided = append(provided, fact)
		}
	}
	return provided, nil
}

// VetPolicy says what in a policy of the service's own the packs that serve cannot
// follow.
func (p *Pipeline) VetPolicy(values policy.Values) error {
	rs := p.current.Load().main
	if refused := rs.refuse(envelope{policy: values}); len(refused) > 0 {
		return errors.New(refused[0].Reason)
	}
	return nil
}

// Check is Submit for a caller that waits. The error is the context's, or Submit's.
func (p *Pipeline) Check(ctx context.Context, check []byte) ([]byte, error) {
	return p.CheckOver(ctx, nil, check)
}

// CheckOver is SubmitOver for a caller that waits.
func (p *Pipeline) CheckOver(ctx context.Context, lower policy.Values, check []byte) ([]byte, error) {
	answers := make(chan []byte, 1)
	pending, err := p.SubmitOver(lower, check, func(answer []byte) { answers <- answer })
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
	rs := p.current.Load().main
	return rs.message(rs.digest, rs.ordinary, nil)
}

// Rule returns the description of a rule as the default versions have it. The
// error names the nearest that exists.
func (p *Pipeline) Rule(id string) (*v1.Rule, error) {
	rs := p.current.Load().main
	if r, ok := rs.rules[id]; ok {
		return r, nil
	}
	return nil, fmt.Errorf("no rule is called %q%s", id, suggestion(id, keys(rs.rules)))
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
