// Package kittest tests rules from tables: builds as YAML, and for each the lines
// that the rule's findings must come to, no more and no fewer.
package kittest

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// Row is one build and what a rule must find in it.
type Row struct {
	// Name says what the row shows; a source stands here where the expected value
	// comes from one.
	Name string
	// Build is slipfit.v1.Build in YAML, with the contract's field names.
	Build string
	// Policy sets parameters.
	Policy map[string]float64
	// Facts are what other packs worked out.
	Facts []*v1.Fact
	// Want are the findings of the rule as Line prints them.
	Want []string
}

// Table runs the rows against one rule of a pack.
func Table(t *testing.T, pack *kit.Pack, rule string, rows []Row) {
	t.Helper()
	evaluator, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(pack.Rules, func(r kit.Rule) bool { return r.ID == rule }) {
		t.Fatalf("pack %s has no rule %s", pack.Name, rule)
	}
	for _, row := range rows {
		t.Run(row.Name, func(t *testing.T) {
			t.Helper()
			var got []string
			for _, f := range Evaluate(t, evaluator, row).Findings {
				if f.GetRule() != rule {
					continue
				}
				got = append(got, Line(f))
				checkText(t, f)
			}
			if !slices.Equal(got, row.Want) {
				t.Errorf("findings of %s:\n got  %s\n want %s", rule,
					strings.Join(got, "\n      "), strings.Join(row.Want, "\n      "))
			}
		})
	}
}

// Evaluate judges a row's build and returns all findings of the pack.
func Evaluate(t testing.TB, e *kit.Evaluator, row Row) *v1.CheckResponse {
	t.Helper()
	request := &v1.CheckRequest{Build: Build(t, row.Build)}
	for name, value := range row.Policy {
		request.Policy = append(request.Policy, &v1.PolicyValue{Parameter: &name, Value: &value})
	}
	check, err := proto.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	var facts []kit.Fact
	for _, fact := range row.Facts {
		value, err := proto.Marshal(fact)
		if err != nil {
			t.Fatal(err)
		}
		facts = append(facts, kit.Fact{Name: fact.GetName(), Value: value})
	}
	var out kit.Outcome
	if err := e.Evaluate(check, facts, &out); err != nil {
		t.Fatal(err)
	}
	var response v1.CheckResponse
	if err := proto.Unmarshal(out.Findings, &response); err != nil {
		t.Fatalf("findings cannot be read back: %v", err)
	}
	return &response
}

// Build reads slipfit.v1.Build from YAML.
func Build(t testing.TB, text string) *v1.Build {
	t.Helper()
	var tree any
	if err := yaml.Unmarshal([]byte(text), &tree); err != nil {
		t.Fatalf("build is no YAML: %v", err)
	}
	encoded, err := json.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	build := new(v1.Build)
	if err := protojson.Unmarshal(encoded, build); err != nil {
		t.Fatalf("build does not follow the contract: %v", err)
	}
	return build
}

// Line prints a finding as a table compares it: the verdict, the subjects, the
// margin, what is missing, and what to buy.
//
//	MARGINAL cooler,case margin 0 mm
//	UNKNOWN cooler missing items[1].part.air_cooler.height_mm
func Line(f *v1.Finding) string {
	var b strings.Builder
	b.WriteString(strings.TrimPrefix(f.GetVerdict().String(), "VERDICT_"))
	if len(f.Subjects) > 0 {
		b.WriteString(" " + strings.Join(f.Subjects, ","))
	}
	if m := f.Margin; m != nil {
		fmt.Fprintf(&b, " margin %s", kit.FormatNumber(m.GetNominal(), m.GetUnit()))
	}
	if missing := append(slices.Clone(f.Missing), f.MissingFacts...); len(missing) > 0 {
		b.WriteString(" missing " + strings.Join(missing, " "))
	}
	for _, r := range f.Remedies {
		if len(r.Buy) > 0 {
			b.WriteString(" buy " + strings.Join(r.Buy, " "))
		}
	}
	return b.String()
}

// checkText fails where a text kept a name in braces, or where a caution or a
// remedy came out empty.
func checkText(t testing.TB, f *v1.Finding) {
	t.Helper()
	messages := []*v1.Message{f.Summary, f.Formula}
	for _, r := range f.Remedies {
		messages = append(messages, r.Action)
	}
	if f.Caution != nil {
		messages = append(messages, f.Caution)
	}
	for _, m := range messages {
		if text := m.GetText(); text == "" || strings.ContainsAny(text, "{}") || strings.Contains(text, "  ") {
			t.Errorf("text %s is not fully filled in: %q", m.GetKey(), text)
		}
	}
}
