package kit

import (
	"fmt"
	"maps"
	"slices"

	"slipfit.example/proto/slipfit/pack/v1/plug"
	v1 "slipfit.example/proto/slipfit/v1"
)

// loadedPack is a pack made ready: texts taken apart, constant bytes encoded.
type loadedPack struct {
	*Pack
	rules       []loadedRule
	description []*v1.Rule
}

// loadedRule is a rule made ready.
type loadedRule struct {
	*Rule
	index    int
	head     []byte // encoded rule, pack and version
	tail     []byte // encoded formula and sources
	texts    map[string]*template
	remedies map[string]*template
	cautions map[string]*template
}

func load(p *Pack) (*loadedPack, error) {
	if err := p.Check(); err != nil {
		return nil, fmt.Errorf("pack %s cannot serve: %w", p.Name, err)
	}
	out := &loadedPack{Pack: p, rules: make([]loadedRule, len(p.Rules))}
	for i := range p.Rules {
		r := &p.Rules[i]
		l := &out.rules[i]
		*l = loadedRule{Rule: r, index: i}
		l.head = appendString(appendString(appendString(nil, findingRule, r.ID), findingPack, p.Name), findingVersion, p.Version)
		l.tail = constantTail(r)
		l.texts = loadTexts(r.ID+".", r.Texts)
		l.remedies = loadTexts(r.ID+".remedy.", r.Remedies)
		l.cautions = loadTexts(r.ID+".caution.", r.Cautions)
		out.description = append(out.description, r.describe(p.Name, p.Version))
	}
	return out, nil
}

// judgesAlone tells whether some rules can be judged before there are facts.
func (p *loadedPack) judgesAlone() bool {
	return slices.ContainsFunc(p.Rules, func(r Rule) bool { return r.Alone })
}

// looksAhead tells whether the pack has something to say before there are facts.
func (p *loadedPack) looksAhead() bool {
	return p.judgesAlone() || slices.ContainsFunc(p.Rules, func(r Rule) bool { return r.Bound != nil })
}

func constantTail(r *Rule) []byte {
	b, start := openMessage(nil, findingFormula)
	b = appendString(b, 1, r.ID+".formula")
	b = closeMessage(appendString(b, 3, r.Formula), start)
	for _, s := range r.Sources {
		d := describeSource(s)
		b, start = openMessage(b, findingSources)
		b = appendString(b, 1, d.GetId())
		b = appendString(b, 2, d.GetTitle())
		b = closeMessage(appendString(b, 3, d.GetStanding()), start)
	}
	return slices.Clip(b)
}

func loadTexts(prefix string, texts map[string]string) map[string]*template {
	out := make(map[string]*template, len(texts))
	for _, key := range slices.Sorted(maps.Keys(texts)) {
		t, err := parseTemplate(texts[key])
		if err != nil {
			panic(err) // Check has parsed it already
		}
		t.key = prefix + key
		out[key] = &t
	}
	return out
}

// text returns a summary by key. "marginal" falls back to "pass": what is tight
// is said with the same words, the margin tells it. An unknown key is a mistake
// in the rule and shows as a broken rule.
func (r *loadedRule) text(key string) *template {
	if t := r.texts[key]; t != nil {
		return t
	}
	if key == "marginal" {
		return r.texts["pass"]
	}
	if key == brokenKey {
		return brokenText
	}
	panic(fmt.Sprintf("rule %s has no text %q", r.ID, key))
}

func (r *loadedRule) remedyText(key string) *template {
	if t := r.remedies[key]; t != nil {
		return t
	}
	panic(fmt.Sprintf("rule %s has no remedy %q", r.ID, key))
}

func (r *loadedRule) cautionText(key string) *template {
	if t := r.cautions[key]; t != nil {
		return t
	}
	panic(fmt.Sprintf("rule %s has no caution %q", r.ID, key))
}

const brokenKey = "rule-broken"

var brokenText = func() *template {
	t, err := parseTemplate("This rule broke while it judged, so nothing is known: {reason}.")
	if err != nil {
		panic(err)
	}
	t.key = plug.BrokenRule
	return &t
}()
