package electric

import (
	"fmt"
	"math"
)

// Supply is a power supply as its label and its measurements describe it. A
// method that needs a field which is missing returns an error that names it.
type Supply struct {
	Name string
	// RatedW is the sustained output power in watts, required.
	RatedW float64
	// Derating is the share of the rating (0 to 1) that is left, by the
	// temperature in C of the air that the supply takes in.
	Derating Curve
	// Excursions is the table of short peaks by duration.
	Excursions []ExcursionRow
	// Efficiency is output over input (0 to 1) by share of the rating. Values
	// of a certification are the low ends of their ranges.
	Efficiency Curve
	// PowerFactor is watts over volt-amperes at the inlet.
	PowerFactor Range
	// QuietShare is the share of the rating up to which the supply's fan
	// stands still or runs at its least; zero when it is not known.
	QuietShare float64
}

func (s Supply) faultf(format string, args ...any) error {
	return inputErrorf("supply", s.Name, format, args...)
}

func (s Supply) checkRating() error {
	if err := Exactly(s.RatedW).checkPositive("rating in W"); err != nil {
		return s.faultf("is wrong: its %s", err)
	}
	if s.RatedW > mostWatts {
		return s.faultf("is rated %g W: give its rating in W", s.RatedW)
	}
	return nil
}

// CapacityW is the sustained power in watts that is left at a temperature of
// the air that the supply takes in: the rating times the derating, piecewise
// straight. Below the first point the curve is level; above the last nothing
// is promised, and the answer is an error.
func (s Supply) CapacityW(intakeC Range) (Range, error) {
	if err := s.checkRating(); err != nil {
		return Range{}, err
	}
	left, err := s.derated(intakeC)
	return left.scale(s.RatedW), err
}

// derated is the share of the rating left at an intake temperature.
func (s Supply) derated(intakeC Range) (Range, error) {
	if err := s.Derating.Check("its derating", 0, 1); err != nil {
		return Range{}, s.faultf("is not described: %s", err)
	}
	for i := 1; i < len(s.Derating); i++ {
		if a, b := s.Derating[i-1].Y, s.Derating[i].Y; b.Low > a.Low || b.Nominal > a.Nominal || b.High > a.High {
			return Range{}, s.faultf("gives more power at %g C than at %g C: give a derating that falls", s.Derating[i].X, s.Derating[i-1].X)
		}
	}
	if err := intakeC.Check("intake temperature in C"); err != nil {
		return Range{}, s.faultf("is wrong: its %s", err)
	}
	if last := s.Derating.last(); intakeC.High > last {
		return Range{}, s.faultf("promises nothing above %g C and takes in air of %g C: bring it cooler air", last, intakeC.High)
	}
	return Range{s.Derating.at(intakeC.High).Low, s.Derating.at(intakeC.Nominal).Nominal, s.Derating.at(intakeC.Low).High}, nil
}

// Draw is what a supply takes from the mains to give an output.
type Draw struct {
	Share      Range // of the rating
	Efficiency Range
	HeatW      Range // turned to heat inside the supply
	MainsW     Range
	MainsVA    Range
}

// Draw works out the mains side of an output of dcW watts: input = output over
// efficiency, volt-amperes = input over power factor. The ends of the answer
// are the ends that any load within the range can bring. It errs above the
// last point of the efficiency curve.
func (s Supply) Draw(dcW Range) (Draw, error) {
	if err := s.PowerFactor.checkPositive("power factor"); err != nil {
		return Draw{}, s.faultf("is wrong: its %s", err)
	}
	if s.PowerFactor.High > 1 {
		return Draw{}, s.faultf("has a power factor of %g: give one up to 1", s.PowerFactor.High)
	}
	if err := s.checkOutput(dcW); err != nil {
		return Draw{}, err
	}
	d := Draw{Share: dcW.scale(1 / s.RatedW)}
	loss := s.lossAt(d.Share.Nominal)
	eta := Exactly(0)
	if d.Share.Nominal > 0 {
		eta = Exactly(d.Share.Nominal / (d.Share.Nominal + loss.Nominal))
	}
	heat, mains := Exactly(loss.Nominal), Exactly(d.Share.Nominal+loss.Nominal)
	for _, x := range s.turningShares(d.Share) {
		loss := s.lossAt(x)
		heat.Low, heat.High = min(heat.Low, loss.Low), max(heat.High, loss.High)
		mains.Low, mains.High = min(mains.Low, x+loss.Low), max(mains.High, x+loss.High)
		if x > 0 {
			eta.Low, eta.High = min(eta.Low, x/(x+loss.High)), max(eta.High, x/(x+loss.Low))
		} else {
			eta.Low = 0
		}
	}
	d.Efficiency, d.HeatW, d.MainsW = eta, heat.scale(s.RatedW), mains.scale(s.RatedW)
	d.MainsVA = d.MainsW.over(s.PowerFactor)
	return d, finite("the mains side of supply \""+s.Name+"\"", d.MainsVA.Low, d.MainsVA.Nominal, d.MainsVA.High)
}

