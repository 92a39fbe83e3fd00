package server_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/server"
	"slipfit.example/server/document"
	"slipfit.example/server/packs"
)

// oracle answers checks with the same rules in this process: findings as the rules
// encode them, pack by pack in the order of their names, and the rest of the answer
// by protobuf's own encoder.
type oracle struct {
	evaluators []*kit.Evaluator // providers before those that need them
	described  map[string]*packv1.DescribeResponse
}

func newOracle(t testing.TB) *oracle {
	t.Helper()
	o := &oracle{described: map[string]*packv1.DescribeResponse{}}
	var waiting []*kit.Evaluator
	for _, name := range slices.Sorted(maps.Keys(builtin)) {
		e, err := kit.NewEvaluator(builtin[name]())
		if err != nil {
			t.Fatal(err)
		}
		o.described[name] = e.Describe()
		if !e.Describe().GetOnRequest() {
			waiting = append(waiting, e)
		}
	}
	provided := map[string]bool{}
	for len(waiting) > 0 {
		i := slices.IndexFunc(waiting, func(e *kit.Evaluator) bool {
			return !slices.ContainsFunc(e.Describe().Needs, func(fact string) bool { return !provided[fact] })
		})
		if i < 0 {
			t.Fatal("the packs wait for each other, or for a fact that none provides")
		}
		o.evaluators = append(o.evaluators, waiting[i])
		for _, fact := range waiting[i].Describe().Provides {
			provided[fact] = true
		}
		waiting = slices.Delete(waiting, i, i+1)
	}
	return o
}

func (o *oracle) answer(t testing.TB, check *v1.CheckRequest) []byte {
	t.Helper()
	encoded, err := proto.Marshal(check)
	if err != nil {
		t.Fatal(err)
	}
	findings := map[string][]byte{}
	answer := &v1.CheckResponse{Verdict: v1.Verdict_VERDICT_PASS.Enum(), BuildId: check.Build.Id, Ruleset: &v1.Ruleset{}}
	var facts []kit.Fact
	for _, e := range o.evaluators {
		var outcome kit.Outcome
		var wanted []kit.Fact
		for _, fact := range facts {
			if slices.Contains(e.Describe().Needs, fact.Name) {
				wanted = append(wanted, fact)
			}
		}
		if err := e.Evaluate(encoded, wanted, &outcome); err != nil {
			t.Fatal(err)
		}
		for _, fact := range outcome.Facts {
			facts = append(facts, kit.Fact{Name: fact.Name, Value: bytes.Clone(fact.Value)})
		}
		findings[e.Describe().GetName()] = bytes.Clone(outcome.Findings)
		*answer.Verdict = max(*answer.Verdict, outcome.Verdict)
	}
	digest := sha256.New()
	var all []byte
	for _, name := range slices.Sorted(maps.Keys(findings)) {
		all = append(all, findings[name]...)
		version := o.described[name].Version
		answer.Ruleset.Packs = append(answer.Ruleset.Packs, &v1.PackVersion{Name: &name, Version: version, Answered: proto.Bool(true)})
		fmt.Fprintf(digest, "pack %s %s\n", name, *version)
	}
	answer.Ruleset.Digest = proto.String(hex.EncodeToString(digest.Sum(nil)))
	out, err := proto.MarshalOptions{Deterministic: true}.Marshal(answer)
	if err != nil {
		t.Fatal(err)
	}
	return append(all, out...)
}

func TestCheckGivesTheBytesOfTheSameRulesInProcess(t *testing.T) {
	noLeaks(t)
	const repetitions, callers = 1000, 8
	o := newOracle(t)
	conn := listen(t, start(t, server.Config{}).Serve)
	type question struct {
		name         string
		check, known []byte
	}
	var questions []question
	requests := demoRequests(t)
	for _, name := range slices.Sorted(maps.Keys(requests)) {
		encoded, err := proto.Marshal(requests[name])
		if err != nil {
			t.Fatal(err)
		}
		questions = append(questions, question{name, encoded, o.answer(t, requests[name])})
	}
	var next atomic.Int64
	var group sync.WaitGroup
	ctx := soon(t)
	for range callers {
		group.Go(func() {
			for i := next.Add(1); i <= repetitions; i = next.Add(1) {
				q := questions[int(i)%len(questions)]
				var answer []byte
				if err := conn.Invoke(ctx, v1.CheckService_Check_FullMethodName, &q.check, &answer); err != nil {
					t.Errorf("%s: %v", q.name, err)
					return
				}
				if !bytes.Equal(answer, q.known) {
					t.Errorf("%s: repetition %d through processes differs from the answer in process:\n%s", q.name, i, difference(answer, q.known))
					return
				}
			}
		})
	}
	group.Wait()
}

