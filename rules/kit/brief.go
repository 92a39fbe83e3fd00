package kit

import (
	"math"
	"strings"

	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// brief sums up the findings of one candidate as they come.
type brief struct {
	line    *line
	verdict Verdict  // worst that is held against the candidate
	decides *Finding // the first that came to it, where it is UNKNOWN or FAIL
	closest *Finding // with the smallest margin share
	share   float64  // of closest
	others  float64  // the smallest share by other packs
	single  bool     // there is one way of judging, so that each rule's findings are taken at once
	scratch []byte
	counts  []uint32 // of this and perhaps other candidates

	settlement *settlement // nil: nothing may be skipped

	bounds
}

// reset begins the next candidate, of which other packs have told the smallest share, nil
// for none.
func (b *brief) reset(l *line, others *float64) {
	*b = brief{line: l, verdict: Pass, share: math.Inf(1), others: math.Inf(1), scratch: b.scratch, bounds: unbounded()}
	if others != nil {
		b.others = *others
	}
}

// take counts findings in, in the order of the catalogue.
func (b *brief) take(findings []*Finding) {
	for _, f := range findings {
		if share, ok := f.marginShare(); ok && share < b.share && b.line.concerns(f) {
			b.closest, b.share = f, share
		}
		if f.verdict <= b.verdict || f.verdict >= Unknown && b.stands(f) {
			continue
		}
		if b.verdict = f.verdict; f.verdict >= Unknown {
			b.decides = f
		}
	}
}

// stands tells whether a finding comes to the same without the candidate.
func (b *brief) stands(f *Finding) bool {
	if b.line.leftOpen(f) {
		return true
	}
	if !b.line.mayStand(f) || b.line.concerns(f) {
		return false
	}
	b.scratch = f.appendTo(b.scratch[:0])
	message, err := readEntry(b.scratch)
	return err == nil && plug.Stands(message, b.line.standing)
}

// leftOpen is plug.LeftOpen of a finding that is not encoded yet.
func (l *line) leftOpen(f *Finding) bool {
	if f.verdict != Unknown || f.said == brokenKey {
		return false
	}
	open := false
	for i := range f.values {
		v := &f.values[i]
		if len(v.missingFacts) > 0 {
			return false
		}
		for _, p := range v.missing {
			open = open || plug.LeavesOpen(p.Base+p.Field)
			for k := range l.about {
				if l.about[k].holds(p) {
					return false
				}
			}
		}
	}
	return open
}

// decided tells that nothing can better the candidate's verdict.
func (b *brief) decided() bool { return b.verdict >= Unknown }

// message writes the answer.
func (b *brief) message(to *answer) {
	to.outcome.Brief, to.verdict = &to.brief, b.verdict
	out := &to.brief
	out.Verdict = &to.verdict
	switch {
	case b.decides != nil && b.line.terse:
		out.Finding = b.decides.appendHead(nil)
	case b.decides != nil:
		out.Finding = b.decides.appendTo(nil)
	default:
		if b.closest != nil {
			to.share = b.share
			out.MarginShare = &to.share
			if !b.line.bare {
				out.Finding = b.closest.appendTo(nil)
			}
		}
		b.addBounds(to)
	}
}

// addBounds adds what the rules that are still to be judged will come to at best.
func (b *brief) addBounds(to *answer) {
	if to.ceiling = b.ceiling; !math.IsInf(b.ceiling, 1) {
		to.brief.Ceiling = &to.ceiling
	}
	if to.quietestDB = b.quietest; !math.IsInf(b.quietest, -1) {
		to.brief.QuietestDba = &to.quietestDB
	}
	if unfit := b.unfit; unfit {
		to.brief.Unfit = &unfit
	}
}

// marginShare is the margin as a share of what is required, at the nominal values; ok
// is false for counts, for what saturates and does so, and where there is no such share.
func (f *Finding) marginShare() (share float64, ok bool) {
	if !f.compared || f.verdict == Unknown || f.margin.Unit == "" || f.required.Nominal == 0 {
		return 0, false
	}
	if share = f.margin.Nominal / math.Abs(f.required.Nominal); f.saturates && share >= 0 {
		return 0, false
	}
	return share, !math.IsNaN(share) && !math.IsInf(share, 0)
}

// concerns tells whether a finding has to do with one of the line's items: as its
// subject, or by a figure that went in or is missing.
func (l *line) concerns(f *Finding) bool {
	for i := range l.about {
		a := &l.about[i]
		for _, s := range f.subjects {
			if s == a.id {
				return true
			}
		}
		for v := range f.values {
			if a.reads(&f.values[v]) {
				return true
			}
		}
	}
	return false
}

// aboutItem is one item that a line is about.
type aboutItem struct{ id, prefix string }

func (a *aboutItem) reads(v *Value) bool {
	for i := range v.inputs {
		if a.holds(v.inputs[i].Path) {
			return true
		}
	}
	for _, p := range v.missing {
		if a.holds(p) {
			return true
		}
	}
	return false
}

func (a *aboutItem) holds(p Path) bool {
	if len(p.Base) >= len(a.prefix) {
		return strings.HasPrefix(p.Base, a.prefix)
	}
	rest, ok := strings.CutPrefix(a.prefix, p.Base)
	return ok && strings.HasPrefix(p.Field, rest)
}
