package pipeline

import (
	"context"
	"fmt"
	"slices"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/policy"
)

// Baseline is a build without the parts that are sought, taken through the packs once:
// the ruleset that candidates are judged by, and what stands without any.
type Baseline struct {
	pipeline *Pipeline
	run      *run
	standing []standing // by pack
	steps    []step
}

// standing is what comes to UNKNOWN or FAIL without a candidate: as entries of the
// pack's findings, and decoded.
type standing struct {
	entries  [][]byte
	findings []*v1.Finding
}

// step is a set of packs that look at a candidate at the same time.
type step struct {
	look  packv1.Look
	packs []int
}

// ForecastFact is the fact that tells the sound of a build, where a pack works it out.
const ForecastFact = "thermal.forecast"

// Baseline takes a build without the parts that are sought through the packs. The
// items that are sought are there, with empty parts. The caller closes what it gets.
// The error is a *RefusedError where the ruleset cannot follow the request, or the
// context's.
func (p *Pipeline) Baseline(ctx context.Context, lower policy.Values, request *v1.CheckRequest) (*Baseline, error) {
	check, err := request.MarshalVT()
	if err != nil {
		return nil, fmt.Errorf("the build around the candidates cannot be encoded: %w", err)
	}
	e, err := openEnvelope(check)
	if err != nil {
		return nil, err
	}
	p.entering.RLock()
	rs, refused := p.follows(&e, lower)
	if len(refused) > 0 {
		p.entering.RUnlock()
		return nil, &RefusedError{refused}
	}
	settled := make(chan struct{})
	r := newRun(rs, append(check, e.added...), e, func(*run) { close(settled) })
	r.enter()
	p.entering.RUnlock()
	r.start()
	select {
	case <-settled:
	case <-ctx.Done():
		r.gone.Store(true)
		go func() {
			<-settled
			r.leave()
		}()
		return nil, context.Cause(ctx)
	}
	b := &Baseline{pipeline: p, run: r}
	b.keepStanding()
	b.plan()
	return b, nil
}

// Close says that no candidate follows. A baseline holds on to the versions of packs
// that it began with until then.
func (b *Baseline) Close() { b.run.leave() }

// keepStanding keeps what comes to UNKNOWN or FAIL already.
func (b *Baseline) keepStanding() {
	b.standing = make([]standing, len(b.run.outcomes))
	for i := range b.run.outcomes {
		for entry, f := range entriesOf(b.run.outcomes[i].findings) {
			if f.GetVerdict() >= v1.Verdict_VERDICT_UNKNOWN {
				s := &b.standing[i]
				s.entries, s.findings = append(s.entries, entry), append(s.findings, f)
			}
		}
	}
}

// mayLack tells that a fact may be lacking: nobody works it out, or who does comes to FAIL
// already.
func (b *Baseline) mayLack(fact string) bool {
	from, ok := b.run.ruleset.provider[fact]
	return !ok || !b.run.asks(from) ||
		slices.ContainsFunc(b.standing[from].findings, func(f *v1.Finding) bool { return f.GetVerdict() == v1.Verdict_VERDICT_FAIL })
}

// plan puts the packs into steps: first those with rules that judge alone, then all
// by the facts that they wait for.
func (b *Baseline) plan() {
	rs := b.run.ruleset
	level := make([]int, len(rs.packs))
	deepest := 0
	for range rs.packs { // longest ways take at most as many rounds as there are packs
		for i, p := range rs.packs {
			for _, from := range p.providers {
				if b.run.asks(from) {
					level[i] = max(level[i], level[from]+1)
					deepest = max(deepest, level[i])
				}
			}
		}
	}
	b.steps = make([]step, deepest+2)
	b.steps[0].look = packv1.Look_LOOK_ALONE
	for i, p := range rs.packs {
		if !b.run.asks(i) {
			continue
		}
		if p.takes(plug.Alone) {
			b.steps[0].packs = append(b.steps[0].packs, i)
		}
		at := &b.steps[level[i]+1]
		at.packs = append(at.packs, i)
	}
}

// takes reports whether a pack takes a form of the protocol.
func (p *rulesetPack) takes(form string) bool {
	capabilities := p.description.GetCapabilities()
	return slices.Contains(capabilities, form) && slices.Contains(capabilities, plug.Candidates)
}

// Ruleset describes what answers.
func (b *Baseline) Ruleset() *v1.Ruleset {
	r := b.run
	counts := func(pack int) bool { return r.ruleset.ordinary(pack) || r.asks(pack) }
	digest := r.ruleset.digestWith(r.envelope.policy, r.envelope.house, counts)
	return r.ruleset.message(digest, counts, func(pack int) bool { return r.asks(pack) && r.outcomes[pack].failure == nil })
}

// Forecasts tells whether a pack of the ruleset works the forecast out.
func (b *Baseline) Forecasts() bool {
	i, ok := b.run.ruleset.provider[ForecastFact]
	return ok && b.run.asks(i)
}
