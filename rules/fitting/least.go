package fitting

import (
	"fmt"
	"math"
)

// Unknown is one quantity to find.
type Unknown struct {
	Name string
	// Start is where the search begins and the middle of the prior.
	Start float64
	// Low and High bound it.
	Low, High float64
	// Prior is the standard deviation of what is believed without data; 0 for none.
	Prior float64
}

// Problem is residuals to make small. Each residual is already divided by the
// standard deviation of its reading.
type Problem struct {
	Unknowns []Unknown
	// Count is how many residuals there are.
	Count int
	// Residuals fills out (of length Count) at x. It must be smooth; an error ends
	// the search.
	Residuals func(x, out []float64) error
	// Step is the step of numerical slopes, as a share of the bounds' distance.
	// Default 1e-4.
	Step float64
}

// Solution is what was found.
type Solution struct {
	X []float64
	// Sigma is the standard deviation that is left for each unknown, prior
	// included; where readings scatter more than they claim, it is larger by as
	// much. At a bound it is that of the unknown if the bound were not there.
	Sigma []float64
	// Correlation is that of the errors of each pair.
	Correlation [][]float64
	// Misfit is the sum of squared residuals without the priors.
	Misfit float64
	// Told is the share of each unknown's prior variance that the readings took
	// away: 0, they say nothing about it; 1, they settle it. Without a prior it is 1.
	Told []float64
	// Iterations counts accepted steps.
	Iterations int
	// Converged tells whether the search came to rest.
	Converged bool
}

// Limits of a search.
const (
	mostSteps   = 100
	mostDamping = 1e12
)

// Least finds the unknowns that make the sum of squares of residuals and priors
// least, within bounds: the damped Gauss-Newton method of Levenberg and Marquardt,
// with unknowns that push against a bound held there.
func Least(p Problem) (Solution, error) {
	if err := p.check(); err != nil {
		return Solution{}, err
	}
	s := newSearch(p)
	for i, u := range p.Unknowns {
		s.x[i] = u.Start
	}
	if err := s.evaluate(s.x, s.residual); err != nil {
		return Solution{}, err
	}
	cost, damping := squares(s.residual), 1e-3
	var out Solution
	for range mostSteps {
		if err := s.slopes(); err != nil {
			return Solution{}, err
		}
		s.normal()
		next, moved, err := s.step(cost, &damping)
		if err != nil {
			return Solution{}, err
		}
		if !moved || cost-next <= 1e-12*(1+cost) {
			out.Converged = true
			cost = next
			break
		}
		out.Iterations++
		cost = next
	}
	if err := s.slopes(); err != nil {
		return Solution{}, err
	}
	s.normal()
	s.judge(&out)
	return out, nil
}

func (p *Problem) check() error {
	if len(p.Unknowns) == 0 || p.Count < 0 || p.Residuals == nil {
		return fmt.Errorf("nothing is to be found; name at least one unknown and its residuals")
	}
	for _, u := range p.Unknowns {
		for _, v := range [...]float64{u.Start, u.Low, u.High, u.Prior} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("the unknown %q has a bound, start or prior that is no number", u.Name)
			}
		}
		if u.Low >= u.High || u.Start < u.Low || u.Start > u.High || u.Prior < 0 {
			return fmt.Errorf("the unknown %q starts at %g between %g and %g; give bounds in order with the start between them", u.Name, u.Start, u.Low, u.High)
		}
	}
	return nil
}

// search is the state of one search. Rows of the residual beyond Count are priors.
type search struct {
	p               Problem
	n, m            int
	x, trial        []float64
	residual, other []float64
	slope           []float64 // m x n
	square          []float64 // n x n, slope' slope
	gradient        []float64
	matrix, move    []float64
	held            []bool
}

func newSearch(p Problem) *search {
	n, m := len(p.Unknowns), p.Count+len(p.Unknowns)
	f := func(k int) []float64 { return make([]float64, k) }
	return &search{p: p, n: n, m: m, x: f(n), trial: f(n), residual: f(m), other: f(m), slope: f(m * n), square: f(n * n),
		gradient: f(n), matrix: f(n * n), move: f(n), held: make([]bool, n)}
}

func (s *search) evaluate(x, out []float64) error {
	if err := s.p.Residuals(x, out[:s.p.Count]); err != nil {
		return fmt.Errorf("the fit cannot go on: %w", err)
	}
	for i, u := range s.p.Unknowns {
		out[s.p.Count+i] = 0
		if u.Prior > 0 {
			out[s.p.Count+i] = (x[i] - u.Start) / u.Prior
		}
	}
	for i, v := range out {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("reading %d has no forecast that is a number; check the reading and the build", i+1)
		}
	}
	return nil
}

func squares(r []float64) float64 {
	sum := 0.0
	for _, v := range r {
		sum += v * v
	}
	return sum
}

// slopes measures how residuals change with each unknown, by central differences
// where the bounds leave room.
func (s *search) slopes() error {
	share := s.p.Step
	if share <= 0 {
		share = 1e-4
	}
	copy(s.trial, s.x)
	for j, u := range s.p.Unknowns {
		h := share * (u.High - u.Low)
		up, down := min(s.x[j]+h, u.High), max(s.x[j]-h, u.Low)
		s.trial[j] = up
		if err := s.evaluate(s.trial, s.other); err != nil {
			return err
		}
		for i := range s.m {
			s.slope[i*s.n+j] = s.other[i]
		}
		s.trial[j] = down
		if err := s.evaluate(s.trial, s.other); err != nil {
			return err
		}
		for i := range s.m {
			s.slope[i*s.n+j] = (s.slope[i*s.n+j] - s.other[i]) / (up - down)
		}
		s.trial[j] = s.x[j]
	}
	return nil
}

