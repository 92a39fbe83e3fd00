package server_test

import (
	"bytes"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// TestRulesThatJudgeAloneNeedNoFacts holds every rule that is marked so against its
// mark: over all demo builds, those with a part taken out and those with lit fans, its
// findings are the same, byte for byte, with the facts of the other packs and without any.
func TestRulesThatJudgeAloneNeedNoFacts(t *testing.T) {
	evaluators := map[string]*kit.Evaluator{}
	alone := map[string]bool{}
	for name, pack := range builtin {
		p := pack()
		for _, r := range p.Rules {
			alone[r.ID] = r.Alone
		}
		e, err := kit.NewEvaluator(p)
		if err != nil {
			t.Fatal(err)
		}
		evaluators[name] = e
	}
	compared := map[string]int{}
	for file, request := range demoRequests(t) {
		for out := -1; out < len(request.Build.Items); out += 3 {
			check := proto.CloneOf(request)
			if out >= 0 {
				check.Build.Items[out].Part = &v1.Part{}
				lightUp(check.Build)
			}
			encoded, err := proto.Marshal(check)
			if err != nil {
				t.Fatal(err)
			}
			var facts []kit.Fact
			for _, name := range []string{"clearance", "power", "interface", "mounting", "thermal"} {
				with, without := findingsOf(t, evaluators[name], encoded, &facts), findingsOf(t, evaluators[name], encoded, nil)
				for rule, found := range with {
					if !alone[rule] {
						continue
					}
					if compared[rule]++; !bytes.Equal(found, without[rule]) {
						t.Errorf("%s without item %d: %s says something else without facts", file, out, rule)
					}
				}
			}
		}
	}
	for rule, marked := range alone {
		if marked && compared[rule] == 0 {
			t.Errorf("no build has a finding of %s", rule)
		}
	}
}

// lightUp gives the loose fans lights that are addressed, which no demo part has.
func lightUp(build *v1.Build) {
	for _, it := range build.Items {
		if fan := it.Part.GetFan(); fan != nil {
			fan.AddressableLight = proto.Bool(true)
		}
	}
}

// findingsOf judges a check and returns the findings of each rule, encoded one after
// the other. The facts grow by what the pack provides.
func findingsOf(t *testing.T, e *kit.Evaluator, check []byte, facts *[]kit.Fact) map[string][]byte {
	t.Helper()
	var known []kit.Fact
	if facts != nil {
		known = *facts
	}
	var out kit.Outcome
	if err := e.Evaluate(check, known, &out); err != nil {
		t.Fatal(err)
	}
	if facts != nil {
		*facts = append(*facts, out.Facts...)
	}
	answer := new(v1.CheckResponse)
	if err := proto.Unmarshal(out.Findings, answer); err != nil {
		t.Fatal(err)
	}
	found := map[string][]byte{}
	for _, f := range answer.Findings {
		encoded, err := proto.MarshalOptions{Deterministic: true}.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		found[f.GetRule()] = append(found[f.GetRule()], encoded...)
	}
	return found
}
