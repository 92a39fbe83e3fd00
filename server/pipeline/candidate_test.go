package pipeline

import (
	"math"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// What a pack says of a candidate is refused where it would spoil the list.
func TestBriefsThatAreRefused(t *testing.T) {
	p := &rulesetPack{rules: []string{"sample.rule"}}
	finding := []byte{findingsTag, 0}
	for _, test := range []struct {
		name  string
		brief *packv1.Brief
		want  string // in the error, empty: it is taken
		bare  bool   // asked for bare answers
	}{
		{"nothing", nil, "says nothing", false},
		{"a verdict alone", &packv1.Brief{}, "", false},
		{"bounds", &packv1.Brief{Ceiling: proto.Float64(0.2), QuietestDba: proto.Float64(30), Unfit: proto.Bool(true)}, "", false},
		{"a share with its finding", &packv1.Brief{MarginShare: proto.Float64(0.2), Finding: finding}, "", false},
		{"a share without finding", &packv1.Brief{MarginShare: proto.Float64(0.2)}, "no finding", false},
		{"a share without finding, barely", &packv1.Brief{MarginShare: proto.Float64(0.2)}, "", true},
		{"turned down barely without a reason", &packv1.Brief{Verdict: v1.Verdict_VERDICT_FAIL.Enum()}, "no reason", true},
		{"a share that is no number", &packv1.Brief{MarginShare: proto.Float64(math.NaN()), Finding: finding}, "no number", false},
		{"a ceiling that is no number", &packv1.Brief{Ceiling: proto.Float64(math.NaN())}, "no number", false},
		{"a ceiling without end", &packv1.Brief{Ceiling: proto.Float64(math.Inf(-1))}, "no number", false},
		{"a level that is no number", &packv1.Brief{QuietestDba: proto.Float64(math.Inf(1))}, "no number", false},
		{"turned down without a reason", &packv1.Brief{Verdict: v1.Verdict_VERDICT_FAIL.Enum()}, "no reason", false},
	} {
		if test.brief != nil && test.brief.Verdict == nil {
			test.brief.Verdict = v1.Verdict_VERDICT_PASS.Enum()
		}
		err := checkBrief(&packv1.Outcome{Brief: test.brief, Counts: make([]uint32, 4)}, p, test.bare)
		if got := errorText(err); (got == "") != (test.want == "") || !strings.Contains(got, test.want) {
			t.Errorf("%s: %q, want words with %q", test.name, got, test.want)
		}
	}
}

func errorText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// Of what several packs say at best, the tightest counts.
func TestTheTightestBoundCounts(t *testing.T) {
	c := NewCandidate(nil)
	if !math.IsInf(c.Ceiling, 1) || !math.IsInf(c.QuietestDBA, -1) || c.Unfit || c.shareSoFar() != nil {
		t.Errorf("a candidate that nobody has looked at is bounded: %+v", c)
	}
	for _, b := range []*packv1.Brief{
		{Ceiling: proto.Float64(0.3), QuietestDba: proto.Float64(20)}, {Ceiling: proto.Float64(-0.1)}, {Unfit: proto.Bool(true)},
		{Ceiling: proto.Float64(0.2), QuietestDba: proto.Float64(18)},
	} {
		c.lookAhead(b)
	}
	if c.Ceiling != -0.1 || c.QuietestDBA != 20 || !c.Unfit {
		t.Errorf("the bounds are %v, %v and %v, want -0.1, 20 and true", c.Ceiling, c.QuietestDBA, c.Unfit)
	}
	c.MarginShare = 0.25
	if share := c.shareSoFar(); share == nil || *share != 0.25 {
		t.Errorf("the share so far is %v, want 0.25", share)
	}
}

// Packs are told where facts that they need may be lacking.
func TestFactsThatMayLack(t *testing.T) {
	fail := standing{findings: []*v1.Finding{{Verdict: v1.Verdict_VERDICT_UNKNOWN.Enum()}, {Verdict: v1.Verdict_VERDICT_FAIL.Enum()}}}
	for _, test := range []struct {
		name     string
		fact     string
		standing standing
		asked    []bool
		want     bool
	}{
		{"there", "a.fact", standing{findings: fail.findings[:1]}, nil, false},
		{"of a build that fails", "a.fact", fail, nil, true},
		{"nobody works it out", "b.fact", standing{}, nil, true},
		{"of a pack that is not asked", "a.fact", standing{}, []bool{false}, true},
	} {
		b := &Baseline{
			run:      &run{ruleset: &ruleset{provider: map[string]int{"a.fact": 0}}, asked: test.asked},
			standing: []standing{test.standing},
		}
		if got := b.mayLack(test.fact); got != test.want {
			t.Errorf("%s: may lack %v, want %v", test.name, got, test.want)
		}
	}
}

// A finding that was left out of the first look comes with the last; a pack that does not
// answer then decides, and what has found a smaller share meanwhile needs none.
func TestLeftOutFindingsAreFetched(t *testing.T) {
	finding := []byte{findingsTag, 2, 0x0a, 0}
	s := &Slate{baseline: &Baseline{run: &run{ruleset: &ruleset{packs: []*rulesetPack{{name: "a"}, {name: "b"}}}}}}
	glanced := func() Candidate {
		c := NewCandidate(nil)
		first := &look{slate: s, step: step{packs: []int{0, 1}}}
		brief := func(share float64) outcome {
			return outcome{brief: &packv1.Brief{Verdict: v1.Verdict_VERDICT_PASS.Enum(), MarginShare: &share}}
		}
		s.merge(&c, &view{look: first, outcomes: []outcome{brief(0.4), brief(0.2)}})
		if c.owes != 2 || c.MarginShare != 0.2 || c.Finding != nil {
			t.Fatalf("after the first look pack %d owes the finding and the share is %v", c.owes-1, c.MarginShare)
		}
		return c
	}
	last := func(share float64) *view {
		told := outcome{brief: &packv1.Brief{Verdict: v1.Verdict_VERDICT_PASS.Enum(), MarginShare: &share, Finding: []byte{findingsTag, 0}}}
		return &view{look: &look{slate: s, step: step{packs: []int{0}}}, outcomes: []outcome{told}}
	}
	fetched := outcome{brief: &packv1.Brief{Verdict: v1.Verdict_VERDICT_PASS.Enum(), MarginShare: proto.Float64(0.2), Finding: finding}}
	silent := outcome{failure: &failure{failureDied, "it ended"}}
	for _, test := range []struct {
		name        string
		share       float64 // of the last look
		debt        outcome
		verdict     v1.Verdict
		wantFinding string
	}{
		{"fetched", 0.3, fetched, v1.Verdict_VERDICT_PASS, string(finding[2:])},
		{"not wanted any more", 0.1, fetched, v1.Verdict_VERDICT_PASS, ""},
		{"not answered", 0.3, silent, v1.Verdict_VERDICT_UNKNOWN, "host.pack-answers"},
		{"not answered nor wanted", 0.1, silent, v1.Verdict_VERDICT_PASS, ""},
	} {
		c := glanced()
		v := last(test.share)
		v.debt = &debt{view: v, outcome: test.debt}
		s.merge(&c, v)
		if c.Verdict != test.verdict || c.owes != 0 || !strings.Contains(string(c.Finding), test.wantFinding) || len(test.wantFinding) == 0 && len(c.Finding) > 0 {
			t.Errorf("%s: %v with the finding %q", test.name, c.Verdict, c.Finding)
		}
	}
}
