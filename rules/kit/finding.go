package kit

import (
	"strings"

	"slipfit.example/rules/quantity"
)

// Finding is one answer that a rule is giving. Its methods return it again, so
// that a judgement reads as one sentence.
type Finding struct {
	rule      *loadedRule
	subjects  []string
	verdict   Verdict
	said      string // text key; empty: the verdict's
	relation  Relation
	measured  Value
	required  Value
	margin    Value
	compared  bool // measured, required and margin are set
	saturates bool
	values    []Value
	args      []argument
	remedies  []remedy
	caution   string
}

type argument struct {
	name  string
	value Value
}

type remedy struct {
	key       string
	change    Value
	hasChange bool
	buy       []string
}

// AtMost reports whether measured stays at or below limit.
func (c *Case) AtMost(measured, limit Value) *Finding {
	return c.compare(AtMost, measured, limit, limit.Range.Sub(measured.Range))
}

// AtLeast reports whether measured reaches need.
func (c *Case) AtLeast(measured, need Value) *Finding {
	return c.compare(AtLeast, measured, need, measured.Range.Sub(need.Range))
}

func (c *Case) compare(relation Relation, measured, required Value, margin quantity.Range) *Finding {
	f := c.ledger.add(c.rule)
	f.relation, f.measured, f.required, f.compared = relation, measured, required, true
	f.values = append(f.values, measured, required)
	if !measured.Known() || !required.Known() {
		f.verdict = Unknown
		return f
	}
	for _, check := range [...]error{measured.Check("measured value"), required.Check("required value")} {
		if check != nil {
			panic(check)
		}
	}
	f.margin = Value{Range: margin, Unit: measured.Unit}
	f.verdict = verdictOf(margin.Nominal, margin.Low)
	return f
}

// Among reports whether the word measured is one of allowed; required is the list
// as a value, for the evidence.
func (c *Case) Among(measured Value, allowed []string, required Value) *Finding {
	f := c.ledger.add(c.rule)
	f.relation, f.measured, f.required = Among, measured, required
	f.values = append(f.values, measured, required)
	switch {
	case !measured.Known() || !required.Known():
		f.verdict = Unknown
	case contains(allowed, measured.Word):
		f.verdict = Pass
	default:
		f.verdict = Fail
	}
	return f
}

// Judged reports a verdict that the rule has reached by itself. The values are
// what went in; where one of them is missing the verdict becomes UNKNOWN.
func (c *Case) Judged(verdict Verdict, values ...Value) *Finding {
	f := c.ledger.add(c.rule)
	f.verdict = verdict
	return f.Using(values...)
}

// Using adds values that went in; where one of them is missing the verdict
// becomes UNKNOWN.
func (f *Finding) Using(values ...Value) *Finding {
	for _, v := range values {
		f.values = append(f.values, v)
		if !v.Known() {
			f.verdict = Unknown
		}
	}
	return f
}

// About names the items that the finding is about; the one to change comes first.
func (f *Finding) About(items ...*Item) *Finding {
	for _, it := range items {
		if it != nil {
			f.subjects = append(f.subjects, it.ID)
		}
	}
	return f
}

// Verdict returns the verdict so far.
func (f *Finding) Verdict() Verdict { return f.verdict }

// AtWorst softens a FAIL to the verdict given, where the requirement is not firm
// enough for more. UNKNOWN stays.
func (f *Finding) AtWorst(v Verdict) *Finding {
	if f.verdict == Fail {
		f.verdict = v
	}
	return f
}

// Say chooses another of the rule's texts than the verdict's own.
func (f *Finding) Say(key string) *Finding {
	f.said = key
	return f
}

// SayWhen chooses another text for one verdict only.
func (f *Finding) SayWhen(v Verdict, key string) *Finding {
	if f.verdict == v {
		f.said = key
	}
	return f
}

// Word fills a name in the finding's texts with a word.
func (f *Finding) Word(name, word string) *Finding {
	f.args = append(f.args, argument{name, Value{Word: word, text: true}})
	return f
}

// Number fills a name in the finding's texts with a number.
func (f *Finding) Number(name string, v Value) *Finding {
	f.args = append(f.args, argument{name, v})
	return f
}

