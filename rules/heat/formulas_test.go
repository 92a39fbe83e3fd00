package heat

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"slipfit.example/rules/air"
)

// near fails the test when got is further than tol from want.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s: got %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// sure unwraps a value that must come without an error.
func sure[T any](t *testing.T) func(T, error) T {
	t.Helper()
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func TestChains(t *testing.T) {
	f := sure[float64](t)
	// Textbook chains: 5 W over 3 + 1 + 8 K/W in 25 degC; 3.5 W over 2 + .5 + 20.
	near(t, "junction", f(JunctionC(25, 5, 3, 1, 8)), 85, 0)
	near(t, "case", f(JunctionC(25, 5, 1, 8)), 70, 0)
	near(t, "third chain", f(JunctionC(25, 3.5, 2, .5, 20)), 103.75, 1e-12)
	near(t, "needed sink", f(NeededSinkKW(125, 40, 10, 2, .5)), 6, 0)
	if _, err := NeededSinkKW(60, 40, 10, 2); err == nil {
		t.Error("nothing left for the sink: want an error")
	}
	// 50 um of 4 W/(m K) on 15 x 15 mm.
	near(t, "interface", f(InterfaceKW(50e-6, 4, 15e-3*15e-3)), .05556, 1e-5)
	r, err := MeasuredInterfaceKW(50e-6, 4, 15e-3*15e-3)
	if err != nil || !r.Contains(.05556*1.01) || !r.Contains(3*.05555) {
		t.Errorf("measured interface: %+v %v", r, err)
	}
}

func TestSpreading(t *testing.T) {
	f := sure[float64](t)
	// Printed example of Lee's article: aluminium plate 100 x 100 x 1.3 mm,
	// source 25 x 25 mm, sink 1 K/W: 0.66 K/W.
	plate := Spreader{PlateAreaM2: .01, SourceAreaM2: 625e-6, ThicknessM: 1.3e-3, ConductivityWMK: 200, SinkKW: 1}
	near(t, "25 mm on 100 mm", f(plate.SpreadingKW()), .6566, .005)
	// A small source on a thick plate is the half-space: 1/(pi k a) at most.
	const k, a = 200.0, 1e-3
	thick := Spreader{PlateAreaM2: 4, SourceAreaM2: math.Pi * a * a, ThicknessM: 1, ConductivityWMK: k, SinkKW: 1e-6}
	near(t, "half-space", f(thick.SpreadingKW()), 1/(math.Pi*k*a), .01/(math.Pi*k*a))
	plate.SourceAreaM2 = plate.PlateAreaM2
	near(t, "source as large as the plate", f(plate.SpreadingKW()), 0, 1e-12)
	// Square tube of half width 2 with a contact of radius 1 and k = 1 (handbook
	// of Rohsenow): the mean is .1016 K/W. The greatest lies above it, by 1.5 in
	// Lee's own pair of formulas. Here a tenth the size: ten times the resistance.
	tube := Spreader{PlateAreaM2: 16e-2, SourceAreaM2: math.Pi * 1e-2, ThicknessM: 1, ConductivityWMK: 1}
	if most := f(tube.SpreadingKW()) / 10; most < .1016 || most > 2*.1016 {
		t.Errorf("greatest resistance of the tube %.4f, mean .1016", most)
	}
}

func TestEffectiveness(t *testing.T) {
	f := sure[float64](t)
	for _, row := range []struct {
		what          string
		a             Arrangement
		n, c          float64
		want, closely float64
	}{
		{"counterflow", Counterflow, 9, 1, .9, 1e-12},
		{"unmixed, usual form", CrossUnmixed, 2.5, .6, .7632, 1e-4},
		{"unmixed, exact", CrossUnmixedExact, 2.5, .6, .75572, 1e-5},
		{"both mixed", CrossMixed, 2.5, .6, .6841, 1e-4},
		{"smaller mixed", CrossMinMixed, 5, .7, .7497843941508544, 1e-12},
		{"greater mixed", CrossMaxMixed, 5, .7, .7158099831204696, 1e-12},
		{"boiler", Counterflow, 5, 0, .9932620530009145, 1e-12},
		{"boiler, cross", CrossMixed, 5, 0, .9932620530009145, 1e-12},
	} {
		near(t, row.what, f(Effectiveness(row.a, row.n, row.c)), row.want, row.closely)
	}
	near(t, "inverse, unmixed", f(TransferUnits(CrossUnmixed, .61, .6)), 1.341, .001)
	near(t, "inverse, both mixed", f(TransferUnits(CrossMixed, .61, .6)), 1.478, .001)
	if _, err := TransferUnits(CrossMixed, .99, 1); err == nil {
		t.Error("no mixed exchanger reaches .99: want an error")
	}
	// Own radiator: UA 30 W/K, air .03 m3/s (1.2, 1006), water 1 l/min.
	airRate, water := 1.2*1006*.03, 998*4182.0/60000
	near(t, "air", airRate, 36.216, .001)
	near(t, "water", water, 69.561, .001)
	g := exchange(CrossUnmixed, 30, airRate, water)
	near(t, "resistance of the radiator", 1/g, .0567, 1e-4)
	near(t, "effectiveness of the radiator", g/airRate, .4869, 1e-4)
	if exchange(CrossUnmixed, 30, 0, water) != 0 {
		t.Error("no air: no heat")
	}
}

func TestEffectivenessIsAShare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Arrangement(rapid.IntRange(0, int(Counterflow)).Draw(t, "arrangement"))
		n := rapid.Float64Range(0, mostNTU).Draw(t, "ntu")
		c := rapid.Float64Range(0, 1).Draw(t, "ratio")
		e, err := Effectiveness(a, n, c)
		if err != nil {
			t.Fatal(err)
		}
		counter, err := Effectiveness(Counterflow, n, c)
		if err != nil {
			t.Fatal(err)
		}
		// Counterflow is the best of all; the usual cross-flow form is a few
		// percent high.
		if !(e >= 0 && e <= 1) || e > counter*1.03+1e-9 {
			t.Fatalf("effectiveness %g, counterflow %g", e, counter)
		}
	})
}

