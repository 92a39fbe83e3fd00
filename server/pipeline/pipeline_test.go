package pipeline

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"go.uber.org/goleak"
	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

func wantLines(t *testing.T, got *v1.CheckResponse, want ...string) {
	t.Helper()
	if g := lines(got); !slices.Equal(g, want) {
		t.Errorf("answer is\n  %s\nwant\n  %s", strings.Join(g, "\n  "), strings.Join(want, "\n  "))
	}
}

func TestFactsReachThePacksThatNeedThem(t *testing.T) {
	p := startPipeline(t, Options{},
		newFake("thermal", []string{"clearance.arrangement", "power.demand"}, nil),
		newFake("power", nil, []string{"power.demand"}),
		newFake("clearance", nil, []string{"clearance.arrangement", "clearance.unused"}),
	)
	got := ask(t, p, checkOf(t, "owl"))
	wantLines(t, got,
		"clearance PASS owl",
		"power PASS owl",
		"thermal PASS owl clearance.arrangement=of-clearance power.demand=of-power")
	if got.GetVerdict() != v1.Verdict_VERDICT_PASS || got.GetBuildId() != "owl" || len(got.GetRuleset().GetPacks()) != 3 {
		t.Errorf("answer bears verdict %v, build %q, ruleset %v", got.GetVerdict(), got.GetBuildId(), got.GetRuleset())
	}
}

// The same document under the same ruleset gives the same bytes, whatever order
// the packs answer in.
func TestAnswersAreTheSameBytes(t *testing.T) {
	slow, quick := newFake("a", nil, []string{"fact.a"}), newFake("b", nil, nil)
	var n atomic.Int64
	slow.behave = func(_ context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		time.Sleep(time.Duration(n.Add(1)%3) * time.Millisecond)
		return slow.honest(r), nil
	}
	p := startPipeline(t, Options{}, slow, quick, newFake("c", []string{"fact.a"}, nil))
	want, err := p.Check(context.Background(), checkOf(t, "owl"))
	if err != nil {
		t.Fatal(err)
	}
	var group sync.WaitGroup
	for range 100 {
		group.Go(func() {
			got, err := p.Check(context.Background(), checkOf(t, "owl"))
			if err != nil || string(got) != string(want) {
				t.Errorf("another answer: %v", err)
			}
		})
	}
	group.Wait()
}

func TestWhatWaitsTravelsTogether(t *testing.T) {
	pack := newFake("a", nil, nil)
	release := make(chan struct{})
	pack.behave = func(_ context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		<-release
		return pack.honest(r), nil
	}
	p := startPipeline(t, Options{}, pack)
	var done sync.WaitGroup
	for i := range 34 {
		done.Add(1)
		if _, err := p.Submit(checkOf(t, fmt.Sprintf("b%d", i)), func([]byte) { done.Done() }); err != nil {
			t.Fatal(err)
		}
		if i < 2 {
			waitFor(t, "the batch to be sent", func() bool { _, inFlight := p.lanes[0].depth(); return inFlight == i+1 })
		}
	}
	close(release)
	done.Wait()
	if got, want := pack.batches[0], []int{1, 1, 16, 16}; !slices.Equal(got, want) {
		t.Errorf("batches of %v tasks, want %v", got, want)
	}
}

func TestADeadPackIsOneFindingAndTheRestStands(t *testing.T) {
	away := newFake("away", nil, []string{"fact.away"})
	away.giveUp = true
	p := startPipeline(t, Options{}, away, newFake("here", []string{"fact.away"}, nil))
	away.kill()
	got := ask(t, p, checkOf(t, "owl"))
	wantLines(t, got,
		"away UNKNOWN The away pack did not answer, so none of its rules has been judged: it does not run: it was killed.",
		"here PASS owl")
	if got.GetVerdict() != v1.Verdict_VERDICT_UNKNOWN {
		t.Errorf("verdict is %v; a silent pack must never pass", got.GetVerdict())
	}
	if packs := got.GetRuleset().GetPacks(); packs[0].GetAnswered() || !packs[1].GetAnswered() {
		t.Errorf("ruleset says %v", packs)
	}
}