// difference names the first finding in which two answers differ.
func difference(got, want []byte) string {
	var a, b v1.CheckResponse
	if err := proto.Unmarshal(got, &a); err != nil {
		return err.Error()
	}
	if err := proto.Unmarshal(want, &b); err != nil {
		return err.Error()
	}
	for i := range min(len(a.Findings), len(b.Findings)) {
		if !proto.Equal(a.Findings[i], b.Findings[i]) {
			return fmt.Sprintf("got  %v\nwant %v", a.Findings[i], b.Findings[i])
		}
	}
	for i := range min(len(got), len(want)) {
		if got[i] != want[i] {
			return fmt.Sprintf("at byte %d of %d and %d: %q and %q", i, len(got), len(want), got[i:min(i+40, len(got))], want[i:min(i+40, len(want))])
		}
	}
	return fmt.Sprintf("%d and %d bytes", len(got), len(want))
}

func TestListPacksTellsWhatServes(t *testing.T) {
	noLeaks(t)
	conn := connect(t, start(t, server.Config{}))
	list, err := v1.NewPackServiceClient(conn).ListPacks(soon(t), &v1.ListPacksRequest{})
	if err != nil {
		t.Fatal(err)
	}
	o := newOracle(t)
	var names, ordinary []string
	for _, pack := range list.Packs {
		names = append(names, pack.GetName())
		d := o.described[pack.GetName()]
		if pack.GetVersion() != d.GetVersion() || pack.GetPurpose() != d.GetPurpose() || !pack.GetServing() || pack.GetRestarts() != 0 || pack.LastError != nil {
			t.Errorf("pack %s is told as %v", pack.GetName(), pack)
		}
		if len(pack.Rules) != len(d.Rules) || !slices.Equal(pack.Needs, d.Needs) || !slices.Equal(pack.Provides, d.Provides) {
			t.Errorf("pack %s: rules %v, needs %v, provides %v", pack.GetName(), pack.Rules, pack.Needs, pack.Provides)
		}
		if !d.GetOnRequest() {
			ordinary = append(ordinary, pack.GetName()+" "+pack.GetVersion())
		}
	}
	var ruleset []string
	for _, v := range list.Ruleset.Packs {
		ruleset = append(ruleset, v.GetName()+" "+v.GetVersion())
	}
	if !slices.Equal(ruleset, ordinary) {
		t.Errorf("the ruleset is %v, want %v", ruleset, ordinary)
	}
	if want := slices.Sorted(maps.Keys(builtin)); !slices.Equal(names, want) {
		t.Errorf("packs %v, want %v", names, want)
	}
	answer, err := v1.NewCheckServiceClient(conn).Check(soon(t), demoRequest(t))
	if err != nil {
		t.Fatal(err)
	}
	if answer.Ruleset.GetDigest() != list.Ruleset.GetDigest() {
		t.Errorf("an answer bears the digest %s, the list %s", answer.Ruleset.GetDigest(), list.Ruleset.GetDigest())
	}
}

// A pack on request is in the list, and in no check that does not name it.
func TestPackOnRequest(t *testing.T) {
	noLeaks(t)
	config := drillConfig()
	config.Packs = append(config.Packs, packs.Launch{Name: "aside", Command: []string{os.Args[0]}, Env: []string{beOther + "=aside"}})
	conn := connect(t, start(t, config))
	list, err := v1.NewPackServiceClient(conn).ListPacks(soon(t), &v1.ListPacksRequest{})
	if err != nil {
		t.Fatal(err)
	}
	var listed []string
	for _, pack := range list.Packs {
		listed = append(listed, fmt.Sprintf("%s %s %v %v", pack.GetName(), pack.GetVersion(), pack.GetServing(), pack.Rules))
	}
	if want := []string{"aside 1.0.0 true [aside.hold]", "drill 1.0.0 true [drill.hold]"}; !slices.Equal(listed, want) {
		t.Errorf("packs %v, want %v", listed, want)
	}
	if p := list.Ruleset.Packs; len(p) != 1 || p[0].GetName() != "drill" {
		t.Errorf("what answers by default is %v", list.Ruleset)
	}
	check := plainCheck("asked")
	for _, want := range []string{"drill", "aside"} {
		answer, err := v1.NewCheckServiceClient(conn).Check(soon(t), check)
		if err != nil {
			t.Fatal(err)
		}
		if len(answer.Findings) != 1 || answer.Findings[0].GetPack() != want {
			t.Errorf("findings %v, want one of %s", answer.Findings, want)
		}
		check.Packs = []*v1.PackPin{{Name: proto.String("aside")}}
	}
}

