package power

import (
	"slices"
	"sync"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/server/document"
)

// What the pack tells of a candidate ahead holds good of what its rules find, in demo
// builds with stretched and missing figures and thin wires, and in builds that nobody
// would put together. Some is told of candidates that fit, and of some that do not.
func TestBoundsHold(t *testing.T) {
	e := newEvaluator(t)
	var builds []*v1.Build
	for _, id := range demoBuilds(t) {
		builds = append(builds, demoBuild(t, id))
	}
	ceilings, exact, unfit := 0, 0, 0
	rapid.Check(t, func(r *rapid.T) {
		build := drawBuild(r)
		if rapid.IntRange(0, 4).Draw(r, "odd") > 0 {
			build = proto.CloneOf(rapid.SampledFrom(builds).Draw(r, "build"))
		}
		thin := rapid.SampledFrom([]uint32{0, 0, 24, 28}).Draw(r, "gauge")
		for i := range build.Items {
			part := build.Items[i].Part
			kittest.Stretch(r, part.ProtoReflect(), 10)
			if holes := rapid.IntRange(0, 9).Draw(r, "holes"); holes == 0 {
				kittest.Punch(r, part.ProtoReflect(), 1)
			}
			for _, cable := range part.GetSupply().GetCables() {
				if thin > 0 && cable.GaugeAwg != nil {
					cable.GaugeAwg = &thin
				}
			}
			if !goodPart(t, part) {
				continue
			}
			f, err := kittest.Foresee(e, build, i, nil)
			if err != nil {
				r.Fatal(err)
			}
			if f.Unfit {
				unfit++
			}
			if f.Ceiling != nil && f.MarginShare != nil {
				ceilings++
				if *f.Ceiling == *f.MarginShare {
					exact++
				}
			}
		}
	})
	t.Logf("%d ceilings, %d of them reached; %d do not fit", ceilings, exact, unfit)
	if exact == 0 {
		t.Error("too little was told ahead for the above to say much")
	}
}

// Of the editor's supply it is told ahead how close the tightest voltage comes, exactly,
// and that it does not fit with hair-thin cables.
func TestSupplyIsForetold(t *testing.T) {
	e := newEvaluator(t)
	build := demoBuild(t, "archive-editor")
	at := slices.IndexFunc(build.Items, func(it *v1.Item) bool { return it.Part.GetSupply() != nil })
	f, err := kittest.Foresee(e, build, at, nil)
	if err != nil || f.Ceiling == nil || f.MarginShare == nil || *f.Ceiling != *f.MarginShare {
		t.Errorf("foretold %+v, %v", f, err)
	}
	for _, cable := range build.Items[at].Part.GetSupply().Cables {
		cable.GaugeAwg = proto.Uint32(32)
	}
	if f, err = kittest.Foresee(e, build, at, nil); err != nil || !f.Unfit {
		t.Errorf("with hair-thin cables foretold %+v, %v", f, err)
	}
}

// goodPart reports whether a part is one that the service would take.
func goodPart(t *testing.T, part *v1.Part) bool {
	t.Helper()
	validator, err := validate()
	if err != nil {
		t.Fatal(err)
	}
	return len(validator.ValidatePart(part)) == 0
}

var validate = sync.OnceValues(document.New)
