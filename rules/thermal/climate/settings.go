package climate

import (
	"math"
)

// Setting is fan speeds that meet temperature limits at the least noise.
type Setting struct {
	// RPM is by motor; motors that firmware does not steer keep their speed.
	RPM []float64
	// Steered tells which ones were chosen.
	Steered []bool
	// Reachable tells whether the limits can be met; if not, RPM is everything at
	// its greatest speed.
	Reachable bool
	// Solves is how many states were solved.
	Solves int
}

// seeker looks for the quietest speeds: a chain of convex problems. In logarithms
// of speed the sound power of each motor is an exponential, and the rise of each
// die nearly a straight line, whose slopes are measured by solving beside the
// present point. Each problem is settled by its multipliers, one for each limit.
type seeker struct {
	plan    *Plan
	at      Places
	state   State
	speeds  []float64
	active  []int     // steered motors
	y       []float64 // ln of speed over the greatest
	least   []float64 // of y
	power   []float64 // sound power at y
	slope   []float64 // of its logarithm
	chips   []int     // with a limit
	target  []float64 // ln of the rise that each may have
	rise    []float64 // ln of the present rise
	grade   [][]float64
	lambda  []float64
	aim     []float64
	solves  int
	failure error
}

// Quietest finds speeds with which every die stays marginK below its limit, at the
// places given. ok is false where nothing can be sought: no room temperature, no
// steered fan, or no die with a limit.
func (p *Plan) Quietest(at Places, marginK float64) (set Setting, ok bool) {
	s := &seeker{plan: p, at: at}
	if !p.RoomGiven || !s.open(marginK) {
		return Setting{}, false
	}
	set = Setting{RPM: s.speeds, Steered: make([]bool, len(p.motors))}
	for _, m := range s.active {
		set.Steered[m] = true
	}
	if !s.measure(s.y) {
		return Setting{}, false
	}
	set.Reachable = s.excess() <= 0
	if set.Reachable {
		s.seek()
	}
	s.spread(s.y)
	set.Solves = s.solves
	return set, s.failure == nil
}

// open sets everything at its greatest speed.
func (s *seeker) open(marginK float64) bool {
	p := s.plan
	s.speeds = make([]float64, len(p.motors))
	for i := range p.motors {
		m := &p.motors[i]
		s.speeds[i] = m.rpm
		if m.steered && m.kind != pump && m.maxRPM > 0 {
			s.active = append(s.active, i)
			s.y = append(s.y, 0)
			s.least = append(s.least, math.Log(clamp(m.minRPM/m.maxRPM, 0.05, 1)))
		}
	}
	for i := range p.chips {
		c := &p.chips[i]
		if !c.known || c.limitC == nil {
			continue
		}
		s.chips = append(s.chips, i)
		s.target = append(s.target, math.Log(max(*c.limitC-marginK-p.Room.TemperatureC, 0.5)))
	}
	n := len(s.active)
	s.power, s.slope, s.aim = make([]float64, n), make([]float64, n), make([]float64, n)
	s.rise, s.lambda = make([]float64, len(s.chips)), make([]float64, len(s.chips))
	for range s.chips {
		s.grade = append(s.grade, make([]float64, n))
	}
	return n > 0 && len(s.chips) > 0
}

func (s *seeker) spread(y []float64) {
	for k, m := range s.active {
		s.speeds[m] = s.plan.motors[m].maxRPM * math.Exp(y[k])
	}
}

// measure solves at a point.
func (s *seeker) measure(y []float64) bool {
	s.spread(y)
	s.solves++
	if err := s.plan.Solve(s.at, s.speeds, &s.state); err != nil {
		s.failure = err
		return false
	}
	for k, c := range s.chips {
		s.rise[k] = math.Log(max(s.state.ChipRiseK[c], 0.1))
	}
	return true
}

// excess is how far the worst die lies above its target, in the logarithm.
func (s *seeker) excess() float64 {
	worst := math.Inf(-1)
	for k := range s.chips {
		worst = max(worst, s.rise[k]-s.target[k])
	}
	return worst
}

const (
	seekRounds = 10
	probe      = 0.04 // of y, to measure slopes
	mostStep   = 0.5  // of y in one round
)

