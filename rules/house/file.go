package house

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// spec is one rule as the file has it.
type spec struct {
	node *yaml.Node
	id   text
	// subject is the kind of part that the rule is about, one item after the other.
	subject                     text
	title, why, message, passes text
	unit, severity              text
	remedy, caution             text
	requires                    text // a condition, or
	measured, atMost, atLeast   text // a comparison
	source                      sourceSpec
	with                        []named
	tests                       []testSpec
}

type text struct {
	value string
	node  *yaml.Node
}

type named struct {
	name string
	text text
}

type sourceSpec struct{ title, standing text }

// testSpec is one inline test.
type testSpec struct {
	node   *yaml.Node
	build  *yaml.Node
	facts  []factSpec
	expect text
}

type factSpec struct {
	name string
	node *yaml.Node
}

var ruleID = regexp.MustCompile(`^[a-z][a-z0-9-]{0,63}$`)

// file is a source of rules and of complaints about it.
type file struct {
	name string
	data []byte
	errs []error
}

func (f *file) complain(at *yaml.Node, format string, args ...any) {
	f.complainAt(at.Line, at.Column, format, args...)
}

func (f *file) complainAt(line, column int, format string, args ...any) {
	f.errs = append(f.errs, fmt.Errorf("%s:%d:%d: %s", f.name, line, column, fmt.Sprintf(format, args...)))
}

// complainIn places what is wrong with an expression in the file.
func (f *file) complainIn(t text, err error) {
	for _, e := range flat(err) {
		var p *place
		if !errors.As(e, &p) {
			f.complain(t.node, "%v", e)
			continue
		}
		line, column := f.locate(t.node, p)
		f.complainAt(line, column, "%s", p.reason)
	}
}

func flat(err error) []error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		return joined.Unwrap()
	}
	return []error{err}
}

// locate turns a place in a scalar into one in the file, by the way the scalar is
// written down.
func (f *file) locate(node *yaml.Node, p *place) (line, column int) {
	switch {
	case node.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		line = node.Line + p.line
		return line, f.indent(line) + p.column + 1
	case p.line > 1:
		line = node.Line + p.line - 1
		return line, f.indent(line) + p.column + 1
	case node.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0:
		return node.Line, node.Column + 1 + p.column
	default:
		return node.Line, node.Column + p.column
	}
}

func (f *file) indent(line int) int {
	lines := bytes.SplitAfterN(f.data, []byte("\n"), line+1)
	if line < 1 || line > len(lines) {
		return 0
	}
	at := lines[line-1]
	return len(at) - len(bytes.TrimLeft(at, " "))
}

// read takes the documents of a file apart.
func (f *file) read() (specs []spec) {
	if len(f.data) > MaxText {
		f.errs = append(f.errs, fmt.Errorf("%s has %d bytes, more than the %d that house rules may have", f.name, len(f.data), MaxText))
		return nil
	}
	decoder := yaml.NewDecoder(bytes.NewReader(f.data))
	for {
		var document yaml.Node
		err := decoder.Decode(&document)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			f.errs = append(f.errs, fmt.Errorf("%s is no YAML: %s", f.name, strings.TrimPrefix(err.Error(), "yaml: ")))
			return nil
		}
		if alias := aliasIn(&document); alias != nil {
			f.complain(alias, "aliases are not used in house rules; write the value out")
			return nil
		}
		for key, value := range f.entries(document.Content[0], "rules") {
			if key.Value == "rules" {
				specs = append(specs, f.rules(value)...)
			}
		}
	}
	f.unique(specs)
	return specs
}

func aliasIn(n *yaml.Node) *yaml.Node {
	if n.Kind == yaml.AliasNode {
		return n
	}
	for _, c := range n.Content {
		if a := aliasIn(c); a != nil {
			return a
		}
	}
	return nil
}

func (f *file) unique(specs []spec) {
	if len(specs) > MaxRules {
		f.errs = append(f.errs, fmt.Errorf("%s has %d rules, more than the %d allowed", f.name, len(specs), MaxRules))
	}
	seen := map[string]int{}
	for _, s := range specs {
		if line, twice := seen[s.id.value]; twice {
			f.complain(s.node, "a rule is called %q in line %d already", s.id.value, line)
		}
		seen[s.id.value] = s.node.Line
	}
}

// entries yields key and value of a mapping whose keys are known, each once.
func (f *file) entries(node *yaml.Node, known ...string) func(func(key, value *yaml.Node) bool) {
	return func(yield func(key, value *yaml.Node) bool) {
		if node.Kind != yaml.MappingNode {
			f.complain(node, "a mapping with %s is wanted here", strings.Join(known, ", "))
			return
		}
		var seen []string
		for i := 0; i+1 < len(node.Content); i += 2 {
			key, value := node.Content[i], node.Content[i+1]
			switch {
			case !slices.Contains(known, key.Value):
				f.complain(key, "%q is not known here%s Known are %s.", key.Value, cmp.Or(didYouMean(key.Value, known), "."), strings.Join(known, ", "))
				continue
			case slices.Contains(seen, key.Value):
				f.complain(key, "%q stands here twice", key.Value)
				continue
			}
			seen = append(seen, key.Value)
			if !yield(key, value) {
				return
			}
		}
	}
}