func TestAPackThatNeverCameUpIsOneFinding(t *testing.T) {
	away := newFake("away", nil, nil)
	away.kill()
	p := startPipeline(t, Options{Patience: 20 * time.Millisecond, Timeout: time.Second}, away, newFake("here", nil, nil))
	wantLines(t, ask(t, p, checkOf(t, "owl")),
		"away UNKNOWN The away pack did not answer, so none of its rules has been judged: it does not run: it was killed.",
		"here PASS owl")
	away.start()
	waitFor(t, "the pack to serve", func() bool { return len(p.current.Load().find("away").rules) == 1 })
	wantLines(t, ask(t, p, checkOf(t, "owl")), "away PASS owl", "here PASS owl")
}

func TestAPackThatComesBackInTimeLosesNothing(t *testing.T) {
	pack := newFake("a", nil, nil)
	p := startPipeline(t, Options{Patience: 10 * time.Second, Timeout: 10 * time.Second}, pack)
	pack.kill()
	time.AfterFunc(30*time.Millisecond, pack.start)
	wantLines(t, ask(t, p, checkOf(t, "owl")), "a PASS owl")
}

// One check that kills the pack takes no other down: those that travelled with it
// are asked again, each alone.
func TestACheckThatKillsThePackTakesNoOtherDown(t *testing.T) {
	pack := newFake("a", nil, nil)
	pack.behave = func(_ context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		for _, task := range r.Tasks {
			if strings.Contains(string(task.Check), "poison") {
				return nil, errors.New("the process ended")
			}
		}
		return pack.honest(r), nil
	}
	p := startPipeline(t, Options{Timeout: 10 * time.Second}, pack)
	answers := make([]*v1.CheckResponse, 60)
	var group sync.WaitGroup
	for i := range answers {
		group.Go(func() {
			id := fmt.Sprintf("good%d", i)
			if i%20 == 7 {
				id = "poison"
			}
			answers[i] = ask(t, p, checkOf(t, id))
		})
	}
	group.Wait()
	for i, a := range answers {
		want := v1.Verdict_VERDICT_PASS
		if i%20 == 7 {
			want = v1.Verdict_VERDICT_UNKNOWN
		}
		if a.GetVerdict() != want {
			t.Errorf("check %d got %v: %v", i, a.GetVerdict(), lines(a))
		}
	}
}

func TestAHungPackIsEndedAndItsChecksAreAnswered(t *testing.T) {
	pack := newFake("a", nil, nil)
	var hang atomic.Bool
	hang.Store(true)
	pack.behave = func(ctx context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		if hang.Load() {
			<-ctx.Done()
			return nil, ctx.Err()
		}
		return pack.honest(r), nil
	}
	p := startPipeline(t, Options{Timeout: 100 * time.Millisecond}, pack)
	wantLines(t, ask(t, p, checkOf(t, "owl")),
		"a UNKNOWN The a pack did not answer, so none of its rules has been judged: it did not answer within 100ms.")
	hang.Store(false)
	waitFor(t, "the pack to be recycled", func() bool { return len(pack.reasons()) > 0 })
	if got, want := pack.reasons()[0].Error(), "it hung for more than 100ms"; got != want {
		t.Errorf("recycled because %q, want %q", got, want)
	}
	wantLines(t, ask(t, p, checkOf(t, "owl")), "a PASS owl")
}

func TestNonsenseFromAPackNeverReachesTheAnswer(t *testing.T) {
	for name, spoil := range map[string]func(*packv1.EvaluateResponse){
		"findings that are none":    func(r *packv1.EvaluateResponse) { r.Outcomes[0].Findings = []byte{0x12, 0x01, 0x00} },
		"findings cut off":          func(r *packv1.EvaluateResponse) { r.Outcomes[0].Findings = []byte{findingsTag, 0x7f, 0x00} },
		"a verdict that is none":    func(r *packv1.EvaluateResponse) { r.Outcomes[0].Verdict = v1.Verdict(9).Enum() },
		"no verdict":                func(r *packv1.EvaluateResponse) { r.Outcomes[0].Verdict = nil },
		"too few counts":            func(r *packv1.EvaluateResponse) { r.Outcomes[0].Counts = nil },
		"findings beyond the limit": func(r *packv1.EvaluateResponse) { r.Outcomes[0].Findings = make([]byte, maxFindingsBytes+1) },
	} {
		t.Run(name, func(t *testing.T) {
			pack := newFake("a", nil, nil)
			pack.behave = func(_ context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
				out := pack.honest(r)
				spoil(out)
				return out, nil
			}
			p := startPipeline(t, Options{}, pack)
			got := ask(t, p, checkOf(t, "owl"))
			if got.GetVerdict() != v1.Verdict_VERDICT_UNKNOWN || len(got.Findings) != 1 || got.Findings[0].GetRule() != "host.pack-answers" {
				t.Errorf("answer is %v %v", got.GetVerdict(), lines(got))
			}
			waitFor(t, "the pack to be recycled", func() bool { return len(pack.reasons()) > 0 })
		})
	}
}

