package air

import (
	"fmt"
	"math"
)

// Options steer a Solver; the zero value means the defaults.
type Options struct {
	// LaminarBelowPa is the drop in Pa below which a quadratic passage turns
	// into a smooth cubic with a finite slope at zero flow, so that Newton's
	// matrix exists there. Default 1e-5 Pa, far below what any gauge reads.
	LaminarBelowPa float64
	// TolerancePa is the greatest error of any branch's pressure balance.
	// Default 1e-9 of the greatest driving pressure.
	TolerancePa float64
	// MostIterations bounds the work. Default 200.
	MostIterations int
}

// Solver is a reusable workspace that finds the flows and pressures of a
// Network. It is not safe for concurrent use; keep one for each worker. After
// the first Load of a size, neither Load nor Solve allocates.
//
// Method: Newton on all branch flows and node pressures together. With the
// branch laws linearised, eliminating the flows leaves a symmetric positive
// definite matrix for the node pressures (Todini and Pilati 1988), which a
// dense Cholesky factor solves. Every law rises strictly, so that the true
// flows are the minimum of a convex function on the flows that keep the mass
// balance; the step is shortened until that function's slope along it has
// halved, which makes the iteration converge from any start.
type Solver struct {
	opt Options
	net *Network
	// linear solves the symmetric system of node pressures in place.
	linear func(lower, rhs []float64, n int)

	law     []branchLaw
	flow    []float64 // kg/s, state of the iteration
	density []float64 // kg/m3 in each branch
	nodeRho []float64 // kg/m3 in each node
	nodeC   []float64 // degC of each node

	pressure        []float64 // Pa, gauge
	inflow          []float64 // kg/s fed into each node
	balance         []float64 // kg/s left over in each node
	drop, slope     []float64 // law at the flow: Pa, Pa/(kg/s)
	conductance     []float64
	step, trial     []float64
	matrix          []float64 // lower triangle of n x n, row by row
	label           []int
	open            []bool
	pinned          []bool  // one node of every part without a way to the room
	driving         float64 // Pa, greatest head or blocked pressure of a fan
	warm            bool    // flow holds a solution of this network
	evaluations     int
	nodes, branches int
}

// NewSolver returns a solver with the given options.
func NewSolver(opt Options) *Solver {
	if !(opt.LaminarBelowPa > 0) {
		opt.LaminarBelowPa = 1e-5
	}
	if opt.MostIterations <= 0 {
		opt.MostIterations = 200
	}
	return &Solver{opt: opt, linear: choleskySolve}
}

// Load checks a network and makes it the one to solve. The network must not
// change until the next Load, except that a caller may set speed ratios and
// closed flags and call Load again. Temperatures are taken from the nodes.
func (s *Solver) Load(n *Network) error {
	s.net = nil // after an error nothing is loaded
	if err := n.Check(); err != nil {
		return err
	}
	s.nodes, s.branches, s.warm = len(n.Nodes), len(n.Branches), false
	nb, nn := s.branches, s.nodes
	s.law = grown(s.law, nb)
	for _, p := range []*[]float64{&s.flow, &s.density, &s.drop, &s.slope, &s.conductance, &s.step, &s.trial} {
		*p = grown(*p, nb)
	}
	for _, p := range []*[]float64{&s.nodeRho, &s.nodeC, &s.pressure, &s.inflow, &s.balance} {
		*p = grown(*p, nn)
	}
	s.matrix = grown(s.matrix, nn*nn)
	s.pinned = grown(s.pinned, nn)
	s.label, s.open = n.parts(s.label, s.open)
	for i := range n.Nodes {
		s.nodeC[i] = n.Room.TemperatureC
		if n.Nodes[i].HasTemperature {
			s.nodeC[i] = n.Nodes[i].TemperatureC
		}
		s.inflow[i] = n.MassFlow(n.Nodes[i].InflowM3S)
		s.pinned[i] = s.label[i] == i && !s.open[i]
	}
	clear(s.flow)
	if err := s.checkSealedInflow(n); err != nil {
		return err
	}
	s.net = n
	s.setLaws()
	return nil
}

// grown returns a slice of length n that reuses the memory of old; new parts
// are zero, old parts keep what they held.
func grown[T any](old []T, n int) []T {
	if cap(old) >= n {
		return old[:n]
	}
	return make([]T, n)
}

// checkSealedInflow refuses air that is fed into a part without a way out: it
// has no steady pressure.
func (s *Solver) checkSealedInflow(n *Network) error {
	for i := range s.pinned {
		if !s.pinned[i] {
			continue
		}
		sum, scale := 0.0, 0.0
		for j, in := range s.inflow {
			if s.label[j] == i {
				sum, scale = sum+in, scale+math.Abs(in)
			}
		}
		if math.Abs(sum) > 1e-9*scale {
			return fmt.Errorf("zone %q of the flow network is fed %.3g kg/s but has no way to the room; open a way or take the feed out",
				n.Nodes[i].Name, sum)
		}
	}
	return nil
}

// SetTemperatures gives every node a temperature in degC and recomputes the
// densities and buoyancy of all branches from the direction of the flows found
// last. The flows are kept as the start of the next Solve. Temperatures
// outside -73 to 127 degC are taken at the end of that range, where the
// properties end. It returns an error for a wrong length or a NaN.
func (s *Solver) SetTemperatures(temperaturesC []float64) error {
	if s.net == nil {
		return fmt.Errorf("no flow network is loaded; call Load before giving temperatures")
	}
	if len(temperaturesC) != s.nodes {
		return fmt.Errorf("the flow network has %d zones but %d temperatures were given; give one for each zone", s.nodes, len(temperaturesC))
	}
	for i, c := range temperaturesC {
		if math.IsNaN(c) {
			return fmt.Errorf("the temperature of zone %q is not a number; give one in degC", s.net.Nodes[i].Name)
		}
	}
	for i, c := range temperaturesC {
		s.nodeC[i] = min(max(c, LowestTemperatureC), HighestTemperatureC)
	}
	s.setLaws()
	return nil
}

// setLaws fills densities and branch laws from the node temperatures.
func (s *Solver) setLaws() {
	n := s.net
	roomK := n.Room.TemperatureC + ZeroCelsiusK
	for i := range s.nodeRho {
		// Gauge pressures are a few pascals: density follows temperature only.
		s.nodeRho[i] = n.Room.DensityKgM3 * roomK / (s.nodeC[i] + ZeroCelsiusK)
	}
	s.driving = 0
	for i := range s.law {
		b := &n.Branches[i]
		from, to := s.endDensity(b.From), s.endDensity(b.To)
		upC, rho := s.endTemperature(b.From), from
		if s.flow[i] < 0 {
			upC, rho = s.endTemperature(b.To), to
		}
		s.density[i] = rho
		s.law[i].set(b, rho, sutherland(upC), n.head(b, from, to), s.opt.LaminarBelowPa)
		if !b.Closed {
			s.driving = max(s.driving, math.Abs(s.law[i].head), s.law[i].fanPa)
		}
	}
}

func (s *Solver) endDensity(node int) float64 {
	if node == Outside {
		return s.net.Room.DensityKgM3
	}
	return s.nodeRho[node]
}

func (s *Solver) endTemperature(node int) float64 {
	if node == Outside {
		return s.net.Room.TemperatureC
	}
	return s.nodeC[node]
}

// sutherland is the viscosity of air at a temperature in degC, Pa s.
func sutherland(c float64) float64 {
	t := c + ZeroCelsiusK
	return 1.458e-6 * t * math.Sqrt(t) / (t + 110.4)
}
