package electric

import (
	"cmp"
	"fmt"
	"slices"
)

// Demand is what a build asks of its supply, in watts at the supply.
type Demand struct {
	TypicalW   Range // what it draws most of the time it works
	SustainedW Range // the most it draws for a second or more
	Peaks      []Peak
}

// SizingPolicy is how a supply's size is chosen.
type SizingPolicy struct {
	// ReserveShare of the capacity stays free under the sustained demand.
	ReserveShare float64
	// PlateauLow and PlateauHigh are the shares of the rating between which
	// the efficiency is near its best.
	PlateauLow, PlateauHigh float64
	// IntakeC is the temperature of the air that the supply takes in.
	IntakeC Range
	// SizesW are the ratings that can be had, in watts.
	SizesW []float64
}

// SizingReason is why a supply needs a rating.
type SizingReason uint8

// The reasons that set a least rating.
const (
	ReasonReserve   SizingReason = iota // sustained demand plus reserve
	ReasonPeak                          // height of a peak for its duration
	ReasonPeakOnRMS                     // root mean square of peak and base
)

// String names a reason in words.
func (r SizingReason) String() string {
	return [...]string{"reserve over the sustained demand", "height of a peak for its duration", "root mean square of peaks and base"}[r]
}

// SizingNeed is one reason with the rating that it asks for.
type SizingNeed struct {
	Reason SizingReason
	Peak   int     // index of the peak, -1 for the reserve
	RatedW float64 // at the unfavourable ends of all ranges
}

// Sizing is a recommended rating and its reasons.
type Sizing struct {
	Needs  []SizingNeed // the greatest first
	LeastW float64      // what the greatest need asks for
	// SizeW is the smallest rating on offer that meets every need; zero when
	// none does.
	SizeW float64
	// PlateauW holds the ratings at which the typical load lies on the
	// efficiency plateau: Low at its upper end, High at its lower. Advice only.
	PlateauW Range
	// QuietFromW is the rating from which the typical load stays below the
	// quiet share; zero when the supply's quiet share is not known. Advice only.
	QuietFromW float64
	// SustainedShare and TypicalShare are of SizeW; zero when there is none.
	SustainedShare, TypicalShare Range
}

// Size recommends a rating for supplies that are like s in derating,
// excursions and quiet share; its own rating does not matter.
func (s Supply) Size(d Demand, p SizingPolicy) (Sizing, error) {
	if err := checkSizing(d, p); err != nil {
		return Sizing{}, s.faultf("cannot be sized: %s", err)
	}
	left, err := s.derated(p.IntakeC)
	if err != nil {
		return Sizing{}, err
	}
	if left.Low <= 0 {
		return Sizing{}, s.faultf("has no power left at %g C: bring it cooler air", p.IntakeC.High)
	}
	if len(d.Peaks) > 0 {
		if err := s.checkExcursions(); err != nil {
			return Sizing{}, err
		}
	}
	out := Sizing{Needs: s.needs(d, p.ReserveShare, left.Low)}
	out.LeastW = out.Needs[0].RatedW
	typical := d.TypicalW.Nominal
	out.PlateauW = Range{typical / p.PlateauHigh, 2 * typical / (p.PlateauLow + p.PlateauHigh), typical / p.PlateauLow}
	if s.QuietShare > 0 && s.QuietShare <= 1 {
		out.QuietFromW = d.TypicalW.High / s.QuietShare
	}
	for _, size := range slices.Sorted(slices.Values(p.SizesW)) {
		if size >= out.LeastW {
			out.SizeW = size
			out.SustainedShare, out.TypicalShare = d.SustainedW.scale(1/size), d.TypicalW.scale(1/size)
			break
		}
	}
	return out, finite("the size of supply \""+s.Name+"\"", out.LeastW, out.PlateauW.High, out.QuietFromW)
}

// needs lists the ratings that a demand asks for, the greatest first. Left is
// the share of the rating that the intake's temperature leaves.
func (s Supply) needs(d Demand, reserve, left float64) []SizingNeed {
	needs := []SizingNeed{{ReasonReserve, -1, d.SustainedW.High / (1 - reserve) / left}}
	for i, peak := range d.Peaks {
		share, _ := s.rowFor(peak.Seconds)
		needs = append(needs,
			SizingNeed{ReasonPeak, i, peak.Watts.High / share / left},
			SizingNeed{ReasonPeakOnRMS, i, rms(d.SustainedW.High, peak.Watts.High, peak.Duty) / left})
	}
	slices.SortStableFunc(needs, func(a, b SizingNeed) int { return cmp.Compare(b.RatedW, a.RatedW) })
	return needs
}

