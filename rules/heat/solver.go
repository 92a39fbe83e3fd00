package heat

import (
	"fmt"
	"math"

	"slipfit.example/rules/air"
)

// Options steer a Solver; the zero value means the defaults.
type Options struct {
	// ToleranceK is the greatest change of any temperature in the last round.
	// Default 1e-3 K.
	ToleranceK float64
	// MostRounds bounds the rounds of flow and heat. Default 300.
	MostRounds int
	// Air steers the flow solver.
	Air air.Options
}

// Solver is a reusable workspace that finds the temperatures and flows of a
// Model. It is not safe for concurrent use. After the first Load of a size,
// Load and Solve do not allocate.
//
// Each round solves the flow network at the present temperatures, then the
// linear heat network at the present flows and coefficients. Rounds that swing
// to and fro, as draught by warmth alone does, are damped: first by the rule of
// Irons and Tuck, then each thing by itself.
//
// Where fans are weak, warmth can hold a draught either way round; the state
// that is found is then one of two that are possible.
type Solver struct {
	opt   Options
	model *Model
	air   *air.Solver

	temperature []float64 // degC by Ref
	found       []float64 // degC, solution of the linear network of this round
	change      []float64 // K, of this round
	previous    []float64 // K, of the round before
	weight      []float64 // of the change of each thing, in late rounds
	matrix      []float64 // n x n; unknown r stands in row n-1-r
	rhs         []float64
	diagonal    []float64 // of the matrix before elimination
	capacity    []float64 // J/K by Ref
	source      []float64 // W by Ref
	links       []link
	size, zones int
}

// link hands over g (T_driveA - T_driveB) watts from one thing to another. The
// driving temperatures are those of the things themselves in a conductor, and
// those of the entering streams in a sink or radiator.
type link struct {
	driveA, driveB Ref
	from, to       Ref
	g              float64 // W/K
}

// NewSolver returns a solver with the given options.
func NewSolver(opt Options) *Solver {
	if !(opt.ToleranceK > 0) {
		opt.ToleranceK = 1e-3
	}
	if opt.MostRounds <= 0 {
		opt.MostRounds = 300
	}
	return &Solver{opt: opt, air: air.NewSolver(opt.Air)}
}

// Load checks a model and makes it the one to solve. The model must not change
// until the next Load.
func (s *Solver) Load(m *Model) error {
	s.model = nil // after an error nothing is loaded
	if err := m.Check(); err != nil {
		return err
	}
	if err := s.air.Load(m.Air); err != nil {
		return err
	}
	s.model, s.size, s.zones = m, m.size(), len(m.Air.Nodes)
	n := s.size
	for _, p := range []*[]float64{&s.temperature, &s.found, &s.change, &s.previous, &s.weight, &s.rhs, &s.diagonal, &s.capacity, &s.source} {
		if cap(*p) < n {
			*p = make([]float64, n)
		}
		*p = (*p)[:n]
	}
	if cap(s.matrix) < n*n {
		s.matrix = make([]float64, n*n)
	}
	s.matrix = s.matrix[:n*n]
	s.loadSources()
	for i := range s.temperature {
		s.temperature[i] = m.Air.Room.TemperatureC
		if i < s.zones {
			s.temperature[i] += firstRiseK
		}
	}
	return nil
}

// firstRiseK is how much warmer than the room zones are taken to be before
// anything is known: draught by warmth alone needs some to begin with.
const firstRiseK = 5

// loadSources copies heat and heat capacities.
func (s *Solver) loadSources() {
	m := s.model
	clear(s.source)
	clear(s.capacity)
	for i, z := range m.Zones {
		s.source[i], s.capacity[i] = z.PowerW, z.CapacityJK
	}
	for i, b := range m.Bodies {
		r := m.Body(i)
		s.source[r], s.capacity[r] = b.PowerW, b.CapacityJK
	}
	for i, p := range m.Panels {
		s.capacity[m.Panel(i)] = p.CapacityJK
	}
	for i := range m.Loops {
		l := &m.Loops[i]
		for k := range l.Stations {
			s.capacity[m.Liquid(i, k)] = l.CapacityJK / float64(len(l.Stations))
		}
	}
}

// Report tells how a steady state was found and how good it is.
type Report struct {
	Converged bool
	Rounds    int
	ChangeK   float64    // greatest change of a temperature in the last round
	Worst     Ref        // where
	Air       air.Report // of the last round
	// Beyond tells that some temperature lies outside -73 to 127 degC, where
	// the properties of air end: the number says "far too hot", no more.
	Beyond  bool
	Balance Balance
}

// ConvergenceError tells that the bound on rounds was reached.
type ConvergenceError struct {
	Report Report
	Name   string // the thing whose temperature moved most
}

