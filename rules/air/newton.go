package air

import (
	"fmt"
	"math"
)

// Solve finds the flows. It starts from the flows of the last solution when
// the network was not loaded anew. The error is a *ConvergenceError when the
// bound on iterations was reached; the values found so far are finite and can
// be read, but are not a solution.
func (s *Solver) Solve() (Report, error) {
	if s.net == nil {
		return Report{}, fmt.Errorf("no flow network is loaded; call Load before Solve")
	}
	s.evaluations = 0
	if s.isStill() {
		clear(s.flow)
		clear(s.pressure)
		return Report{Converged: true, WorstNode: -1, WorstBranch: -1}, nil
	}
	if !s.warm {
		s.startChord()
	}
	s.evaluate(s.flow)
	var r Report
	for r.Iterations = 1; r.Iterations <= s.opt.MostIterations; r.Iterations++ {
		s.solvePressures()
		s.advance()
		if s.residuals(&r); r.ResidualPa <= s.tolerance() && r.ResidualKgS <= s.massTolerance() {
			r.Converged = true
			break
		}
	}
	s.warm = true
	r.Evaluations = s.evaluations
	r.Iterations = min(r.Iterations, s.opt.MostIterations)
	if !finite(s.flow) || !finite(s.pressure) {
		clear(s.flow)
		clear(s.pressure)
		r.Converged = false
	}
	if !r.Converged {
		s.warm = false
		return r, s.failure(r)
	}
	return r, nil
}

// isStill tells that nothing drives any air.
func (s *Solver) isStill() bool {
	if s.driving > 0 {
		return false
	}
	for _, in := range s.inflow {
		if in != 0 {
			return false
		}
	}
	return true
}

// tolerance is the accepted error of a pressure balance, Pa. A feed alone
// drives nothing and is judged by the pressures it sets up.
func (s *Solver) tolerance() float64 {
	if s.opt.TolerancePa > 0 {
		return s.opt.TolerancePa
	}
	most := s.driving
	for _, p := range s.pressure {
		most = max(most, math.Abs(p))
	}
	return 1e-9*most + 1e-12
}

// massTolerance is the accepted error of a node's mass balance, kg/s: a
// millionth of the greatest flow, or a milligram in a thousand seconds.
func (s *Solver) massTolerance() float64 {
	most := 1e-3
	for _, m := range s.flow {
		most = max(most, math.Abs(m))
	}
	return 1e-6 * most
}

// startChord finds first flows with every law replaced by a straight line, the
// chord to the flow that a quarter of the greatest drive, or all the air fed
// in, would give. Directions come out right at once in most networks.
func (s *Solver) startChord() {
	fed := 0.0
	for _, in := range s.inflow {
		fed += math.Abs(in) / 2
	}
	for i := range s.law {
		s.flow[i] = 0
		s.drop[i], s.slope[i] = s.law[i].chord(s.driving/4, fed)
	}
	s.solvePressures()
	for i := range s.flow {
		s.flow[i] = s.step[i]
	}
}

// solvePressures finds the node pressures and the step of every flow from the
// values and slopes of the laws. It eliminates the flows: with g = 1/slope, the new flow of a
// branch is m + g (p_from - p_to - drop), and the flows of a node balance.
func (s *Solver) solvePressures() {
	n := s.nodes
	clear(s.matrix)
	copy(s.pressure, s.inflow)
	for i := range s.law {
		b := &s.net.Branches[i]
		if b.Closed {
			s.conductance[i], s.flow[i] = 0, 0
			continue
		}
		g := 1 / max(s.slope[i], s.law[i].floor)
		s.conductance[i] = g
		base := s.flow[i] - g*s.drop[i]
		from, to := b.From, b.To
		if from != Outside {
			s.matrix[from*n+from] += g
			s.pressure[from] -= base
		}
		if to != Outside {
			s.matrix[to*n+to] += g
			s.pressure[to] += base
			if from != Outside {
				hi, lo := max(from, to), min(from, to)
				s.matrix[hi*n+lo] -= g
			}
		}
	}
	s.pinSealed()
	s.linear(s.matrix, s.pressure, n)
	for i := range s.law {
		b := &s.net.Branches[i]
		s.step[i] = s.conductance[i] * (s.across(b) - s.drop[i])
	}
}

// pinSealed ties one node of every part without a way to the room to gauge
// zero. No air passes through the tie, because nothing enters the part.
func (s *Solver) pinSealed() {
	n := s.nodes
	for i, pin := range s.pinned {
		if pin {
			d := s.matrix[i*n+i]
			s.matrix[i*n+i] += max(d, 1e-9)
		}
	}
}

// across is the pressure difference between the ends of a branch, Pa.
func (s *Solver) across(b *Branch) float64 {
	d := 0.0
	if b.From != Outside {
		d = s.pressure[b.From]
	}
	if b.To != Outside {
		d -= s.pressure[b.To]
	}
	return d
}

// evaluate fills drop and slope at the given flows.
func (s *Solver) evaluate(flow []float64) {
	s.evaluations++
	for i := range s.law {
		s.drop[i], s.slope[i] = s.law[i].at(flow[i])
	}
}

// along is the slope of the convex function along the step, at the flows that
// were evaluated last.
func (s *Solver) along() float64 {
	sum := 0.0
	for i, d := range s.step {
		sum += s.drop[i] * d
	}
	return sum
}

// advance moves the flows along the step by the whole of it, or by the part
// that halves the slope of the convex function.
func (s *Solver) advance() {
	before := s.along()
	for i, d := range s.step {
		s.trial[i] = s.flow[i] + d
	}
	s.evaluate(s.trial)
	if before < 0 {
		if after := s.along(); after > -0.5*before {
			s.shorten(before, after)
		}
	}
	copy(s.flow, s.trial)
}

// shorten seeks the share of the step at which the slope of the convex
// function vanishes, by the Illinois rule, until the slope has halved. The
// slope rises along the step, from below zero at 0 to above zero at 1.
func (s *Solver) shorten(before, after float64) {
	lo, hi, fLo, fHi := 0.0, 1.0, before, after
	for range 12 {
		t := lo + (hi-lo)*fLo/(fLo-fHi)
		t = min(max(t, lo+0.02*(hi-lo)), hi-0.02*(hi-lo))
		for i, d := range s.step {
			s.trial[i] = s.flow[i] + t*d
		}
		s.evaluate(s.trial)
		f := s.along()
		switch {
		case math.Abs(f) <= -0.5*before:
			return
		case f < 0:
			lo, fLo, fHi = t, f, fHi/2
		default:
			hi, fHi, fLo = t, f, fLo/2
		}
	}
}

// residuals measures the pressure balance of the branches and the mass
// balance of the nodes at the flows evaluated last.
func (s *Solver) residuals(r *Report) {
	r.ResidualPa, r.WorstBranch = 0, -1
	for i := range s.law {
		b := &s.net.Branches[i]
		if b.Closed {
			continue
		}
		if e := math.Abs(s.across(b) - s.drop[i]); !(e <= r.ResidualPa) {
			r.ResidualPa, r.WorstBranch = e, i
		}
	}
	r.ResidualKgS, r.WorstNode = s.imbalance()
}
