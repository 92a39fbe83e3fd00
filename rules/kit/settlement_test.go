package kit_test

import (
	"runtime"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

// askedOf asks about five coolers at once and tells how often a rule judged and a bound
// was asked, for a rule and a bound that look at some kinds.
func askedOf(t *testing.T, kinds ...kit.Kind) (judged, bounded int, out []*packv1.Outcome) {
	t.Helper()
	pack := roomPack()
	pack.Rules = append(pack.Rules[:0:0], pack.Rules[1], pack.Rules[1], pack.Rules[1])
	for i, id := range []string{"first", "second", "third"} {
		pack.Rules[i].ID = pack.Name + "." + id
	}
	pack.Rules[0].Alone, pack.Rules[0].Kinds = true, kinds
	pack.Rules[0].Judge = func(c *kit.Case) {
		judged++
		c.Judged(kit.Marginal).About(c.ItemByID("case")).Word("cooler", "it")
	}
	pack.Rules[1].Kinds = kinds
	pack.Rules[1].Bound = func(c *kit.Case) {
		bounded++
		c.Ceiling(0.3)
	}
	pack.Rules[2].Bound = func(c *kit.Case) { c.Ceiling(c.First(kit.KindAirCooler).Part.GetAirCooler().GetHeightMm() / 1000) }
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	var tasks []*packv1.Task
	for i := range 5 {
		part, err := proto.Marshal(coolerOf(proto.Float64(float64(100 * (i + 1)))))
		if err != nil {
			t.Fatal(err)
		}
		tasks = append(tasks, &packv1.Task{Part: part})
	}
	line := &packv1.Line{
		Check: roomCheck(proto.Float64(180), nil), Item: proto.Uint32(1), About: []uint32{1}, Look: packv1.Look_LOOK_ALONE.Enum(), Bare: proto.Bool(true),
	}
	out = e.Brief(line, tasks)
	return judged, bounded, out
}

// What looks at parts of another kind is asked once by each worker, and holds for all
// candidates; what looks at the candidate is asked of each.
func TestRulesThatLookElsewhereAreAskedOnce(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1)) // each worker has a memory of its own
	for _, test := range []struct {
		name  string
		kinds []kit.Kind
		once  bool
	}{
		{"another kind", []kit.Kind{kit.KindChassis, kit.KindBoard}, true},
		{"the candidate's kind", []kit.Kind{kit.KindAirCooler}, false},
		{"not said", nil, false},
	} {
		judged, bounded, out := askedOf(t, test.kinds...)
		if all := len(out); test.once != (judged < all) || test.once != (bounded < all) {
			t.Errorf("%s: judged %d times and bounded %d times for %d candidates", test.name, judged, bounded, all)
		}
		for i, o := range out {
			if o.Brief.GetVerdict() != kit.Marginal || o.Brief.GetCeiling() != min(0.3, float64(i+1)/10) {
				t.Errorf("%s: candidate %d has %v", test.name, i, o.Brief)
			}
		}
		if n := out[0].Counts[1]; n != 5 {
			t.Errorf("%s: %d MARGINAL are counted for 5 candidates", test.name, n)
		}
	}
}

// What is said to be spare is what AtMost would pass, with no smaller a share than is
// known.
func TestSpareComparisonsPass(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(name string) quantity.Range {
			n, off := rapid.Float64Range(-50, 50).Draw(rt, name), rapid.Float64Range(0, 5).Draw(rt, name+" off")
			return quantity.Range{Nominal: n, Low: n - off, High: n + off}
		}
		unit := rapid.SampledFrom([]string{"", "A"}).Draw(rt, "unit")
		others := rapid.Float64Range(-1, 1).Draw(rt, "others")
		measured, limit := kit.Value{Range: draw("measured"), Unit: unit}, kit.Value{Range: draw("limit"), Unit: unit}
		var spare bool
		var f *kit.Finding
		pack := roomPack()
		pack.Rules[1].Overall = false
		pack.Rules = pack.Rules[1:2]
		pack.Rules[0].Judge = func(c *kit.Case) {
			spare = c.SpareAtMost(measured, limit)
			f = c.AtMost(measured, limit).About(c.ItemByID("cooler")).Word("cooler", "it")
		}
		with := briefOf(t, pack, &packv1.Line{}, &packv1.Task{MarginShare: &others}).Brief
		small := with.MarginShare != nil && with.GetMarginShare() < others
		if want := with.GetVerdict() == kit.Pass && !small; spare != want {
			rt.Fatalf("%v at most %v: spare %v; it comes to %v with share %v, by others %v", measured.Range, limit.Range, spare, f.Verdict(), with.MarginShare, others)
		}
	})
}

// Of what does not fit a terse line tells who decides and how, and no more.
func TestTerseTellsWhoDecides(t *testing.T) {
	pack := roomPack()
	pack.Rules[0].Judge = func(c *kit.Case) { c.Judged(kit.Fail).About(c.ItemByID("cooler")).Word("cooler", "it") }
	told := func(terse bool) *v1.Finding {
		answer := new(v1.CheckResponse)
		if err := proto.Unmarshal(briefOf(t, pack, &packv1.Line{Terse: &terse}, &packv1.Task{}).Brief.Finding, answer); err != nil {
			t.Fatal(err)
		}
		return answer.Findings[0]
	}
	full, short := told(false), told(true)
	if short.GetRule() != full.GetRule() || short.GetVerdict() != kit.Fail || short.Summary != nil || full.Summary == nil {
		t.Errorf("tersely %v, in full %v", short, full)
	}
}