// Facts that are wanted come with the answer as the pack made them, others do not.
func TestWantedFactsComeThroughProcesses(t *testing.T) {
	noLeaks(t)
	client := v1.NewCheckServiceClient(connect(t, start(t, server.Config{})))
	check := demoRequest(t)
	plain, err := client.Check(soon(t), check)
	if err != nil {
		t.Fatal(err)
	}
	check.Wants = []string{"power.demand"}
	answer, err := client.Check(soon(t), check)
	if err != nil {
		t.Fatal(err)
	}
	e, err := kit.NewEvaluator(builtin["power"]())
	if err != nil {
		t.Fatal(err)
	}
	var outcome kit.Outcome
	if err := e.Evaluate(encode(t, check), nil, &outcome); err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(outcome.Facts, func(f kit.Fact) bool { return f.Name == "power.demand" })
	want := new(v1.Fact)
	if i < 0 {
		t.Fatal("the power pack makes no power.demand")
	}
	if err := proto.Unmarshal(outcome.Facts[i].Value, want); err != nil {
		t.Fatal(err)
	}
	if len(answer.Facts) != 1 || !proto.Equal(answer.Facts[0], want) {
		t.Errorf("facts %v, want %v alone", answer.Facts, want)
	}
	if answer.Facts = nil; !proto.Equal(answer, plain) {
		t.Error("the rest of the answer is another where a fact is wanted")
	}
}

func TestDescribeRule(t *testing.T) {
	noLeaks(t)
	conn := connect(t, start(t, server.Config{}))
	client := v1.NewPackServiceClient(conn)
	for name, d := range newOracle(t).described {
		for _, rule := range d.Rules {
			got, err := client.DescribeRule(soon(t), &v1.DescribeRuleRequest{Rule: rule.Id})
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if !proto.Equal(got.Rule, rule) {
				t.Errorf("rule %s is told as %v, the pack says %v", rule.GetId(), got.Rule, rule)
			}
		}
	}
	_, err := client.DescribeRule(soon(t), &v1.DescribeRuleRequest{Rule: proto.String("clearance.cooler-hight")})
	wantCode(t, err, codes.NotFound)
	if info := detailOf[*errdetails.ErrorInfo](t, err); info.Reason != "NO_SUCH_RULE" || info.Domain != document.Domain {
		t.Errorf("the error's info is %v", info)
	}
	if want := `no rule is called "clearance.cooler-hight"; did you mean "clearance.cooler-height"?`; status.Convert(err).Message() != want {
		t.Errorf("message %q, want %q", status.Convert(err).Message(), want)
	}
	for _, bad := range []*v1.DescribeRuleRequest{{}, {Rule: proto.String("")}, {Rule: proto.String(strings.Repeat("x", 129))}} {
		_, err = client.DescribeRule(soon(t), bad)
		wantCode(t, err, codes.InvalidArgument)
		if v := detailOf[*errdetails.BadRequest](t, err).FieldViolations; len(v) != 1 || v[0].Field != "rule" {
			t.Errorf("violations %v, want one of rule", v)
		}
		detailOf[*errdetails.ErrorInfo](t, err)
	}
}

// A request without a deadline gets the service's, and one with a longer one than
// the greatest gets the greatest.
func TestDeadlines(t *testing.T) {
	for _, c := range []struct {
		name            string
		usual, greatest time.Duration
		asked           time.Duration
	}{
		{"none asked", 100 * time.Millisecond, time.Minute, 0},
		{"too long asked", time.Minute, 100 * time.Millisecond, time.Hour},
		{"own asked", time.Minute, time.Minute, 100 * time.Millisecond},
	} {
		t.Run(c.name, func(t *testing.T) {
			noLeaks(t)
			config := drillConfig()
			config.Deadline, config.GreatestDeadline = c.usual, c.greatest
			client := v1.NewCheckServiceClient(connect(t, start(t, config)))
			ctx := context.Background()
			if c.asked != 0 {
				var cancel context.CancelFunc
				ctx, cancel = context.WithTimeout(ctx, c.asked)
				defer cancel()
			}
			begin := time.Now()
			_, err := client.Check(ctx, newLatch(t).held("late"))
			wantCode(t, err, codes.DeadlineExceeded)
			if took := time.Since(begin); took > patience {
				t.Errorf("the deadline came after %v", took)
			}
		})
	}
}