// seek walks from a point that meets the limits to the quietest one that does.
func (s *seeker) seek() {
	best := append([]float64(nil), s.y...)
	bestSound := s.sound(s.y)
	for range seekRounds {
		if !s.slopes() {
			return
		}
		s.settleDual()
		moved := 0.0
		for k := range s.y {
			moved = max(moved, math.Abs(s.aim[k]-s.y[k]))
		}
		copy(s.y, s.aim)
		if !s.measure(s.y) {
			return
		}
		if !s.lift() {
			return
		}
		if v := s.sound(s.y); v < bestSound {
			bestSound = v
			copy(best, s.y)
		}
		if moved < 0.004 {
			break
		}
	}
	copy(s.y, best)
}

// lift raises all speeds together until the limits are met again, by the slopes.
func (s *seeker) lift() bool {
	for range 12 {
		over := s.excess()
		if over <= 0 {
			return true
		}
		for k := range s.y {
			s.y[k] = min(0, s.y[k]+max(2*over, 0.002))
		}
		if !s.measure(s.y) {
			return false
		}
	}
	return s.excess() <= 0
}

// sound is the power of all motors at a point.
func (s *seeker) sound(y []float64) float64 {
	total := 0.0
	for k, m := range s.active {
		total += s.powerOf(m, y[k])
	}
	return total
}

func (s *seeker) powerOf(motor int, y float64) float64 {
	m := &s.plan.motors[motor]
	level, known, turns := m.level(m.maxRPM*math.Exp(y), 1)
	if !turns {
		return 1e-6
	}
	if !known { // a fan whose sound nobody published: 25 dB(A) at its greatest speed
		return math.Pow(10, (25+50*y/math.Ln10)/10)
	}
	return math.Pow(10, level.Nominal/10)
}

// slopes measures how rises and sound change with each speed.
func (s *seeker) slopes() bool {
	here := append([]float64(nil), s.rise...)
	y := append([]float64(nil), s.y...)
	for k, m := range s.active {
		d := -probe
		if y[k]+d < s.least[k] {
			d = probe
		}
		s.power[k] = s.powerOf(m, y[k])
		s.slope[k] = clamp((math.Log(s.powerOf(m, y[k]+d))-math.Log(s.power[k]))/d, 1, 8)
		y[k] += d
		if !s.measure(y) {
			return false
		}
		for c := range s.chips {
			s.grade[c][k] = (s.rise[c] - here[c]) / d
		}
		y[k] -= d
	}
	copy(s.rise, here)
	return true
}

// settleDual finds the multipliers of the limits, each in turn by halving, until
// none moves: the quietest point of the present straight lines.
func (s *seeker) settleDual() {
	for k := range s.lambda {
		s.lambda[k] = 0
	}
	for range 8 {
		for c := range s.chips {
			s.lambda[c] = 0
			if s.predicted(c) <= s.target[c] {
				continue
			}
			low, high := math.Log(1e-9), math.Log(1e15)
			for range 60 {
				middle := (low + high) / 2
				s.lambda[c] = math.Exp(middle)
				if s.predicted(c) > s.target[c] {
					low = middle
				} else {
					high = middle
				}
			}
			s.lambda[c] = math.Exp(high)
		}
	}
	s.place()
}

// place is the quietest point for the present multipliers.
func (s *seeker) place() {
	for k := range s.active {
		pull := 0.0
		for c := range s.chips {
			pull -= s.lambda[c] * s.grade[c][k]
		}
		low, high := max(s.least[k], s.y[k]-mostStep), min(0, s.y[k]+mostStep)
		if pull <= 0 {
			s.aim[k] = low
			continue
		}
		s.aim[k] = clamp(s.y[k]+math.Log(pull/(s.power[k]*s.slope[k]))/s.slope[k], low, high)
	}
}

// predicted is the rise of a die at the point of the present multipliers.
func (s *seeker) predicted(c int) float64 {
	s.place()
	v := s.rise[c]
	for k := range s.active {
		v += s.grade[c][k] * (s.aim[k] - s.y[k])
	}
	return v
}
