package pipeline

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"

	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
	v1 "slipfit.example/proto/slipfit/v1"
)

// Slate is one place in a build for which candidates come, on the packs' side of it.
// It is safe for use by several goroutines.
type Slate struct {
	baseline *Baseline
	frame    *frame
	ids      []string // of the items that answers are about
	prefixes []string // of their paths
	lines    map[lineKey]*packv1.Line
}

// lineKey is what packs are asked by one line. In the first look they answer barely.
type lineKey struct {
	pack int
	look packv1.Look
	full bool // the first look once more, for the finding that was left out
}

// Candidate is a part on its way through the packs.
type Candidate struct {
	// Part is the encoded part, validated. It must stay as it is.
	Part []byte
	// Verdict is the worst that is held against it so far. From UNKNOWN on it is
	// decided, and the candidate does not fit.
	Verdict v1.Verdict
	// Finding is an encoded slipfit.v1.Finding: the one that decides, else, after the last
	// look, the one with the smallest margin share; nil: none, or not told yet. Where the
	// slate is terse, no more than who decides and how is in it.
	Finding []byte
	// MarginShare is the smallest so far, infinite where there is none.
	MarginShare float64
	// Ceiling is what MarginShare will not exceed in the end if the candidate fits,
	// infinite where nothing is known.
	Ceiling float64
	// Unfit tells that it will not fit; which finding decides is not known yet.
	Unfit bool
	// QuietestDBA is what its sound will not be below, minus infinite where nothing is
	// known.
	QuietestDBA float64
	// Forecast is the fact of that name, encoded, where it was worked out.
	Forecast []byte

	facts []*packv1.Fact
	owes  int // the pack, and 1, that left out the finding with the smallest margin share; 0: none
}

// NewCandidate is a candidate that nobody has looked at.
func NewCandidate(part []byte) Candidate {
	return Candidate{
		Part: part, Verdict: v1.Verdict_VERDICT_PASS, MarginShare: math.Inf(1), Ceiling: math.Inf(1), QuietestDBA: math.Inf(-1),
	}
}

// Decided tells that the candidate does not fit.
func (c *Candidate) Decided() bool { return c.Verdict >= v1.Verdict_VERDICT_UNKNOWN }

// Slate opens one place of a build for candidates. The build is the baseline's, with
// parts in all items but this one, or in all but some. The answers are about the items
// named.
func (b *Baseline) Slate(request *v1.CheckRequest, item int, about []int) (*Slate, error) {
	f, err := newFrame(request, item)
	if err != nil {
		return nil, err
	}
	f.before = append(f.before, b.run.envelope.added...)
	s := &Slate{baseline: b, frame: f, lines: map[lineKey]*packv1.Line{}}
	var places []uint32
	for _, i := range about {
		if i < 0 || i >= len(request.Build.Items) {
			return nil, fmt.Errorf("the build has %d items and no item %d", len(request.Build.Items), i)
		}
		s.ids = append(s.ids, request.Build.Items[i].GetId())
		s.prefixes = append(s.prefixes, "items["+strconv.Itoa(i)+"].")
		places = append(places, uint32(i))
	}
	around := f.with(nil)
	for _, st := range b.steps {
		for _, pack := range st.packs {
			key := lineKey{pack: pack, look: b.lookOf(st, pack)}
			line := &packv1.Line{
				Check: around, Item: ptr(uint32(item)), About: places, Standing: b.standing[pack].entries, Look: key.look.Enum(),
				Failing: ptr(slices.ContainsFunc(b.run.ruleset.packs[pack].needs, b.mayLack)),
			}
			s.lines[key] = line
			if key.look == packv1.Look_LOOK_ALONE {
				key.full = true
				s.lines[key] = proto.CloneOf(line)
				line.Bare = ptr(true)
			}
		}
	}
	return s, nil
}

// lookOf is which rules of a pack a step is about.
func (b *Baseline) lookOf(st step, pack int) packv1.Look {
	if st.look == packv1.Look_LOOK_UNSPECIFIED && b.run.ruleset.packs[pack].takes(plug.Alone) {
		return packv1.Look_LOOK_OTHERS
	}
	return st.look
}

