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
	}{
		{"nothing", nil, "says nothing"},
		{"a verdict alone", &packv1.Brief{}, ""},
		{"bounds", &packv1.Brief{Ceiling: proto.Float64(0.2), QuietestDba: proto.Float64(30), Unfit: proto.Bool(true)}, ""},
		{"a share with its finding", &packv1.Brief{MarginShare: proto.Float64(0.2), Finding: finding}, ""},
		{"a share without finding", &packv1.Brief{MarginShare: proto.Float64(0.2)}, "no finding"},
		{"a share that is no number", &packv1.Brief{MarginShare: proto.Float64(math.NaN()), Finding: finding}, "no number"},
		{"a ceiling that is no number", &packv1.Brief{Ceiling: proto.Float64(math.NaN())}, "no number"},
		{"a ceiling without end", &packv1.Brief{Ceiling: proto.Float64(math.Inf(-1))}, "no number"},
		{"a level that is no number", &packv1.Brief{QuietestDba: proto.Float64(math.Inf(1))}, "no number"},
		{"turned down without a reason", &packv1.Brief{Verdict: v1.Verdict_VERDICT_FAIL.Enum()}, "no reason"},
	} {
		if test.brief != nil && test.brief.Verdict == nil {
			test.brief.Verdict = v1.Verdict_VERDICT_PASS.Enum()
		}
		err := checkBrief(&packv1.Outcome{Brief: test.brief, Counts: make([]uint32, 4)}, p)
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