func (f *file) rules(node *yaml.Node) (specs []spec) {
	if node.Kind != yaml.SequenceNode {
		f.complain(node, "'rules' is a list")
		return nil
	}
	for _, entry := range node.Content {
		specs = append(specs, f.rule(entry))
	}
	return specs
}

func (f *file) rule(node *yaml.Node) spec {
	s := spec{node: node}
	texts := map[string]*text{
		"id": &s.id, "for": &s.subject, "title": &s.title, "why": &s.why, "message": &s.message, "passes": &s.passes,
		"unit": &s.unit, "severity": &s.severity, "remedy": &s.remedy, "caution": &s.caution,
		"requires": &s.requires, "measured": &s.measured, "at_most": &s.atMost, "at_least": &s.atLeast,
	}
	known := append(sorted(keySet(texts)), "source", "tests", "with")
	for key, value := range f.entries(node, known...) {
		switch key.Value {
		case "source":
			s.source = f.source(value)
		case "with":
			s.with = f.named(value)
		case "tests":
			s.tests = f.tests(value)
		default:
			*texts[key.Value] = f.text(key, value)
		}
	}
	f.complete(&s)
	return s
}

func keySet(m map[string]*text) map[string]bool {
	out := map[string]bool{}
	for k := range m {
		out[k] = true
	}
	return out
}

// complete says what a rule lacks.
func (f *file) complete(s *spec) {
	if !ruleID.MatchString(s.id.value) {
		f.complain(s.node, "a rule wants an id of lower-case letters, digits and hyphens, a letter first; it has %q", s.id.value)
	}
	for name, t := range map[string]text{"title": s.title, "why": s.why, "message": s.message} {
		if t.value == "" {
			f.complain(s.node, "the rule %q wants a %s", s.id.value, name)
		}
	}
	condition, comparison := s.requires.value != "", s.measured.value != ""
	bounds := s.atMost.value != "" && s.atLeast.value == "" || s.atMost.value == "" && s.atLeast.value != ""
	if condition == comparison || comparison != bounds {
		f.complain(s.node, "the rule %q wants either 'requires', or 'measured' with 'at_most' or 'at_least'", s.id.value)
	}
	if s.subject.value != "" && !slices.Contains(kinds(), s.subject.value) {
		f.complain(s.subject.node, "no kind of part is called %q; there are %s", s.subject.value, strings.Join(kinds(), ", "))
		s.subject.value = ""
	}
	if !slices.Contains([]string{"", "fail", "marginal"}, s.severity.value) {
		f.complain(s.severity.node, "severity is fail or marginal, not %q", s.severity.value)
	}
	if len(s.tests) == 0 {
		f.complain(s.node, "the rule %q wants tests: at least one build and the verdict to expect", s.id.value)
	}
}

func (f *file) text(key, node *yaml.Node) text {
	if node.Kind != yaml.ScalarNode || node.Value == "" {
		f.complain(node, "%q wants a text", key.Value)
		return text{node: node}
	}
	return text{node.Value, node}
}

func (f *file) source(node *yaml.Node) (s sourceSpec) {
	for key, value := range f.entries(node, "title", "standing") {
		if key.Value == "title" {
			s.title = f.text(key, value)
		} else {
			s.standing = f.text(key, value)
		}
	}
	return s
}

func (f *file) named(node *yaml.Node) (out []named) {
	if node.Kind != yaml.MappingNode {
		f.complain(node, "'with' holds an expression under each name that texts use")
		return nil
	}
	for i := 0; i+1 < len(node.Content); i += 2 {
		key, value := node.Content[i], node.Content[i+1]
		out = append(out, named{key.Value, f.text(key, value)})
	}
	return out
}

func (f *file) tests(node *yaml.Node) (out []testSpec) {
	if node.Kind != yaml.SequenceNode {
		f.complain(node, "'tests' is a list")
		return nil
	}
	for _, entry := range node.Content {
		t := testSpec{node: entry}
		for key, value := range f.entries(entry, "build", "facts", "expect") {
			switch key.Value {
			case "build":
				t.build = value
			case "facts":
				t.facts = f.facts(value)
			case "expect":
				t.expect = f.text(key, value)
			}
		}
		out = append(out, t)
	}
	return out
}

func (f *file) facts(node *yaml.Node) (out []factSpec) {
	if node.Kind != yaml.MappingNode {
		f.complain(node, "'facts' holds a fact under each name")
		return nil
	}
	for i := 0; i+1 < len(node.Content); i += 2 {
		key := node.Content[i]
		if _, known := factContent[key.Value]; !known {
			f.complain(key, "no fact is called %q%s", key.Value, didYouMean(key.Value, slices.Sorted(maps.Keys(factContent))))
			continue
		}
		out = append(out, factSpec{key.Value, node.Content[i+1]})
	}
	return out
}
