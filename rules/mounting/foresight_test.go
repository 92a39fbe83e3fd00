package mounting

import (
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

// What the pack tells of a candidate before anything is placed holds good of what its
// rules find once the parts are: in the demo's builds, with their own choices of places
// and without, with cards, coolers and boards of all masses and lengths, in enclosures
// whose mounts are turned.
func TestBoundsHold(t *testing.T) {
	places, pack := evaluatorOf(t, clearance.Pack()), evaluatorOf(t, Pack())
	var builds []*v1.Build
	for _, name := range demoNames(t) {
		builds = append(builds, demoBuild(t, name))
	}
	exact := 0
	rapid.Check(t, func(r *rapid.T) {
		build := proto.CloneOf(rapid.SampledFrom(builds).Draw(r, "build"))
		if rapid.IntRange(0, 3).Draw(r, "free") == 0 {
			build.Arrangement = nil
		}
		var sought []int
		for i, it := range build.Items {
			switch part := it.Part; {
			case part.GetChassis() != nil:
				turnMounts(r, part.GetChassis())
				sought = append(sought, i)
			case part.GetCard() != nil, part.GetAirCooler() != nil, part.GetBoard() != nil:
				sought = append(sought, i, i)
			}
		}
		item := rapid.SampledFrom(sought).Draw(r, "item")
		if part := build.Items[item].Part; part.GetBoard() == nil && part.GetChassis() == nil {
			kittest.Stretch(r, part.ProtoReflect(), 20)
			kittest.Punch(r, part.ProtoReflect(), 1)
		}
		check, err := proto.Marshal(&v1.CheckRequest{Build: build})
		if err != nil {
			r.Fatal(err)
		}
		var placed kit.Outcome
		if err := places.Evaluate(check, nil, &placed); err != nil {
			r.Skip("clearance refuses it: ", err)
		}
		f, err := kittest.Foresee(pack, build, item, placed.Facts)
		if err != nil {
			r.Fatal(err)
		}
		if f.Ceiling != nil && f.MarginShare != nil && *f.Ceiling == *f.MarginShare {
			exact++
		}
	})
	if exact == 0 {
		t.Error("no ceiling was reached: too little was told ahead for the above to say much")
	}
}

// turnMounts turns the mounts of an enclosure for boards and cards now and then.
func turnMounts(t *rapid.T, chassis *v1.Chassis) {
	for _, l := range chassis.Layouts {
		for _, m := range l.Mounts {
			if k := m.GetKind(); k != v1.MountKind_MOUNT_KIND_BOARD && k != v1.MountKind_MOUNT_KIND_CARD {
				continue
			}
			for _, p := range m.Poses {
				if rapid.IntRange(0, 3).Draw(t, "turned") > 0 {
					continue
				}
				way := rapid.SampledFrom([][2]v1.Axis{
					{v1.Axis_AXIS_X_PLUS, v1.Axis_AXIS_Z_PLUS}, {v1.Axis_AXIS_Y_PLUS, v1.Axis_AXIS_Z_PLUS}, {v1.Axis_AXIS_Z_PLUS, v1.Axis_AXIS_X_PLUS},
					{v1.Axis_AXIS_Z_MINUS, v1.Axis_AXIS_Y_PLUS}, {v1.Axis_AXIS_Y_MINUS, v1.Axis_AXIS_X_MINUS}, {v1.Axis_AXIS_X_MINUS, v1.Axis_AXIS_Y_PLUS},
				}).Draw(t, "way")
				p.XPoints, p.ZPoints = &way[0], &way[1]
			}
		}
	}
}

func evaluatorOf(t *testing.T, pack *kit.Pack) *kit.Evaluator {
	t.Helper()
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	return e
}