func TestRadiationAndConvection(t *testing.T) {
	f := sure[float64](t)
	near(t, "eps .9, 45 to 25 degC", f(RadiationWM2(.9, 45, 25)), 119.58, .05)
	near(t, "coefficient", radiationH(.9, 45, 25), 5.979, .003)
	// Nitrogen-side wall of a textbook: 2 m x 2.5 m, 56 to 4 degC, k .026,
	// kinematic viscosity 15.63e-6, Pr .713, Nu = .13 Ra^1/3: h = 5.746.
	gr := air.GravityMS2 / (273.15 + 30) * 52 * 8 / (15.63e-6 * 15.63e-6)
	near(t, "Grashof number", gr, 5.513e10, .01e10)
	own := f(PlateNusselt(Upright, gr*.713, .713))
	near(t, "Nusselt number, Churchill and Chu against .13 Ra^1/3", own, 442, .13*442)
	// Rough rule of the same textbooks: .59 Ra^1/4 below 1e9.
	near(t, "Nusselt number at 1e8", f(PlateNusselt(Upright, 1e8, .71)), 59, 6)
	near(t, "lid at 1e6", f(PlateNusselt(Up, 1e6, .71)), .54*math.Pow(1e6, .25), 1e-9)
	near(t, "lid at 1e9", f(PlateNusselt(Up, 1e9, .71)), 150, 1e-9)
	near(t, "floor at 1e6", f(PlateNusselt(Down, 1e6, .71)), .27*math.Pow(1e6, .25), 1e-9)
	room, err := air.Room(0, 25)
	if err != nil {
		t.Fatal(err)
	}
	warmLid, coldFloor := f(NaturalWM2K(Up, .05, 45, room)), f(NaturalWM2K(Down, .05, 5, room))
	if math.Abs(warmLid-coldFloor) > .2*warmLid {
		t.Errorf("a cold floor works like a warm lid: %g and %g", coldFloor, warmLid)
	}
}

