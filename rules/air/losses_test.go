package air

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestLossFormulas(t *testing.T) {
	value := func(k float64, err error) float64 {
		if err != nil {
			t.Fatal(err)
		}
		return k
	}
	for _, row := range []struct {
		what           string
		got, want, tol float64
	}{
		// Blevins 1984.
		{"square grille, f .45", value(SquareGrilleK(.45)), 5.296296, 1e-6},
		{"wire screen, f .5, Re 100", value(WireScreenK(.5, 100, 0)), 2.1, 1e-6},
		{"wire screen at 45 degrees", value(WireScreenK(.5, 100, 45)), 1.05, 1e-6},
		{"plate table, f .5", value(PlateTableK(.5)), 3.8, 1e-9},
		{"rounded grille, f .5", value(RoundedGrilleK(.5)), .6, 1e-9},
		// Idelchik.
		{"perforated plate, older", value(PerforatedPlateOlderK(.5)), 3.9994, 1e-3},
		{"perforated plate, 1994", value(PerforatedPlateK(.5)), 4.3695, 1e-3},
		{"plate l/d .2", value(ThickPlateK(.5, .2)), 4.113, 0.02},
		{"plate l/d .5", value(ThickPlateK(.5, .5)), 3.736, 0.05},
		{"plate l/d 1", value(ThickPlateK(.5, 1)), 2.645, 0.09},
		{"expansion .25", value(ExpansionK(.25)), .5625, 1e-5},
		{"contraction .25", value(ContractionK(.25)), .40296, 1e-5},
		// Rennels and Hudson: 10 to 20 mm.
		{"change of basis", value(ChangeBasis(32.68875692997804, DiscAreaM2(.01), DiscAreaM2(.02))), 523.020110879, 523e-9},
		// Discharge coefficients.
		{"Cd .65", value(KFromDischarge(.65)), 2.37, .005},
		{"Cd .62", OrificeK().Nominal, 2.60, .005},
		// Tested louvre: Cd .265 on the core, free area 24 percent of the face.
		{"louvre on its core", value(KFromDischarge(.265)), 14.24, .005},
		{"louvre on its face", value(KFromDischarge(.265 * .937 / 1.05)), 1 / (.2365 * .2365), .05},
	} {
		near(t, row.what, row.got, row.want, row.tol)
	}
}

// The same open ratio by five formulas.
func TestFiveFormulasSideBySide(t *testing.T) {
	for _, row := range [][6]float64{
		{.40, 8.23, 8.76, 7.7, 7.13, 3.03}, {.50, 4.00, 4.37, 3.8, 4.00, 1.65},
		{.60, 1.99, 2.26, 2.0, 2.33, .96}, {.70, .964, 1.148, 1.1, 1.347, .574},
	} {
		f := row[0]
		older, _ := PerforatedPlateOlderK(f)
		newer, _ := PerforatedPlateK(f)
		table, _ := PlateTableK(f)
		grille, _ := SquareGrilleK(f)
		mesh, _ := WireMeshK(f)
		for i, k := range []float64{older, newer, table, grille, mesh.Nominal} {
			near(t, "formula", k, row[i+1], 0.006*row[i+1]+0.004)
		}
		r, err := GrilleK(f)
		if err != nil {
			t.Fatal(err)
		}
		if !r.Contains(older) || !r.Contains(newer) || !r.Contains(table) || !r.Contains(grille) || !r.Contains(r.Nominal) {
			t.Errorf("f %g: the range %+v must hold all formulas for square edges", f, r)
		}
	}
}