// Error names the thing that had not settled.
func (e *ConvergenceError) Error() string {
	return fmt.Sprintf("the heat model did not settle in %d rounds: %q still moved by %.3g K; check the resistances around it",
		e.Report.Rounds, e.Name, e.Report.ChangeK)
}

// Solve finds the steady state. It starts from the temperatures of the last
// solution unless the model was loaded anew. The error is a *ConvergenceError,
// an *air.ConvergenceError, or a sentence that names a thing whose heat has no
// way out.
func (s *Solver) Solve() (Report, error) {
	if s.model == nil {
		return Report{}, fmt.Errorf("no heat model is loaded; call Load before Solve")
	}
	var r Report
	weight := 1.0
	for r.Rounds = 1; r.Rounds <= s.opt.MostRounds; r.Rounds++ {
		ar, err := s.solveAir()
		r.Air = ar
		if err != nil {
			return r, fmt.Errorf("no temperatures without flows: %w", err)
		}
		s.linkUp()
		s.assemble(0, nil)
		copy(s.found, s.rhs)
		if row := s.eliminate(); row >= 0 {
			return r, fmt.Errorf("the heat of %q has no way to the room; give it a sink, a conductor or moving air",
				s.model.Name(Ref(row)))
		}
		r.ChangeK, r.Worst = s.measure()
		if r.ChangeK <= s.opt.ToleranceK {
			copy(s.temperature, s.found)
			r.Converged = true
			break
		}
		if r.Rounds < quickRounds {
			weight = s.swing(weight, r.Rounds)
			for i, d := range s.change {
				s.temperature[i] += weight * d
			}
		} else {
			s.dampEach(r.Rounds)
		}
	}
	r.Rounds = min(r.Rounds, s.opt.MostRounds)
	r.Beyond = s.beyond()
	r.Balance = s.balance()
	if !r.Converged {
		return r, &ConvergenceError{Report: r, Name: s.model.Name(r.Worst)}
	}
	return r, nil
}

// solveAir brings the flows up to the present zone temperatures.
func (s *Solver) solveAir() (air.Report, error) {
	if err := s.air.SetTemperatures(s.temperature[:s.zones]); err != nil {
		return air.Report{}, err
	}
	return s.air.Solve()
}

// measure fills change and returns the greatest.
func (s *Solver) measure() (greatest float64, where Ref) {
	for i, t := range s.found {
		s.change[i] = t - s.temperature[i]
		if a := math.Abs(s.change[i]); !(a <= greatest) {
			greatest, where = a, Ref(i)
		}
	}
	return greatest, where
}

// swing is the weight of the next change: all of it while rounds shrink
// quickly, else the value that would have stopped the last swing (Irons and
// Tuck 1969), between a tenth and the whole.
func (s *Solver) swing(weight float64, round int) float64 {
	next := 1.0
	if round > 1 {
		dot, square, old, now := 0.0, 0.0, 0.0, 0.0
		for i, d := range s.change {
			diff := d - s.previous[i]
			dot += s.previous[i] * diff
			square += diff * diff
			old += s.previous[i] * s.previous[i]
			now += d * d
		}
		if now > 0.1*old && square > 0 {
			next = min(max(-weight*dot/square, 0.1), 1)
		}
	}
	copy(s.previous, s.change)
	return next
}

// quickRounds is the number of rounds after which one weight for all things
// gives way to a weight for each.
const quickRounds = 12

// dampEach moves every thing by a weight of its own, which halves when its
// change turns round and recovers slowly otherwise. A zone that hardly any air
// passes can swing by hundreds of kelvins while all others have settled.
func (s *Solver) dampEach(round int) {
	for i, d := range s.change {
		switch {
		case round == quickRounds:
			s.weight[i] = 0.5
		case d*s.previous[i] < 0:
			s.weight[i] = max(s.weight[i]/2, 1e-4)
		default:
			s.weight[i] = min(s.weight[i]*1.1, 1)
		}
		s.temperature[i] += s.weight[i] * d
	}
	copy(s.previous, s.change)
}

func (s *Solver) beyond() bool {
	for _, t := range s.temperature {
		if t < air.LowestTemperatureC || t > air.HighestTemperatureC {
			return true
		}
	}
	return false
}

// TemperatureC is the temperature of a thing in degC; the room's is the flow
// network's.
func (s *Solver) TemperatureC(r Ref) float64 { return s.at(r) }

func (s *Solver) at(r Ref) float64 {
	if r == Room {
		return s.model.Air.Room.TemperatureC
	}
	return s.temperature[r]
}

// Flows is the flow solver with the flows of the last solution.
func (s *Solver) Flows() *air.Solver { return s.air }
