package air

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/interp"
	"pgregory.net/rapid"
)

// drawFalling draws readings of a falling curve with steps that are not tiny.
func drawFalling(t *rapid.T) []Point {
	n := rapid.IntRange(2, 9).Draw(t, "n")
	pts := make([]Point, n)
	q, p := 0.0, 0.0
	for i := range pts {
		pts[i].FlowM3S = q
		q += rapid.Float64Range(.001, .02).Draw(t, "dq")
	}
	for i := n - 1; i >= 0; i-- {
		pts[i].PressurePa = p
		p += rapid.Float64Range(1, 20).Draw(t, "dp")
	}
	return pts
}

// gonum's interpolation by the same published method is the judge.
func TestCurveAgainstGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := drawFalling(t)
		c, err := NewCurve(pts)
		if err != nil {
			t.Fatal(err)
		}
		xs, ys := make([]float64, len(pts)), make([]float64, len(pts))
		for i, p := range pts {
			xs[i], ys[i] = p.FlowM3S, p.PressurePa
		}
		var judge interp.FritschButland
		if err := judge.Fit(xs, ys); err != nil {
			t.Fatal(err)
		}
		q := rapid.Float64Range(0, c.MaxFlowM3S()).Draw(t, "q")
		got, err := c.PressurePa(q)
		if err != nil {
			t.Fatal(err)
		}
		// The ends are kept from being level, which moves nothing further.
		if want := judge.Predict(q); math.Abs(got-want) > 2*flattest*ys[0] {
			t.Fatalf("at %g m3/s: %g Pa, gonum %g Pa", q, got, want)
		}
	})
}

func TestCurveFallsEverywhereAndIsSmooth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := drawFalling(t)
		for i := range pts[:len(pts)-1] { // throw in dips and humps
			pts[i].PressurePa += rapid.Float64Range(0, 10).Draw(t, "bump")
		}
		c, err := NewCurve(pts)
		if err != nil {
			t.Fatal(err)
		}
		for _, upper := range []bool{false, true} {
			top := 2 * c.MaxFlowM3S()
			q := rapid.Float64Range(-top, top).Draw(t, "q")
			const dq = 1e-9
			p0, s0 := c.at(q, upper)
			p1, s1 := c.at(q+dq, upper)
			if !(s0 < 0 && p1 < p0) {
				t.Fatalf("at %g m3/s the curve does not fall: slope %g", q, s0)
			}
			if scale := c.BlockedPa() / c.MaxFlowM3S(); math.Abs(s1-s0) > 1e-3*scale+1e-3*math.Abs(s0) {
				t.Fatalf("at %g m3/s the slope jumps from %g to %g", q, s0, s1)
			}
		}
		low, _ := c.at(pts[1].FlowM3S, false)
		high, _ := c.at(pts[1].FlowM3S, true)
		slack := flattest * 1000 / 5 // the tilt of a level stretch, at most 200 Pa high
		if low > pts[1].PressurePa+slack || high < pts[1].PressurePa-slack {
			t.Fatalf("the envelopes %g and %g must hold the reading %g", low, high, pts[1].PressurePa)
		}
	})
}

func TestReadingsAreMet(t *testing.T) {
	// Unsorted, with a repetition and without a reading at zero flow.
	c, err := NewCurve([]Point{{.03, 8}, {.01, 20}, {.02, 16}, {.01, 20}, {.04, 0}})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []Point{{.01, 20}, {.02, 16}, {.03, 8}, {.04, 0}} {
		got, err := c.PressurePa(p.FlowM3S)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "reading", got, p.PressurePa, 1e-3*20)
	}
	near(t, "held to the left of the readings", c.BlockedPa(), 20, 1e-9)
	if c.Humped() || c.Estimated() || c.Ambiguous(.02) {
		t.Error("this curve falls and was measured")
	}
	if c.AtRestPaS2M6() != 20/(.04*.04) {
		t.Errorf("resistance at rest %g", c.AtRestPaS2M6())
	}
	if c.PressurePa(.05); mustPressure(t, c, .05) >= 0 || mustPressure(t, c, -.01) <= 20 {
		t.Error("beyond free delivery the pressure is negative, in back-flow above the blocked one")
	}
}