// normal forms the normal equations, and holds what pushes against its bound.
func (s *search) normal() {
	for a := range s.n {
		s.gradient[a] = 0
		for i := range s.m {
			s.gradient[a] += s.slope[i*s.n+a] * s.residual[i]
		}
		for b := range s.n {
			sum := 0.0
			for i := range s.m {
				sum += s.slope[i*s.n+a] * s.slope[i*s.n+b]
			}
			s.square[a*s.n+b] = sum
		}
		u := s.p.Unknowns[a]
		s.held[a] = s.x[a] <= u.Low && s.gradient[a] > 0 || s.x[a] >= u.High && s.gradient[a] < 0
	}
}

// step tries steps with rising damping until one makes the cost less.
func (s *search) step(cost float64, damping *float64) (next float64, moved bool, err error) {
	for *damping < mostDamping {
		copy(s.matrix, s.square)
		for a := range s.n {
			s.matrix[a*s.n+a] += *damping*s.square[a*s.n+a] + 1e-14
			s.move[a] = -s.gradient[a]
			if s.held[a] {
				s.move[a] = 0
				for b := range s.n {
					s.matrix[a*s.n+b], s.matrix[b*s.n+a] = 0, 0
				}
				s.matrix[a*s.n+a] = 1
			}
		}
		if !solve(s.matrix, s.move, s.n) {
			*damping *= 10
			continue
		}
		for a, u := range s.p.Unknowns {
			s.trial[a] = min(max(s.x[a]+s.move[a], u.Low), u.High)
		}
		if err := s.evaluate(s.trial, s.other); err != nil {
			return cost, false, err
		}
		if next = squares(s.other); next < cost {
			copy(s.x, s.trial)
			copy(s.residual, s.other)
			*damping = max(*damping/10, 1e-12)
			return next, true, nil
		}
		*damping *= 4
	}
	*damping = 1e-3
	return cost, false, nil
}

// solve solves a symmetric positive definite system in place by Cholesky's method.
func solve(a, b []float64, n int) bool {
	if !factor(a, n) {
		return false
	}
	substitute(a, b, n)
	return true
}

func factor(a []float64, n int) bool {
	for j := range n {
		for i := j; i < n; i++ {
			sum := a[i*n+j]
			for k := range j {
				sum -= a[i*n+k] * a[j*n+k]
			}
			if i == j {
				if !(sum > 0) {
					return false
				}
				a[j*n+j] = math.Sqrt(sum)
				continue
			}
			a[i*n+j] = sum / a[j*n+j]
		}
	}
	return true
}

func substitute(l, b []float64, n int) {
	for i := range n {
		for k := range i {
			b[i] -= l[i*n+k] * b[k]
		}
		b[i] /= l[i*n+i]
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			b[i] -= l[k*n+i] * b[k]
		}
		b[i] /= l[i*n+i]
	}
}

// judge works out what is left of the unknowns' ranges.
func (s *search) judge(out *Solution) {
	n := s.n
	out.X = append([]float64(nil), s.x...)
	out.Misfit = squares(s.residual[:s.p.Count])
	out.Sigma, out.Told = make([]float64, n), make([]float64, n)
	copy(s.matrix, s.square)
	for a := range n {
		s.matrix[a*n+a] += 1e-14
	}
	covariance := make([]float64, n*n)
	if factor(s.matrix, n) {
		for a := range n {
			column := covariance[a*n : a*n+n]
			column[a] = 1
			substitute(s.matrix, column, n)
		}
	} else {
		for a := range n {
			covariance[a*n+a] = math.Pow(s.p.Unknowns[a].High-s.p.Unknowns[a].Low, 2)
		}
	}
	scatter := 1.0
	// Priors count as readings, so that there are as many of them as unknowns.
	free := float64(s.p.Count)
	for _, u := range s.p.Unknowns {
		if u.Prior == 0 {
			free--
		}
	}
	if free > 0 {
		scatter = squares(s.residual) / free
		if s.priors() {
			scatter = max(1, scatter)
		}
	}
	out.Correlation = make([][]float64, n)
	for a := range n {
		v := covariance[a*n+a]
		out.Sigma[a], out.Told[a] = math.Sqrt(max(v*scatter, 0)), 1
		if u := s.p.Unknowns[a]; u.Prior > 0 {
			out.Told[a] = min(max(1-v/(u.Prior*u.Prior), 0), 1)
		}
		out.Correlation[a] = make([]float64, n)
		for b := range n {
			if d := math.Sqrt(v * covariance[b*n+b]); d > 0 {
				out.Correlation[a][b] = min(max(covariance[a*n+b]/d, -1), 1)
			}
		}
	}
}

// priors tells whether any unknown has one: readings then claim their own scatter.
func (s *search) priors() bool {
	for _, u := range s.p.Unknowns {
		if u.Prior > 0 {
			return true
		}
	}
	return false
}
