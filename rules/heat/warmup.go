package heat

import (
	"fmt"
	"math"
	"slices"

	"slipfit.example/rules/air"
)

// WarmupOptions steer WarmUp; the zero value means the defaults.
type WarmupOptions struct {
	// StartC is the temperature of every thing at time zero, by Ref; nil
	// starts everything at the room's temperature.
	StartC []float64
	// StepErrorK is the accepted difference between the two orders of the
	// method in one step. Default 0.05 K; the result is several times better.
	StepErrorK float64
	// SteadyFlows keeps the flows of the steady state throughout instead of
	// finding them anew at every step: quicker, and right where fans force them.
	SteadyFlows bool
	// Keep asks for the temperatures at every step.
	Keep bool
	// MostSeconds and MostSteps bound the run. Defaults 1e7 s and 20000.
	MostSeconds float64
	MostSteps   int
}

// Warmup is the way from a start to the steady state.
type Warmup struct {
	// EndC is the steady state by Ref.
	EndC []float64
	// WithinOneKS is, by Ref, the time in s after which the thing stays within
	// 1 K of its end.
	WithinOneKS []float64
	// SettledS is the greatest of them, and Slowest the thing it belongs to.
	SettledS float64
	Slowest  Ref
	// TimesS and TemperaturesC are the steps, when they were asked for.
	TimesS        []float64
	TemperaturesC [][]float64
	Steps         int
}

// gamma is the coefficient of the two-stage singly diagonal implicit method of
// order two that damps stiff parts completely (L-stable, Alexander 1977).
const gamma = 1 - math.Sqrt2/2

// WarmUp solves the steady state and then follows C dT/dt = heat in - heat out
// towards it with an implicit method of order two and a step that adapts
// itself. Things without heat capacity follow at once. Flows and coefficients
// are taken at temperatures extrapolated into each stage.
func (s *Solver) WarmUp(opt WarmupOptions) (Warmup, error) {
	if _, err := s.Solve(); err != nil {
		return Warmup{}, fmt.Errorf("no way to a steady state that does not exist: %w", err)
	}
	if opt.StartC != nil && len(opt.StartC) != s.size {
		return Warmup{}, fmt.Errorf("the start has %d temperatures but the heat model has %d; give one for each", len(opt.StartC), s.size)
	}
	for i, c := range opt.StartC {
		what := fmt.Sprintf("temperature at the start of %q", s.model.Name(Ref(i)))
		if err := air.CheckRange(what, c, -air.ZeroCelsiusK, 1e4, "degC"); err != nil {
			return Warmup{}, err
		}
	}
	opt = opt.withDefaults()
	run := newWarmupRun(s, opt)
	for run.out.Steps < opt.MostSteps && run.time < opt.MostSeconds {
		if err := run.step(); err != nil {
			return run.out, err
		}
		if run.farthest <= 0.1 {
			run.finish()
			return run.out, nil
		}
	}
	return run.out, fmt.Errorf("after %.3g s %q is still %.3g K from its end; its heat capacity or resistance is far too great",
		run.time, s.model.Name(run.where), run.farthest)
}

func (o WarmupOptions) withDefaults() WarmupOptions {
	if !(o.StepErrorK > 0) {
		o.StepErrorK = 0.05
	}
	if !(o.MostSeconds > 0) {
		o.MostSeconds = 1e7
	}
	if o.MostSteps <= 0 {
		o.MostSteps = 20000
	}
	return o
}

// leastZoneJK is the heat capacity of a zone that was given none, J/K: some
// five litres of air. It lets still air warm up until draught sets in.
const leastZoneJK = 6

// warmupRun is the state of one run.
type warmupRun struct {
	s        *Solver
	opt      WarmupOptions
	out      Warmup
	time     float64
	width    float64   // s, of the next step
	now      []float64 // degC at time
	rate     []float64 // K/s over the last step
	one, two []float64 // degC at the ends of the two stages
	base     []float64 // degC that the second stage starts from
	farthest float64   // K from the end
	where    Ref
}

