package electric

import (
	"fmt"
	"math"
)

// ExcursionRow is one row of a supply's table of short peaks: for up to
// Seconds, in up to Duty of the time, it gives up to Share of its rating.
type ExcursionRow struct {
	Seconds float64
	Share   float64 // of the rating, 1 or more
	Duty    float64 // above 0, up to 1
}

// Peak is a short draw above the sustained one that comes again and again.
type Peak struct {
	Watts   Range   // at the supply, everything it feeds together
	Seconds float64 // how long one lasts
	Duty    float64 // share of the time that peaks take
}

// ExcursionCheck is how a peak stands against a supply.
type ExcursionCheck struct {
	LimitW    float64 // for one peak of this duration
	MarginW   Range   // limit less peak
	DutyLimit float64 // share of the time that the row allows
	RMSW      Range   // of peak and base together
	RMSMargin Range   // rating less RMSW, W
	// BaseW is the base load beside which the root mean square over a whole
	// period equals the rating; zero when the peak alone passes it.
	BaseW float64
}

// Excursion checks a peak on top of a base load. The row that counts is the
// shortest one that is at least as long as the peak; a peak longer than all
// rows is held to the rating. Peak and base together must not pass the rating
// as a root mean square either.
func (s Supply) Excursion(baseW Range, p Peak) (ExcursionCheck, error) {
	if err := s.checkRating(); err != nil {
		return ExcursionCheck{}, err
	}
	if err := s.checkExcursions(); err != nil {
		return ExcursionCheck{}, err
	}
	if err := checkPeak(baseW, p); err != nil {
		return ExcursionCheck{}, s.faultf("cannot be checked: %s", err)
	}
	share, duty := s.rowFor(p.Seconds)
	c := ExcursionCheck{LimitW: share * s.RatedW, DutyLimit: duty}
	c.MarginW = Exactly(c.LimitW).minus(p.Watts)
	c.RMSW = Range{rms(baseW.Low, p.Watts.Low, p.Duty), rms(baseW.Nominal, p.Watts.Nominal, p.Duty), rms(baseW.High, p.Watts.High, p.Duty)}
	c.RMSMargin = Exactly(s.RatedW).minus(c.RMSW)
	if base, err := BaseW(s.RatedW, p.Watts.High, p.Duty); err == nil {
		c.BaseW = base
	}
	return c, nil
}

func (s Supply) checkExcursions() error {
	if len(s.Excursions) == 0 {
		return s.faultf("has no table of excursions: give its rows, or the form factor guide's")
	}
	for i, r := range s.Excursions {
		if !(r.Seconds > 0 && r.Seconds <= mostSeconds) || !(r.Share >= 1 && r.Share <= 10) || !(r.Duty > 0 && r.Duty <= 1) {
			return s.faultf("has an excursion row %d of %g s, share %g, duty %g: give seconds above 0, a share of 1 to 10, a duty above 0 up to 1",
				i+1, r.Seconds, r.Share, r.Duty)
		}
		if i > 0 && (r.Seconds <= s.Excursions[i-1].Seconds || r.Share > s.Excursions[i-1].Share) {
			return s.faultf("has excursion rows out of order at row %d: list them by rising duration and falling share", i+1)
		}
	}
	return nil
}

// rowFor is the share and duty allowed for a peak of a duration.
func (s Supply) rowFor(seconds float64) (share, duty float64) {
	for _, r := range s.Excursions {
		if seconds <= r.Seconds {
			return r.Share, r.Duty
		}
	}
	return 1, 1
}

func checkPeak(baseW Range, p Peak) error {
	if err := baseW.checkNotNegative("the base load in W"); err != nil {
		return err
	}
	if err := p.Watts.checkNotNegative("the peak in W"); err != nil {
		return err
	}
	if max(baseW.High, p.Watts.High) > 10*mostWatts {
		return fmt.Errorf("the peak is %g W: give its power in W", p.Watts.High)
	}
	return checkDuty(p)
}

func checkDuty(p Peak) error {
	if !(p.Seconds > 0 && p.Seconds <= mostSeconds) {
		return fmt.Errorf("the peak lasts %g s: give a duration above zero", p.Seconds)
	}
	if !(p.Duty > 0 && p.Duty < 1) {
		return fmt.Errorf("the peak takes %g of the time: give a share between 0 and 1", p.Duty)
	}
	return nil
}

// rms is the root mean square of a peak and a base that alternate.
func rms(base, peak, duty float64) float64 { return math.Sqrt(duty*peak*peak + (1-duty)*base*base) }

// BaseW is the base load in watts that makes the root mean square of base and
// peak equal to the rating: sqrt((rating^2 - duty peak^2) / (1 - duty)). It
// errs when the peak alone passes the rating.
func BaseW(ratedW, peakW, duty float64) (float64, error) {
	if !(ratedW > 0) || !(peakW >= 0) || max(ratedW, peakW) > 10*mostWatts || !(duty > 0 && duty < 1) {
		return 0, fmt.Errorf("a rating of %g W with peaks of %g W at a duty of %g cannot be balanced: give watts above zero and a duty between 0 and 1",
			ratedW, peakW, duty)
	}
	square := (ratedW*ratedW - duty*peakW*peakW) / (1 - duty)
	if square < -shareSlack*ratedW*ratedW {
		return 0, fmt.Errorf("peaks of %g W in %g of the time pass %g W as a root mean square on their own: take a larger supply, or rarer peaks",
			peakW, duty, ratedW)
	}
	return math.Sqrt(max(0, square)), nil
}

// RestSeconds is the time between peaks that keeps a duty: seconds / duty -
// seconds.
func (p Peak) RestSeconds() (float64, error) {
	if err := checkDuty(p); err != nil {
		return 0, err
	}
	rest := p.Seconds/p.Duty - p.Seconds
	return rest, finite("the rest between peaks", rest)
}
