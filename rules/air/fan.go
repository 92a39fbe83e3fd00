package air

import "fmt"

// Fan is a fan at work: a curve, and the speed as a share of the speed that
// the curve was published for.
type Fan struct {
	Curve *Curve
	// SpeedRatio is actual speed over the curve's speed, 0 to 3. Zero is a fan
	// at rest, which is a resistance.
	SpeedRatio float64
	// UpperEnvelope takes the upper of two envelopes of a humped curve. Solving
	// with either gives the range between which the real flow lies.
	UpperEnvelope bool
}

// greatestSpeedRatio bounds the fan laws: further from the measured speed
// neither they nor the fan hold.
const greatestSpeedRatio = 3

func (f *Fan) check() error {
	if f.Curve == nil {
		return fmt.Errorf("the fan has no curve; give points, or its greatest flow and greatest pressure")
	}
	return CheckRange("speed ratio of the fan", f.SpeedRatio, 0, greatestSpeedRatio, "")
}

// PressurePa is the pressure rise in Pa at a flow in m3/s through the fan and
// the density of the air in it (0.05 to 5 kg/m3). Back-flow is negative.
func (f Fan) PressurePa(flowM3S, densityKgM3 float64) (float64, error) {
	if err := f.check(); err != nil {
		return 0, err
	}
	if err := CheckRange("flow through a fan", flowM3S, -1e3, 1e3, "m3/s"); err != nil {
		return 0, err
	}
	if err := CheckRange("density of the air in a fan", densityKgM3, 0.05, 5, "kg/m3"); err != nil {
		return 0, err
	}
	p, _ := f.rise(flowM3S, densityKgM3)
	return p, nil
}

// slowest is the speed ratio below which a fan counts as standing.
const slowest = 1e-3

// rise is pressure (Pa) and slope (Pa/(m3/s)) at a volume flow.
func (f *Fan) rise(q, density float64) (pressure, slope float64) {
	d, s := density/FanStandardDensityKgM3, f.SpeedRatio
	if s < slowest {
		r := d * f.Curve.restPa
		if q < 0 {
			return r * q * q, 2 * r * q
		}
		return -r * q * q, -2 * r * q
	}
	h, dh := f.Curve.at(q/s, f.UpperEnvelope)
	return d * s * s * h, d * s * dh
}

// FanLaw scales one operating point of a fan to another speed, size and
// density (the similarity laws; ISO 5801 and AMCA 210 convert tests with
// them). A zero ratio counts as unchanged.
type FanLaw struct {
	Speed   float64 // new speed over old
	Size    float64 // new diameter over old
	Density float64 // new density over old
}

func (l FanLaw) ratios() (n, d, rho float64) {
	one := func(v float64) float64 {
		if v == 0 {
			return 1
		}
		return v
	}
	return one(l.Speed), one(l.Size), one(l.Density)
}

// Flow is the scaled flow: speed times size cubed; density leaves it alone.
func (l FanLaw) Flow(flow float64) float64 {
	n, d, _ := l.ratios()
	return flow * n * d * d * d
}

// Pressure is the scaled pressure: density times speed squared times size
// squared.
func (l FanLaw) Pressure(pressure float64) float64 {
	n, d, rho := l.ratios()
	return pressure * rho * n * n * d * d
}

// Power is the scaled shaft power: density times speed cubed times size to
// the fifth.
func (l FanLaw) Power(power float64) float64 {
	n, d, rho := l.ratios()
	return power * rho * n * n * n * d * d * d * d * d
}

// AirPowerW is the power that a flow in m3/s against a pressure in Pa takes,
// divided by the efficiency (above 0, up to 1) of fan and motor.
func AirPowerW(flowM3S, pressurePa, efficiency float64) (float64, error) {
	if err := CheckRange("flow through a fan", flowM3S, 0, 1e3, "m3/s"); err != nil {
		return 0, err
	}
	if err := CheckRange("pressure of a fan", pressurePa, 0, 1e6, "Pa"); err != nil {
		return 0, err
	}
	if err := CheckRange("efficiency of a fan", efficiency, 1e-4, 1, ""); err != nil {
		return 0, err
	}
	return flowM3S * pressurePa / efficiency, nil
}