func TestElbows(t *testing.T) {
	// SMACNA table A-7; another table prints .26 and .87 for the same bends.
	smooth, err := ElbowK(SmoothRound, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "smooth, R/D 1", smooth.Nominal, .22, 1e-9)
	if !smooth.Contains(.26) {
		t.Errorf("range %+v of the smooth bend must hold .26", smooth)
	}
	mitred, err := ElbowK(MitredRectangular, 1)
	if err != nil {
		t.Fatal(err)
	}
	if mitred.Nominal != 1.2 || !mitred.Contains(1.25) {
		t.Errorf("mitred rectangular bend: %+v", mitred)
	}
	round, err := ElbowK(MitredRound, 0)
	if err != nil || !round.Contains(.87) || !round.Contains(1.2) {
		t.Errorf("mitred round bend: %+v, %v", round, err)
	}
	if _, err := ElbowK(Elbow(9), 1); err == nil {
		t.Error("unknown bend: want an error")
	}
}

func TestResistanceArithmetic(t *testing.T) {
	r, err := FromK(2.8, .0120)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "K 2.8 on .012 m2", r.QuadraticPaS2M6, 35000.0/3, 35000.0/3*1e-6)
	near(t, "back to K", KOf(r.QuadraticPaS2M6, .0120), 2.8, 1e-12)
	// Three airways side by side, mining textbook: 4, 6.25, 9.
	p, err := Parallel(square(4), square(6.25), square(9))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "parallel", p.QuadraticPaS2M6, .65741, 1e-5)
	for i, want := range []float64{.4054, .3243, .2703} {
		part := square([]float64{4, 6.25, 9}[i])
		near(t, "share", part.FlowM3S(1)/p.FlowM3S(1), want, 1e-4)
	}
	if got := Series(square(1), Resistance{2, 3}); got != (Resistance{2, 4}) {
		t.Errorf("series: %+v", got)
	}
	// Case fan of a heat transfer textbook (box half full, air renewed each
	// second, 5 cm hole, efficiency .30, kinetic energy factor 1.10).
	q := .12 * .40 * .40 / 2
	v := q / DiscAreaM2(.05)
	near(t, "velocity in the hole", v, 4.889, .002)
	drop := 1.10 * VelocityHeadPa(1.2, v)
	near(t, "pressure of the case fan", drop, 15.777, .002*15.777)
	w, err := AirPowerW(q, drop, .30)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "power of the case fan", w, .5049, .002*.5049)
}

func TestFilterAndCore(t *testing.T) {
	r, err := FilterResistance(20, 1.5, .02, 1.4)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "drop at the stated velocity", r.DropPa(1.5*.02), 20, 1e-9)
	exponent := math.Log(r.DropPa(.0301)/r.DropPa(.0299)) / math.Log(.0301/.0299)
	near(t, "exponent there", exponent, 1.4, 1e-3)
	core, err := RadiatorThrough(Point{.02, 8}, Point{.04, 22})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "first reading", core.DropPa(.02), 8, 1e-9)
	near(t, "second reading", core.DropPa(.04), 22, 1e-9)
	for kind := WideMesh; kind <= FleeceMat; kind++ {
		clean, err := FilterK(kind)
		if err != nil {
			t.Fatal(err)
		}
		used := DustedK(clean)
		if used.Nominal <= clean.Nominal || used.High <= clean.High || used.Low < clean.Low {
			t.Errorf("dust must not open a filter: %+v, %+v", clean, used)
		}
	}
	k, err := FinCoreK(.6)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "fin core", k, .42*.64+.64*.64, 1e-12)
	l, err := LouvreK(.24)
	if err != nil || !l.Contains(1/(.24*.24)) {
		t.Errorf("louvre: %+v, %v", l, err)
	}
	if SharpInletK().High != .57 || RoomExitK != 1 {
		t.Error("inlet .50 to .57 and exit 1.0 by the handbooks")
	}
}