func TestPanelBetweenInsideAndRoom(t *testing.T) {
	room, err := air.Room(0, 25)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		facing Facing
		inside float64
	}{{Upright, 45}, {Up, 60}, {Down, 5}, {Upright, 25}} {
		c, q, err := PanelC(row.facing, .3, .9, 8, row.inside, room)
		if err != nil {
			t.Fatal(err)
		}
		h, err := NaturalWM2K(row.facing, .3, c, room)
		if err != nil {
			t.Fatal(err)
		}
		rad, err := RadiationWM2(.9, c, 25)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "heat in and out of the panel", q, h*(c-25)+rad, 1e-6)
		if (c-25)*(row.inside-c) < 0 {
			t.Errorf("panel of %g degC is not between 25 and %g degC", c, row.inside)
		}
	}
}

func TestTouch(t *testing.T) {
	f := sure[float64](t)
	// IEC 62368-1, table 38: plastic touched for 1 to 10 seconds.
	near(t, "plastic lid", f(TouchLimitC(PlasticOrRubber, Touched)), 77, 0)
	// 60 degC in a room of 35 is 50 in the room of the test.
	near(t, "metal lid", f(TouchMarginK(Metal, Touched, 60, 35)), 10, 1e-12)
	for m := Metal; m <= PlasticOrRubber; m++ {
		for c := Held; c < Unlikely; c++ {
			if f(TouchLimitC(m, c)) >= f(TouchLimitC(m, c+1)) {
				t.Errorf("a shorter touch must allow more: %d %d", m, c)
			}
		}
	}
}

func TestFlowLaws(t *testing.T) {
	f := sure[float64](t)
	l, err := LawThrough(Reading{.01, .30}, Reading{.03, .18}, .6)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "first reading", f(l.ResistanceKW(.01, 100)), .30, 1e-12)
	near(t, "second reading", f(l.ResistanceKW(.03, 100)), .18, 1e-12)
	near(t, "never better than its air", f(l.ResistanceKW(.03, 2)), .5, 1e-12)
	// Journal example (Applied Thermal Engineering 44, 2012): .19 to .11 K/W
	// while the noise rises by 14.8 dB, which 50 lg makes 1.98 times the speed:
	// exponent 0.80.
	speed := math.Pow(10, (36.3-21.5)/50)
	near(t, "speed ratio", speed, 1.98, .005)
	near(t, "exponent", f(ExponentBetween(Reading{.01, .19}, Reading{.01 * speed, .11})), .80, .005)
	r, err := EstimateLaw(Reading{.03, .2})
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []float64{.03, .02, .01, .005} {
		best, nominal, worst := f(r.Best.ResistanceKW(q, 1e3)), f(r.Nominal.ResistanceKW(q, 1e3)), f(r.Worst.ResistanceKW(q, 1e3))
		if !(best <= nominal+1e-12 && nominal <= worst+1e-12) {
			t.Errorf("at %g m3/s: %g, %g, %g must rise", q, best, nominal, worst)
		}
	}
	near(t, "all meet the reading", f(r.Worst.ResistanceKW(.03, 1e3)), .2, 1e-12)
}

