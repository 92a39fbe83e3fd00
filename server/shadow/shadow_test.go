package shadow

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/pipeline"
	"slipfit.example/server/policy"
)

// check is an encoded request about a build of that name.
func check(t testing.TB, id string, change ...func(*v1.CheckRequest)) []byte {
	t.Helper()
	request := &v1.CheckRequest{Build: &v1.Build{Id: &id}}
	for _, c := range change {
		c(request)
	}
	encoded, err := proto.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	return encoded
}

// answer is an encoded answer with one finding, whose margin is given.
func answer(t testing.TB, v v1.Verdict, margin float64) []byte {
	t.Helper()
	yes := true
	encoded, err := proto.Marshal(&v1.CheckResponse{
		Verdict: v.Enum(), Findings: []*v1.Finding{{Rule: proto.String("a.one"), Verdict: v.Enum(), Margin: &v1.Quantity{Nominal: &margin}}},
		Ruleset: &v1.Ruleset{Packs: []*v1.PackVersion{{Name: proto.String("a"), Answered: &yes}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return encoded
}

const (
	pass = v1.Verdict_VERDICT_PASS
	fail = v1.Verdict_VERDICT_FAIL
)

func newShadow(t testing.TB, judge func() ([]byte, error)) *Shadow {
	t.Helper()
	s, err := New(Config{Name: "c", Share: 1, Judge: func(context.Context, policy.Values, []byte) ([]byte, error) { return judge() }})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// judgeAll judges what waits, without rests.
func judgeAll(t testing.TB, s *Shadow) (well []bool) {
	t.Helper()
	for len(s.waiting) > 0 {
		a := <-s.waiting
		s.held.Add(-a.bytes())
		well = append(well, s.judge(t.Context(), &a))
	}
	return well
}

func TestEachCheckComesToOneThing(t *testing.T) {
	moved, flipped := answer(t, pass, 2), answer(t, fail, -1)
	for name, c := range map[string]struct {
		check []byte
		judge func() ([]byte, error)
		well  bool
		want  func(*v1.ShadowReport) bool
	}{
		"same": {check(t, "a"), func() ([]byte, error) { return answer(t, pass, 1), nil }, true, func(r *v1.ShadowReport) bool {
			return r.Summary.GetBuilds() == 1 && r.Summary.GetFlipped() == 0 && len(r.Summary.Margins) == 0 && len(r.Recent) == 0
		}},
		"moved": {check(t, "a"), func() ([]byte, error) { return moved, nil }, true, func(r *v1.ShadowReport) bool {
			return r.Summary.GetBuilds() == 1 && len(r.Summary.Margins) == 1 && r.Summary.Margins[0].GetGreatest() == 1
		}},
		"flipped": {check(t, "a"), func() ([]byte, error) { return flipped, nil }, true, func(r *v1.ShadowReport) bool {
			return r.Summary.GetFlipped() == 1 && r.Summary.Flips[0].GetTo() == fail && len(r.Recent) == 1
		}},
		"refused": {check(t, "a"), func() ([]byte, error) { return nil, &pipeline.RefusedError{} }, true, func(r *v1.ShadowReport) bool {
			return r.Summary.GetRefused() == 1 && r.Summary.GetBuilds() == 0
		}},
		"failed": {check(t, "a"), func() ([]byte, error) { return nil, errors.New("no") }, false, func(r *v1.ShadowReport) bool {
			return r.GetSilent() == 1 && r.GetTrouble() == "the candidate could not judge: no"
		}},
		"broken": {check(t, "a"), func() ([]byte, error) { panic("oh") }, false, func(r *v1.ShadowReport) bool {
			return r.GetSilent() == 1 && r.GetTrouble() == "comparing broke: oh"
		}},
		"garbled": {check(t, "a"), func() ([]byte, error) { return []byte{0xff}, nil }, false, func(r *v1.ShadowReport) bool { return r.GetSilent() == 1 }},
		"with rules of its own": {check(t, "a", func(r *v1.CheckRequest) { r.HouseRules = proto.String("") }), nil, true, func(r *v1.ShadowReport) bool {
			return r.GetOwnRuleset() == 1
		}},
	} {
		t.Run(name, func(t *testing.T) {
			s := newShadow(t, c.judge)
			s.Pick().Answered(nil, c.check, answer(t, pass, 1))
			well := judgeAll(t, s)
			if r := s.Report(true); !slices.Equal(well, []bool{c.well}) || !c.want(r) || r.GetPicked() != 1 {
				t.Errorf("well %v, report %v", well, r)
			}
		})
	}
}

// Nobody who hands an answer over ever waits: what there is no room for, by count or by
// bytes, is dropped.
func TestWhatThereIsNoRoomForIsDropped(t *testing.T) {
	s := newShadow(t, nil)
	for range waitingChecks + 3 {
		s.Pick().Answered(nil, check(t, "a"), nil)
	}
	s.Pick().Answered(nil, nil, make([]byte, waitingBytes+1))
	busy := newShadow(t, nil)
	busy.config.Busy = func() bool { return true }
	busy.Pick().Answered(nil, check(t, "a"), nil)
	if r, b := s.Report(false), busy.Report(false); r.GetDroppedFull() != 4 || r.GetPicked() != waitingChecks+4 || b.GetDroppedBusy() != 1 {
		t.Errorf("reports %v and %v", r, b)
	}
	judgeless := int64(waitingChecks * len(check(t, "a")))
	if held := s.held.Load(); held != judgeless {
		t.Errorf("%d bytes are held, want the %d that wait", held, judgeless)
	}
}

func TestTheLastFlipsAreKeptNewestFirst(t *testing.T) {
	flipped := answer(t, fail, -1)
	s := newShadow(t, func() ([]byte, error) { return flipped, nil })
	s.config.Evidence = true
	for i := range 2*keptExamples + 7 {
		s.Pick().Answered(nil, check(t, fmt.Sprint(i)), answer(t, pass, 1))
		judgeAll(t, s)
		r := s.Report(true)
		for n, e := range r.Recent {
			if want := fmt.Sprint(i - n); e.Build.GetId() != want {
				t.Fatalf("after %d, example %d is of %s, want %s", i, n, e.Build.GetId(), want)
			}
		}
		if want := min(i+1, keptExamples); len(r.Recent) != want {
			t.Fatalf("after %d, %d examples are kept, want %d", i, len(r.Recent), want)
		}
	}
}

func TestShareIsThatOfTheChecks(t *testing.T) {
	for _, share := range []float64{0, -1, 1.01} {
		if _, err := New(Config{Share: share}); err == nil {
			t.Errorf("a share of %v is taken", share)
		}
	}
	var none *Shadow
	if none.Pick().Picked() {
		t.Error("no shadow picks a check")
	}
	s, err := New(Config{Share: 0.25})
	if err != nil {
		t.Fatal(err)
	}
	picked := 0
	const checks = 40_000
	for range checks {
		if s.Pick().Picked() {
			picked++
		}
	}
	// Nine standard deviations of the binomial distribution, sqrt(n p (1-p)) = 87.
	if off := picked - checks/4; off < -780 || off > 780 {
		t.Errorf("%d of %d are picked at a share of 0.25", picked, checks)
	}
}

// Run ends with its context though its judge never answers by itself.
func TestRunEndsWithItsContext(t *testing.T) {
	asked := make(chan struct{})
	s, err := New(Config{Share: 1, Judge: func(ctx context.Context, _ policy.Values, _ []byte) ([]byte, error) {
		close(asked)
		<-ctx.Done()
		return nil, ctx.Err()
	}})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() {
		s.Run(ctx)
		close(ended)
	}()
	s.Pick().Answered(nil, check(t, "a"), nil)
	<-asked
	cancel()
	select {
	case <-ended:
	case <-time.After(20 * time.Second):
		t.Fatal("it goes on")
	}
	if r := s.Report(false); r.GetSilent() != 0 {
		t.Errorf("the end is counted as silence: %v", r)
	}
}