func TestWrongBatchNumberEndsThePack(t *testing.T) {
	pack := newFake("a", nil, nil)
	var once sync.Once
	pack.behave = func(_ context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		out := pack.honest(r)
		once.Do(func() { out.Batch = proto.Uint64(99) })
		return out, nil
	}
	p := startPipeline(t, Options{}, pack)
	wantLines(t, ask(t, p, checkOf(t, "owl")), "a PASS owl")
	if got, want := fmt.Sprint(pack.reasons()), "[it answered batch 99 with 1 outcomes, which was not asked]"; got != want {
		t.Errorf("recycled because %s, want %s", got, want)
	}
}

func TestRequestsThatTheRulesetCannotFollowAreRefused(t *testing.T) {
	p := startPipeline(t, Options{}, newFake("clearance", nil, nil))
	policy := func(name string, value float64) *v1.CheckRequest {
		return &v1.CheckRequest{Policy: []*v1.PolicyValue{{Parameter: &name, Value: &value}}}
	}
	pin := func(name, version string) *v1.CheckRequest {
		return &v1.CheckRequest{Packs: []*v1.PackPin{{Name: &name, Version: &version}}}
	}
	for want, request := range map[string]*v1.CheckRequest{
		`policy[0].parameter: no parameter is called "clearance.rule.limit"; did you mean "clearance.rule.limit_mm"?`: policy("clearance.rule.limit", 1),
		`policy[0].value: clearance.rule.limit_mm may lie between 0 and 10 mm, not at 11`:                             policy("clearance.rule.limit_mm", 11),
		`packs[0].name: no pack is called "clarance"; did you mean "clearance"?`:                                      pin("clarance", "1.0.0"),
		`packs[0].version: pack clearance serves in version 1.0.0, not 2.0.0`:                                         pin("clearance", "2.0.0"),
	} {
		_, err := p.Check(context.Background(), encodeCheck(t, request))
		if !errors.Is(err, ErrRefused) || err.Error() != want {
			t.Errorf("refused with %q, want %q", err, want)
		}
	}
}

func TestDigestNamesPacksVersionsAndPolicy(t *testing.T) {
	digest := func(versions string, r *v1.CheckRequest) string {
		a := newFake("a", nil, nil)
		a.version = versions
		a.kill()
		a.start()
		return ask(t, startPipeline(t, Options{}, a, newFake("b", nil, nil)), encodeCheck(t, r)).GetRuleset().GetDigest()
	}
	policy := func(value float64) *v1.CheckRequest {
		return &v1.CheckRequest{Policy: []*v1.PolicyValue{{Parameter: proto.String("a.rule.limit_mm"), Value: &value}}}
	}
	plain := digest("1.0.0", &v1.CheckRequest{})
	if again := digest("1.0.0", &v1.CheckRequest{}); again != plain || len(plain) != 64 {
		t.Errorf("same ruleset, digests %s and %s", plain, again)
	}
	seen := map[string]string{plain: "plain"}
	for name, d := range map[string]string{
		"another version": digest("1.0.1", &v1.CheckRequest{}),
		"a policy":        digest("1.0.0", policy(2)),
		"another policy":  digest("1.0.0", policy(3)),
	} {
		if other, taken := seen[d]; taken {
			t.Errorf("%s and %s share a digest", name, other)
		}
		seen[d] = name
	}
}

