package air

import (
	"fmt"
	"math"
	"slices"
)

// Point is one reading of a fan: the flow it moves against a pressure.
type Point struct {
	FlowM3S    float64 // m3/s, at least zero
	PressurePa float64 // static pressure rise, Pa, at least zero
}

// Curve is the pressure that a fan raises at every flow, at the speed and
// density (1.2 kg/m3) that its points were published for. It is immutable and
// safe to share.
//
// Inside the points it is a monotone cubic (Fritsch and Butland 1984), which
// never overshoots a reading. Outside them it goes on as a resistance would:
// beyond the greatest flow the fan is dragged along and the pressure falls
// below zero with the square of the excess; against the flow the pressure
// rises above that of the blocked fan with the square of the back-flow. Both
// joints have a common tangent. The quadratic coefficient is the greatest
// pressure over the square of the greatest flow, which is also the resistance
// of the fan at rest (common practice, no source; for an axial fan of 120 mm it
// amounts to 4 to 5 velocity heads of its annulus).
//
// Where published points rise again (the stall dip of axial fans, the hump of
// forward-curved blowers), one pressure belongs to several flows. The curve
// then keeps two falling envelopes, one below and one above the readings; the
// lower one is used unless a Fan asks for the upper one, and a fan that works
// between them is reported as surging.
type Curve struct {
	estimated bool
	parabola  bool    // blockedPa - restPa q|q| at all flows
	blockedPa float64 // pressure at zero flow, lower envelope
	maxFlow   float64 // flow of the last reading, m3/s
	restPa    float64 // Pa/(m3/s)^2 at 1.2 kg/m3
	lower     envelope
	upper     envelope // empty when the readings fall throughout
}

// flattest is the least slope of a curve, as a share of blocked pressure over
// greatest flow. A level stretch would leave the flow through it undefined;
// this tilt changes no pressure by more than a thousandth of the greatest.
const flattest = 1e-3

// EstimateCurve is the curve of a fan of which only the two ends are known,
// greatest flow in m3/s and greatest pressure in Pa: p0 (1 - (Q/Qmax)^2). Real
// axial fans lie above or below it by a fifth in mid-range and dip where they
// stall, so that a forecast on it is an estimate and says so.
func EstimateCurve(maxFlowM3S, maxPressurePa float64) (*Curve, error) {
	if err := checkEnds(maxFlowM3S, maxPressurePa); err != nil {
		return nil, err
	}
	return &Curve{
		estimated: true, parabola: true, blockedPa: maxPressurePa, maxFlow: maxFlowM3S,
		restPa: maxPressurePa / (maxFlowM3S * maxFlowM3S),
	}, nil
}

func checkEnds(maxFlowM3S, maxPressurePa float64) error {
	if err := CheckRange("greatest flow of a fan", maxFlowM3S, 1e-6, 100, "m3/s"); err != nil {
		return err
	}
	return CheckRange("greatest pressure of a fan", maxPressurePa, 1e-3, 1e6, "Pa")
}

// NewCurve builds a curve from two or more readings in any order. Readings
// that repeat are taken once. It refuses, with a sentence, fewer than two
// different flows, two pressures at one flow, values that are negative or not
// finite, and a curve whose last reading is not its lowest: no fan raises the
// most pressure at its greatest flow.
func NewCurve(points []Point) (*Curve, error) {
	pts, err := sortedPoints(points)
	if err != nil {
		return nil, err
	}
	last := pts[len(pts)-1]
	peak := last.PressurePa
	for _, p := range pts[:len(pts)-1] {
		peak = max(peak, p.PressurePa)
		if p.PressurePa <= last.PressurePa {
			return nil, fmt.Errorf("the fan curve ends at %g Pa with its greatest flow although it reads %g Pa at less flow; "+
				"check whether flow and pressure were exchanged", last.PressurePa, p.PressurePa)
		}
	}
	if err := checkEnds(last.FlowM3S, peak); err != nil {
		return nil, err
	}
	if pts[0].FlowM3S > 0 {
		// Nothing is known to the left of the first reading: hold its pressure.
		pts = slices.Insert(pts, 0, Point{0, pts[0].PressurePa})
	}
	c := &Curve{maxFlow: last.FlowM3S, restPa: peak / (last.FlowM3S * last.FlowM3S)}
	tilt := flattest * peak / last.FlowM3S
	low, high, rises := fallingEnvelopes(pts, tilt)
	c.lower = newEnvelope(low, tilt, c.restPa)
	if rises {
		c.upper = newEnvelope(high, tilt, c.restPa)
	}
	c.blockedPa = low[0].PressurePa
	return c, nil
}

