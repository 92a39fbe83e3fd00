package quantity

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func drawRange(t *rapid.T, label string) Range {
	v := rapid.Float64Range(-1e6, 1e6).Draw(t, label)
	return Around(v, rapid.Float64Range(0, 1e3).Draw(t, label+" minus"), rapid.Float64Range(0, 1e3).Draw(t, label+" plus"))
}

func drawWithin(t *rapid.T, r Range, label string) float64 {
	return r.Low + (r.High-r.Low)*rapid.Float64Range(0, 1).Draw(t, label)
}

// Whatever the true values are, the true result lies between the ends: the
// defining property of interval arithmetic.
func TestEndsEncloseEveryTrueResult(t *testing.T) {
	operations := map[string]struct {
		ranges func(a, b Range) (Range, bool)
		points func(a, b float64) float64
	}{
		"sum":        {func(a, b Range) (Range, bool) { return a.Add(b), true }, func(a, b float64) float64 { return a + b }},
		"difference": {func(a, b Range) (Range, bool) { return a.Sub(b), true }, func(a, b float64) float64 { return a - b }},
		"product":    {func(a, b Range) (Range, bool) { return a.Mul(b), true }, func(a, b float64) float64 { return a * b }},
		"quotient":   {func(a, b Range) (Range, bool) { return a.Div(b) }, func(a, b float64) float64 { return a / b }},
		"larger":     {func(a, b Range) (Range, bool) { return a.Larger(b), true }, math.Max},
		"smaller":    {func(a, b Range) (Range, bool) { return a.Smaller(b), true }, math.Min},
		"scaled":     {func(a, b Range) (Range, bool) { return a.Scale(-2.5), true }, func(a, b float64) float64 { return -2.5 * a }},
	}
	for name, op := range operations {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				a, b := drawRange(t, "a"), drawRange(t, "b")
				got, ok := op.ranges(a, b)
				if !ok {
					if b.Low > 0 || b.High < 0 {
						t.Fatalf("no quotient by %v, which cannot be zero", b)
					}
					return
				}
				if err := got.Check(name); err != nil {
					t.Fatal(err)
				}
				want := op.points(drawWithin(t, a, "true a"), drawWithin(t, b, "true b"))
				slack := 1e-9 * (1 + math.Abs(want))
				if want < got.Low-slack || want > got.High+slack {
					t.Fatalf("%s of %v and %v is %v, which does not enclose %g", name, a, b, got, want)
				}
			})
		})
	}
}

func TestCheckNamesWhatIsWrong(t *testing.T) {
	cases := []struct {
		r    Range
		want string
	}{
		{Range{1, 0, 2}, ""},
		{Range{math.NaN(), 0, 2}, "height is not a finite number; give a measured or published one"},
		{Range{1, math.Inf(-1), 2}, "height is not a finite number; give a measured or published one"},
		{Range{3, 0, 2}, "height runs from 0 to 2 but is nominally 3; put the nominal value between the ends"},
	}
	for _, c := range cases {
		got := ""
		if err := c.r.Check("height"); err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("Check(%v) = %q, want %q", c.r, got, c.want)
		}
	}
}
