package kit

import (
	"fmt"
	"runtime"
	"strconv"
	"sync"
	"sync/atomic"

	"google.golang.org/protobuf/encoding/protowire"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// line is a packv1.Line made ready for its batch.
type line struct {
	check    []byte
	item     int
	about    []aboutItem
	standing []*v1.Finding
	look     packv1.Look
	terse    bool
	bounds   packv1.Bounds
	failing  bool
	bare     bool
}

// readLine takes a line apart. Nothing of the message is kept beyond the batch.
func (e *Evaluator) readLine(m *packv1.Line) (*line, error) {
	l := &line{check: m.GetCheck(), item: int(m.GetItem()), look: m.GetLook(), terse: m.GetTerse(), bounds: m.GetBounds(), failing: m.GetFailing(), bare: m.GetBare()}
	for _, entry := range m.Standing {
		f, err := readEntry(entry)
		if err != nil {
			return nil, fmt.Errorf("what stands without candidates cannot be read: %w", err)
		}
		l.standing = append(l.standing, f)
	}
	request := v1.CheckRequestFromVTPool()
	defer putBack(request)
	if err := readCheck(l.check, request, e.parts); err != nil {
		return nil, fmt.Errorf("the build around the candidates cannot be read: %w", err)
	}
	items := request.GetBuild().GetItems()
	if l.item >= len(items) {
		return nil, fmt.Errorf("the candidates take the place of item %d, and the build has %d", l.item, len(items))
	}
	for _, place := range m.About {
		if int(place) >= len(items) {
			return nil, fmt.Errorf("the answer is to be about item %d, and the build has %d", place, len(items))
		}
		l.about = append(l.about, aboutItem{items[place].GetId(), "items[" + strconv.Itoa(int(place)) + "]."})
	}
	return l, nil
}

// readEntry decodes an entry of findings, behind its tag.
func readEntry(entry []byte) (*v1.Finding, error) {
	_, _, n := protowire.ConsumeTag(entry)
	if n < 0 {
		return nil, protowire.ParseError(n)
	}
	value, n := protowire.ConsumeBytes(entry[n:])
	if n < 0 {
		return nil, protowire.ParseError(n)
	}
	f := new(v1.Finding)
	return f, f.UnmarshalVT(value)
}

// mayStand tells whether some finding of the same rule stands without candidates.
func (l *line) mayStand(f *Finding) bool {
	for _, s := range l.standing {
		if s.GetRule() == f.rule.ID {
			return true
		}
	}
	return false
}

// Brief judges a batch of candidates, on as many processors as there are. Every task
// gets its outcome; a task that cannot be judged has a sentence in it.
func (e *Evaluator) Brief(m *packv1.Line, tasks []*packv1.Task) []*packv1.Outcome {
	outcomes := make([]*packv1.Outcome, len(tasks))
	l, err := e.readLine(m)
	if err != nil {
		for i := range outcomes {
			outcomes[i] = broken(fmt.Errorf("pack %s: %w", e.pack.Name, err))
		}
		return outcomes
	}
	b := &batch{evaluator: e, line: l, tasks: tasks, outcomes: outcomes, answers: make([]answer, len(tasks))}
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(tasks)) {
		workers.Go(b.work)
	}
	workers.Wait()
	b.tell()
	return outcomes
}

// batch is the candidates that travel together.
type batch struct {
	evaluator *Evaluator
	line      *line
	tasks     []*packv1.Task
	outcomes  []*packv1.Outcome
	answers   []answer // whose memory the outcomes are
	next      atomic.Int64

	mu     sync.Mutex
	counts []uint32 // of all tasks, where the line is bare
}

// answer is the memory of one answer.
type answer struct {
	outcome                    packv1.Outcome
	brief                      packv1.Brief
	verdict                    Verdict
	share, ceiling, quietestDB float64
}

// work judges candidates until none is left.
func (b *batch) work() {
	e := b.evaluator
	request := v1.CheckRequestFromVTPool()
	defer putBack(request)
	readable := readCheck(b.line.check, request, e.parts)
	counts := make([]uint32, 4*len(e.pack.rules))
	var known *settlement
	if b.line.look == packv1.Look_LOOK_ALONE {
		known = new(settlement)
	}
	for i := int(b.next.Add(1)) - 1; i < len(b.tasks); i = int(b.next.Add(1)) - 1 {
		if !b.line.bare {
			counts = make([]uint32, 4*len(e.pack.rules))
		}
		b.outcomes[i] = e.candidate(b.line, request, readable, b.tasks[i], &b.answers[i], counts, known)
		if !b.line.bare && b.outcomes[i].Error == nil {
			b.outcomes[i].Counts = counts
		}
	}
	if b.line.bare {
		b.count(counts)
	}
}

