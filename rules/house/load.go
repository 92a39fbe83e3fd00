package house

import (
	"cmp"
	"crypto/sha256"
	"errors"
	"fmt"
	"slices"
	"strings"

	"cel.dev/cel-go/cel"
	"google.golang.org/protobuf/reflect/protoreflect"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// Name is the pack's name.
const Name = "house"

// version is that of this package; the rules' own digest follows it.
const version = "0.1.0"

// compiled is one rule ready to judge.
type compiled struct {
	spec
	condition      *expression
	measure, bound *expression
	relation       kit.Relation
	with           []namedExpression
	reads          []string // fields of the kind that the rule is about
	facts          []string // that any of its expressions names
	otherwise      kit.Verdict

	kind  protoreflect.FieldDescriptor // of the part that the rule is about; nil: the build
	given []figure                     // that findings show
}

type namedExpression struct {
	name string
	*expression
}

// Load makes a pack of the rules in a text, which may hold several YAML documents.
// The rules' tests are run. The error names file, line and column of everything
// that is wrong.
func Load(name string, data []byte) (*kit.Pack, error) {
	f := &file{name: name, data: data}
	specs := f.read()
	if len(f.errs) > 0 {
		return nil, errors.Join(f.errs...)
	}
	rules := f.compile(specs)
	if len(f.errs) > 0 {
		return nil, errors.Join(f.errs...)
	}
	all, err := theContract()
	if err != nil {
		return nil, err
	}
	pack := newPack(data, rules, all)
	if err := pack.Check(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	f.runTests(pack, rules)
	if len(f.errs) > 0 {
		return nil, errors.Join(f.errs...)
	}
	return pack, nil
}

func newPack(data []byte, rules []*compiled, all *contract) *kit.Pack {
	digest := sha256.Sum256(data)
	pack := &kit.Pack{
		Name: Name, Version: fmt.Sprintf("%s+%x", version, digest[:6]),
		Purpose: "It judges by the rules that the keeper of this service has written.",
		Alternatives: func(c *kit.Case) int {
			openDesk(c, all)
			return 1
		},
	}
	needs := map[string]bool{}
	for _, r := range rules {
		pack.Rules = append(pack.Rules, r.rule())
		for _, fact := range r.facts {
			needs[fact] = true
		}
	}
	pack.Rules = append(pack.Rules, broughtRule())
	pack.Needs = sorted(needs)
	return pack
}

// broughtRule stands for all rules that requests bring, of which the catalogue
// knows nothing.
func broughtRule() kit.Rule {
	return kit.Rule{
		ID: Name + ".brought", Title: "House rules that the request brings", Since: version,
		Why:     "A rule is tried before it is kept.",
		Formula: "Each rule that the request brings is judged under its own name and counted here.",
		Sources: []standards.Source{kit.CommonPractice}, Reads: []string{"house_rules"},
		Texts: map[string]string{
			"pass": "The rules of the request were judged.", "fail": "The rules of the request were judged.",
			"unknown": "The rules of the request were not judged.",
		},
		Judge: func(*kit.Case) {},
	}
}

func (f *file) compile(specs []spec) (out []*compiled) {
	lang, err := newLanguage()
	if err != nil {
		f.errs = append(f.errs, err)
		return nil
	}
	for _, s := range specs {
		env, err := lang.of(s.subject.value)
		if err != nil {
			f.complain(s.node, "%v", err)
			continue
		}
		out = append(out, f.compileRule(env, s))
	}
	return out
}

var numbers = []*cel.Type{cel.DoubleType, cel.IntType, cel.UintType}

func (f *file) compileRule(env *cel.Env, s spec) *compiled {
	f.checkTexts(s)
	r := &compiled{spec: s, otherwise: kit.Fail}
	if s.severity.value == "marginal" {
		r.otherwise = kit.Marginal
	}
	all := map[string]bool{}
	facts := map[string]bool{}
	one := func(t text, want ...*cel.Type) *expression {
		if t.value == "" {
			return nil
		}
		e, err := compile(env, t.value, want...)
		if err != nil {
			f.complainIn(t, err)
			return nil
		}
		for _, p := range e.reads {
			all[p] = true
		}
		for _, name := range e.facts {
			facts[name] = true
		}
		return e
	}
	r.condition = one(s.requires, cel.BoolType)
	r.measure = one(s.measured, numbers...)
	r.relation = kit.AtMost
	if s.atLeast.value != "" {
		r.relation = kit.AtLeast
	}
	r.bound = one(text{cmp.Or(s.atMost.value, s.atLeast.value), cmp.Or(s.atMost.node, s.atLeast.node)}, numbers...)
	for _, n := range s.with {
		if e := one(n.text, append([]*cel.Type{cel.StringType}, numbers...)...); e != nil {
			r.with = append(r.with, namedExpression{n.name, e})
		}
	}
	r.reads, r.facts = sorted(all), sorted(facts)
	if s.subject.value != "" {
		r.kind = kindField(s.subject.value)
	}
	r.given = r.figures()
	return r
}

// rule describes a house rule as every rule is.
func (r *compiled) rule() kit.Rule {
	formula := "It requires " + strings.Join(strings.Fields(r.requires.value), " ") + "."
	if r.measure != nil {
		formula = fmt.Sprintf("It holds %s against %s.", strings.Join(strings.Fields(r.measured.value), " "),
			strings.Join(strings.Fields(cmp.Or(r.atMost.value, r.atLeast.value)), " "))
	}
	out := kit.Rule{
		ID: Name + "." + r.id.value, Title: r.title.value, Why: r.why.value, Formula: formula, Since: version,
		Sources: []standards.Source{r.kitSource()}, Reads: r.documented(), UsesFacts: r.facts,
		Texts: map[string]string{
			"pass":     cmp.Or(r.passes.value, r.title.value+": the requirement is met."),
			"marginal": r.message.value, "fail": r.message.value,
			"unknown": "This is not known, because {missing} is missing.",
		},
		Remedies: oneText("do", r.remedy.value), Cautions: oneText("harm", r.caution.value),
		Judge: r.judge,
	}
	return out
}

// documented are the reads from the roots that a reader of the document knows.
func (r *compiled) documented() []string {
	roots := []string{"build", "item", "part", r.subject.value}
	return slices.DeleteFunc(slices.Clone(r.reads), func(p string) bool {
		root, _, _ := strings.Cut(p, ".")
		return !slices.Contains(roots, root)
	})
}

func oneText(key, value string) map[string]string {
	if value == "" {
		return nil
	}
	return map[string]string{key: value}
}

// kitSource is where the rule says it comes from; without a word it is the
// house's own.
func (r *compiled) kitSource() standards.Source {
	if r.source.title.value == "" {
		return standards.Source{ID: "house", Title: "the house's own", Standing: standards.CommonPractice, Witnesses: 1}
	}
	standing := standings[cmp.Or(r.source.standing.value, "common practice")]
	return standards.Source{ID: "house", Title: r.source.title.value, Standing: standing, Witnesses: 1}
}
