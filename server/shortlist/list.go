package shortlist

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"

	"google.golang.org/protobuf/encoding/protowire"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/pipeline"
)

// List is a shortlist that comes about. Candidates are judged as they come; it keeps only
// the best that were asked for, and of the others as many as may still become it, up to a
// limit.
type List struct {
	// Slate is the place that is sought for.
	Slate *pipeline.Slate
	// Order is what comes first. Unspecified: by margin.
	Order v1.ShortlistOrder
	// Most is how many of those that fit to keep, at least 1.
	Most int
	// Decline is told of each candidate that does not fit, one after the other. Nil:
	// nobody wants to know, and candidates that cannot come among the best are set
	// aside.
	Decline func(*v1.Candidate) error
	// Enter waits for leave to ask the packs once more. Nil: there always is.
	Enter func(context.Context) (leave func(), err error)

	mu       sync.Mutex
	best     []*contender // the best first
	currency string       // of the first price
	counts   struct{ candidates, fit, ruledOut, refused, setAside uint64 }
	reasons  map[reason]uint64
}

type reason struct {
	rule    string
	verdict v1.Verdict
}

// contender is a candidate that may still come into the list.
type contender struct {
	entry Entry
	pipeline.Candidate
	step  int
	holds int // bytes of facts that are kept of it
	// key is what the list is sorted by, a greater one first. Until everything is known
	// it is no less than it will be; what will not fit comes last.
	key float64
}

// before tells which of two comes first.
func before(a, b *contender) int {
	return cmp.Or(cmp.Compare(b.key, a.key), cmp.Compare(a.entry.Place, b.entry.Place))
}

// bound sets the key to the least that it cannot exceed.
func (l *List) bound(c *contender) {
	last := c.step == l.Slate.Steps()
	switch l.Order {
	case v1.ShortlistOrder_SHORTLIST_ORDER_PRICE:
		c.key = math.Inf(-1)
		if p := c.entry.Price; p != nil && p.GetCurrency() == l.currency {
			c.key = -p.GetAmount()
		}
	case v1.ShortlistOrder_SHORTLIST_ORDER_SOUND:
		c.key = -c.QuietestDBA
		if sound, ok := soundOf(c.Forecast); ok {
			c.key = -sound
		} else if last {
			c.key = math.Inf(-1)
		}
	default:
		if c.key = min(c.MarginShare, c.Ceiling); last {
			c.key = c.MarginShare
		}
		if last && math.IsInf(c.key, 1) {
			c.key = math.Inf(-1)
		}
	}
	if c.Unfit && !last {
		c.key = math.Inf(-1)
	}
}

// bounds are those that move a key. Where everybody is to be judged to the end, none do.
func (l *List) bounds() packv1.Bounds {
	switch {
	case l.Decline != nil || l.Order == v1.ShortlistOrder_SHORTLIST_ORDER_PRICE:
		return packv1.Bounds_BOUNDS_NONE
	case l.Order == v1.ShortlistOrder_SHORTLIST_ORDER_SOUND:
		return packv1.Bounds_BOUNDS_UNSPECIFIED
	}
	return packv1.Bounds_BOUNDS_MARGIN
}

// soundOf reads the sound at the listener out of an encoded forecast.
func soundOf(forecast []byte) (dba float64, ok bool) {
	if len(forecast) == 0 {
		return 0, false
	}
	fact := new(v1.Fact)
	if fact.UnmarshalVT(forecast) != nil {
		return 0, false
	}
	level := fact.GetForecast().GetLevelDba()
	if level == nil || level.Nominal == nil || math.IsNaN(level.GetNominal()) || math.IsInf(level.GetNominal(), 0) {
		return 0, false
	}
	return level.GetNominal(), true
}

// refuse counts a candidate that is no good document.
func (l *List) refuse(e *Entry) error {
	l.counts.refused++
	if l.Decline == nil {
		return nil
	}
	return l.Decline(&v1.Candidate{Place: &e.Place, Id: named(e.ID), Name: named(e.Name), Refusal: e.Refusal})
}

// decline counts a candidate that does not fit.
func (l *List) decline(c *contender) error {
	if l.reasons == nil {
		l.reasons = map[reason]uint64{}
	}
	l.reasons[reason{ruleOf(c.Finding), c.Verdict}]++
	if c.step == 1 {
		l.counts.ruledOut++
	}
	if l.Decline == nil {
		return nil
	}
	return l.Decline(c.message())
}

// accept puts a candidate that fits in its place.
func (l *List) accept(c *contender) {
	l.counts.fit++
	c.Forget()
	at, _ := slices.BinarySearchFunc(l.best, c, before)
	if at == l.Most {
		return
	}
	l.best = slices.Insert(l.best, at, c)
	if len(l.best) > l.Most {
		l.best[l.Most] = nil
		l.best = l.best[:l.Most]
	}
}

// hopeless tells that a candidate cannot come into the list any more, and that nobody
// wants to know what becomes of it.
func (l *List) hopeless(c *contender) bool {
	return l.Decline == nil && len(l.best) == l.Most && before(l.best[l.Most-1], c) < 0
}

// Fitting are those that fit, the best first.
func (l *List) Fitting() []*v1.Candidate {
	out := make([]*v1.Candidate, len(l.best))
	for i, c := range l.best {
		out[i] = c.message()
	}
	return out
}

// Summary is the numbers so far.
func (l *List) Summary(ruleset *v1.Ruleset) *v1.ShortlistSummary {
	n := l.counts
	out := &v1.ShortlistSummary{
		Candidates: &n.candidates, Fit: &n.fit, RuledOut: &n.ruledOut, Refused: &n.refused, SetAside: &n.setAside, Ruleset: ruleset,
	}
	for why, count := range l.reasons {
		out.Reasons = append(out.Reasons, &v1.ShortlistReason{Rule: &why.rule, Verdict: why.verdict.Enum(), Candidates: &count})
	}
	slices.SortFunc(out.Reasons, func(a, b *v1.ShortlistReason) int {
		return cmp.Or(cmp.Compare(b.GetCandidates(), a.GetCandidates()), cmp.Compare(a.GetRule(), b.GetRule()), cmp.Compare(a.GetVerdict(), b.GetVerdict()))
	})
	return out
}

// message is what the list says of a candidate.
func (c *contender) message() *v1.Candidate {
	out := Outcome(&c.entry, &c.Candidate)
	if c.Decided() {
		return out
	}
	if sound, ok := soundOf(c.Forecast); ok {
		out.SoundDba = &sound
	}
	return out
}

// Outcome is what became of a candidate, in the contract's words.
func Outcome(e *Entry, c *pipeline.Candidate) *v1.Candidate {
	out := &v1.Candidate{
		Place: &e.Place, Id: named(e.ID), Name: named(e.Name), Price: e.Price, Verdict: c.Verdict.Enum(),
	}
	if c.Finding != nil {
		f := new(v1.Finding)
		if f.UnmarshalVT(c.Finding) == nil {
			out.Finding = f
		}
	}
	if !c.Decided() && !math.IsInf(c.MarginShare, 0) {
		out.MarginShare = &c.MarginShare
	}
	return out
}

func named(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// ruleOf reads the rule out of an encoded finding, where it comes first.
func ruleOf(finding []byte) string {
	number, kind, n := protowire.ConsumeTag(finding)
	if n < 0 || number != 1 || kind != protowire.BytesType {
		f := new(v1.Finding)
		_ = f.UnmarshalVT(finding) // an unreadable one has no rule
		return f.GetRule()
	}
	rule, _ := protowire.ConsumeBytes(finding[n:])
	return string(rule)
}