func mustPressure(t *testing.T, c *Curve, q float64) float64 {
	t.Helper()
	p, err := c.PressurePa(q)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestStallDipHasTwoEnvelopes(t *testing.T) {
	c, err := NewCurve([]Point{{0, 40}, {.01, 30}, {.02, 34}, {.03, 20}, {.04, 0}})
	if err != nil {
		t.Fatal(err)
	}
	if !c.Humped() || !c.Ambiguous(.012) || c.Ambiguous(.035) || c.Ambiguous(-1) {
		t.Errorf("the dip between .005 and .023 m3/s must be told: %v %v %v", c.Humped(), c.Ambiguous(.012), c.Ambiguous(.035))
	}
	low, err := Fan{Curve: c, SpeedRatio: 1}.PressurePa(.01, 1.2)
	if err != nil {
		t.Fatal(err)
	}
	high, err := Fan{Curve: c, SpeedRatio: 1, UpperEnvelope: true}.PressurePa(.01, 1.2)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lower", low, 30, 1e-9)
	near(t, "upper", high, 34, .02)
}

func TestCurveRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, row := range []struct {
		points []Point
		want   string
	}{
		{nil, "needs two or more different points and has 0"},
		{[]Point{{.01, 5}, {.01, 5}}, "needs two or more different points and has 1"},
		{[]Point{{0, 20}, {.01, 10}, {.01, 12}, {.02, 0}}, "gives both 10 Pa and 12 Pa at 0.01 m3/s"},
		{[]Point{{0, 0}, {.02, 20}}, "check whether flow and pressure were exchanged"},
		{[]Point{{0, 20}, {.01, 10}, {.02, 10}}, "check whether flow and pressure were exchanged"},
		{[]Point{{0, nan}, {.02, 0}}, "pressure of a fan curve is not a number"},
		{[]Point{{nan, 20}, {.02, 0}}, "flow of a fan curve is not a number"},
		{[]Point{{0, inf}, {.02, 0}}, "pressure of a fan curve of +Inf"},
		{[]Point{{-.01, 20}, {.02, 0}}, "flow of a fan curve of -0.01"},
		{[]Point{{0, 20}, {1e-9, 0}}, "greatest flow of a fan of 1e-09"},
	} {
		_, err := NewCurve(row.points)
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%v: got %v, want a sentence with %q", row.points, err, row.want)
		}
	}
	for _, ends := range [][2]float64{{0, 10}, {nan, 10}, {.02, 0}, {.02, inf}} {
		if _, err := EstimateCurve(ends[0], ends[1]); err == nil {
			t.Errorf("ends %v: want an error", ends)
		}
	}
	c := estimate(t, .02, 20)
	if _, err := c.PressurePa(nan); err == nil {
		t.Error("flow NaN: want an error")
	}
	for _, f := range []Fan{{}, {Curve: c, SpeedRatio: nan}, {Curve: c, SpeedRatio: -1}, {Curve: c, SpeedRatio: 4}} {
		if _, err := f.PressurePa(.01, 1.2); err == nil {
			t.Errorf("fan %+v: want an error", f)
		}
	}
	if _, err := (Fan{Curve: c, SpeedRatio: 1}).PressurePa(nan, 1.2); err == nil {
		t.Error("flow NaN: want an error")
	}
	if _, err := (Fan{Curve: c, SpeedRatio: 1}).PressurePa(.01, 0); err == nil {
		t.Error("no density: want an error")
	}
}

