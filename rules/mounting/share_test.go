package mounting

import (
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/kit"
)

// However boxes and joints fall out, no fastener serves two joints, none goes to
// a joint that it does not suit, and no joint is left short beside a lot that
// surely fits it.
func TestBoxesAreDealtOutOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawScene(t)
		s.share()
		dealt, left, total := 0, 0, 0
		for i := range s.joints {
			j := &s.joints[i]
			if j.sure < 0 || j.possible < 0 || j.sure+j.possible > j.need {
				t.Fatalf("joint %d got %d and %d of %d", i, j.sure, j.possible, j.need)
			}
			dealt += j.sure + j.possible
			for k := range s.lots {
				if f, _ := j.suits(&s.lots[k]); f == fastening.Sure && s.lots[k].left > 0 && j.sure+j.possible < j.need {
					t.Fatalf("joint %d is short beside %d fitting screws", i, s.lots[k].left)
				}
			}
		}
		for i := range s.lots {
			if s.lots[i].left < 0 {
				t.Fatalf("lot %d gave more than it had", i)
			}
			left, total = left+s.lots[i].left, total+s.lots[i].count
		}
		if dealt+left != total {
			t.Fatalf("%d dealt and %d left of %d", dealt, left, total)
		}
	})
}

func drawScene(t *rapid.T) *scene {
	word := func(name string, of ...string) string { return rapid.SampledFrom(of).Draw(t, name) }
	optional := func(s string) *string {
		if s == "" {
			return nil
		}
		return &s
	}
	s, box := new(scene), new(kit.Item)
	for range rapid.IntRange(0, 6).Draw(t, "lots") {
		n := rapid.IntRange(0, 9).Draw(t, "count")
		f := &v1.Fastener{
			Kind: proto.String("screw"), Thread: optional(word("thread", "", "M3", "6-32")),
			Purpose: optional(word("purpose", "", "board", "supply")),
		}
		s.lots = append(s.lots, lot{item: box, index: len(s.lots), count: n, left: n, fastener: f, kind: kindOf(f)})
	}
	for range rapid.IntRange(0, 4).Draw(t, "joints") {
		s.joints = append(s.joints, joint{
			Joint: fastening.Joint{Kind: "screw", Purpose: word("for", "board", "supply"), Threads: []string{word("takes", "M3", "6-32")}},
			need:  rapid.IntRange(0, 9).Draw(t, "need"), item: new(kit.Item),
		})
	}
	return s
}
