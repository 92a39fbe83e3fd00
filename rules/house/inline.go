package house

import (
	"encoding/json"
	"regexp"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// standings are the words of a source's standing.
var standings = map[string]standards.Standing{
	"published": standards.Published, "derived": standards.Derived, "drawing": standards.Drawing,
	"common practice": standards.CommonPractice, "from memory": standards.Memory,
}

// verdicts are the words that a test expects.
var verdicts = map[string]kit.Verdict{
	"pass": kit.Pass, "marginal": kit.Marginal, "unknown": kit.Unknown, "fail": kit.Fail,
	"nothing": v1.Verdict_VERDICT_UNSPECIFIED,
}

// runTests holds every rule against its own tests.
func (f *file) runTests(pack *kit.Pack, rules []*compiled) {
	evaluator, err := kit.NewEvaluator(pack)
	if err != nil {
		f.errs = append(f.errs, err)
		return
	}
	for _, r := range rules {
		for _, t := range r.tests {
			f.runTest(evaluator, r, t)
		}
	}
}

func (f *file) runTest(evaluator *kit.Evaluator, r *compiled, t testSpec) {
	want, known := verdicts[t.expect.value]
	if t.build == nil || !known {
		f.complain(t.node, "a test wants a 'build' and what to 'expect': pass, marginal, unknown, fail or nothing")
		return
	}
	build := new(v1.Build)
	if !f.fill(t.build, build) {
		return
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: build})
	if err != nil {
		f.complain(t.build, "the build cannot be encoded: %v", err)
		return
	}
	facts, ok := f.encodeFacts(t.facts)
	if !ok {
		return
	}
	var out kit.Outcome
	answer := new(v1.CheckResponse)
	if err = evaluator.Evaluate(check, facts, &out); err == nil {
		err = proto.Unmarshal(out.Findings, answer)
	}
	if err != nil {
		f.complain(t.node, "the test cannot be run: %v", err)
		return
	}
	var got kit.Verdict
	var said string
	for _, finding := range answer.Findings {
		if finding.GetRule() == Name+"."+r.id.value && finding.GetVerdict() >= got {
			got, said = finding.GetVerdict(), finding.GetSummary().GetText()
		}
	}
	if got != want {
		f.complain(t.expect.node, "the rule %q gives %s and the test expects %s: %s", r.id.value, verdictWord(got), t.expect.value, said)
	}
}

func verdictWord(v kit.Verdict) string {
	for word, of := range verdicts {
		if of == v {
			return word
		}
	}
	return v.String()
}

// fill reads a part of the file as a message of the contract.
func (f *file) fill(node *yaml.Node, into proto.Message) bool {
	var value any
	err := node.Decode(&value)
	var encoded []byte
	if err == nil {
		encoded, err = json.Marshal(value)
	}
	if err == nil {
		err = protojson.Unmarshal(encoded, into)
	}
	if err != nil {
		f.complain(node, "this is no %s: %s", into.ProtoReflect().Descriptor().Name(), strings.ReplaceAll(err.Error(), "\u00a0", " "))
	}
	return err == nil
}

func (f *file) encodeFacts(specs []factSpec) (facts []kit.Fact, ok bool) {
	for _, s := range specs {
		fact := &v1.Fact{Name: &s.name}
		field := factField(s.name)
		content := fact.ProtoReflect().Mutable(field).Message().Interface()
		if !f.fill(s.node, content) {
			return nil, false
		}
		encoded, err := proto.Marshal(fact)
		if err != nil {
			f.complain(s.node, "the fact cannot be encoded: %v", err)
			return nil, false
		}
		facts = append(facts, kit.Fact{Name: s.name, Value: encoded})
	}
	return facts, true
}

var inBraces = regexp.MustCompile(`\{([^}]*)\}`)

// checkTexts refuses texts that name what nothing fills in, or that are no
// sentences.
func (f *file) checkTexts(s spec) {
	known := []string{"missing"}
	if s.subject.value != "" {
		known = append(known, "item")
	}
	if s.measured.value != "" {
		known = append(known, "measured", "required", "margin", "shortfall")
	}
	for _, n := range s.with {
		known = append(known, n.name)
	}
	for _, t := range []text{s.message, s.passes, s.why, s.remedy, s.caution} {
		if t.value == "" {
			continue
		}
		if len(t.value) < 8 || !strings.HasSuffix(t.value, ".") {
			f.complain(t.node, "this is to be a sentence with a full stop")
		}
		for _, m := range inBraces.FindAllStringSubmatch(t.value, -1) {
			if !slices.Contains(known, m[1]) {
				f.complain(t.node, "nothing fills in {%s}; there are %s", m[1], "{"+strings.Join(known, "}, {")+"}")
			}
		}
	}
	if s.source.standing.value != "" && standings[s.source.standing.value] == 0 {
		f.complain(s.source.standing.node, "a standing is published, derived, drawing, common practice or from memory, not %q", s.source.standing.value)
	}
}
