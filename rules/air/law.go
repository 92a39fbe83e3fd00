package air

import "math"

// branchLaw is the pressure that must stand across a branch as a function of
// its mass flow m: quadratic and linear resistance, minus fan, minus head. It
// rises strictly with m. A fan of two-point shape and a fan at rest are
// absorbed into the quadratic part.
type branchLaw struct {
	linear    float64 // Pa/(kg/s)
	quadratic float64 // Pa/(kg/s)^2
	knee      float64 // kg/s below which the quadratic part becomes a cubic
	head      float64 // Pa, drives from From to To
	fanPa     float64 // Pa, greatest pressure of the fan; zero without one
	floor     float64 // Pa/(kg/s), least slope for Newton's matrix
	volume    float64 // m3/kg
	fan       *Fan    // nil when the fan is absorbed
	density   float64
}

// set derives the law of a branch from the density and viscosity of the air in
// it and its driving head.
func (l *branchLaw) set(b *Branch, density, viscosity, head, laminarBelowPa float64) {
	*l = branchLaw{head: head, density: density, volume: 1 / density}
	perKg := FanStandardDensityKgM3 * density // (rho/1.2) / rho^2
	l.linear = b.Resistance.LinearPaSM3 * viscosity / (standardViscosityPaS * density)
	l.quadratic = b.Resistance.QuadraticPaS2M6 / perKg
	if f := b.Fan; f != nil {
		s := f.SpeedRatio
		l.fanPa = density / FanStandardDensityKgM3 * s * s * f.Curve.blockedPa
		switch {
		case s < slowest:
			l.quadratic += f.Curve.restPa / perKg
			l.fanPa = 0
		case f.Curve.parabola:
			l.quadratic += f.Curve.restPa / perKg
			l.head += l.fanPa
		default:
			l.fan = f
		}
	}
	if l.quadratic > 0 {
		l.knee = math.Sqrt(laminarBelowPa / l.quadratic)
	}
	// A millionth of the slope at a flow that matters; never zero.
	l.floor = 1e-9*(l.linear+l.quadratic*l.knee) + 1e-12
}

// at is the pressure across the branch and its slope at a mass flow.
func (l *branchLaw) at(m float64) (drop, slope float64) {
	a := math.Abs(m)
	if a >= l.knee {
		drop, slope = l.quadratic*m*a, 2*l.quadratic*a
	} else {
		// Cubic with value and slope of the square law at the knee.
		c, x := l.quadratic*l.knee/2, m/l.knee
		drop, slope = c*m*(1+x*x), c*(1+3*x*x)
	}
	drop += l.linear*m - l.head
	slope += l.linear
	if l.fan != nil {
		p, dp := l.fan.rise(m*l.volume, l.density)
		drop -= p
		slope -= dp * l.volume
	}
	return drop, slope
}

// chord is a straight stand-in for the law through zero flow and the flow that
// a drop would drive, or a mass flow that is fed in: its value at zero flow
// and its slope.
func (l *branchLaw) chord(dropPa, fed float64) (atZero, slope float64) {
	atZero = -l.head
	m := fed
	if dropPa > 0 && l.quadratic > 0 {
		m = max(fed, 2*dropPa/(l.linear+math.Sqrt(l.linear*l.linear+4*l.quadratic*dropPa)))
	}
	slope = l.linear + l.quadratic*max(m, l.knee)
	if l.fan != nil {
		greatest := l.fan.Curve.maxFlow * l.fan.SpeedRatio * l.density
		slope += l.fanPa / greatest
		atZero -= l.fanPa
	}
	return atZero, slope
}