func TestFanLaws(t *testing.T) {
	// Textbook fan: 2.4 m3/s, 340 Pa, 1.8 kW at 20 degC, now 40 degC.
	warm := FanLaw{Density: 293.15 / 313.15}
	near(t, "flow", warm.Flow(2.4), 2.4, 0)
	near(t, "pressure", warm.Pressure(340), 318.3, .002*318.3)
	near(t, "power", warm.Power(1.8), 1.685, .001)
	// Selection at 6000 ft and 200 degF, density factor .643: choose at
	// 1.5/.643 inches and take .643 of the table's 3.53 horsepower.
	near(t, "pressure to select at", FanLaw{Density: 1 / .643}.Pressure(1.5), 2.333, .005)
	near(t, "power there", FanLaw{Density: .643}.Power(3.53), 2.270, .005)
	// And at 4000 ft and 120 degF, factor .790: 2.0 inches, 11.53 horsepower.
	near(t, "second selection", FanLaw{Density: 1 / .790}.Pressure(1.58), 2.0, .005)
	near(t, "second power", FanLaw{Density: .790}.Power(14.6), 11.53, .01)
	// 1000 to 1250 rpm: 1.5625 times the pressure, 5 becomes 9.77 horsepower.
	faster := FanLaw{Speed: 1.25}
	near(t, "pressure", faster.Pressure(1), 1.5625, 0)
	near(t, "power", faster.Power(1), 1.953125, 0)
	// Ten percent faster: 21 percent more pressure, 33 percent more power.
	near(t, "pressure at 1.1", FanLaw{Speed: 1.1}.Pressure(1), 1.21, 1e-9)
	near(t, "power at 1.1", FanLaw{Speed: 1.1}.Power(1), 1.331, 1e-9)
	near(t, "flow by size", FanLaw{Size: 1.2}.Flow(1), 1.728, 1e-12)
	for _, bad := range [][3]float64{{-1, 1, .5}, {1, -1, .5}, {1, 1, 0}, {1, 1, math.NaN()}} {
		if _, err := AirPowerW(bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("air power of %v: want an error", bad)
		}
	}
}

func TestFanFollowsItsLaws(t *testing.T) {
	measured, err := NewCurve([]Point{{0, 30}, {.01, 25}, {.02, 17}, {.03, 0}})
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(.01, 3).Draw(t, "speed")
		d := rapid.Float64Range(.3, 2).Draw(t, "density")
		q := rapid.Float64Range(-.05, .05).Draw(t, "flow")
		curve := measured
		if rapid.Bool().Draw(t, "estimated") {
			curve, err = EstimateCurve(.03, 30)
			if err != nil {
				t.Fatal(err)
			}
		}
		law := FanLaw{Speed: s, Density: d / 1.2}
		base, err := Fan{Curve: curve, SpeedRatio: 1}.PressurePa(q, 1.2)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Fan{Curve: curve, SpeedRatio: s}.PressurePa(law.Flow(q), d)
		if err != nil {
			t.Fatal(err)
		}
		if want := law.Pressure(base); math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
			t.Fatalf("%g Pa by the curve, %g Pa by the fan laws", got, want)
		}
	})
}

func TestFanSlowsIntoRest(t *testing.T) {
	c, err := NewCurve([]Point{{0, 30}, {.01, 25}, {.02, 17}, {.03, 0}})
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []float64{-.02, .02} {
		slow, _ := Fan{Curve: c, SpeedRatio: 1.001 * slowest}.PressurePa(q, 1.2)
		rest, _ := Fan{Curve: c}.PressurePa(q, 1.2)
		if rest*q >= 0 {
			t.Errorf("a standing fan must resist: %g Pa at %g m3/s", rest, q)
		}
		near(t, "joint to rest", slow, rest, .01*math.Abs(rest))
	}
}

// Whatever the points are, there is a sentence or a curve that is finite and
// falls at every flow.
func TestAnyPointsGiveACurveOrASentence(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.OneOf(rapid.Float64(), rapid.Float64Range(0, 50), rapid.SampledFrom([]float64{0, 1, math.NaN(), math.Inf(1), 1e-300}))
		var pts []Point
		for range rapid.IntRange(0, 6).Draw(t, "n") {
			pts = append(pts, Point{value.Draw(t, "flow"), value.Draw(t, "pressure")})
		}
		c, err := NewCurve(pts)
		if err != nil {
			if len(err.Error()) < 20 {
				t.Fatalf("no sentence: %q", err)
			}
			return
		}
		for _, share := range []float64{-3, -1, -1e-9, 0, .3, .999, 1, 2} {
			for _, upper := range []bool{false, true} {
				p, slope := c.at(share*c.MaxFlowM3S(), upper)
				if math.IsNaN(p+slope) || math.IsInf(p, 0) || slope > 0 {
					t.Fatalf("%v at %g of the greatest flow: %g Pa, slope %g", pts, share, p, slope)
				}
			}
		}
	})
}