// Bound says, before the first look, which bounds are of use.
func (s *Slate) Bound(wanted packv1.Bounds) {
	for key, line := range s.lines {
		if line.Bounds = &wanted; key.full {
			line.Bounds = packv1.Bounds_BOUNDS_NONE.Enum()
		}
	}
}

// BeTerse says, before the first look, that nothing is told of candidates that do not fit
// but the rules that decide and their verdicts.
func (s *Slate) BeTerse() {
	for _, line := range s.lines {
		line.Terse = ptr(true)
	}
}

// Steps is how many looks it takes until everything is known of a candidate. The
// first costs little: nothing is solved for it.
func (s *Slate) Steps() int { return len(s.baseline.steps) }

// Check is the encoded CheckRequest of the build with a part.
func (s *Slate) Check(part []byte) []byte { return s.frame.with(part) }

// Look takes candidates that are not decided one step further, and returns when all
// packs have answered. The error is the context's; the candidates are of no more use
// then. A pack that does not answer decides against a candidate.
func (s *Slate) Look(ctx context.Context, at int, candidates []*Candidate) error {
	st := s.baseline.steps[at]
	n := len(st.packs)
	if n == 0 || len(candidates) == 0 {
		return context.Cause(ctx)
	}
	l := &look{slate: s, step: st}
	views := make([]view, len(candidates))
	tasks := make([]task, n*len(candidates))
	for i, c := range candidates {
		views[i] = view{look: l, outcomes: make([]outcome, n)}
		for k, pack := range st.packs {
			s.fill(&tasks[i*n+k], &views[i], pack, c)
		}
	}
	var owed []task
	if at == len(s.baseline.steps)-1 {
		owed = s.owed(views, candidates)
	}
	l.open.Add(len(tasks) + len(owed))
	// Pack by pack, so that what travels together waits together.
	for k, pack := range st.packs {
		for i := range candidates {
			s.baseline.run.ruleset.packs[pack].lane.submit(&tasks[i*n+k])
		}
	}
	for i := range owed {
		s.baseline.run.ruleset.packs[owed[i].pack].lane.submit(&owed[i])
	}
	answered := make(chan struct{})
	go func() {
		l.open.Wait()
		close(answered)
	}()
	select {
	case <-answered:
	case <-ctx.Done():
		l.gone.Store(true)
		return context.Cause(ctx)
	}
	for i, c := range candidates {
		s.merge(c, &views[i])
	}
	return nil
}

// owed makes the tasks that fetch the findings which were left out of the first look.
func (s *Slate) owed(views []view, candidates []*Candidate) []task {
	out := make([]task, 0, len(candidates))
	for i, c := range candidates {
		if c.owes == 0 {
			continue
		}
		views[i].debt = &debt{view: &views[i]}
		out = out[:len(out)+1]
		t := &out[len(out)-1]
		t.run, t.pack, t.part = views[i].debt, c.owes-1, c.Part
		t.line = s.lines[lineKey{pack: t.pack, look: packv1.Look_LOOK_ALONE, full: true}]
	}
	return out
}

// debt is the finding of a candidate that is being fetched. It is who its task answers to.
type debt struct {
	*view
	outcome outcome
}

func (d *debt) settled(pack int, o outcome) {
	if d.outcome = o; o.failure != nil {
		d.report(pack, &o)
	}
	d.look.open.Done()
}

// fill makes the task of one pack.
func (s *Slate) fill(t *task, v *view, pack int, c *Candidate) {
	p := s.baseline.run.ruleset.packs[pack]
	t.run, t.pack = v, pack
	if p.takes(plug.Candidates) {
		t.line, t.part, t.share = s.lines[lineKey{pack: pack, look: s.baseline.lookOf(v.look.step, pack)}], c.Part, c.shareSoFar()
	} else {
		t.check = s.frame.with(c.Part)
	}
	for _, fact := range c.facts {
		if wants(p.needs, fact) {
			t.facts = append(t.facts, fact)
		}
	}
}

