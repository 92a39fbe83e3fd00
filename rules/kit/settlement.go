package kit

import (
	"math"
	"slices"
)

// settlement is what rules came to about a candidate where that is the same for every
// candidate of its kind: nothing that could be held against it or tell it from others.
// It holds for one build around the candidates.
type settlement struct {
	kind  Kind
	rules []settled
}

// settled is what one rule came to.
type settled struct {
	known   bool
	verdict Verdict
	counts  [4]uint32
	bounds  bounds // of a rule that is still to be judged
}

// open forgets what was learnt of another kind of candidate.
func (s *settlement) open(kind Kind, rules int) {
	if s.kind == kind && len(s.rules) == rules {
		return
	}
	s.kind, s.rules = kind, make([]settled, rules)
}

// bounds is what a candidate will come to at best.
type bounds struct {
	ceiling, quietest float64 // Inf and -Inf where nothing is known
	unfit             bool
}

// unbounded is what is known of a candidate at first.
func unbounded() bounds { return bounds{ceiling: math.Inf(1), quietest: math.Inf(-1)} }

// and is what two rules say together.
func (b bounds) and(o bounds) bounds {
	return bounds{min(b.ceiling, o.ceiling), max(b.quietest, o.quietest), b.unfit || o.unfit}
}

// blind tells whether a rule looks at parts of other kinds only.
func (s *settlement) blind(r *loadedRule) bool {
	return len(r.Kinds) > 0 && !slices.Contains(r.Kinds, s.kind)
}

// learn keeps what a rule came to that does not look at candidates.
func (s *settlement) learn(r *loadedRule, findings []*Finding, l *line) {
	if !s.blind(r) {
		return
	}
	out := settled{known: true, verdict: Pass}
	for _, f := range findings {
		if _, ok := f.marginShare(); f.verdict >= Unknown || ok && l.concerns(f) {
			return
		}
		out.verdict = max(out.verdict, f.verdict)
		out.counts[f.verdict-1]++
	}
	s.rules[r.index] = out
}

// skips tells that a rule need not be judged: it is known what it comes to.
func (b *brief) skips(r *loadedRule) bool {
	if b.settlement == nil || !b.settlement.rules[r.index].known {
		return false
	}
	known := &b.settlement.rules[r.index]
	b.verdict = max(b.verdict, known.verdict)
	for i, n := range known.counts {
		b.counts[4*r.index+i] += n
	}
	return true
}

// bound asks a rule what it will come to at best, unless that is known.
func (c *Case) bound(r *loadedRule) {
	b := &c.summary
	var known *settled
	if b.settlement != nil && b.settlement.blind(r) {
		known = &b.settlement.rules[r.index]
	}
	if known == nil || !known.known {
		before := b.bounds
		b.bounds = unbounded()
		r.Bound(c)
		if known != nil {
			known.known, known.bounds = true, b.bounds
		}
		b.bounds = before.and(b.bounds)
		return
	}
	b.bounds = b.bounds.and(known.bounds)
}
