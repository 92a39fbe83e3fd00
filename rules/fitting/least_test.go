package fitting

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Max(1, math.Abs(want))) {
		t.Errorf("%s is %.10g, want %.10g", what, got, want)
	}
}

// misra1a is the data set Misra1a of the statistical reference datasets of NIST:
// y = b1 (1 - exp(-b2 x)) (from memory; the certified sum of squares confirms it).
var misra1a = [][2]float64{
	{10.07, 77.6}, {14.73, 114.9}, {17.94, 141.1}, {23.93, 190.8}, {29.61, 239.9}, {35.18, 289.0}, {40.02, 332.8},
	{44.82, 378.4}, {50.76, 434.8}, {55.05, 477.3}, {61.01, 536.8}, {66.40, 593.1}, {75.47, 689.1}, {81.78, 760.0},
}

func TestLeastOnCertifiedData(t *testing.T) {
	s, err := Least(Problem{
		Unknowns: []Unknown{{Name: "b1", Start: 500, Low: 1, High: 2000}, {Name: "b2", Start: 1e-4, Low: 1e-6, High: 0.01}},
		Count:    len(misra1a), Step: 1e-7,
		Residuals: func(x, out []float64) error {
			for i, d := range misra1a {
				out[i] = x[0]*(1-math.Exp(-x[1]*d[1])) - d[0]
			}
			return nil
		},
	})
	if err != nil || !s.Converged {
		t.Fatalf("%v, converged %v", err, s.Converged)
	}
	near(t, "b1", s.X[0], 238.94212918, 1e-5)
	near(t, "b2 x 1e4", 1e4*s.X[1], 5.5015643181, 1e-5)
	near(t, "residual sum of squares", s.Misfit, 0.12455138894, 1e-6)
	near(t, "standard deviation of b1", s.Sigma[0], 2.7070075241, 1e-3)
	near(t, "standard deviation of b2 x 1e6", 1e6*s.Sigma[1], 7.2668688436, 1e-3)
}

// Linear problems with priors have a closed solution, which gonum's QR finds.
func TestLeastAgainstQR(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n, m := rapid.IntRange(1, 5).Draw(r, "unknowns"), rapid.IntRange(0, 8).Draw(r, "readings")
		a := mat.NewDense(m+n, n, nil)
		b := mat.NewVecDense(m+n, nil)
		p := Problem{Count: m}
		for j := range n {
			prior, start := rapid.Float64Range(0.2, 2).Draw(r, "prior"), rapid.Float64Range(-1, 1).Draw(r, "start")
			p.Unknowns = append(p.Unknowns, Unknown{Name: "x", Start: start, Low: -1e3, High: 1e3, Prior: prior})
			a.Set(m+j, j, 1/prior)
			b.SetVec(m+j, start/prior)
		}
		for i := range m {
			for j := range n {
				a.Set(i, j, rapid.Float64Range(-3, 3).Draw(r, "slope"))
			}
			b.SetVec(i, rapid.Float64Range(-5, 5).Draw(r, "reading"))
		}
		p.Residuals = func(x, out []float64) error {
			for i := range out {
				out[i] = -b.AtVec(i)
				for j, v := range x {
					out[i] += a.At(i, j) * v
				}
			}
			return nil
		}
		s, err := Least(p)
		if err != nil {
			r.Fatal(err)
		}
		var want mat.VecDense
		var qr mat.QR
		qr.Factorize(a)
		if err := qr.SolveVecTo(&want, false, b); err != nil {
			r.Skip("no digits left")
		}
		for j := range n {
			if math.Abs(s.X[j]-want.AtVec(j)) > 1e-6*(1+math.Abs(want.AtVec(j))) {
				r.Fatalf("unknown %d is %g, QR says %g", j, s.X[j], want.AtVec(j))
			}
			if s.Told[j] < 0 || s.Told[j] > 1 || m == 0 && s.Told[j] > 1e-9 {
				r.Fatalf("%d readings tell %g of unknown %d", m, s.Told[j], j)
			}
		}
	})
}

// Rosenbrock's bent valley (1960) has its least at (1, 1); with a wall across it at
// x = w < 1 the least is at (w, w^2). A fine grid around it finds nothing lower.
func TestLeastInABentValley(t *testing.T) {
	residuals := func(x, out []float64) error {
		out[0], out[1] = 10*(x[1]-x[0]*x[0]), 1-x[0]
		return nil
	}
	for _, high := range []float64{2, 0.5} {
		s, err := Least(Problem{
			Unknowns: []Unknown{{Name: "x", Start: -1.2, Low: -2, High: high}, {Name: "y", Start: 1, Low: -2, High: 2}},
			Count:    2, Residuals: residuals, Step: 1e-6,
		})
		if err != nil {
			t.Fatal(err)
		}
		want := min(high, 1)
		near(t, "x", s.X[0], want, 1e-5)
		near(t, "y", s.X[1], want*want, 1e-5)
		for i := -100; i <= 100; i++ {
			for j := -100; j <= 100; j++ {
				x := []float64{min(s.X[0]+float64(i)*1e-3, high), s.X[1] + float64(j)*1e-3}
				var out [2]float64
				_ = residuals(x, out[:])
				if cost := out[0]*out[0] + out[1]*out[1]; cost < s.Misfit-1e-9 {
					t.Fatalf("at %v the cost is %g, the fit stops at %g", x, cost, s.Misfit)
				}
			}
		}
	}
}

// Two unknowns of which only the sum is read cannot be told apart.
func TestWhatCannotBeToldApart(t *testing.T) {
	s, err := Least(Problem{
		Unknowns: []Unknown{{Name: "a", Low: -3, High: 3, Prior: 0.5}, {Name: "b", Low: -3, High: 3, Prior: 0.5}, {Name: "c", Low: -3, High: 3, Prior: 0.5}},
		Count:    1,
		Residuals: func(x, out []float64) error {
			out[0] = (x[0] + x[1] - 1) / 0.05
			return nil
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "a", s.X[0], s.X[1], 1e-9)
	near(t, "c", s.X[2], 0, 1e-9)
	if s.Correlation[0][1] > -0.95 || math.Abs(s.Correlation[0][2]) > 1e-6 {
		t.Errorf("correlations %v", s.Correlation)
	}
	if s.Told[0] < 0.4 || s.Told[0] > 0.6 || s.Told[2] > 1e-9 {
		t.Errorf("told %v", s.Told)
	}
}

func TestLeastRefuses(t *testing.T) {
	one := []Unknown{{Name: "a", Low: -1, High: 1}}
	fine := func(_, out []float64) error { out[0] = 0; return nil }
	for want, p := range map[string]Problem{
		"nothing is to be found": {},
		"bounds in order":        {Unknowns: []Unknown{{Name: "a", Low: 1, High: -1}}, Residuals: fine},
		"is no number":           {Unknowns: []Unknown{{Name: "a", Low: math.NaN(), High: 1}}, Residuals: fine},
		"has no forecast":        {Unknowns: one, Count: 1, Residuals: func(_, out []float64) error { out[0] = math.Inf(1); return nil }},
		"cannot go on":           {Unknowns: one, Count: 1, Residuals: func(_, _ []float64) error { return errors.New("no state") }},
	} {
		if _, err := Least(p); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want a sentence with %q", err, want)
		}
	}
}