// Checks that nobody waits for any more are not taken to the packs.
func TestCancelReachesThePipeline(t *testing.T) {
	noLeaks(t)
	s := start(t, drillConfig())
	client := v1.NewCheckServiceClient(connect(t, s))
	latch := newLatch(t)
	var group sync.WaitGroup
	defer group.Wait()
	judged := func() float64 { return now(t, s, "slipfit_rule_verdicts_total") }
	// Held checks fill what may be on its way to the pack at once; what comes
	// after them waits in line.
	held := 0
	for now(t, s, "slipfit_pack_queue_checks") == 0 {
		before := now(t, s, "slipfit_checks_in_flight")
		group.Go(func() {
			if _, err := client.Check(context.Background(), latch.held("held")); err != nil {
				t.Error(err)
			}
		})
		held++
		eventually(t, "the check is on its way", func() bool { return now(t, s, "slipfit_checks_in_flight") > before })
		eventually(t, "the pack or its queue has every check", func() bool {
			return now(t, s, "slipfit_pack_queue_checks")+now(t, s, "slipfit_pack_in_flight_checks") == float64(held)
		})
	}
	const cancelled = 20
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var waiting sync.WaitGroup
	for range cancelled {
		waiting.Go(func() {
			if _, err := client.Check(ctx, plainCheck("cancelled")); status.Code(err) != codes.Canceled {
				t.Errorf("a cancelled check ended with %v", err)
			}
		})
	}
	eventually(t, "all wait", func() bool { return now(t, s, "slipfit_checks_in_flight") == float64(held+cancelled) })
	cancel()
	waiting.Wait()
	eventually(t, "none of them is on its way any more", func() bool { return now(t, s, "slipfit_checks_in_flight") == float64(held) })
	latch.open(t)
	group.Wait()
	if _, err := client.Check(soon(t), plainCheck("after")); err != nil {
		t.Fatal(err)
	}
	if got := judged(); got != float64(held+1) {
		t.Errorf("the pack judged %v checks, want the %d that somebody waited for", got, held+1)
	}
}

// What comes beyond the room is turned away at once; what is inside is answered,
// and others are served again as soon as there is room.
func TestOverloadTurnsAwayAndTellsWhenToComeAgain(t *testing.T) {
	noLeaks(t)
	config := drillConfig()
	config.Checks = 4
	s := start(t, config)
	conn := connect(t, s)
	client := v1.NewCheckServiceClient(conn)
	latch := newLatch(t)
	var group sync.WaitGroup
	for range config.Checks {
		group.Go(func() {
			answer, err := client.Check(soon(t), latch.held("inside"))
			if err != nil || answer.GetVerdict() != v1.Verdict_VERDICT_PASS {
				t.Errorf("a check inside got %v, %v", answer, err)
			}
		})
	}
	eventually(t, "the room is full", func() bool { return now(t, s, "slipfit_checks_in_flight") == float64(config.Checks) })
	_, err := client.Check(soon(t), plainCheck("beyond"))
	wantCode(t, err, codes.ResourceExhausted)
	if info := detailOf[*errdetails.ErrorInfo](t, err); info.Reason != "TOO_MANY_CHECKS" || info.Domain != document.Domain {
		t.Errorf("the error's info is %v", info)
	}
	if d := detailOf[*errdetails.RetryInfo](t, err).RetryDelay.AsDuration(); d <= 0 {
		t.Errorf("the caller is to come again after %v", d)
	}
	if _, err := v1.NewPackServiceClient(conn).ListPacks(soon(t), &v1.ListPacksRequest{}); err != nil {
		t.Errorf("the list of packs is not served under overload: %v", err)
	}
	if got := now(t, s, "slipfit_checks_shed_total"); got != 1 {
		t.Errorf("%v checks were counted as turned away, want 1", got)
	}
	latch.open(t)
	group.Wait()
	if _, err := client.Check(soon(t), plainCheck("after"), grpc.WaitForReady(true)); err != nil {
		t.Errorf("after the overload: %v", err)
	}
}