// Amps is the mains current at a mains voltage.
func (d Draw) Amps(mainsV Range) (Range, error) {
	if err := mainsV.checkPositive("mains voltage"); err != nil {
		return Range{}, err
	}
	amps := d.MainsVA.over(mainsV)
	if !amps.finite() {
		return Range{}, fmt.Errorf("the mains voltage is %g V: give the outlet's voltage in V", mainsV.Low)
	}
	return amps, nil
}

// shareSlack lets rounding pass at the very end of a curve.
const shareSlack = 1e-9

// checkOutput says whether the mains side of an output can be worked out.
func (s Supply) checkOutput(dcW Range) error {
	if err := s.checkRating(); err != nil {
		return err
	}
	if err := s.Efficiency.Check("its efficiency", 0.01, 1); err != nil {
		return s.faultf("is not described: %s", err)
	}
	if s.Efficiency[0].X <= 0 {
		return s.faultf("has an efficiency at a share of %g: give points above no load", s.Efficiency[0].X)
	}
	if err := dcW.checkNotNegative("output in W"); err != nil {
		return s.faultf("is wrong: its %s", err)
	}
	if last := s.Efficiency.last(); dcW.High/s.RatedW > last+shareSlack {
		return s.faultf("is asked for %.0f W, beyond the %.0f W up to which its efficiency is known: take a larger one",
			dcW.High, last*s.RatedW)
	}
	return nil
}

// lossAt is the heat at one share of the rating, as a share of the rating.
// Below the first point of the efficiency curve it lies between two readings
// of that point: all of its loss stays whatever the load (high end), or the
// loss falls with the load (low end). The expected value lets half of the loss
// stay, which is this package's estimate.
func (s Supply) lossAt(share float64) Range {
	lost := func(x, eta float64) float64 { return x * (1/eta - 1) }
	first := s.Efficiency[0]
	if share >= first.X {
		eta := s.Efficiency.at(share)
		return Range{lost(share, eta.High), lost(share, eta.Nominal), lost(share, eta.Low)}
	}
	return Range{
		lost(share, first.Y.High),
		(lost(first.X, first.Y.Nominal) + lost(share, first.Y.Nominal)) / 2,
		lost(first.X, first.Y.Low),
	}
}

// turningShares are the shares within a range at which efficiency, heat or
// input can have an extreme: the ends, the points of the curve, and where the
// heat of a stretch of steeply rising efficiency peaks. Along eta = a + b x the
// heat x/eta - x has its one extreme at eta = sqrt(a).
func (s Supply) turningShares(share Range) []float64 {
	at := []float64{share.Low, share.High}
	within := func(x float64) {
		if x > share.Low && x < share.High {
			at = append(at, x)
		}
	}
	for i, q := range s.Efficiency {
		within(q.X)
		if i == 0 {
			continue
		}
		p := s.Efficiency[i-1]
		b := (q.Y.Low - p.Y.Low) / (q.X - p.X)
		a := p.Y.Low - b*p.X
		if b <= 0 || a <= 0 {
			continue
		}
		if x := (math.Sqrt(a) - a) / b; x > p.X && x < q.X {
			within(x)
		}
	}
	return at
}

// BestW is the output in watts at the point of the curve with the highest
// expected efficiency, the lowest such output when several are equal.
func (s Supply) BestW() (float64, error) {
	if err := s.checkOutput(Range{}); err != nil {
		return 0, err
	}
	best := s.Efficiency[0]
	for _, p := range s.Efficiency[1:] {
		if p.Y.Nominal > best.Y.Nominal {
			best = p
		}
	}
	return best.X * s.RatedW, nil
}

// QuietW is the output in watts up to which the supply stays quiet.
func (s Supply) QuietW() (float64, error) {
	if err := s.checkRating(); err != nil {
		return 0, err
	}
	if !(s.QuietShare > 0 && s.QuietShare <= 1) {
		return 0, s.faultf("does not say up to which share of its rating it stays quiet: give a share above 0 and up to 1")
	}
	return s.QuietShare * s.RatedW, nil
}