// Remedy adds what would settle the finding, unless it passes. The things to buy
// are tokens that accessories provide.
func (f *Finding) Remedy(key string, buy ...string) *Finding {
	if f.verdict == Fail || f.verdict == Marginal {
		f.remedies = append(f.remedies, remedy{key: key, buy: buy})
	}
	return f
}

// RemedyOf adds what would settle the finding with the size of the change, unless
// it passes.
func (f *Finding) RemedyOf(key string, change Value, buy ...string) *Finding {
	if f.verdict == Fail || f.verdict == Marginal {
		f.remedies = append(f.remedies, remedy{key, change, true, buy})
	}
	return f
}

// Caution adds a warning of harm to people or parts.
func (f *Finding) Caution(key string) *Finding {
	f.caution = key
	return f
}

// CautionWhen adds a warning unless the finding passes.
func (f *Finding) CautionWhen(key string) *Finding {
	if f.verdict != Pass {
		f.caution = key
	}
	return f
}

// Saturates says that the measured value cannot exceed the required one, whatever the
// parts, such as the rate of a link in comparison with what its device can do: a margin
// of nothing is no tight spot then.
func (f *Finding) Saturates() *Finding {
	f.saturates = true
	return f
}

// Shortfall is what the unfavourable end of the margin is short of, or zero: the
// change after which the whole range meets the requirement.
func (f *Finding) Shortfall() Value {
	return Value{Range: quantity.Exact(max(0, -f.margin.Low)), Unit: f.margin.Unit}
}

// Margin is what is left over.
func (f *Finding) Margin() Value { return f.margin }

// argument returns what a name in a text stands for.
func (f *Finding) argument(name string) (Value, bool) {
	switch name {
	case "measured":
		return f.measured, f.compared || f.relation == Among
	case "required":
		return f.required, f.compared || f.relation == Among
	case "margin":
		return f.margin, f.compared
	case "shortfall":
		return f.Shortfall(), f.compared
	case "missing":
		return Value{Word: f.missingWords(), text: true}, true
	}
	for i := range f.args {
		if f.args[i].name == name {
			return f.args[i].value, true
		}
	}
	return Value{}, false
}

func (f *Finding) missingWords() string {
	var words []string
	for _, v := range f.values {
		for _, p := range v.missing {
			if !contains(words, p.Field) {
				words = append(words, p.Field)
			}
		}
		for _, name := range v.missingFacts {
			if !contains(words, name) {
				words = append(words, name)
			}
		}
	}
	return strings.Join(words, ", ")
}

func (f *Finding) reset(rule *loadedRule) {
	*f = Finding{
		rule: rule, subjects: f.subjects[:0], values: f.values[:0], args: f.args[:0], remedies: f.remedies[:0],
	}
}

// ledger keeps the findings of one case, alternative after alternative.
type ledger struct {
	findings []*Finding // in use up to n, kept for the next case beyond
	n        int
}

func (l *ledger) add(rule *loadedRule) *Finding {
	if l.n == len(l.findings) {
		l.findings = append(l.findings, new(Finding))
	}
	f := l.findings[l.n]
	l.n++
	f.reset(rule)
	return f
}

// score ranks alternatives: fewer of the worse verdicts, then more room.
type score struct {
	fails, unknowns, marginals int
	smallest                   float64 // margin in mm
}

func scoreOf(findings []*Finding) score {
	s := score{smallest: 1e9}
	for _, f := range findings {
		switch f.verdict {
		case Fail:
			s.fails++
		case Unknown:
			s.unknowns++
		case Marginal:
			s.marginals++
		}
		if f.compared && f.verdict != Unknown && f.margin.Unit == "mm" {
			s.smallest = min(s.smallest, f.margin.Nominal)
		}
	}
	return s
}

func (s score) betterThan(o score) bool {
	switch {
	case s.fails != o.fails:
		return s.fails < o.fails
	case s.unknowns != o.unknowns:
		return s.unknowns < o.unknowns
	case s.marginals != o.marginals:
		return s.marginals < o.marginals
	default:
		return s.smallest > o.smallest
	}
}