func TestWantedFactsComeWithTheAnswer(t *testing.T) {
	p := startPipeline(t, Options{}, newFake("clearance", nil, []string{"clearance.arrangement", "clearance.drawing"}), newFake("thermal", nil, []string{"thermal.chart"}))
	got := ask(t, p, encodeCheck(t, &v1.CheckRequest{Build: &v1.Build{}, Wants: []string{"thermal.chart", "clearance.drawing"}}))
	var names []string
	for _, f := range got.Facts {
		names = append(names, f.GetName()+" "+f.GetPicture().GetSvg())
	}
	if want := []string{"clearance.drawing of-clearance", "thermal.chart of-thermal"}; !slices.Equal(names, want) {
		t.Errorf("facts %v, want %v", names, want)
	}
	if facts := ask(t, p, checkOf(t, "owl")).Facts; len(facts) != 0 {
		t.Errorf("facts that nobody wanted: %v", facts)
	}
	_, err := p.Check(context.Background(), encodeCheck(t, &v1.CheckRequest{Wants: []string{"clearance.drawin"}}))
	if want := `wants[0]: no pack works out "clearance.drawin"; did you mean "clearance.drawing"?`; err == nil || err.Error() != want {
		t.Errorf("refused with %v, want %q", err, want)
	}
}

func TestOnlyTheAskedPacksAnswer(t *testing.T) {
	p := startPipeline(t, Options{}, newFake("a", nil, []string{"fact.a"}), newFake("b", []string{"fact.a"}, nil))
	got := ask(t, p, encodeCheck(t, &v1.CheckRequest{
		Build: &v1.Build{Id: proto.String("owl")}, Packs: []*v1.PackPin{{Name: proto.String("b")}},
	}))
	wantLines(t, got, "b PASS owl")
}

func TestPacksThatCannotWorkTogetherAreRefusedAtStart(t *testing.T) {
	for want, fakes := range map[string][]*fakePack{
		"packs a and b both provide the fact x; withdraw one of them":  {newFake("b", nil, []string{"x"}), newFake("a", nil, []string{"x"})},
		"packs a, b wait for each other's facts; withdraw one of them": {newFake("a", []string{"y"}, []string{"x"}), newFake("b", []string{"x"}, []string{"y"}), newFake("c", nil, nil)},
	} {
		sources := make([]Source, len(fakes))
		for i, f := range fakes {
			sources[i] = f
		}
		if _, err := Start(sources, Options{}); err == nil || err.Error() != want {
			t.Errorf("Start says %v, want %q", err, want)
		}
	}
}

func TestStoppingEndsNoInstance(t *testing.T) {
	pack := newFake("a", nil, nil)
	p, err := Start([]Source{pack}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	wantLines(t, ask(t, p, checkOf(t, "owl")), "a PASS owl")
	p.Stop()
	if got := pack.reasons(); len(got) != 0 {
		t.Errorf("stopping recycled the pack: %v", got)
	}
}

func TestAbandonedChecksAreNotSent(t *testing.T) {
	pack := newFake("a", nil, nil)
	release := make(chan struct{})
	pack.behave = func(_ context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		<-release
		return pack.honest(r), nil
	}
	p := startPipeline(t, Options{}, pack)
	var done sync.WaitGroup
	for i := range 2 { // two batches fill the lane
		done.Add(1)
		if _, err := p.Submit(checkOf(t, "first"), func([]byte) { done.Done() }); err != nil {
			t.Fatal(err)
		}
		waitFor(t, "the batch to be sent", func() bool { _, n := p.lanes[0].depth(); return n == i+1 })
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := p.Check(ctx, checkOf(t, "gone")); !errors.Is(err, context.Canceled) {
		t.Fatalf("a cancelled check says %v", err)
	}
	close(release)
	done.Wait()
	wantLines(t, ask(t, p, checkOf(t, "owl")), "a PASS owl")
	if got, want := pack.batches[0], []int{1, 1, 1}; !slices.Equal(got, want) {
		t.Errorf("batches of %v tasks, want %v", got, want)
	}
}

func TestEnvelopeRefusesBrokenBytes(t *testing.T) {
	for _, b := range [][]byte{{0x0a}, {0x0a, 0x05, 0x01}, {0xff}, {0x0a, 0x02, 0x0a, 0x05}, {0x09, 0x01}} {
		if _, err := openEnvelope(b); err == nil {
			t.Errorf("% x was read", b)
		}
	}
}

func waitFor(t testing.TB, what string, holds func() bool) {
	t.Helper()
	for range 2000 {
		if holds() {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatalf("waited ten seconds in vain for %s", what)
}
