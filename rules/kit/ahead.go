package kit

import (
	"math"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// Sought tells whether a shortlist seeks candidates for an item. In an ordinary check
// none is sought.
func (c *Case) Sought(it *Item) bool {
	if c.summary.line == nil || it == nil {
		return false
	}
	for i := range c.summary.line.about {
		if c.summary.line.about[i].id == it.ID {
			return true
		}
	}
	return false
}

// SoughtMisses reports that a value is missing for want of what the document of a sought
// part should say, so that its absence is held against a candidate.
func (c *Case) SoughtMisses(values ...Value) bool {
	for i := range values {
		for _, path := range values[i].missing {
			for k := range c.items {
				if it := &c.items[k]; it.path == path.Base && c.Sought(it) {
					return true
				}
			}
		}
	}
	return false
}

// Ceiling says, from a rule's Bound, that a candidate which fits in the end has no
// greater a margin share: there will be a finding that concerns it with that share or a
// smaller one, or else one that comes to FAIL or UNKNOWN and is held against it.
func (c *Case) Ceiling(share float64) {
	if share < c.summary.ceiling { // never NaN
		c.summary.ceiling = share
	}
}

// Unfit says, from a rule's Bound, that the candidate will not fit: a finding of this
// rule or another will come to FAIL or UNKNOWN and be held against it.
func (c *Case) Unfit() { c.summary.unfit = true }

// ForSound reports, in a rule's Bound, that somebody wants to know how quiet the candidate
// can be.
func (c *Case) ForSound() bool {
	return c.summary.line != nil && c.summary.line.bounds == packv1.Bounds_BOUNDS_UNSPECIFIED
}

// Failing reports, in a rule's Bound, that facts which the pack needs may be lacking:
// nobody works them out, or who does comes to FAIL already without the candidates, on a
// build that cannot be put together.
func (c *Case) Failing() bool { return c.summary.line != nil && c.summary.line.failing }

// Quietest says, from a rule's Bound, that the nominal level at the listener in the
// forecast will not be below a level in dB(A).
func (c *Case) Quietest(dba float64) {
	if dba > c.summary.quietest { // never NaN
		c.summary.quietest = dba
	}
}

// Terse reports that nothing is told of a candidate that does not fit but the rule that
// decides and its verdict: remedies and explanations may be left out.
func (c *Case) Terse() bool { return c.summary.line != nil && c.summary.line.terse }

// Spare reports that a finding which passes with at least this margin share would change
// nothing in the answer about a candidate, so that the rule may leave it out. It is for
// rules that do not decide between alternatives: overall ones, and those of packs that
// know one way of judging. In an ordinary check every finding is told.
func (c *Case) Spare(share float64) bool {
	return c.summary.line != nil && share >= min(c.summary.share, c.summary.others)
}

// SpareAtMost reports that the finding of AtMost would pass and change nothing in the
// answer about a candidate, as Spare has it. It is for findings that nothing said
// afterwards makes worse.
func (c *Case) SpareAtMost(measured, limit Value) bool {
	if c.summary.line == nil || !measured.Known() || !limit.Known() || measured.Check("") != nil || limit.Check("") != nil {
		return false
	}
	margin := limit.Sub(measured.Range)
	switch {
	case verdictOf(margin.Nominal, margin.Low) != Pass:
		return false
	case measured.Unit == "" || limit.Nominal == 0:
		return c.Spare(math.Inf(1)) // it has no share
	}
	return c.Spare(margin.Nominal / math.Abs(limit.Nominal))
}
