package kit_test

import (
	"fmt"
	"testing"

	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// aheadPack is the pack of rooms with a rule that looks ahead, in several ways of
// judging.
func aheadPack(ahead func(*kit.Case)) *kit.Pack {
	pack := roomPack()
	pack.Rules[0].Bound = ahead
	pack.Alternatives = func(*kit.Case) int { return 2 }
	return pack
}

func briefOf(t *testing.T, pack *kit.Pack, line *packv1.Line, task *packv1.Task) *packv1.Outcome {
	t.Helper()
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	if task.Part, err = proto.Marshal(coolerOf(proto.Float64(150))); err != nil {
		t.Fatal(err)
	}
	line.Check, line.Item, line.About = roomCheck(proto.Float64(180), nil), proto.Uint32(1), []uint32{1}
	out := e.Brief(line, []*packv1.Task{task})[0]
	if out.Error != nil {
		t.Fatal(out.GetError())
	}
	return out
}

// Of several bounds the tightest counts; only the first look asks for them, and it
// judges nothing where no rule judges alone.
func TestBoundsComeWithTheFirstLook(t *testing.T) {
	pack := aheadPack(func(c *kit.Case) {
		if !c.Sought(c.ItemByID("cooler")) || c.Sought(c.ItemByID("case")) || c.Sought(nil) {
			panic("it does not know what is sought")
		}
		if c.Failing() {
			c.Ceiling(-1)
		}
		c.Ceiling(0.4)
		c.Ceiling(0.25)
		c.Ceiling(0.3)
		c.Quietest(20)
		c.Quietest(31)
		c.Quietest(30)
		c.Unfit()
	})
	got := briefOf(t, pack, &packv1.Line{Look: packv1.Look_LOOK_ALONE.Enum()}, &packv1.Task{})
	want := &packv1.Brief{
		Verdict: v1.Verdict_VERDICT_PASS.Enum(), Ceiling: proto.Float64(0.25), QuietestDba: proto.Float64(31), Unfit: proto.Bool(true),
	}
	if !proto.Equal(got.Brief, want) || len(got.Facts) > 0 {
		t.Errorf("the first look tells %v with %d facts, want %v and none", got.Brief, len(got.Facts), want)
	}
	for _, n := range got.Counts {
		if n != 0 {
			t.Errorf("the first look counts %v, want nothing judged", got.Counts)
			break
		}
	}
	got = briefOf(t, pack, &packv1.Line{Look: packv1.Look_LOOK_ALONE.Enum(), Failing: proto.Bool(true)}, &packv1.Task{})
	if got.Brief.GetCeiling() != -1 {
		t.Errorf("that facts may be lacking is not told: the ceiling is %v", got.Brief.GetCeiling())
	}
	got = briefOf(t, pack, &packv1.Line{Look: packv1.Look_LOOK_OTHERS.Enum()}, &packv1.Task{})
	if b := got.Brief; b.Ceiling != nil || b.QuietestDba != nil || b.Unfit != nil || b.MarginShare == nil {
		t.Errorf("the second look tells %v, want what the rules have judged and no bounds", b)
	}
}

// What passes with no smaller a share than is known already is spared.
func TestSpareTellsWhatChangesNothing(t *testing.T) {
	var spared []float64
	pack := roomPack()
	pack.Rules[1].Overall = true
	pack.Rules[1].Judge = func(c *kit.Case) {
		spared = nil
		for _, share := range []float64{0.05, 0.1, 0.11, 1} {
			if c.Spare(share) {
				spared = append(spared, share)
			}
		}
	}
	// The cooler of 150 mm under 168 mm has a share of 18/168, about 0.107.
	for _, test := range []struct {
		others *float64
		want   string
	}{
		{nil, "[0.11 1]"}, {proto.Float64(0.5), "[0.11 1]"}, {proto.Float64(0.1), "[0.1 0.11 1]"},
	} {
		briefOf(t, pack, &packv1.Line{}, &packv1.Task{MarginShare: test.others})
		if got := fmt.Sprint(spared); got != test.want {
			t.Errorf("with %v by others the shares %s are spared, want %s", test.others, got, test.want)
		}
	}
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	if err := e.Evaluate(roomCheck(proto.Float64(180), coolerOf(proto.Float64(150))), nil, new(kit.Outcome)); err != nil || len(spared) > 0 {
		t.Errorf("an ordinary check spares findings (%v)", err)
	}
}

// A margin of nothing is no tight spot where nothing more can be had; a shortfall is.
func TestSaturatedFindingsHaveNoShare(t *testing.T) {
	for _, test := range []struct {
		need float64
		want *float64
	}{{150, nil}, {300, proto.Float64(-0.5)}} {
		pack := roomPack()
		pack.Rules[0].Judge = func(c *kit.Case) {
			it := c.First(kit.KindAirCooler)
			c.AtLeast(c.Length(it, "air_cooler.height_mm", it.Part.GetAirCooler().HeightMm), kit.Constant(test.need, "mm")).
				About(it).AtWorst(kit.Marginal).Saturates().Word("cooler", "it")
		}
		got := briefOf(t, pack, &packv1.Line{Look: packv1.Look_LOOK_UNSPECIFIED.Enum()}, &packv1.Task{}).Brief
		if (got.MarginShare == nil) != (test.want == nil) || test.want != nil && got.GetMarginShare() != *test.want {
			t.Errorf("150 mm of %v mm: share %v, want %v", test.need, got.MarginShare, test.want)
		}
	}
}

// Terse is what the line says.
func TestTerseIsOfTheLine(t *testing.T) {
	for _, want := range []bool{true, false} {
		pack := roomPack()
		got := !want
		pack.Rules[1].Judge = func(c *kit.Case) { got = c.Terse() }
		briefOf(t, pack, &packv1.Line{Terse: &want}, &packv1.Task{})
		if got != want {
			t.Errorf("a line that is terse: %v, its case says %v", want, got)
		}
	}
}

// What a sought part does not say is missing for want of the candidate, and nothing else.
func TestSoughtMissesIsOfTheCandidatesDocument(t *testing.T) {
	asked := false
	briefOf(t, aheadPack(func(c *kit.Case) {
		asked = true
		cooler, chassis := c.ItemByID("cooler"), c.ItemByID("case")
		own, other := c.Absent(cooler.At("air_cooler.width_mm"), "mm"), c.Absent(chassis.At("chassis.height_mm"), "mm")
		known := c.Length(cooler, "air_cooler.height_mm", cooler.Part.GetAirCooler().HeightMm)
		if !c.SoughtMisses(known, own) || c.SoughtMisses(other, known) || c.SoughtMisses() {
			t.Error("it is not told apart whose document misses a figure")
		}
	}), &packv1.Line{Look: packv1.Look_LOOK_ALONE.Enum()}, &packv1.Task{})
	if !asked {
		t.Error("the rule was not asked to look ahead")
	}
}
