package clearance

import (
	"fmt"
	"math"
	"sync"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// What is asked for stays, what is not goes, and the whole is bounded.
func TestStoreForgetsWhatNobodyAsksFor(t *testing.T) {
	g := generations[int, int]{limit: 10}
	for i := range 1000 {
		g.put(&i, i)
		zero := 0
		if v, ok := g.get(&zero); !ok || v != 0 {
			t.Fatalf("after %d others, what was asked for all the time is gone", i)
		}
		if n := len(g.young) + len(g.old); n > 20 {
			t.Fatalf("%d entries are kept", n)
		}
	}
	five := 5
	if _, ok := g.get(&five); ok {
		t.Error("what nobody asked for is still there")
	}
}

// The same build asked for by many at once comes to the same answer each time,
// and names of a case that is over do not reach into it.
func TestManyAskAtOnce(t *testing.T) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	var wait sync.WaitGroup
	answers := make([]string, 8)
	for i := range answers {
		wait.Go(func() {
			for n := range 6 {
				check, err := proto.Marshal(&v1.CheckRequest{Build: demoBuild(t, []string{"no-arrangement", "archive-editor"}[n%2])})
				if err != nil {
					t.Error(err)
					return
				}
				var out kit.Outcome
				if err := e.Evaluate(check, nil, &out); err != nil {
					t.Error(err)
					return
				}
				clear(check) // what was read must not be needed any more
				answers[i] += string(out.Findings)
			}
		})
	}
	wait.Wait()
	for i := range answers {
		if answers[i] != answers[0] {
			t.Errorf("answer %d differs from the first", i)
		}
	}
}

// number draws a coordinate or a size, good or bad.
func drawn(t *rapid.T, name string) *float64 {
	v := rapid.OneOf(rapid.Float64Range(-50, 400), rapid.SampledFrom([]float64{0, -1, 1e-9, 5000, -5000, math.NaN(), math.Inf(1)})).Draw(t, name)
	if rapid.IntRange(0, 9).Draw(t, name+" absent") == 0 {
		return nil
	}
	return &v
}

func drawnExtent(t *rapid.T) *v1.Extent {
	return &v1.Extent{Corner: &v1.Point{XMm: drawn(t, "x"), YMm: drawn(t, "y"), ZMm: drawn(t, "z")},
		SizeXMm: drawn(t, "sx"), SizeYMm: drawn(t, "sy"), SizeZMm: drawn(t, "sz")}
}

func drawnPose(t *rapid.T) *v1.Pose {
	axis := func(name string) *v1.Axis {
		a := v1.Axis(rapid.IntRange(0, 6).Draw(t, name))
		return &a
	}
	return &v1.Pose{Origin: &v1.Point{XMm: drawn(t, "x"), YMm: drawn(t, "y"), ZMm: drawn(t, "z")}, XPoints: axis("x points"), ZPoints: axis("z points")}
}

// No enclosure, however wrong, breaks the pack, and no number that is none leaves
// it.
func TestWrongGeometryBreaksNothing(t *testing.T) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	good := demoBuild(t, "archive-editor")
	rapid.Check(t, func(t *rapid.T) {
		build := proto.Clone(good).(*v1.Build)
		chassis := build.Items[0].Part.GetChassis()
		layout := chassis.Layouts[0]
		for range rapid.IntRange(1, 4).Draw(t, "changes") {
			m := layout.Mounts[rapid.IntRange(0, len(layout.Mounts)-1).Draw(t, "mount")]
			switch rapid.IntRange(0, 7).Draw(t, "change") {
			case 0:
				m.Space = drawnExtent(t)
			case 1:
				m.Poses = []*v1.Pose{drawnPose(t)}
			case 2:
				along := v1.Axis(rapid.IntRange(0, 6).Draw(t, "along"))
				m.Travels = []*v1.Travel{{Along: &along, OffsetsMm: []float64{rapid.Float64().Draw(t, "offset")}}}
			case 3:
				chassis.Panels[0].Extent = drawnExtent(t)
			case 4:
				chassis.Compartments[0].Extent = drawnExtent(t)
			case 5:
				m.Excludes = []string{m.GetId()}
			case 6:
				m.Count = proto.Uint32(uint32(rapid.IntRange(0, 32).Draw(t, "count")))
			case 7:
				p := build.Items[rapid.IntRange(1, len(build.Items)-1).Draw(t, "part")].Part
				p.Bodies = []*v1.Body{{Extent: drawnExtent(t)}}
			}
		}
		check, err := proto.Marshal(&v1.CheckRequest{Build: build, Wants: []string{FactRanking}})
		if err != nil {
			t.Fatal(err)
		}
		var out kit.Outcome
		if err := e.Evaluate(check, nil, &out); err != nil {
			t.Fatal(err)
		}
		var response v1.CheckResponse
		if err := proto.Unmarshal(out.Findings, &response); err != nil {
			t.Fatal(err)
		}
		for _, f := range response.Findings {
			if f.GetSummary().GetKey() == "kit.rule-broken" {
				t.Fatalf("%s broke: %s", f.GetRule(), f.GetSummary().GetText())
			}
		}
		for _, f := range out.Facts {
			fact := new(v1.Fact)
			if err := proto.Unmarshal(f.Value, fact); err != nil {
				t.Fatal(err)
			}
			finite(t, fact.ProtoReflect(), f.Name)
		}
	})
}

// finite fails where a message holds a number that is none.
func finite(t *rapid.T, m protoreflect.Message, path string) {
	m.Range(func(field protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		name := fmt.Sprintf("%s.%s", path, field.Name())
		switch {
		case field.IsList():
			for i := range v.List().Len() {
				if field.Message() != nil {
					finite(t, v.List().Get(i).Message(), name)
				}
			}
		case field.Message() != nil:
			finite(t, v.Message(), name)
		case field.Kind() == protoreflect.DoubleKind && (math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0)):
			t.Fatalf("%s is %v", name, v.Float())
		}
		return true
	})
}
