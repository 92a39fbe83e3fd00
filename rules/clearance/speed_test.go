package clearance

import (
	"context"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
	"slipfit.example/rules/kit"
)

// chassisOf is a build's enclosure.
func chassisOf(b *v1.Build) *v1.Part {
	for _, it := range b.Items {
		if it.Part.GetChassis() != nil {
			return it.Part
		}
	}
	return nil
}

// seatedOf lists a build's items for a plan.
func seatedOf(b *v1.Build) (items []seatedItem) {
	for _, it := range b.Items {
		n := 1
		if it.Count != nil {
			n = int(*it.Count)
		}
		items = append(items, seatedItem{id: it.GetId(), name: it.GetPart().GetName(), count: n, part: it.Part})
	}
	return items
}

// usual are the policy's defaults.
var usual = keep{tolerance: kit.LengthTolerance.Default, touch: touchGap.Default, vibration: vibrationGap.Default, plug: plugGap.Default, hand: handGap.Default, breath: breathRoom.Default, play: riserPlay.Default}

// BenchmarkSearch is the whole search of a demo build: all layouts, nothing fixed,
// with the problem built anew each time.
func BenchmarkSearch(b *testing.B) {
	for _, id := range []string{"archive-editor", "fans-under-card", "second-radiator", "front-desk", "no-arrangement", "transfer-bench"} {
		b.Run(id, func(b *testing.B) {
			build := demoBuild(b, id)
			e, items := readEnclosure(chassisOf(build)), seatedOf(build)
			var visited, space uint64
			b.ReportAllocs()
			for b.Loop() {
				visited, space = 0, 0
				for layout := range e.layouts {
					p := makePlan(e, layout, items, nil, usual)
					visited, space = visited+uint64(p.visited), space+p.space
				}
			}
			b.ReportMetric(float64(visited), "nodes")
			b.ReportMetric(float64(space), "arrangements")
		})
	}
}

// BenchmarkGiven is one given arrangement: its gaps, free ways and rooms.
func BenchmarkGiven(b *testing.B) {
	build := demoBuild(b, "archive-editor")
	e := readEnclosure(chassisOf(build))
	s := newScene(e, &e.layouts[0], seatedOf(build), build.Arrangement.Placements, usual)
	answer, err := arrange.Solve(context.Background(), s.build(), arrange.Question{})
	if err != nil || len(answer.Ranked) == 0 {
		b.Fatal("nothing fits", err)
	}
	a := s.layOut(answer.Ranked[0].Choices)
	b.ReportAllocs()
	for b.Loop() {
		a.gaps = a.gaps[:0]
		a.measure(s, nil)
		a.rank()
		s.airs(&a)
		s.rooms(&a)
	}
}

// BenchmarkReadEnclosure is a chassis made ready, once for all builds in it.
func BenchmarkReadEnclosure(b *testing.B) {
	part := chassisOf(demoBuild(b, "archive-editor"))
	b.ReportAllocs()
	for b.Loop() {
		readEnclosure(part)
	}
}

// BenchmarkCheckInSpace is a check of the whole pack on a build that was asked
// for before.
func BenchmarkCheckInSpace(b *testing.B) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		b.Fatal(err)
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: demoBuild(b, "archive-editor")})
	if err != nil {
		b.Fatal(err)
	}
	var out kit.Outcome
	b.ReportAllocs()
	for b.Loop() {
		if err := e.Evaluate(check, nil, &out); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkAgainstEnumeration is the search beside trying every combination, on
// the same problem.
func BenchmarkAgainstEnumeration(b *testing.B) {
	build := demoBuild(b, "second-radiator")
	problem := problemOf(readEnclosure(chassisOf(build)), 0, seatedOf(build))
	b.Run("search", func(b *testing.B) {
		for b.Loop() {
			if _, err := arrange.Solve(context.Background(), problem, arrange.Question{Count: true}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("enumeration", func(b *testing.B) {
		for b.Loop() {
			enumerate(problem)
		}
	})
}
