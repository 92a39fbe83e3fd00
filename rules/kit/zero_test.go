package kit_test

import (
	"testing"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/standards"
)

// A count of nothing is printed as a number, an empty word as nothing.
func TestZeroIsANumberInTexts(t *testing.T) {
	pack := &kit.Pack{Name: "count", Version: "0.1.0", Purpose: "It counts.", Rules: []kit.Rule{{
		ID: "count.screws", Title: "Screws", Since: "0.1.0", Why: "They hold.", Formula: "They are counted.",
		Sources: []standards.Source{kit.CommonPractice}, Reads: []string{"kit.fasteners"},
		Texts: map[string]string{"pass": "All{word} are there.", "fail": "There are {measured} of {required}{word}.", "unknown": "It is unknown."},
		Judge: func(c *kit.Case) {
			c.AtLeast(kit.Constant(0, ""), kit.Constant(4, "")).Word("word", "")
		},
	}}}
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	got := kittest.Evaluate(t, e, kittest.Row{Build: "items: [{id: a, part: {fan: {}}}]"}).Findings[0].GetSummary().GetText()
	if want := "There are 0 of 4."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