func TestFormulasRefuse(t *testing.T) {
	nan := math.NaN()
	room, err := air.Room(0, 25)
	if err != nil {
		t.Fatal(err)
	}
	e := func(_ float64, err error) error { return err }
	law := FlowLaw{0, .1, .6}
	good := Spreader{.01, 1e-4, .001, 200, 1}
	spread := func(change func(*Spreader)) error {
		s := good
		change(&s)
		return e(s.SpreadingKW())
	}
	panel := func(f Facing, l, eps, in, c float64) error {
		_, _, err := PanelC(f, l, eps, in, c, room)
		return err
	}
	lawErr := func(_ FlowLaw, err error) error { return err }
	_, estimateErr := EstimateLaw(Reading{0, .2})
	for name, err := range map[string]error{
		"chain power":      e(JunctionC(25, nan, 1)),
		"chain reference":  e(JunctionC(nan, 1, 1)),
		"chain resistance": e(JunctionC(25, 1, -1)),
		"sink limit":       e(NeededSinkKW(nan, 40, 10)),
		"sink power":       e(NeededSinkKW(100, 40, 0)),
		"layer thickness":  e(InterfaceKW(nan, 4, 1)),
		"layer conduct":    e(InterfaceKW(1e-5, 0, 1)),
		"layer area":       e(InterfaceKW(1e-5, 4, 0)),
		"plate":            spread(func(s *Spreader) { s.PlateAreaM2 = nan }),
		"source":           spread(func(s *Spreader) { s.SourceAreaM2 = 1 }),
		"thickness":        spread(func(s *Spreader) { s.ThicknessM = 0 }),
		"conductivity":     spread(func(s *Spreader) { s.ConductivityWMK = nan }),
		"plate's sink":     spread(func(s *Spreader) { s.SinkKW = -1 }),
		"ntu":              e(Effectiveness(CrossMixed, nan, .5)),
		"ratio":            e(Effectiveness(CrossMixed, 1, 2)),
		"arrangement":      e(Effectiveness(Arrangement(9), 1, 1)),
		"inverse":          e(TransferUnits(CrossMixed, 2, 1)),
		"inverse ratio":    e(TransferUnits(CrossMixed, .5, nan)),
		"emissivity":       e(RadiationWM2(2, 40, 20)),
		"radiating":        e(RadiationWM2(.9, nan, 20)),
		"rayleigh":         e(PlateNusselt(Up, nan, .7)),
		"prandtl":          e(PlateNusselt(Up, 1e6, 0)),
		"facing":           e(PlateNusselt(Facing(7), 1e6, .7)),
		"plate length":     e(NaturalWM2K(Up, 0, 40, room)),
		"plate surface":    e(NaturalWM2K(Up, .1, nan, room)),
		"plate facing":     e(NaturalWM2K(Facing(-1), .1, 40, room)),
		"plate air":        e(NaturalWM2K(Up, .1, 40, air.State{})),
		"panel emissivity": panel(Up, .1, nan, 8, 40),
		"panel inner":      panel(Up, .1, .9, 0, 40),
		"panel inside":     panel(Up, .1, .9, 8, nan),
		"touch":            e(TouchLimitC(Material(5), Held)),
		"touch margin":     e(TouchMarginK(Metal, Contact(9), 40, 20)),
		"touched":          e(TouchMarginK(Metal, Held, nan, 20)),
		"touch room":       e(TouchMarginK(Metal, Held, 40, nan)),
		"law flow":         e(law.ResistanceKW(0, 1)),
		"law rate":         e(law.ResistanceKW(.01, nan)),
		"law exponent":     e(FlowLaw{0, .1, 3}.ResistanceKW(.01, 1)),
		"law conduction":   e(FlowLaw{-1, .1, .6}.ResistanceKW(.01, 1)),
		"law coefficient":  e(FlowLaw{0, nan, .6}.ResistanceKW(.01, 1)),
		"same flow":        lawErr(LawThrough(Reading{.01, .3}, Reading{.01, .2}, .6)),
		"rising sink":      lawErr(LawThrough(Reading{.01, .2}, Reading{.03, .3}, .6)),
		"too steep":        lawErr(LawThrough(Reading{.01, 9}, Reading{.03, .3}, .6)),
		"law through":      lawErr(LawThrough(Reading{.01, nan}, Reading{.03, .3}, .6)),
		"through exponent": lawErr(LawThrough(Reading{.01, .5}, Reading{.03, .3}, 0)),
		"exponent flows":   e(ExponentBetween(Reading{.01, .3}, Reading{.01, .2})),
		"exponent NaN":     e(ExponentBetween(Reading{nan, .3}, Reading{.01, .2})),
		"estimate":         estimateErr,
	} {
		if err == nil {
			t.Errorf("%s: want an error", name)
		}
	}
}