func TestLossesRefuse(t *testing.T) {
	nan := math.NaN()
	one := func(_ float64, err error) error { return err }
	rng := func(_ Range, err error) error { return err }
	res := func(_ Resistance, err error) error { return err }
	for name, err := range map[string]error{
		"closed plate":        one(PerforatedPlateK(0)),
		"plate NaN":           one(PerforatedPlateOlderK(nan)),
		"thick NaN":           one(ThickPlateK(.5, nan)),
		"thick closed":        one(ThickPlateK(0, 1)),
		"table low":           one(PlateTableK(.01)),
		"table NaN":           one(PlateTableK(nan)),
		"rounded":             one(RoundedGrilleK(.9)),
		"square grille":       one(SquareGrilleK(1.1)),
		"grille":              rng(GrilleK(.9)),
		"wire open":           one(WireScreenK(2, 100, 0)),
		"wire Re":             one(WireScreenK(.5, nan, 0)),
		"wire tilt":           one(WireScreenK(.5, 100, 90)),
		"mesh":                rng(WireMeshK(nan)),
		"louvre":              rng(LouvreK(0)),
		"expansion":           one(ExpansionK(1.5)),
		"contraction":         one(ContractionK(nan)),
		"elbow shape":         rng(ElbowK(SmoothRound, 9)),
		"filter kind":         rng(FilterK(Filter(7))),
		"filter drop":         res(FilterResistance(0, 1, 1, 1)),
		"filter velocity":     res(FilterResistance(1, 0, 1, 1)),
		"filter face":         res(FilterResistance(1, 1, 0, 1)),
		"filter exponent":     res(FilterResistance(1, 1, 1, 3)),
		"fin core":            one(FinCoreK(0)),
		"K":                   res(FromK(-1, 1)),
		"area":                res(FromK(1, 0)),
		"basis K":             one(ChangeBasis(-1, 1, 1)),
		"basis from":          one(ChangeBasis(1, 0, 1)),
		"basis to":            one(ChangeBasis(1, 1, nan)),
		"discharge":           one(KFromDischarge(0)),
		"no parallel":         res(Parallel()),
		"parallel laminar":    res(Parallel(Resistance{1, 1})),
		"parallel open":       res(Parallel(square(0))),
		"core without":        res(Radiator(0, 0)),
		"core NaN":            res(Radiator(nan, 0)),
		"core negative":       res(Radiator(0, -1)),
		"core same flow":      res(RadiatorThrough(Point{.02, 1}, Point{.02, 2})),
		"core too steep":      res(RadiatorThrough(Point{.01, 1}, Point{.02, 9})),
		"core falling":        res(RadiatorThrough(Point{.01, 3}, Point{.02, 2})),
		"core without flow":   res(RadiatorThrough(Point{0, 3}, Point{.02, 2})),
		"core without a drop": res(RadiatorThrough(Point{.01, 0}, Point{.02, 2})),
	} {
		if err == nil {
			t.Errorf("%s: want an error", name)
		}
	}
}

func TestResistanceIsItsOwnInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Resistance{
			LinearPaSM3:     rapid.Float64Range(0, 1e5).Draw(t, "linear"),
			QuadraticPaS2M6: rapid.Float64Range(1e-3, 1e8).Draw(t, "quadratic"),
		}
		p := rapid.Float64Range(-1e4, 1e4).Draw(t, "drop")
		if back := r.DropPa(r.FlowM3S(p)); math.Abs(back-p) > 1e-9*math.Abs(p) {
			t.Fatalf("drop %g came back as %g", p, back)
		}
	})
	if (Resistance{}).FlowM3S(5) != 0 {
		t.Error("no resistance: flow is not defined and given as zero")
	}
}

func TestMoreOpenIsNeverWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(.06, .84).Draw(t, "f")
		a, err := GrilleK(f)
		if err != nil {
			t.Fatal(err)
		}
		b, err := GrilleK(f + .01)
		if err != nil {
			t.Fatal(err)
		}
		if b.Low > a.Low || b.High > a.High || a.Low > a.Nominal || a.Nominal > a.High {
			t.Fatalf("open ratio %g: %+v, a hundredth more: %+v", f, a, b)
		}
	})
}
