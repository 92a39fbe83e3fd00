package kit

import (
	"fmt"
	"sync"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
	v1 "slipfit.example/proto/slipfit/v1"
)

// Evaluator judges builds by one pack's rules. It is safe for use by several
// goroutines.
type Evaluator struct {
	pack  *loadedPack
	parts *partStore
	cases sync.Pool
}

// Outcome is a pack's answer to one check.
type Outcome struct {
	// Findings are entries of CheckResponse.findings, encoded.
	Findings []byte
	// Verdict is the worst among them, PASS where there are none.
	Verdict Verdict
	// Facts are what the pack provides.
	Facts []Fact
	// Counts are PASS, MARGINAL, UNKNOWN and FAIL of each rule in turn.
	Counts []uint32
}

// NewEvaluator makes a pack ready. It fails where the catalogue does not pass
// Pack.Check.
func NewEvaluator(p *Pack) (*Evaluator, error) {
	loaded, err := load(p)
	if err != nil {
		return nil, err
	}
	return &Evaluator{pack: loaded, parts: newPartStore(partStoreBytes), cases: sync.Pool{New: func() any { return &Case{pack: loaded} }}}, nil
}

// ShareParts has evaluators of one process keep decoded parts together, so that each
// part is decoded once for all of them. It is for the time before the first check.
func ShareParts(evaluators ...*Evaluator) {
	for _, e := range evaluators {
		e.parts = evaluators[0].parts
	}
}

// Describe tells what the pack is.
func (e *Evaluator) Describe() *packv1.DescribeResponse {
	p := e.pack
	protocol := uint32(plug.Protocol)
	var onRequest *bool
	if p.OnRequest {
		onRequest = &p.OnRequest
	}
	return &packv1.DescribeResponse{
		Name: &p.Name, Version: &p.Version, Protocol: &protocol, Purpose: &p.Purpose,
		Rules: p.description, Needs: p.Needs, Wants: p.Wants, Provides: p.Provides, OnRequest: onRequest,
	}
}

// Evaluate judges one encoded slipfit.v1.CheckRequest. out is written over and
// its memory used again. The error says why there are no findings at all; a
// single rule that breaks is an UNKNOWN finding of its own.
func (e *Evaluator) Evaluate(check []byte, facts []Fact, out *Outcome) error {
	return e.evaluate(check, facts, out, TellAll)
}

func (e *Evaluator) evaluate(check []byte, facts []Fact, out *Outcome, telling Telling) (err error) {
	request := v1.CheckRequestFromVTPool()
	defer putBack(request)
	if err := readCheck(check, request, e.parts); err != nil {
		return fmt.Errorf("pack %s cannot read the check: %w", e.pack.Name, err)
	}
	c := e.cases.Get().(*Case)
	defer func() {
		c.close()
		e.cases.Put(c)
	}()
	defer func() {
		if broken := recover(); broken != nil {
			err = fmt.Errorf("pack %s broke: %v", e.pack.Name, broken)
		}
	}()
	c.open(request, facts)
	findings := c.judgeAll()
	out.write(findings, len(e.pack.rules), telling)
	out.Facts = c.provided
	return nil
}

// judgeAll judges every alternative and leaves the case set to the best.
func (c *Case) judgeAll() []*Finding {
	c.judgeAlternatives(c.begin())
	c.judgeOverall()
	c.conclude()
	return c.chosen
}

// begin opens the ledger and says how many alternatives there are.
func (c *Case) begin() (alternatives int) {
	c.ledger.n, c.scores = 0, c.scores[:0]
	alternatives = 1
	if c.pack.Alternatives != nil {
		alternatives = max(1, c.pack.Alternatives(c))
	}
	return alternatives
}

// judgeAlternatives judges every alternative, and leaves the case set to the best
// and its findings chosen.
func (c *Case) judgeAlternatives(alternatives int) {
	var best struct {
		alternative, from, to int
		score                 score
	}
	for a := range alternatives {
		from := c.ledger.n
		c.judge(a)
		s := scoreOf(c.ledger.findings[from:c.ledger.n])
		c.scores = append(c.scores, s)
		if a == 0 || s.betterThan(best.score) {
			best.alternative, best.from, best.to, best.score = a, from, c.ledger.n, s
		}
	}
	c.alternative = best.alternative
	c.chosen = append(c.chosen[:0], c.ledger.findings[best.from:best.to]...)
}

// judgeOverall adds the findings of the rules that speak about all alternatives.
func (c *Case) judgeOverall() {
	before := c.ledger.n
	c.judgeRules(true)
	c.chosen = append(c.chosen, c.ledger.findings[before:c.ledger.n]...)
}

// conclude has the pack work out its facts.
func (c *Case) conclude() {
	if c.pack.Conclude != nil {
		c.rule = nil
		c.pack.Conclude(c)
	}
}

func (c *Case) judge(alternative int) {
	c.alternative = alternative
	c.judgeRules(false)
}

// judgeRules runs the rules of one alternative, or the overall ones.
func (c *Case) judgeRules(overall bool) {
	for i := range c.pack.rules {
		if c.rule = &c.pack.rules[i]; c.rule.Overall != overall || !c.judges(c.rule) || c.summary.skips(c.rule) {
			continue
		}
		before := c.ledger.n
		c.judgeRule()
		if c.summary.single && c.decidedBy(c.ledger.findings[before:c.ledger.n]) {
			return
		}
	}
}

// decidedBy takes a rule's findings about a candidate, and tells whether more cannot
// matter.
func (c *Case) decidedBy(findings []*Finding) bool {
	c.summary.take(findings)
	if s := c.summary.settlement; s != nil {
		s.learn(c.rule, findings, c.summary.line)
	}
	return c.summary.verdict == Fail
}

// judgeRule runs one rule; what it had reported before it broke is taken back.
func (c *Case) judgeRule() {
	before := c.ledger.n
	defer func() {
		if broken := recover(); broken != nil {
			c.ledger.n = before
			f := c.ledger.add(c.rule)
			f.verdict, f.said = Unknown, brokenKey
			f.Word("reason", fmt.Sprint(broken))
		}
	}()
	c.rule.Judge(c)
	for _, f := range c.ledger.findings[before:c.ledger.n] {
		f.checkTexts()
	}
}

// checkTexts panics where the finding names a text that the rule does not have,
// while the rule can still be held to account.
func (f *Finding) checkTexts() {
	key := f.said
	if key == "" {
		key = textKeyOf(f.verdict)
	}
	f.rule.text(key)
	for _, r := range f.remedies {
		f.rule.remedyText(r.key)
	}
	if f.caution != "" {
		f.rule.cautionText(f.caution)
	}
}

func (o *Outcome) write(findings []*Finding, rules int, telling Telling) {
	o.Findings, o.Verdict = o.Findings[:0], Pass
	if cap(o.Counts) < 4*rules {
		o.Counts = make([]uint32, 4*rules)
	}
	o.Counts = o.Counts[:4*rules]
	clear(o.Counts)
	for _, f := range findings {
		if telling.tells(f.verdict) {
			o.Findings = f.appendTo(o.Findings)
		}
		o.Verdict = max(o.Verdict, f.verdict)
		o.Counts[4*f.rule.index+int(f.verdict)-1]++
	}
}
