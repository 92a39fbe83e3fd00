package air

import (
	"fmt"
	"math"
)

// Report tells how a solution was found and how good it is.
type Report struct {
	Converged   bool
	Iterations  int     // Newton steps
	Evaluations int     // times all branch laws were evaluated
	ResidualPa  float64 // greatest error of a branch's pressure balance
	ResidualKgS float64 // greatest error of a node's mass balance
	WorstBranch int     // branch of ResidualPa, -1 when none
	WorstNode   int     // node of ResidualKgS, -1 when none
}

// ConvergenceError tells that the bound on iterations was reached.
type ConvergenceError struct {
	Report Report
	Node   string // name of the node with the greatest mass error
	Branch string // name of the branch with the greatest pressure error
}

// Error names the branch and node that are furthest from balance.
func (e *ConvergenceError) Error() string {
	return fmt.Sprintf("the flow network did not settle in %d iterations: way %q is out by %.3g Pa and zone %q by %.3g kg/s; "+
		"check the curve and resistance of that way", e.Report.Iterations, e.Branch, e.Report.ResidualPa, e.Node, e.Report.ResidualKgS)
}

func (s *Solver) failure(r Report) error {
	e := &ConvergenceError{Report: r, Node: "none", Branch: "none"}
	if r.WorstNode >= 0 {
		e.Node = s.net.Nodes[r.WorstNode].Name
	}
	if r.WorstBranch >= 0 {
		e.Branch = s.net.Branches[r.WorstBranch].Name
	}
	return e
}

// imbalance is the greatest error of any node's mass balance and that node.
func (s *Solver) imbalance() (kgS float64, node int) {
	sum := s.balance
	copy(sum, s.inflow)
	for i, m := range s.flow {
		b := &s.net.Branches[i]
		if b.From != Outside {
			sum[b.From] -= m
		}
		if b.To != Outside {
			sum[b.To] += m
		}
	}
	node = -1
	for i, v := range sum {
		if a := math.Abs(v); a > kgS {
			kgS, node = a, i
		}
	}
	return kgS, node
}

// FlowKgS is the mass flow of branch i, positive from From to To.
func (s *Solver) FlowKgS(i int) float64 { return s.flow[i] }

// FlowM3S is the volume flow of branch i at the density of the air in it.
func (s *Solver) FlowM3S(i int) float64 { return s.flow[i] / s.density[i] }

// FlowsKgS is the mass flow of every branch. The slice is the solver's own and
// holds until its next call.
func (s *Solver) FlowsKgS() []float64 { return s.flow }

// PressurePa is the gauge pressure of node i at the node's height.
func (s *Solver) PressurePa(i int) float64 { return s.pressure[i] }

// DensityKgM3 is the density of the air in branch i.
func (s *Solver) DensityKgM3(i int) float64 { return s.density[i] }

// Upstream is the node that the air of branch i comes from, or Outside.
func (s *Solver) Upstream(i int) int {
	if s.flow[i] < 0 {
		return s.net.Branches[i].To
	}
	return s.net.Branches[i].From
}

// Sealed tells whether no open way, of whatever length, joins node i to the
// room. Its gauge pressure is then only relative to the other zones of the
// same part.
func (s *Solver) Sealed(i int) bool { return !s.open[s.label[i]] }

// FanState is what a fan does in the solution.
type FanState int

// The states of a fan. They are told apart by its flow as a share of the
// greatest flow at its speed.
const (
	NoFan    FanState = iota // the branch has no fan, or is closed
	Working                  // between stall and free delivery
	Stalled                  // moves less than a fiftieth of its greatest flow
	BackFlow                 // the others push air through it the wrong way
	Overrun                  // the others pull more through it than it would move freely
	Surging                  // on the hump of its curve, where it may jump between two flows
	AtRest                   // does not turn
)

// String is the state in words.
func (f FanState) String() string {
	switch f {
	case NoFan:
		return "no fan"
	case Working:
		return "working"
	case Stalled:
		return "stalled"
	case BackFlow:
		return "back-flow"
	case Overrun:
		return "overrun"
	case Surging:
		return "surging"
	case AtRest:
		return "at rest"
	}
	return fmt.Sprintf("unknown fan state %d", int(f))
}

// stallShare is the share of its greatest flow below which a fan counts as
// stalled (common practice, no source).
const stallShare = 0.02

// FanState is the state of the fan in branch i.
func (s *Solver) FanState(i int) FanState {
	b := &s.net.Branches[i]
	if b.Fan == nil || b.Closed {
		return NoFan
	}
	if b.Fan.SpeedRatio < slowest {
		return AtRest
	}
	q := s.FlowM3S(i) / b.Fan.SpeedRatio
	share := q / b.Fan.Curve.maxFlow
	switch {
	case share < -1e-9:
		return BackFlow
	case share < stallShare:
		return Stalled
	case b.Fan.Curve.Ambiguous(q):
		return Surging
	case share > 1+1e-9:
		return Overrun
	}
	return Working
}

// FanPressurePa is the pressure that the fan of branch i raises in the
// solution, Pa; negative when it is dragged along, zero without a fan.
func (s *Solver) FanPressurePa(i int) float64 {
	b := &s.net.Branches[i]
	if b.Fan == nil || b.Closed {
		return 0
	}
	p, _ := b.Fan.rise(s.FlowM3S(i), s.density[i])
	return p
}

// NearlyStill tells whether the flow of branch i is so small that the square
// law was replaced by its smooth stand-in: read it as "no flow to speak of".
func (s *Solver) NearlyStill(i int) bool { return math.Abs(s.flow[i]) < s.law[i].knee }
