package trial_test

import (
	"context"
	"errors"
	"io"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/trial"
)

func finding(rule string, v v1.Verdict, margin float64, subjects ...string) *v1.Finding {
	return &v1.Finding{
		Rule: &rule, Verdict: v.Enum(), Subjects: subjects,
		Margin: &v1.Quantity{Nominal: &margin, Low: proto.Float64(margin - 1), High: proto.Float64(margin + 1), Unit: proto.String("mm")},
	}
}

func answer(findings ...*v1.Finding) *v1.CheckResponse {
	worst := v1.Verdict_VERDICT_PASS
	for _, f := range findings {
		worst = max(worst, f.GetVerdict())
	}
	return &v1.CheckResponse{Findings: findings, Verdict: worst.Enum()}
}

const (
	pass    = v1.Verdict_VERDICT_PASS
	tight   = v1.Verdict_VERDICT_MARGINAL
	unknown = v1.Verdict_VERDICT_UNKNOWN
	fail    = v1.Verdict_VERDICT_FAIL
)

func TestCompareFindsFlipsAndMoves(t *testing.T) {
	before := answer(finding("a.one", pass, 3, "card"), finding("a.one", pass, 2, "card"), finding("b.two", tight, 1), finding("c.gone", pass, 1))
	after := answer(finding("b.two", tight, 1.5), finding("a.one", pass, 3, "card"), finding("a.one", fail, -2, "card"), finding("d.new", unknown, 0))
	d := trial.Compare("x", before, after)
	type flip struct{ rule, from, to string }
	var got []flip
	for _, f := range d.Flips {
		got = append(got, flip{f.GetRule(), f.GetBaseline().GetVerdict().String(), f.GetCandidate().GetVerdict().String()})
	}
	want := []flip{
		{"a.one", "VERDICT_PASS", "VERDICT_FAIL"},
		{"c.gone", "VERDICT_PASS", "VERDICT_UNSPECIFIED"},
		{"d.new", "VERDICT_UNSPECIFIED", "VERDICT_UNKNOWN"},
	}
	if !slices.Equal(got, want) {
		t.Errorf("flips %v, want %v", got, want)
	}
	if len(d.Margins) != 1 || d.Margins[0].GetRule() != "b.two" || d.Margins[0].GetCandidate().GetNominal() != 1.5 {
		t.Errorf("margins %v, want the one of b.two", d.Margins)
	}
	if d.GetBaseline() != tight || d.GetCandidate() != fail {
		t.Errorf("the build goes from %v to %v", d.GetBaseline(), d.GetCandidate())
	}
}

// An answer does not differ from itself, whatever it says and in whatever order,
// as long as findings of one rule about the same items keep theirs.
func TestNothingDiffersFromItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var findings []*v1.Finding
		for range rapid.IntRange(0, 12).Draw(t, "findings") {
			findings = append(findings, finding(
				rapid.SampledFrom([]string{"a.one", "b.two"}).Draw(t, "rule"),
				rapid.SampledFrom([]v1.Verdict{pass, tight, unknown, fail}).Draw(t, "verdict"),
				rapid.Float64Range(-9, 9).Draw(t, "margin"),
				rapid.SampledFrom([]string{"card", "fan"}).Draw(t, "subject")))
		}
		shuffled := slices.Clone(findings)
		slices.SortStableFunc(shuffled, func(a, b *v1.Finding) int { return -len(a.GetRule()+a.Subjects[0]) + len(b.GetRule()+b.Subjects[0]) })
		if d := trial.Compare("x", answer(findings...), answer(shuffled...)); trial.Differs(d) {
			t.Fatalf("it differs: %v", d)
		}
	})
}

func builds(n int) func() (trial.Build, error) {
	i := 0
	return func() (trial.Build, error) {
		if i == n {
			return trial.Build{}, io.EOF
		}
		i++
		id := string(rune('a' + i - 1))
		encoded, err := proto.Marshal(&v1.TrialBuild{Tag: &id, Build: &v1.Build{Id: &id}})
		if err != nil {
			return trial.Build{}, err
		}
		return trial.ReadBuild(encoded)
	}
}

var plan = &v1.TrialPlan{
	Baseline:  &v1.TrialRuleset{},
	Candidate: &v1.TrialRuleset{Policy: []*v1.PolicyValue{{Parameter: proto.String("p.q"), Value: proto.Float64(2)}}},
}

// judgePolicy fails what a policy is set for.
func judgePolicy(_ context.Context, check []byte) ([]byte, error) {
	request := new(v1.CheckRequest)
	if err := proto.Unmarshal(check, request); err != nil {
		return nil, err
	}
	verdict := pass
	if len(request.Policy) == 1 && request.Policy[0].GetValue() == 2 {
		verdict = fail
	}
	return proto.Marshal(answer(finding("a.one", verdict, 1, request.GetBuild().GetId())))
}

func TestRunJudgesEveryBuildByBothSides(t *testing.T) {
	bench := trial.Bench{Judge: judgePolicy, Refusal: func(error) *v1.Refusal { return nil }, Validate: func(check []byte) *v1.Refusal {
		request := new(v1.CheckRequest)
		if err := proto.Unmarshal(check, request); err != nil || request.GetBuild().GetId() == "c" {
			return &v1.Refusal{Reason: proto.String("it is c")}
		}
		return nil
	}}
	tags := map[string]bool{}
	var summary *v1.TrialSummary
	err := bench.Run(t.Context(), plan, builds(20), func(r *v1.RunTrialResponse) error {
		if d := r.GetDifference(); d != nil {
			tags[d.GetTag()] = d.Refusal != nil
		}
		summary = r.GetSummary()
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(tags) != 20 || !tags["c"] || tags["d"] {
		t.Errorf("told of %v", tags)
	}
	want := &v1.FlipCount{Rule: proto.String("a.one"), From: pass.Enum(), To: fail.Enum(), Count: proto.Uint64(19)}
	if summary.GetBuilds() != 19 || summary.GetRefused() != 1 || summary.GetFlipped() != 19 || len(summary.Flips) != 1 || !proto.Equal(summary.Flips[0], want) {
		t.Errorf("summary %v", summary)
	}
	if summary.GetBaseline().GetSeconds() <= 0 || summary.GetCandidate().GetSeconds() <= 0 {
		t.Errorf("the cost of a side is not told: %v", summary)
	}
}

func TestRunEndsWithTheErrorOfTheJudge(t *testing.T) {
	broken := errors.New("the judge left")
	bench := trial.Bench{
		Judge:    func(context.Context, []byte) ([]byte, error) { return nil, broken },
		Refusal:  func(error) *v1.Refusal { return nil },
		Validate: func([]byte) *v1.Refusal { return nil },
	}
	err := bench.Run(t.Context(), plan, builds(26), func(r *v1.RunTrialResponse) error {
		t.Errorf("told %v", r)
		return nil
	})
	if !errors.Is(err, broken) {
		t.Errorf("error %v", err)
	}
}
