package pipeline

import (
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// A pack on request stays out of checks that do not name it, in findings, ruleset
// and digest, and takes part where it is named.
func TestAPackOnRequestTakesPartOnlyWhereItIsNamed(t *testing.T) {
	audit := newFake("audit", nil, nil)
	audit.kill()
	audit.start()
	audit.life.desc.OnRequest = proto.Bool(true)
	with := startPipeline(t, Options{}, audit, newFake("clearance", nil, nil))
	without := startPipeline(t, Options{}, newFake("clearance", nil, nil))

	ordinary, alone := ask(t, with, checkOf(t, "owl")), ask(t, without, checkOf(t, "owl"))
	wantLines(t, ordinary, "clearance PASS owl")
	if !proto.Equal(ordinary, alone) {
		t.Errorf("the pack shows although nobody named it:\n%v\n%v", ordinary, alone)
	}
	if got := with.Ruleset(); got.GetDigest() != alone.GetRuleset().GetDigest() || len(got.Packs) != 1 {
		t.Errorf("what answers by default is %v", got)
	}

	named := func(names ...string) *v1.CheckResponse {
		request := &v1.CheckRequest{Build: &v1.Build{Id: proto.String("owl")}}
		for _, name := range names {
			request.Packs = append(request.Packs, &v1.PackPin{Name: &name})
		}
		return ask(t, with, encodeCheck(t, request))
	}
	only, both := named("audit"), named("audit", "clearance")
	wantLines(t, only, "audit PASS owl")
	wantLines(t, both, "audit PASS owl", "clearance PASS owl")
	answered := func(r *v1.CheckResponse) (names []string) {
		for _, p := range r.GetRuleset().GetPacks() {
			if p.GetAnswered() {
				names = append(names, p.GetName())
			}
		}
		return names
	}
	if got := answered(only); !slices.Equal(got, []string{"audit"}) {
		t.Errorf("packs that answered: %v", got)
	}
	if got := answered(both); !slices.Equal(got, []string{"audit", "clearance"}) {
		t.Errorf("packs that answered: %v", got)
	}
	if both.GetRuleset().GetDigest() == ordinary.GetRuleset().GetDigest() {
		t.Error("the digest does not tell that another pack took part")
	}
}
