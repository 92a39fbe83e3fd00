package electric

import (
	"fmt"
	"math"
)

// Gauge is an American wire gauge number (AWG). Zero stands for a gauge that
// nobody gave, never for 1/0 AWG, which does not occur inside a computer.
type Gauge int

// thickest and thinnest gauge accepted; what lies outside is a typing error.
const (
	thickestGauge Gauge = 1
	thinnestGauge Gauge = 40
)

// DiameterMM is the diameter of the bare solid wire in millimetres: ASTM B258,
// 0.127 mm at gauge 36, 39 steps of equal ratio to 0.46 inch at 4/0.
func (g Gauge) DiameterMM() float64 { return 0.127 * math.Pow(92, float64(36-g)/39) }

// AreaMM2 is the area of copper in square millimetres. A stranded wire of the
// same gauge has the same area.
func (g Gauge) AreaMM2() float64 {
	d := g.DiameterMM()
	return math.Pi / 4 * d * d
}

// check says that a gauge is one of the table's.
func (g Gauge) check() error {
	if g == 0 {
		return fmt.Errorf("has no gauge: give its AWG number or its area in mm2")
	}
	if g < thickestGauge || g > thinnestGauge {
		return fmt.Errorf("has gauge %d, outside AWG %d to %d: give its AWG number or its area in mm2",
			g, thickestGauge, thinnestGauge)
	}
	return nil
}

// Metal is what the wires are made of, referred to 20 degrees Celsius.
type Metal struct {
	// OhmMetre is the resistivity at 20 C in ohm metres, for instance
	// 1.7241e-8 for copper of 100 % IACS.
	OhmMetre float64
	// PerKelvin is the temperature coefficient of resistance at 20 C, for
	// instance 0.00393 for copper.
	PerKelvin float64
}

// referenceC is the temperature that resistivity tables refer to.
const referenceC = 20

func (m Metal) check() error {
	if !(m.OhmMetre > 0) || math.IsInf(m.OhmMetre, 0) {
		return fmt.Errorf("the wire metal has a resistivity of %g ohm m: give one above zero", m.OhmMetre)
	}
	if !(m.PerKelvin >= 0) || m.PerKelvin > 0.1 {
		return fmt.Errorf("the wire metal has a temperature coefficient of %g per K: give one between 0 and 0.1", m.PerKelvin)
	}
	return nil
}

// ohmsPerMetre is the resistance of a wire of the area at the temperature.
func (m Metal) ohmsPerMetre(areaMM2, tempC float64) float64 {
	return m.OhmMetre / (areaMM2 * 1e-6) * (1 + m.PerKelvin*(tempC-referenceC))
}

// Wire is a run of equal wires side by side that share a current equally.
type Wire struct {
	// Gauge is required unless AreaMM2 is given.
	Gauge Gauge
	// AreaMM2 is the copper area of one wire, for wires sold by area; zero
	// when Gauge is given.
	AreaMM2 float64
	// LengthMM is the length of one wire, one way, required. Exactly zero
	// stands for a joint without resistance.
	LengthMM Range
	// Count is the number of wires in parallel, required, 1 or more.
	Count int
	// TempC is the temperature of the copper. The zero Range is 0 C, not room
	// temperature: tables stand at 20 C.
	TempC Range
}

// area is the copper area of one wire in square millimetres.
func (w Wire) area() float64 {
	if w.AreaMM2 > 0 {
		return w.AreaMM2
	}
	return w.Gauge.AreaMM2()
}

// coldest and hottest copper a conductor may be said to have. Below, the
// coefficient's straight line stops holding; above, no insulation survives.
const (
	coldestC = -60
	hottestC = 300
)

// check returns the part of a sentence that follows the wire's name.
func (w Wire) check() error {
	if w.AreaMM2 != 0 {
		if w.Gauge != 0 {
			return fmt.Errorf("has both a gauge and an area: give one of them")
		}
		if !(w.AreaMM2 > 0.001 && w.AreaMM2 < 100) {
			return fmt.Errorf("has an area of %g mm2: give one between 0.001 and 100 mm2", w.AreaMM2)
		}
	} else if err := w.Gauge.check(); err != nil {
		return err
	}
	if err := w.LengthMM.checkNotNegative("length in mm"); err != nil {
		return fmt.Errorf("is wrong: its %w", err)
	}
	if w.Count < 1 {
		return fmt.Errorf("has %d wires: give the number of wires side by side, 1 for a single one", w.Count)
	}
	if err := w.TempC.Check("copper temperature in C"); err != nil {
		return fmt.Errorf("is wrong: its %w", err)
	}
	if w.TempC.Low < coldestC || w.TempC.High > hottestC {
		return fmt.Errorf("has copper between %g and %g C: give temperatures from %d to %d C",
			w.TempC.Low, w.TempC.High, coldestC, hottestC)
	}
	return nil
}

// Resistance is the resistance in ohms of the whole run, from one end to the
// other: length times resistance per metre at the copper's temperature over
// the number of wires. It errs when the wire is not fully described.
func (w Wire) Resistance(m Metal) (Range, error) {
	if err := m.check(); err != nil {
		return Range{}, err
	}
	if err := w.check(); err != nil {
		return Range{}, fmt.Errorf("the wire %w", err)
	}
	return w.resistance(m), nil
}

// resistance is Resistance of a wire that was checked.
func (w Wire) resistance(m Metal) Range {
	area := w.area()
	at := func(lengthMM, tempC float64) float64 {
		return m.ohmsPerMetre(area, tempC) * lengthMM / 1000 / float64(w.Count)
	}
	return Range{
		at(w.LengthMM.Low, w.TempC.Low),
		at(w.LengthMM.Nominal, w.TempC.Nominal),
		at(w.LengthMM.High, w.TempC.High),
	}
}
