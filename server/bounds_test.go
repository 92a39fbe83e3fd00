package server_test

import (
	"math"
	"testing"

	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// bounds is what all packs say of a candidate before anything is solved.
type bounds struct {
	ceiling, quietest float64
	unfit             bool
}

// boundsOf asks every pack to look ahead, in process.
func boundsOf(t *testing.T, build *v1.Build, item string, parts []*v1.Part) []bounds {
	t.Helper()
	line := &packv1.Line{Look: packv1.Look_LOOK_ALONE.Enum()}
	for i, it := range build.Items {
		if it.GetId() == item {
			line.Item, line.About = proto.Uint32(uint32(i)), []uint32{uint32(i)}
		}
	}
	build = proto.CloneOf(build)
	build.Items[line.GetItem()].Part = &v1.Part{}
	if parts[0].GetChassis() != nil {
		build.Arrangement = nil
	}
	var err error
	if line.Check, err = proto.Marshal(&v1.CheckRequest{Build: build}); err != nil {
		t.Fatal(err)
	}
	tasks := make([]*packv1.Task, len(parts))
	out := make([]bounds, len(parts))
	for i, part := range parts {
		encoded, err := proto.Marshal(part)
		if err != nil {
			t.Fatal(err)
		}
		tasks[i], out[i] = &packv1.Task{Part: encoded}, bounds{math.Inf(1), math.Inf(-1), false}
	}
	for _, pack := range builtin {
		e, err := kit.NewEvaluator(pack())
		if err != nil {
			t.Fatal(err)
		}
		for i, o := range e.Brief(line, tasks) {
			if o.Error != nil {
				t.Fatal(o.GetError())
			}
			b := &out[i]
			if o.Brief.Ceiling != nil {
				b.ceiling = min(b.ceiling, o.Brief.GetCeiling())
			}
			if o.Brief.QuietestDba != nil {
				b.quietest = max(b.quietest, o.Brief.GetQuietestDba())
			}
			b.unfit = b.unfit || o.Brief.GetUnfit()
		}
	}
	return out
}

// What packs say of a candidate before anything is solved holds good of what checking
// it tells. A shortlist relies on it: what a bound puts behind is never solved.
func TestBoundsHold(t *testing.T) {
	conn := dialDecoding(t)
	build := demoRequest(t).Build
	for n, role := range sought {
		t.Run(role.item, func(t *testing.T) {
			p := newPlain(t, build, v1.ShortlistOrder_SHORTLIST_ORDER_SOUND, role.item)
			parts := newGenerator(t, uint64(40+n)).good(t, 60, role.kinds...)
			for i, b := range boundsOf(t, build, role.item, parts) {
				c := p.judge(i, parts[i], p.check(t, conn, build, parts[i]))
				switch {
				case c.verdict >= v1.Verdict_VERDICT_UNKNOWN:
				case b.unfit:
					t.Errorf("%s was not to fit, and fits", parts[i].GetName())
				case c.share > b.ceiling:
					t.Errorf("%s has the margin share %v by %s, and was to have no more than %v", parts[i].GetName(), c.share, c.finding.GetRule(), b.ceiling)
				case -c.key < b.quietest:
					t.Errorf("%s is heard at %v dB(A), and was not to be below %v", parts[i].GetName(), -c.key, b.quietest)
				}
			}
		})
	}
}
