package clearance

import (
	"bytes"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

// Whatever a build in space leaves out, its cables and its drawing break nothing.
func TestHolesBreakNeitherCablesNorDrawing(t *testing.T) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	builds := []*v1.Build{demoBuild(t, "fans-under-card"), demoBuild(t, "front-desk"), demoBuild(t, "archive-editor")}
	rapid.Check(t, func(t *rapid.T) {
		build := proto.Clone(rapid.SampledFrom(builds).Draw(t, "build")).(*v1.Build)
		share := rapid.IntRange(0, 6).Draw(t, "share")
		for _, item := range build.Items {
			kittest.Punch(t, item.Part.ProtoReflect(), share)
		}
		check, err := proto.Marshal(&v1.CheckRequest{Build: build, Wants: []string{FactArrangement, FactDrawing}})
		if err != nil {
			t.Fatal(err)
		}
		var out kit.Outcome
		if err := e.Evaluate(check, nil, &out); err != nil {
			t.Fatal(err)
		}
		if i := bytes.Index(out.Findings, []byte("This rule broke")); i >= 0 {
			t.Fatalf("a rule broke: %s", out.Findings[i:min(i+200, len(out.Findings))])
		}
	})
}