// count adds what one worker has counted.
func (b *batch) count(counts []uint32) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.counts == nil {
		b.counts = counts
		return
	}
	for i, n := range counts {
		b.counts[i] += n
	}
}

// tell puts what was counted together into the first outcome that there is.
func (b *batch) tell() {
	for _, o := range b.outcomes {
		if b.line.bare && o.Error == nil {
			o.Counts = b.counts
			return
		}
	}
}

// candidate judges one candidate in the request, whose build is the worker's own, and
// adds to counts and to what is known of all candidates.
func (e *Evaluator) candidate(
	l *line, request *v1.CheckRequest, readable error, task *packv1.Task, to *answer, counts []uint32, known *settlement,
) (out *packv1.Outcome) {
	defer func() {
		if broke := recover(); broke != nil {
			out = broken(fmt.Errorf("pack %s broke: %v", e.pack.Name, broke))
		}
	}()
	if readable != nil {
		return broken(fmt.Errorf("pack %s cannot read the build: %w", e.pack.Name, readable))
	}
	get := e.parts.get
	if l.look == packv1.Look_LOOK_ALONE {
		get = e.parts.glance
	}
	part, err := get(task.GetPart())
	if err != nil {
		return broken(fmt.Errorf("pack %s cannot read the candidate: %w", e.pack.Name, err))
	}
	request.Build.Items[l.item].Part = part
	c := e.cases.Get().(*Case)
	defer func() {
		c.look, c.summary = packv1.Look_LOOK_UNSPECIFIED, brief{scratch: c.summary.scratch}
		c.close()
		e.cases.Put(c)
	}()
	c.look = l.look
	c.open(request, factsOf(task))
	c.summary.reset(l, task.MarginShare)
	c.summary.counts = counts
	if c.summary.settlement = known; known != nil {
		known.open(c.items[l.item].Kind, len(e.pack.rules))
	}
	c.brief(to)
	return &to.outcome
}

func factsOf(task *packv1.Task) []Fact {
	if len(task.Facts) == 0 {
		return nil
	}
	facts := make([]Fact, len(task.Facts))
	for i, f := range task.Facts {
		facts[i] = Fact{f.GetName(), f.GetValue()}
	}
	return facts
}

func broken(err error) *packv1.Outcome {
	reason := err.Error()
	return &packv1.Outcome{Error: &reason}
}

// brief judges the case and answers shortly. What comes after the finding that
// decides is left out: rules that follow it, and facts.
func (c *Case) brief(to *answer) {
	alternatives := c.begin()
	if c.summary.single = alternatives == 1; !c.summary.single {
		c.summary.settlement = nil
	}
	ahead := c.look == packv1.Look_LOOK_ALONE
	switch alone := c.pack.judgesAlone(); {
	case alone && alternatives > 1:
		panic("it has rules that judge alone and several ways of judging")
	case alone || !ahead:
		c.judgeAlternatives(alternatives)
		if !c.summary.single {
			c.summary.take(c.chosen)
		}
	}
	if c.summary.verdict != Fail {
		chosen := len(c.chosen)
		c.judgeOverall()
		if !c.summary.single {
			c.summary.take(c.chosen[chosen:])
		}
	}
	switch {
	case c.summary.decided():
	case ahead:
		c.lookAhead()
	default:
		c.conclude()
	}
	c.summary.message(to)
	for _, f := range c.chosen {
		c.summary.counts[4*f.rule.index+int(f.verdict)-1]++
	}
	for _, f := range c.provided {
		to.outcome.Facts = append(to.outcome.Facts, &packv1.Fact{Name: &f.Name, Value: f.Value})
	}
}

// lookAhead asks the rules that do not judge alone what they will come to at best.
func (c *Case) lookAhead() {
	if c.summary.line.bounds == packv1.Bounds_BOUNDS_NONE {
		return
	}
	for i := range c.pack.rules {
		if c.rule = &c.pack.rules[i]; c.rule.Bound != nil && !c.rule.Alone {
			c.bound(c.rule)
		}
	}
}

// JudgesAlone reports that only rules follow that judge by the build alone, and bounds,
// so that a pack need not work out what others want.
func (c *Case) JudgesAlone() bool { return c.look == packv1.Look_LOOK_ALONE }

// judges tells whether a rule takes part in this look at the build.
func (c *Case) judges(r *loadedRule) bool {
	switch c.look {
	case packv1.Look_LOOK_ALONE:
		return r.Alone
	case packv1.Look_LOOK_OTHERS:
		return !r.Alone
	}
	return true
}
