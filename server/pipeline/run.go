package pipeline

import (
	"sync/atomic"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// run is one check on its way through the packs. It has no goroutine of its own:
// whoever settles a pack's task starts the packs that waited for it, and whoever
// settles the last calls done.
type run struct {
	ruleset  *ruleset
	envelope envelope
	check    []byte
	asked    []bool // nil: every pack
	tasks    []task
	outcomes []outcome
	waiting  []atomic.Int32 // providers that have not settled, by pack
	open     atomic.Int32   // packs that have not settled
	gone     atomic.Bool    // nobody waits for the answer
	done     func(*run)
}

func newRun(rs *ruleset, check []byte, e envelope, done func(*run)) *run {
	n := len(rs.packs)
	r := &run{
		ruleset: rs, envelope: e, check: check, done: done,
		tasks: make([]task, n), outcomes: make([]outcome, n), waiting: make([]atomic.Int32, n),
	}
	if len(e.packs) > 0 || rs.onRequest {
		r.asked = make([]bool, n)
		for i, p := range rs.packs {
			r.asked[i] = len(e.packs) == 0 && !p.onRequest
			for _, pin := range e.packs {
				r.asked[i] = r.asked[i] || pin.GetName() == p.name
			}
		}
	}
	return r
}

func (r *run) asks(pack int) bool { return r.asked == nil || r.asked[pack] }

func (r *run) packAt(pack int) *rulesetPack { return r.ruleset.packs[pack] }

// abandoned reports that nobody waits for the answer any more.
func (r *run) abandoned() bool { return r.gone.Load() }

// enter says to the lanes of all packs that are asked that this check may still
// send them tasks; leave takes it back.
func (r *run) enter() { r.count(1) }

func (r *run) leave() { r.count(-1) }

func (r *run) count(by int64) {
	for i, p := range r.ruleset.packs {
		if r.asks(i) {
			p.lane.users.Add(by)
		}
	}
}

func (r *run) start() {
	var asked int32
	for i, p := range r.ruleset.packs {
		if !r.asks(i) {
			continue
		}
		asked++
		for _, from := range p.providers {
			if r.asks(from) {
				r.waiting[i].Add(1)
			}
		}
	}
	r.open.Store(asked)
	if asked == 0 {
		r.done(r)
		return
	}
	// Which packs are ready is decided before the first is sent: a fast one may
	// settle, and start its dependents, while this loop still runs.
	var ready [16]int
	list := ready[:0]
	for i := range r.ruleset.packs {
		if r.asks(i) && r.waiting[i].Load() == 0 {
			list = append(list, i)
		}
	}
	for _, i := range list {
		r.send(i)
	}
}

func (r *run) send(pack int) {
	t := &r.tasks[pack]
	t.run, t.pack, t.check = r, pack, r.check
	p := r.ruleset.packs[pack]
	for _, from := range p.providers {
		for _, fact := range r.outcomes[from].facts {
			if wants(p.needs, fact) {
				t.facts = append(t.facts, fact)
			}
		}
	}
	p.lane.submit(t)
}

func wants(needs []string, fact *packv1.Fact) bool {
	for _, name := range needs {
		if name == fact.GetName() {
			return true
		}
	}
	return false
}

func (r *run) settled(pack int, o outcome) {
	r.outcomes[pack] = o
	for _, d := range r.ruleset.packs[pack].dependents {
		if r.asks(d) && r.waiting[d].Add(-1) == 0 {
			r.send(d)
		}
	}
	if r.open.Add(-1) == 0 {
		r.done(r)
	}
}

// verdict is the worst of all packs'; a pack that did not answer is UNKNOWN.
func (r *run) verdict() v1.Verdict {
	worst := v1.Verdict_VERDICT_PASS
	for i := range r.outcomes {
		switch o := &r.outcomes[i]; {
		case !r.asks(i):
		case o.failure != nil:
			worst = max(worst, v1.Verdict_VERDICT_UNKNOWN)
		default:
			worst = max(worst, o.verdict)
		}
	}
	return worst
}
