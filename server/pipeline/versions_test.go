package pipeline

import (
	"context"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/policy"
)

// version is a fake pack in another version, which says so in its findings' pack.
func version(name, v string, provides ...string) *fakePack {
	p := newFake(name, nil, provides)
	p.kill()
	p.version = v
	p.start()
	return p
}

// askedVersion is the version of the one pack that answered.
func askedVersion(t *testing.T, p *Pipeline, pin string) string {
	t.Helper()
	request := &v1.CheckRequest{Build: &v1.Build{Id: proto.String("owl")}}
	if pin != "" {
		request.Packs = []*v1.PackPin{{Name: proto.String("a"), Version: &pin}}
	}
	return ask(t, p, encodeCheck(t, request)).GetRuleset().GetPacks()[0].GetVersion()
}

// Ranges and the rule that a range takes in no pre-release follow semantic
// versioning 2.0.0, clause 9 and 11.
func TestPinsAndDefaults(t *testing.T) {
	p := startPipeline(t, Options{}, version("a", "1.2.0"), version("a", "2.0.0-rc.1"), version("a", "1.10.0"), version("a", "0.9.0"))
	for pin, want := range map[string]string{
		"": "1.10.0", "1.2.0": "1.2.0", "<1.10": "1.2.0", "~1.2": "1.2.0", "^1.2": "1.10.0", ">=0.9 <1": "0.9.0",
		"2.0.0-rc.1": "2.0.0-rc.1", ">=2.0.0-0": "2.0.0-rc.1",
	} {
		if got := askedVersion(t, p, pin); got != want {
			t.Errorf("pinned to %q it answers in %s, want %s", pin, got, want)
		}
	}
	for pin, want := range map[string]string{
		">=2":     "packs[0].version: pack a serves in version 2.0.0-rc.1, 1.10.0, 1.2.0, 0.9.0, not >=2",
		"newest!": `packs[0].version: pack a cannot be asked for in version "newest!", which is neither a version nor a range, such as "1.4.0" or ">=1.4 <2"`,
	} {
		_, err := p.Submit(encodeCheck(t, &v1.CheckRequest{Packs: []*v1.PackPin{{Name: proto.String("a"), Version: &pin}}}), func([]byte) {})
		if err == nil || err.Error() != want {
			t.Errorf("pinned to %q: %v, want %s", pin, err, want)
		}
	}
}

func TestDigestsTellVersionsPoliciesAndHouseRulesApart(t *testing.T) {
	p := startPipeline(t, Options{InlineHouse: true}, version("a", "1.0.0"), version("a", "1.1.0"), version("house", "1.0.0"))
	seen := map[string]string{}
	for name, r := range map[string]*v1.CheckRequest{
		"default":     {},
		"old version": {Packs: []*v1.PackPin{{Name: proto.String("a"), Version: proto.String("1.0.0")}, {Name: proto.String("house")}}},
		"policy":      {Policy: []*v1.PolicyValue{{Parameter: proto.String("a.rule.limit_mm"), Value: proto.Float64(2)}}},
		"house":       {HouseRules: proto.String("rules: []")},
		"other house": {HouseRules: proto.String("rules: [] #")},
	} {
		r.Build = &v1.Build{Id: proto.String("owl")}
		digest := ask(t, p, encodeCheck(t, r)).GetRuleset().GetDigest()
		if other, taken := seen[digest]; taken {
			t.Errorf("%s and %s have one digest", name, other)
		}
		seen[digest] = name
	}
}

func TestTwoOfAKindAreRefusedAndTheServingOnesStay(t *testing.T) {
	first := version("a", "1.0.0", "fact.x")
	p := startPipeline(t, Options{}, first)
	before := p.Ruleset()
	for want, source := range map[string]*fakePack{
		"pack a stands twice in version 1.0.0; withdraw one of them":       version("a", "1.0.0"),
		"packs a and b both provide the fact fact.x; withdraw one of them": version("b", "1.0.0", "fact.x"),
		"packs c wait for each other's facts; withdraw one of them":        selfish(),
	} {
		if err := p.Add(source); err == nil || err.Error() != want {
			t.Errorf("error %v, want %s", err, want)
		}
	}
	if after := p.Ruleset(); !proto.Equal(before, after) {
		t.Errorf("what serves changed from %v to %v", before, after)
	}
	wantLines(t, ask(t, p, checkOf(t, "owl")), "a PASS owl")
}

// selfish needs what it provides itself.
func selfish() *fakePack { return newFake("c", []string{"fact.c"}, []string{"fact.c"}) }

