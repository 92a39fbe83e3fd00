package batch

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
)

// told is a line of output as encoding/json writes it from its parts.
type told struct {
	Line     int64         `json:"line"`
	ID       string        `json:"id,omitempty"`
	Verdict  string        `json:"verdict"`
	Findings []toldFinding `json:"findings,omitempty"`
}

type toldFinding struct {
	Rule     string   `json:"rule"`
	Verdict  string   `json:"verdict"`
	Subjects []string `json:"subjects,omitempty"`
	Text     string   `json:"text"`
	Margin   *float64 `json:"margin,omitempty"`
	Unit     string   `json:"unit,omitempty"`
	Missing  []string `json:"missing,omitempty"`
	Buy      []string `json:"buy,omitempty"`
}

// What is written straight from the bytes is what encoding/json writes of the
// decoded message.
func TestALineIsWhatTheDecodedAnswerSays(t *testing.T) {
	words := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"", "a<b>&", "\u2028", "\"\\\n\x00\x7f", "12 °C × 3", "\xff", "😀"}))
	numbers := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{0, math.Copysign(0, -1), 1e-7, 1e21, 999999999999999999999, 0.1, -3}))
	rapid.Check(t, func(t *rapid.T) {
		verdict := rapid.SampledFrom([]v1.Verdict{v1.Verdict_VERDICT_PASS, v1.Verdict_VERDICT_MARGINAL, v1.Verdict_VERDICT_UNKNOWN, v1.Verdict_VERDICT_FAIL})
		worst, id := verdict.Draw(t, "verdict"), words.Draw(t, "id")
		answer := &v1.CheckResponse{Verdict: &worst, BuildId: &id, Ruleset: &v1.Ruleset{Digest: &id}}
		want := told{Line: 7, ID: id, Verdict: strings.TrimPrefix(worst.String(), "VERDICT_")}
		for range rapid.IntRange(0, 4).Draw(t, "findings") {
			rule, text, v := words.Draw(t, "rule"), words.Draw(t, "text"), verdict.Draw(t, "its verdict")
			f := &v1.Finding{Rule: &rule, Verdict: &v, Summary: &v1.Message{Key: &rule, Text: &text}}
			f.Subjects = rapid.SliceOfN(words, 0, 2).Draw(t, "subjects")
			f.Missing = rapid.SliceOfN(words, 0, 2).Draw(t, "missing")
			f.MissingFacts = rapid.SliceOfN(words, 0, 2).Draw(t, "facts")
			out := toldFinding{Rule: rule, Verdict: strings.TrimPrefix(v.String(), "VERDICT_"), Subjects: f.Subjects, Text: text, Missing: append(append([]string(nil), f.Missing...), f.MissingFacts...)}
			if rapid.Bool().Draw(t, "margin") {
				n, unit := numbers.Draw(t, "nominal"), words.Draw(t, "unit")
				f.Margin = &v1.Quantity{Nominal: &n, Unit: &unit, Low: &n}
				out.Margin, out.Unit = &n, unit
			}
			for _, buy := range rapid.SliceOfN(words, 0, 2).Draw(t, "buy") {
				f.Remedies = append(f.Remedies, &v1.Remedy{Buy: []string{buy}, Action: &v1.Message{Text: &text}})
				out.Buy = append(out.Buy, buy)
			}
			answer.Findings = append(answer.Findings, f)
			if v != v1.Verdict_VERDICT_PASS {
				want.Findings = append(want.Findings, out)
			}
		}
		encoded, err := answer.MarshalVT()
		if err != nil {
			t.Fatal(err)
		}
		line := &Line{Number: 7}
		got, v, _, err := line.answered(nil, encoded, DetailFindings)
		if err != nil || v != worst {
			t.Fatalf("%v, %v", err, v)
		}
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		if err := e.Encode(want); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, b.Bytes()) {
			t.Errorf("the line is\n%s, want\n%s", got, b.Bytes())
		}
	})
}

// Bytes that are no answer are an error, never a line.
func TestAnAnswerThatCannotBeReadIsAnError(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		junk := rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")
		line := &Line{Number: 1}
		for _, d := range []Detail{DetailFindings, DetailVerdicts} {
			if got, _, _, err := line.answered(nil, junk, d); err == nil && !json.Valid(got) {
				t.Errorf("%x becomes %q", junk, got)
			}
		}
	})
	nan, fail := math.NaN(), v1.Verdict_VERDICT_FAIL
	encoded, err := (&v1.CheckResponse{Findings: []*v1.Finding{{Verdict: &fail, Margin: &v1.Quantity{Nominal: &nan}}}}).MarshalVT()
	if err != nil {
		t.Fatal(err)
	}
	if _, _, _, err := (&Line{}).answered(nil, encoded, DetailFindings); err == nil {
		t.Error("a margin that is no number is written")
	}
}
