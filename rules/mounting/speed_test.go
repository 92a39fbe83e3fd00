package mounting

import (
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/kit"
)

// asked is a demo build as mounting is asked about it, with the facts of clearance.
func asked(b *testing.B, name string) (check []byte, facts []kit.Fact) {
	b.Helper()
	check, err := proto.Marshal(&v1.CheckRequest{Build: demoBuild(b, name)})
	if err != nil {
		b.Fatal(err)
	}
	return check, ask(b, clearance.Pack(), check, nil).Facts
}

// forgetful is the pack without a past at every case.
func forgetful() *kit.Pack {
	pack := Pack()
	pack.Alternatives = func(c *kit.Case) int { return newMemory(1).open(c) }
	return pack
}

// within does some of the work of one case again and again.
func within(b *testing.B, check []byte, facts []kit.Fact, work func(*scene)) {
	pack := Pack()
	pack.Conclude = func(c *kit.Case) {
		s := sceneOf(c)
		b.ReportAllocs()
		for b.Loop() {
			work(s)
		}
	}
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		b.Fatal(err)
	}
	if err := e.Evaluate(check, facts, new(kit.Outcome)); err != nil {
		b.Fatal(err)
	}
}

// BenchmarkDemo judges each demo build, as one that is asked about again and as a new
// one, and of that puts it in order, deals its boxes
// out and lays its holes over each other, anew each time.
func BenchmarkDemo(b *testing.B) {
	for _, name := range demoNames(b) {
		check, facts := asked(b, name)
		for what, pack := range map[string]*kit.Pack{"known": Pack(), "new": forgetful()} {
			b.Run(name+"/"+what, func(b *testing.B) {
				e, err := kit.NewEvaluator(pack)
				if err != nil {
					b.Fatal(err)
				}
				var out kit.Outcome
				b.ReportAllocs()
				for b.Loop() {
					if err := e.Evaluate(check, facts, &out); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
		b.Run(name+"/order", func(b *testing.B) {
			within(b, check, facts, func(s *scene) {
				s.order = nil
				s.ordered()
			})
		})
		b.Run(name+"/deal", func(b *testing.B) {
			within(b, check, facts, func(s *scene) {
				s.lots, s.joints = s.lots[:0], s.joints[:0]
				s.unpack()
				s.listJoints()
				s.share()
			})
		})
		b.Run(name+"/holes", func(b *testing.B) {
			within(b, check, facts, func(s *scene) {
				s.seated = false
				s.seatings()
			})
		})
	}
}