// Packs are added, replaced and withdrawn under load: every check is answered
// whole, by one version or the other.
func TestPacksComeAndGoUnderLoad(t *testing.T) {
	p := startPipeline(t, Options{}, version("a", "1.0.0"), newFake("b", nil, nil))
	ctx, stop := context.WithCancel(t.Context())
	var checks atomic.Int64
	var askers sync.WaitGroup
	for range 4 {
		askers.Go(func() {
			for ctx.Err() == nil {
				got := strings.Join(lines(ask(t, p, checkOf(t, "owl"))), ";")
				checks.Add(1)
				if got != "a PASS owl;b PASS owl" {
					t.Errorf("answered %s", got)
				}
			}
		})
	}
	serving := p.Packs()[0].Source
	for _, v := range []string{"1.1.0", "1.2.0", "1.3.0", "1.4.0", "1.5.0"} {
		next := version("a", v)
		if err := p.Add(next); err != nil {
			t.Fatal(err)
		}
		if err := p.Remove(t.Context(), serving); err != nil {
			t.Fatal(err)
		}
		serving = next
	}
	again := version("a", "2.0.0")
	if err := p.Replace(t.Context(), serving, again); err != nil {
		t.Fatal(err)
	}
	stop()
	askers.Wait()
	if got := p.Packs(); len(got) != 2 || got[0].Description.GetVersion() != "2.0.0" || !got[0].Chosen || checks.Load() == 0 {
		t.Errorf("after %d checks the packs are %v", checks.Load(), got)
	}
}

// A withdrawn pack answers what has begun with it before Remove returns.
func TestRemoveWaitsForWhatIsOnItsWay(t *testing.T) {
	a, b := newFake("a", nil, []string{"fact.a"}), newFake("b", []string{"fact.a"}, nil)
	hold, held := make(chan struct{}), make(chan struct{})
	a.behave = func(_ context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		close(held)
		<-hold
		return a.honest(r), nil
	}
	p := startPipeline(t, Options{}, a, b)
	answered := make(chan *v1.CheckResponse, 1)
	go func() { answered <- ask(t, p, checkOf(t, "owl")) }()
	<-held
	removed := make(chan error, 1)
	go func() { removed <- p.Remove(t.Context(), b) }()
	waitFor(t, "the pack to be out of the ruleset", func() bool { return len(p.Packs()) == 1 })
	select {
	case err := <-removed:
		t.Fatalf("b was given up (%v) although a check will still need it", err)
	default:
	}
	close(hold)
	wantLines(t, <-answered, "a PASS owl", "b PASS owl fact.a=of-fact")
	if err := <-removed; err != nil {
		t.Error(err)
	}
}

// The request's policy lies over the service's; the pack sees both, the digest
// covers the effective values, and what no pack reads is left out.
func TestPolicyOfTheServiceLiesUnderTheRequests(t *testing.T) {
	set := func(name string, v float64) *v1.PolicyValue { return &v1.PolicyValue{Parameter: &name, Value: &v} }
	seen := make(chan []*v1.PolicyValue, 1)
	a := newFake("a", nil, nil)
	a.behave = func(_ context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		request := new(v1.CheckRequest)
		if err := proto.Unmarshal(r.Tasks[0].Check, request); err != nil {
			return nil, err
		}
		seen <- request.Policy
		return a.honest(r), nil
	}
	p := startPipeline(t, Options{}, a, newFake("b", nil, nil))
	lower := policy.Values{set("a.rule.limit_mm", 3), set("b.rule.limit_mm", 4), set("gone.rule.limit_mm", 5)}
	request := &v1.CheckRequest{Build: &v1.Build{Id: proto.String("owl")}, Policy: []*v1.PolicyValue{set("a.rule.limit_mm", 2)}}
	encoded, err := p.CheckOver(t.Context(), lower, encodeCheck(t, request))
	if err != nil {
		t.Fatal(err)
	}
	layered := new(v1.CheckResponse)
	if err := proto.Unmarshal(encoded, layered); err != nil {
		t.Fatal(err)
	}
	got := <-seen
	if len(got) != 2 || !proto.Equal(got[0], set("a.rule.limit_mm", 2)) || !proto.Equal(got[1], set("b.rule.limit_mm", 4)) {
		t.Errorf("the pack sees %v", got)
	}
	request.Policy = append(request.Policy, set("b.rule.limit_mm", 4))
	flat := ask(t, p, encodeCheck(t, request))
	<-seen
	if flat.GetRuleset().GetDigest() != layered.GetRuleset().GetDigest() {
		t.Error("the same effective values have two digests")
	}
	_, err = p.CheckOver(t.Context(), policy.Values{set("a.rule.limit_mm", 99)}, checkOf(t, "owl"))
	if want := "policy: a.rule.limit_mm, as the service sets it for you, may lie between 0 and 10 mm, not at 99"; err == nil || err.Error() != want {
		t.Errorf("error %v, want %s", err, want)
	}
}

func TestHouseRulesOfRequestsAreRefusedWhereNotAllowed(t *testing.T) {
	check := encodeCheck(t, &v1.CheckRequest{HouseRules: proto.String("rules: []")})
	for want, p := range map[string]*Pipeline{
		"house_rules: this service takes no house rules from requests; leave them out, or ask its keeper": startPipeline(t, Options{}, newFake("house", nil, nil)),
		"house_rules: no pack judges by house rules here; start the service with the pack house":          startPipeline(t, Options{InlineHouse: true}, newFake("a", nil, nil)),
	} {
		if err := p.Vet(check); err == nil || err.Error() != want {
			t.Errorf("error %v, want %s", err, want)
		}
	}
}