func checkSizing(d Demand, p SizingPolicy) error {
	for _, q := range []struct {
		r    Range
		what string
	}{{d.TypicalW, "the typical demand in W"}, {d.SustainedW, "the sustained demand in W"}} {
		if err := q.r.checkPositive(q.what); err != nil {
			return err
		}
		if q.r.High > mostWatts {
			return fmt.Errorf("%s is %g: give it in W", q.what, q.r.High)
		}
	}
	for i, peak := range d.Peaks {
		if err := checkPeak(d.SustainedW, peak); err != nil {
			return fmt.Errorf("in peak %d, %w", i+1, err)
		}
	}
	if !(p.ReserveShare >= 0 && p.ReserveShare < 0.95) {
		return fmt.Errorf("the reserve is %g: give a share of the capacity from 0 to below 0.95", p.ReserveShare)
	}
	if !(p.PlateauLow > 0.01 && p.PlateauLow <= p.PlateauHigh && p.PlateauHigh <= 1) {
		return fmt.Errorf("the efficiency plateau runs from %g to %g: give rising shares up to 1", p.PlateauLow, p.PlateauHigh)
	}
	for _, size := range p.SizesW {
		if !(size > 0 && size <= mostWatts) {
			return fmt.Errorf("a size of %g W is on offer: give ratings in W", size)
		}
	}
	return nil
}

// Use is one way in which a computer spends a part of its week.
type Use struct {
	Name         string
	HoursPerWeek Range
	OutputW      Range // of the supply
}

// Profile is how a computer spends its week. What the uses leave of the 168
// hours it is switched off and takes OffW from the mains.
type Profile struct {
	Uses []Use
	OffW Range
}

const (
	hoursPerWeek = 168
	weeksPerYear = 365.2425 / 7
)

// KWhPerYear is the mains energy of a profile in kilowatt hours a year.
func (s Supply) KWhPerYear(p Profile) (Range, error) {
	if err := p.OffW.checkNotNegative("draw in W when switched off"); err != nil {
		return Range{}, s.faultf("is wrong: its %s", err)
	}
	watthours, hours := p.OffW.scale(hoursPerWeek), 0.0
	for _, u := range p.Uses {
		if err := u.HoursPerWeek.checkNotNegative("hours a week"); err != nil {
			return Range{}, inputErrorf("use", u.Name, "is wrong: its %s", err)
		}
		draw, err := s.Draw(u.OutputW)
		if err != nil {
			return Range{}, fmt.Errorf("in use %q: %w", u.Name, err)
		}
		hours += u.HoursPerWeek.High
		watthours = watthours.plus(aboveOff(u.HoursPerWeek, draw.MainsW, p.OffW))
	}
	if hours > hoursPerWeek*(1+shareSlack) {
		return Range{}, s.faultf("is used up to %g hours a week: give uses of 168 hours at most", hours)
	}
	kWh := watthours.scale(weeksPerYear / 1000)
	return kWh, finite("the energy of a year", kWh.Low, kWh.Nominal, kWh.High)
}

// aboveOff is the watt hours a week that a use takes above what the computer
// would take switched off. More hours are more energy only when the use takes
// more than that.
func aboveOff(hours, mainsW, offW Range) Range {
	low, high := mainsW.Low-offW.Low, mainsW.High-offW.High
	return Range{
		min(hours.Low*low, hours.High*low),
		hours.Nominal * (mainsW.Nominal - offW.Nominal),
		max(hours.Low*high, hours.High*high),
	}
}

// CostPerYear is the price of a year's energy, in the currency of the price
// per kilowatt hour.
func (s Supply) CostPerYear(p Profile, pricePerKWh Range) (Range, error) {
	if err := pricePerKWh.checkNotNegative("price of a kWh"); err != nil {
		return Range{}, err
	}
	kWh, err := s.KWhPerYear(p)
	if err != nil {
		return Range{}, err
	}
	cost := kWh.times(pricePerKWh)
	return cost, finite("the cost of a year", cost.Low, cost.Nominal, cost.High)
}
