package climate

import (
	"math"
	"sync"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
)

// curve is what a number of like fans do together, with how it came about.
type curve struct {
	air       *air.Curve // nil: the fan says too little
	estimated bool
	free      float64 // m3/s without resistance, at the greatest speed
}

// curveKey is like fans side by side or behind each other. The key holds the fan's
// message, so that its address is not used again while the entry lives.
type curveKey struct {
	fan            *v1.Fan
	beside, inLine int
}

// curveStore keeps curves of decoded parts, which are shared between checks and
// never change. Two generations bound it: what the last turn did not use is
// forgotten.
type curveStore struct {
	mu         sync.Mutex
	young, old map[curveKey]curve
}

const curvesKept = 2048

var curves = curveStore{young: map[curveKey]curve{}}

func (s *curveStore) get(key curveKey) curve {
	s.mu.Lock()
	defer s.mu.Unlock()
	if c, ok := s.young[key]; ok {
		return c
	}
	c, ok := s.old[key]
	if !ok {
		c = makeCurve(key)
	}
	if len(s.young) >= curvesKept {
		s.old, s.young = s.young, map[curveKey]curve{}
	}
	s.young[key] = c
	return c
}

// curveOf is the curve of like fans: beside each other their flows add, in line
// their pressures do.
func curveOf(fan *v1.Fan, beside, inLine int) curve {
	if fan == nil {
		return curve{}
	}
	return curves.get(curveKey{fan, max(1, beside), max(1, inLine)})
}

func makeCurve(key curveKey) curve {
	n, m := float64(key.beside), float64(key.inLine)
	if len(key.fan.GetCurve()) >= 2 {
		points := make([]air.Point, 0, len(key.fan.Curve))
		for _, p := range key.fan.Curve {
			points = append(points, air.Point{FlowM3S: n * p.GetFlowM3H() * air.M3SPerM3H, PressurePa: m * p.GetPressurePa()})
		}
		if c, err := air.NewCurve(points); err == nil {
			return curve{c, false, c.MaxFlowM3S()}
		}
	}
	flow, pressure := endsOf(key.fan)
	if !(flow > 0) || !(pressure > 0) {
		return curve{}
	}
	c, err := air.EstimateCurve(n*flow, m*pressure)
	if err != nil {
		return curve{}
	}
	return curve{c, true, n * flow}
}

// Similarity of small axial fans: flow over annulus area and tip speed, and
// pressure over the velocity head of the tip speed (fan laws; common practice for
// the numbers, no source).
const (
	flowNumber     = 0.24
	pressureNumber = 0.30
)

// endsOf is the free flow in m3/s and the blocked pressure in Pa, from size and
// speed where they are not published; zero where nothing can be said.
func endsOf(fan *v1.Fan) (flow, pressure float64) {
	flow, pressure = fan.GetMaxFlowM3H()*air.M3SPerM3H, fan.GetMaxPressurePa()
	for _, p := range fan.Curve { // a curve of one point, or one that contradicts itself
		flow, pressure = max(flow, p.GetFlowM3H()*air.M3SPerM3H), max(pressure, p.GetPressurePa())
	}
	d, rpm := bladeDiameterM(fan), fan.GetMaxSpeedRpm()
	if d <= 0 || rpm <= 0 {
		if flow > 0 && pressure == 0 { // a middling fan: 15 Pa at 90 m3/h
			pressure = 15 * math.Cbrt(flow/0.025)
		}
		return flow, pressure
	}
	tip := math.Pi * d * rpm * air.RevSPerRPM
	if flow == 0 {
		flow = flowNumber * air.DiscAreaM2(d) * tip
	}
	if pressure == 0 {
		pressure = pressureNumber * air.VelocityHeadPa(air.FanStandardDensityKgM3, tip)
	}
	return flow, pressure
}

// bladeDiameterM is the diameter of the blades: the frame less its walls, m.
func bladeDiameterM(fan *v1.Fan) float64 {
	if fan.GetSizeMm() < 20 {
		return 0
	}
	return (float64(fan.GetSizeMm()) - 6) / 1000
}

// annulusM2 is the area that a fan's air passes, hub left out. A hub takes 40
// percent of the diameter (common practice, no source).
func annulusM2(fan *v1.Fan) float64 {
	d := bladeDiameterM(fan)
	if d <= 0 {
		d = 0.114
	}
	return air.DiscAreaM2(d) * (1 - 0.4*0.4)
}