// sortedPoints checks readings, orders a copy by flow and drops repetitions.
func sortedPoints(points []Point) ([]Point, error) {
	pts := slices.Clone(points)
	for _, p := range pts {
		if err := CheckRange("flow of a fan curve", p.FlowM3S, 0, 100, "m3/s"); err != nil {
			return nil, err
		}
		if err := CheckRange("pressure of a fan curve", p.PressurePa, 0, 1e6, "Pa"); err != nil {
			return nil, err
		}
	}
	slices.SortFunc(pts, func(a, b Point) int {
		switch {
		case a.FlowM3S < b.FlowM3S:
			return -1
		case a.FlowM3S > b.FlowM3S:
			return 1
		}
		return 0
	})
	pts = slices.Compact(pts)
	if len(pts) < 2 {
		return nil, fmt.Errorf("a fan curve needs two or more different points and has %d; "+
			"give more points, or the greatest flow and the greatest pressure", len(pts))
	}
	least := 1e-9 * pts[len(pts)-1].FlowM3S // differences below are rounding
	if pts[0].FlowM3S <= least {
		pts[0].FlowM3S = 0
	}
	for i := 1; i < len(pts); i++ {
		if pts[i].FlowM3S-pts[i-1].FlowM3S <= least {
			return nil, fmt.Errorf("the fan curve gives both %g Pa and %g Pa at %g m3/s; keep one of the two points",
				pts[i-1].PressurePa, pts[i].PressurePa, pts[i].FlowM3S)
		}
	}
	return pts, nil
}

// fallingEnvelopes returns the readings bent to fall by at least tilt
// everywhere, from below and from above, and whether they rose anywhere.
func fallingEnvelopes(pts []Point, tilt float64) (low, high []Point, rises bool) {
	low, high = slices.Clone(pts), slices.Clone(pts)
	for i := 1; i < len(pts); i++ {
		rises = rises || pts[i].PressurePa > pts[i-1].PressurePa
		drop := tilt * (pts[i].FlowM3S - pts[i-1].FlowM3S)
		low[i].PressurePa = min(low[i].PressurePa, low[i-1].PressurePa-drop)
	}
	for i := len(pts) - 2; i >= 0; i-- {
		drop := tilt * (pts[i+1].FlowM3S - pts[i].FlowM3S)
		high[i].PressurePa = max(high[i].PressurePa, high[i+1].PressurePa+drop)
	}
	return low, high, rises
}

// Estimated tells whether the curve was drawn from its two ends only.
func (c *Curve) Estimated() bool { return c.estimated }

// MaxFlowM3S is the greatest flow the curve was given, m3/s.
func (c *Curve) MaxFlowM3S() float64 { return c.maxFlow }

// BlockedPa is the pressure at zero flow, Pa.
func (c *Curve) BlockedPa() float64 { return c.blockedPa }

// AtRestPaS2M6 is the quadratic resistance of the standing fan in Pa/(m3/s)^2
// at 1.2 kg/m3.
func (c *Curve) AtRestPaS2M6() float64 { return c.restPa }

// Humped tells whether the readings rise anywhere, so that one pressure can
// belong to several flows.
func (c *Curve) Humped() bool { return len(c.upper.flow) > 0 }

// PressurePa is the pressure rise in Pa at a flow in m3/s, both at the speed
// and density of the readings, on the lower envelope. Back-flow is negative.
func (c *Curve) PressurePa(flowM3S float64) (float64, error) {
	if err := CheckRange("flow through a fan", flowM3S, -1e3, 1e3, "m3/s"); err != nil {
		return 0, err
	}
	p, _ := c.at(flowM3S, false)
	return p, nil
}