// merge adds what the packs of a step have said: FAIL before UNKNOWN, then in the
// order of their names.
func (s *Slate) merge(c *Candidate, v *view) {
	for k, pack := range v.look.step.packs {
		o := &v.outcomes[k]
		b := s.briefOf(pack, o)
		switch {
		case b.GetVerdict() > c.Verdict && b.GetVerdict() >= v1.Verdict_VERDICT_UNKNOWN:
			c.Finding = unwrap(b.Finding)
		case !c.Decided() && b.MarginShare != nil && b.GetMarginShare() < c.MarginShare:
			c.MarginShare, c.Finding, c.owes = b.GetMarginShare(), unwrap(b.Finding), 0
			if len(b.Finding) == 0 {
				c.owes = pack + 1
			}
		}
		c.Verdict = max(c.Verdict, b.GetVerdict())
		c.lookAhead(b)
		for _, fact := range o.facts {
			if fact.GetName() == ForecastFact {
				c.Forecast = fact.Value
			}
			c.facts = append(c.facts, fact)
		}
	}
	if v.debt != nil && c.owes != 0 && !c.Decided() {
		s.repay(c, &v.debt.outcome)
	}
	if c.Decided() {
		c.facts, c.Forecast, c.MarginShare, c.owes = nil, nil, math.Inf(1), 0
	}
}

// repay adds the finding that was left out. A pack that does not answer decides now.
func (s *Slate) repay(c *Candidate, o *outcome) {
	b := s.briefOf(c.owes-1, o)
	c.Finding, c.Verdict, c.owes = unwrap(b.Finding), max(c.Verdict, b.GetVerdict()), 0
}

// lookAhead takes in what a pack says of looks that are still to come.
func (c *Candidate) lookAhead(b *packv1.Brief) {
	if b.Ceiling != nil {
		c.Ceiling = min(c.Ceiling, b.GetCeiling())
	}
	if b.QuietestDba != nil {
		c.QuietestDBA = max(c.QuietestDBA, b.GetQuietestDba())
	}
	c.Unfit = c.Unfit || b.GetUnfit()
}

// shareSoFar is the smallest margin share so far, nil where there is none.
func (c *Candidate) shareSoFar() *float64 {
	if math.IsInf(c.MarginShare, 1) {
		return nil
	}
	share := c.MarginShare // it changes while looks are under way
	return &share
}

// briefOf is what a pack says of a candidate, in whatever form it has said it.
func (s *Slate) briefOf(pack int, o *outcome) *packv1.Brief {
	switch {
	case o.failure != nil:
		return &packv1.Brief{Verdict: v1.Verdict_VERDICT_UNKNOWN.Enum(), Finding: silenceOf(s.baseline.run.ruleset.packs[pack], o.failure)}
	case o.brief != nil:
		return o.brief
	}
	return sumUp(o.findings, s.ids, s.prefixes, s.baseline.standing[pack].findings)
}

// unwrap takes the tag and length off an entry of findings.
func unwrap(entry []byte) []byte {
	_, _, n := protowire.ConsumeTag(entry)
	if n < 0 {
		return nil
	}
	value, _ := protowire.ConsumeBytes(entry[n:])
	return value
}

// Holds is how many bytes of facts are kept for further looks.
func (c *Candidate) Holds() (bytes int) {
	for _, f := range c.facts {
		bytes += len(f.GetValue())
	}
	return bytes
}

// Forget lets go of what further looks would want.
func (c *Candidate) Forget() { c.facts = nil }

// look is one step of some candidates.
type look struct {
	slate *Slate
	step  step
	open  sync.WaitGroup
	gone  atomic.Bool
}

// view is one candidate in a look. It is who its tasks answer to.
type view struct {
	look     *look
	outcomes []outcome // by the step's packs
	debt     *debt     // nil: nothing was left out
}

func (v *view) abandoned() bool { return v.look.gone.Load() }

func (v *view) packAt(pack int) *rulesetPack { return v.look.slate.baseline.run.ruleset.packs[pack] }

func (v *view) settled(pack int, o outcome) {
	for k, p := range v.look.step.packs {
		if p == pack {
			v.outcomes[k] = o
		}
	}
	v.report(pack, &o)
	v.look.open.Done()
}

func (v *view) report(pack int, o *outcome) {
	watch, p := v.look.slate.baseline.pipeline.options.Watch, v.packAt(pack)
	switch {
	case watch == nil || v.abandoned():
	case o.failure != nil:
		watch.Silent(p.name, string(o.failure.kind))
	default:
		watch.Judged(p.name, p.rules, o.counts)
	}
}
