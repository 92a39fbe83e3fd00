package fastening

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Engagement by material: M3 needs 3.0 mm in steel, 6.0 mm in aluminium (design
// magazine's rule, 1 D and 2 D).
func TestLengthsFromTheStack(t *testing.T) {
	for name, c := range map[string]struct {
		stack             Stack
		shortest, longest float64
	}{
		"board on a steel standoff":        {Stack{Thread: "M3", ClampedMM: []float64{1.57}, Material: "steel"}, 4.57, 0},
		"the same into aluminium":          {Stack{Thread: "M3", ClampedMM: []float64{1.57}, Material: "aluminium"}, 7.57, 0},
		"fan of 25 mm, washer, boss 4 mm":  {Stack{Thread: "M3", ClampedMM: []float64{25, 0.5}, Material: "steel", DepthMM: 4}, 28.5, 29.5},
		"supply on a sheet":                {Stack{Thread: "6-32", ClampedMM: []float64{1}, Material: "steel", DepthMM: 8}, 4.505, 9},
		"into a sheet of 1 mm, drawn hole": {Stack{Thread: "M3", ClampedMM: []float64{2}, Material: "steel", ThreadedMM: 1}, 3, 0},
	} {
		r, err := c.stack.Lengths()
		if err != nil || math.Abs(r.ShortestMM-c.shortest) > 1e-9 || math.Abs(r.LongestMM-c.longest) > 1e-9 {
			t.Errorf("%s: %g to %g (%v), want %g to %g", name, r.ShortestMM, r.LongestMM, err, c.shortest, c.longest)
		}
	}
}

func TestLengthsThatCannotBe(t *testing.T) {
	for want, s := range map[string]Stack{
		"a M3 screw must enter 6 mm to hold in aluminium, and only 4 mm are free; no length serves": {Thread: "M3", Material: "aluminium", DepthMM: 4},
		"a layer of -1 mm under a M3 screw makes no sense; give 0 to 1000 mm":                       {Thread: "M3", Material: "steel", ClampedMM: []float64{-1}},
		"a layer of NaN mm under a M3 screw makes no sense; give 0 to 1000 mm":                      {Thread: "M3", Material: "steel", ThreadedMM: math.NaN()},
	} {
		if _, err := s.Lengths(); err == nil || err.Error() != want {
			t.Errorf("%v\nwant %s", err, want)
		}
	}
	for _, s := range []Stack{{Thread: "M7", Material: "steel"}, {Thread: "M3", Material: "cheese"}} {
		if _, err := s.Lengths(); err == nil {
			t.Errorf("%+v passed", s)
		}
	}
}

// A screw of 30 mm through a fan of 25 mm and a washer of 0.5 mm, boss 4 mm deep:
// too deep by 0.5 mm; one of 28 mm is not (worked from ISO lengths).
func TestScrewThroughARadiator(t *testing.T) {
	for length, want := range map[float64]float64{30: 0.5, 28: 0} {
		if got, err := TooDeepMM(length, 4, 25, 0.5); err != nil || math.Abs(got-want) > 1e-9 {
			t.Errorf("%g mm: %g (%v)", length, got, err)
		}
	}
	if _, err := TooDeepMM(math.Inf(1), 4); err == nil {
		t.Error("an endless screw passed")
	}
}

// M3 of class 4.8 bears 0.61 N.m and of 8.8 1.20 N.m (pocket guide per ISO 898-1).
func TestTorque(t *testing.T) {
	for name, c := range map[string]struct {
		thread, class, into string
		low, high           float64
	}{
		"M3 into a brass standoff (customary)":              {"M3", "4.8", IntoStandoff, 0.5, 0.6},
		"6-32 into sheet steel (customary)":                 {"6-32", "4.8", IntoSheet, 0.6, 0.9},
		"M2 for an M.2 drive: never above its class":        {"M2", "4.8", IntoM2, 0.1, 0.17},
		"M3 of 8.8 elsewhere":                               {"M3", "8.8", "", 0.6, 1.2},
		"M5 of 4.8 elsewhere":                               {"M5", "4.8", "", 1.475, 2.95},
		"class not stated: the weakest":                     {"M4", "", "", 0.7, 1.4},
		"stainless, the lower of the two":                   {"M3", "A2-70", "", 0.5, 1.0},
		"self-tapping into plastic: the trade's (no class)": {"ST4.8", "", IntoPlastic, 0.2, 0.4},
	} {
		got, err := TorqueFor(c.thread, c.class, c.into)
		if err != nil || math.Abs(got.LowNm-c.low) > 1e-9 || math.Abs(got.HighNm-c.high) > 1e-9 || got.Source.ID == "" {
			t.Errorf("%s: %g to %g (%v), want %g to %g", name, got.LowNm, got.HighNm, err, c.low, c.high)
		}
	}
	if _, err := TorqueFor("ST4.8", "", IntoSheet); err == nil {
		t.Error("a self-tapping screw into sheet has no torque in the tables")
	}
	for class, want := range map[string]float64{"4.8": 0.29, "8.8": 0} { // 0.9 N.m on M3
		if got, err := TooTight(0.9, "M3", class); err != nil || math.Abs(got-want) > 1e-9 {
			t.Errorf("class %s: %g (%v), want %g", class, got, err, want)
		}
	}
	if _, err := TooTight(math.NaN(), "M3", "4.8"); err == nil {
		t.Error("no torque passed")
	}
}

// Metric countersunk heads are 90 degrees and lie in a countersunk rim only.
func TestHeads(t *testing.T) {
	for _, c := range []struct {
		head         string
		rim, ok, has bool
	}{
		{"countersunk", true, true, true}, {"countersunk", false, false, true},
		{"pan", true, false, true}, {"pan", false, true, true}, {"", true, false, false},
	} {
		if ok, known := HeadFits(c.head, c.rim); ok != c.ok || known != c.has {
			t.Errorf("%q in a rim %v: %v, %v", c.head, c.rim, ok, known)
		}
	}
}

// M3 and 6-32 never serve for each other: pitch 0.5 against 0.794 mm (ISO 261,
// ASME B1.1).
func TestFits(t *testing.T) {
	joint := Joint{Kind: "screw", Purpose: "board", Threads: []string{"M3"}, Heads: []string{"pan"}, ShortestMM: 4, LongestMM: 7}
	good := Fastener{Kind: "screw", Thread: "m3", LengthMM: 5, Head: "pan", Purpose: "board"}
	with := func(change func(*Fastener)) *Fastener { f := good; change(&f); return &f }
	for name, c := range map[string]struct {
		f     *Fastener
		own   bool
		fit   Fit
		doubt Doubt
	}{
		"the right one":        {&good, false, Sure, NoDoubt},
		"a thumbscrew":         {with(func(f *Fastener) { f.Kind = "thumbscrew" }), false, Sure, NoDoubt},
		"a nut":                {with(func(f *Fastener) { f.Kind = "nut" }), false, Unfit, NoDoubt},
		"another thread":       {with(func(f *Fastener) { f.Thread = "6-32" }), false, Unfit, NoDoubt},
		"thread not stated":    {with(func(f *Fastener) { f.Thread = "" }), false, Doubtful, DoubtThread},
		"in its own box":       {with(func(f *Fastener) { f.Thread = "" }), true, Sure, NoDoubt},
		"too long":             {with(func(f *Fastener) { f.LengthMM = 8 }), false, Unfit, NoDoubt},
		"too short":            {with(func(f *Fastener) { f.LengthMM = 3 }), false, Unfit, NoDoubt},
		"length not stated":    {with(func(f *Fastener) { f.LengthMM = 0 }), false, Doubtful, DoubtLength},
		"another head":         {with(func(f *Fastener) { f.Head = "countersunk" }), false, Unfit, NoDoubt},
		"head not stated":      {with(func(f *Fastener) { f.Head = "" }), false, Sure, NoDoubt},
		"meant for others":     {with(func(f *Fastener) { f.Purpose = "supply" }), false, Unfit, NoDoubt},
		"meant for no purpose": {with(func(f *Fastener) { f.Purpose = "" }), false, Sure, NoDoubt},
	} {
		if fit, doubt := joint.Fits(c.f, c.own); fit != c.fit || doubt != c.doubt {
			t.Errorf("%s: %v %v, want %v %v", name, fit, doubt, c.fit, c.doubt)
		}
	}
	open := Joint{Kind: "screw", Purpose: "board"}
	if fit, doubt := open.Fits(&good, false); fit != Doubtful || doubt != DoubtJoint {
		t.Errorf("a joint of unknown thread: %v %v", fit, doubt)
	}
}

func TestLikingIsWithinItsBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := Joint{ShortestMM: rapid.Float64Range(0, 200).Draw(t, "shortest")}
		f := Fastener{LengthMM: rapid.Float64Range(j.ShortestMM, 400).Draw(t, "length"), Purpose: rapid.SampledFrom([]string{"", "fan"}).Draw(t, "for")}
		if c := j.Likes(&f, rapid.Bool().Draw(t, "own")); c < 0 || c > MaxCost {
			t.Fatalf("liking %d", c)
		}
	})
}