// Ambiguous tells whether at this flow the two envelopes differ by more than
// a hundredth of the blocked pressure: the fan may jump between two flows.
func (c *Curve) Ambiguous(flowM3S float64) bool {
	if !c.Humped() || flowM3S < 0 || flowM3S > c.maxFlow {
		return false
	}
	low, _ := c.lower.at(flowM3S)
	high, _ := c.upper.at(flowM3S)
	return high-low > 0.01*c.blockedPa
}

// at is pressure and slope, Pa and Pa/(m3/s), at a finite flow.
func (c *Curve) at(q float64, upper bool) (pressure, slope float64) {
	switch {
	case c.parabola:
		return c.blockedPa - c.restPa*q*math.Abs(q), -2 * c.restPa * math.Abs(q)
	case upper && c.Humped():
		return c.upper.at(q)
	}
	return c.lower.at(q)
}

// envelope is a falling piecewise cubic with quadratic ends.
type envelope struct {
	flow      []float64    // knots, the first at zero
	cubic     [][4]float64 // value and powers of (q - knot) for each interval
	lastPa    float64
	lastSlope float64
	rest      float64
}

// newEnvelope fits falling readings; the slope at zero flow is at least tilt
// downwards so that the joint to back-flow is never level.
func newEnvelope(pts []Point, tilt, rest float64) envelope {
	n := len(pts)
	slope := fallingSlopes(pts)
	slope[0] = min(slope[0], -tilt)
	slope[n-1] = min(slope[n-1], -tilt)
	e := envelope{flow: make([]float64, n), cubic: make([][4]float64, n-1), rest: rest,
		lastPa: pts[n-1].PressurePa, lastSlope: slope[n-1]}
	for i, p := range pts {
		e.flow[i] = p.FlowM3S
		if i == n-1 {
			break
		}
		h := pts[i+1].FlowM3S - p.FlowM3S
		secant := (pts[i+1].PressurePa - p.PressurePa) / h
		e.cubic[i] = [4]float64{p.PressurePa, slope[i],
			(3*secant - 2*slope[i] - slope[i+1]) / h,
			(slope[i] + slope[i+1] - 2*secant) / (h * h)}
	}
	return e
}

// fallingSlopes is the slope at each reading: inside, the harmonic mean of
// Fritsch and Butland (SIAM J. Sci. Stat. Comput. 5, 1984); at the ends, the
// three-point formula held within the limits that keep the cubic monotone.
func fallingSlopes(pts []Point) []float64 {
	n := len(pts)
	h, secant := make([]float64, n-1), make([]float64, n-1)
	for i := range h {
		h[i] = pts[i+1].FlowM3S - pts[i].FlowM3S
		secant[i] = (pts[i+1].PressurePa - pts[i].PressurePa) / h[i]
	}
	slope := make([]float64, n)
	if n == 2 {
		slope[0], slope[1] = secant[0], secant[0]
		return slope
	}
	for i := 1; i < n-1; i++ {
		w1, w2 := 2*h[i]+h[i-1], h[i]+2*h[i-1]
		slope[i] = (w1 + w2) / (w1/secant[i-1] + w2/secant[i])
	}
	end := func(h0, h1, s0, s1 float64) float64 {
		d := ((2*h0+h1)*s0 - h0*s1) / (h0 + h1)
		return min(0, max(d, 3*s0)) // both secants fall
	}
	slope[0] = end(h[0], h[1], secant[0], secant[1])
	slope[n-1] = end(h[n-2], h[n-3], secant[n-2], secant[n-3])
	return slope
}

func (e *envelope) at(q float64) (pressure, slope float64) {
	if q < 0 {
		c := &e.cubic[0]
		return c[0] + c[1]*q + e.rest*q*q, c[1] + 2*e.rest*q
	}
	last := len(e.flow) - 1
	if q >= e.flow[last] {
		u := q - e.flow[last]
		return e.lastPa + e.lastSlope*u - e.rest*u*u, e.lastSlope - 2*e.rest*u
	}
	i := 0
	for e.flow[i+1] <= q {
		i++
	}
	u, c := q-e.flow[i], &e.cubic[i]
	return c[0] + u*(c[1]+u*(c[2]+u*c[3])), c[1] + u*(2*c[2]+u*3*c[3])
}