func newWarmupRun(s *Solver, opt WarmupOptions) *warmupRun {
	n := s.size
	r := &warmupRun{s: s, opt: opt, width: 1e-2,
		now: make([]float64, n), rate: make([]float64, n), one: make([]float64, n), two: make([]float64, n), base: make([]float64, n)}
	r.out.EndC = slices.Clone(s.temperature)
	r.out.WithinOneKS = make([]float64, n)
	for i := range r.now {
		r.now[i] = s.model.Air.Room.TemperatureC
	}
	for i, c := range s.capacity[:s.zones] {
		if c == 0 {
			s.capacity[i] = leastZoneJK
		}
	}
	if opt.StartC != nil {
		copy(r.now, opt.StartC)
	}
	r.keep()
	return r
}

func (r *warmupRun) keep() {
	if r.opt.Keep {
		r.out.TimesS = append(r.out.TimesS, r.time)
		r.out.TemperaturesC = append(r.out.TemperaturesC, slices.Clone(r.now))
	}
}

// stage solves one implicit stage of length gamma h from a base, with flows
// and coefficients at the guessed temperatures, into result.
func (r *warmupRun) stage(guess, base, result []float64, h float64) error {
	s := r.s
	copy(s.temperature, guess)
	if !r.opt.SteadyFlows {
		if _, err := s.solveAir(); err != nil {
			return fmt.Errorf("no flows at %.3g s of the warm-up: %w", r.time, err)
		}
	}
	s.linkUp()
	s.assemble(1/(gamma*h), base)
	copy(s.found, s.rhs)
	if row := s.eliminate(); row >= 0 {
		return fmt.Errorf("the heat of %q has no way to the room at %.3g s of the warm-up; give it a sink or a heat capacity",
			s.model.Name(Ref(row)), r.time)
	}
	copy(result, s.found)
	return nil
}

// step takes one step whose error is accepted, shortening it as needed.
func (r *warmupRun) step() error {
	for {
		h := r.width
		for i, t := range r.now {
			r.two[i] = t + gamma*h*r.rate[i]
		}
		if err := r.stage(r.two, r.now, r.one, h); err != nil {
			return err
		}
		for i, t := range r.now {
			gained := r.one[i] - t
			r.base[i] = t + (1-gamma)/gamma*gained
			r.two[i] = t + gained/gamma // the first stage's slope over all of h
		}
		if err := r.stage(r.two, r.base, r.two, h); err != nil {
			return err
		}
		e := r.stepError()
		factor := 0.9 * math.Sqrt(r.opt.StepErrorK/max(e, 1e-12))
		r.width = h * min(max(factor, 0.2), 4)
		r.out.Steps++
		if e <= r.opt.StepErrorK || h < 1e-9 || r.out.Steps >= r.opt.MostSteps {
			r.accept(h)
			return nil
		}
	}
}

// stepError is the greatest difference between the methods of order one and
// two, over the things with heat capacity.
func (r *warmupRun) stepError() float64 {
	e := 0.0
	for i, c := range r.s.capacity {
		if c > 0 {
			e = max(e, math.Abs((r.two[i]-r.base[i])-(r.one[i]-r.now[i])))
		}
	}
	return e
}

// accept moves on by h and notes which things came within a kelvin.
func (r *warmupRun) accept(h float64) {
	r.farthest, r.where = 0, 0
	for i, end := range r.out.EndC {
		before, after := math.Abs(r.now[i]-end), math.Abs(r.two[i]-end)
		switch {
		case after > 1:
			r.out.WithinOneKS[i] = r.time + h
		case before > 1:
			// Distances shrink exponentially within a step.
			r.out.WithinOneKS[i] = r.time + h*math.Log(before)/math.Log(before/max(after, 1e-9))
		}
		if after > r.farthest {
			r.farthest, r.where = after, Ref(i)
		}
		r.rate[i] = (r.two[i] - r.now[i]) / h
	}
	copy(r.now, r.two)
	r.time += h
	r.keep()
}

func (r *warmupRun) finish() {
	copy(r.s.temperature, r.out.EndC)
	for i, t := range r.out.WithinOneKS {
		if t >= r.out.SettledS {
			r.out.SettledS, r.out.Slowest = t, Ref(i)
		}
	}
}
