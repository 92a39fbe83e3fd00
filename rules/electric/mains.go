package electric

import "math"

// Inlet is a mains coupler: a supply's inlet with the cord that fits it.
type Inlet struct {
	Name   string
	RatedA float64 // in the country where it is used
}

// MarginA is the inlet's rating less the mains current, in amperes.
func (i Inlet) MarginA(amps Range) (Range, error) {
	if !(i.RatedA > 0 && i.RatedA <= mostAmps) {
		return Range{}, inputErrorf("inlet", i.Name, "is rated %g A: give its rating for the country of use", i.RatedA)
	}
	if err := amps.checkNotNegative("current in A"); err != nil {
		return Range{}, inputErrorf("inlet", i.Name, "is wrong: its %s", err)
	}
	return Exactly(i.RatedA).minus(amps), nil
}

// BranchCircuit is what stands behind a mains outlet. The local electrical
// code and a licensed electrician override what is worked out from it.
type BranchCircuit struct {
	Name     string
	BreakerA float64
	// ContinuousShare is the share of the breaker that a load of three hours
	// or more may take, 0.8 where the code asks for 125 %.
	ContinuousShare float64
	// OtherContinuousA and OtherA are the currents of what else hangs on the
	// circuit, for hours on end and for a shorter time.
	OtherContinuousA, OtherA Range
}

// BranchCheck is how a load stands against its branch circuit.
type BranchCheck struct {
	LimitA  Range // left for this load
	MarginA Range // limit less current
	Share   Range // of the breaker, this load alone
}

// Check holds a current against the circuit: what is left for a continuous
// load is ContinuousShare of the breaker after the short loads, less the other
// continuous ones; for a short load, the breaker less the others with the
// continuous ones enlarged by the same share.
func (b BranchCircuit) Check(amps Range, continuous bool) (BranchCheck, error) {
	const kind = "branch circuit"
	if !(b.BreakerA > 0 && b.BreakerA <= mostAmps) {
		return BranchCheck{}, inputErrorf(kind, b.Name, "has a breaker of %g A: give the amperes on its breaker", b.BreakerA)
	}
	if !(b.ContinuousShare > 0 && b.ContinuousShare <= 1) {
		return BranchCheck{}, inputErrorf(kind, b.Name, "allows %g of its breaker to continuous loads: give a share above 0 up to 1", b.ContinuousShare)
	}
	for _, r := range [3]Range{amps, b.OtherContinuousA, b.OtherA} {
		if err := r.checkNotNegative("current in A"); err != nil {
			return BranchCheck{}, inputErrorf(kind, b.Name, "is wrong: a %s", err)
		}
		if r.High > mostAmps {
			return BranchCheck{}, inputErrorf(kind, b.Name, "is to carry %g A: give its currents in A", r.High)
		}
	}
	var limit Range
	if continuous {
		limit = Exactly(b.BreakerA).minus(b.OtherA).scale(b.ContinuousShare).minus(b.OtherContinuousA)
	} else {
		limit = Exactly(b.BreakerA).minus(b.OtherA).minus(b.OtherContinuousA.scale(1 / b.ContinuousShare))
	}
	return BranchCheck{LimitA: limit, MarginA: limit.minus(amps), Share: amps.scale(1 / b.BreakerA)}, nil
}

// UPS is an uninterruptible supply as its label describes it.
type UPS struct {
	Name string
	VA   float64
	// OutputFactor is the watts it gives for each of its volt-amperes, above 0
	// up to 1; small ones have had 0.6.
	OutputFactor float64
	// BatteryWh is the energy of its battery in watt hours and Efficiency that
	// of its inverter. Both zero when they are not known.
	BatteryWh, Efficiency Range
}

// UPSCheck is how a load stands against both limits of a UPS.
type UPSCheck struct {
	WattsLimit float64
	MarginW    Range
	MarginVA   Range
	// Minutes is how long the battery's energy lasts at this load, zero when
	// the battery is not known. A battery gives less than its energy when it
	// is emptied within minutes or has aged: plan on half.
	Minutes Range
}

// Check holds a mains load, in watts with its power factor, against the UPS.
// Both its watts and its volt-amperes have to suffice.
func (u UPS) Check(mainsW, powerFactor Range) (UPSCheck, error) {
	const kind = "UPS"
	if !(u.VA > 0 && u.VA <= mostWatts) || !(u.OutputFactor > 0 && u.OutputFactor <= 1) {
		return UPSCheck{}, inputErrorf(kind, u.Name, "has %g VA at an output factor of %g: give its VA and a factor above 0 up to 1", u.VA, u.OutputFactor)
	}
	if err := checkMainsLoad(mainsW, powerFactor); err != nil {
		return UPSCheck{}, inputErrorf(kind, u.Name, "cannot be checked: %s", err)
	}
	c := UPSCheck{WattsLimit: u.VA * u.OutputFactor}
	c.MarginW = Exactly(c.WattsLimit).minus(mainsW)
	c.MarginVA = Exactly(u.VA).minus(mainsW.over(powerFactor))
	if u.BatteryWh == (Range{}) || u.Efficiency == (Range{}) {
		return c, nil
	}
	if u.BatteryWh.checkPositive("") != nil || u.Efficiency.checkPositive("") != nil || u.Efficiency.High > 1 || u.BatteryWh.High > mostWatts {
		return UPSCheck{}, inputErrorf(kind, u.Name, "has a battery of %g Wh and an efficiency of %g: give Wh above zero and an efficiency above 0 up to 1",
			u.BatteryWh.Nominal, u.Efficiency.Nominal)
	}
	c.Minutes = u.BatteryWh.times(u.Efficiency).over(mainsW).scale(60)
	return c, finite("the run time of the UPS", c.Minutes.High, c.MarginVA.Low)
}

func checkMainsLoad(mainsW, powerFactor Range) error {
	if err := mainsW.checkPositive("the load in W"); err != nil {
		return err
	}
	if err := powerFactor.checkPositive("the power factor"); err != nil {
		return err
	}
	if powerFactor.High > 1 || mainsW.High > mostWatts {
		return inputErrorf("load", "mains", "has %g W at a power factor of %g: give W, and a factor up to 1", mainsW.High, powerFactor.High)
	}
	return nil
}

// SizeUPS is the volt-amperes that a UPS needs for a mains load so that
// reserveShare of both its limits stays free: the greater of the load's
// volt-amperes and its watts over the UPS's output factor.
func SizeUPS(mainsW, powerFactor Range, outputFactor, reserveShare float64) (Range, error) {
	if err := checkMainsLoad(mainsW, powerFactor); err != nil {
		return Range{}, err
	}
	if !(outputFactor > 0 && outputFactor <= 1) || !(reserveShare >= 0 && reserveShare < 1) {
		return Range{}, inputErrorf("UPS", "to be chosen", "has an output factor of %g and a reserve of %g: give a factor above 0 up to 1, a reserve from 0 to below 1",
			outputFactor, reserveShare)
	}
	va := mainsW.over(powerFactor).greater(mainsW.scale(1 / outputFactor)).scale(1 / (1 - reserveShare))
	return va, finite("the size of the UPS", va.High, math.Abs(va.Low))
}
