package standards

import (
	"fmt"
	"slices"
)

// MainsCaution belongs to every finding on mains wiring.
const MainsCaution = "The local electrical code and a licensed electrician override every figure given here."

var (
	srcNECDefinition = register("nec-100", "NFPA 70 (National Electrical Code)", "article 100, continuous load", Published)
	srcNECBranch     = register("nec-210.20", "NFPA 70 (National Electrical Code)", "210.19(A)(1) and 210.20(A)", Published)
	srcIEC60320      = register("iec-60320-1", "IEC 60320-1", "couplers, with the North American listing", Published)
	srcInrush        = register("tfx12v-2.0-2.1.2", "TFX12V power supply design guide 2.0", "section 2.1.2", Published)
	srcInrushMemory  = register("inrush-custom", "inrush of supplies at cold start", "", Memory)
	srcACPower       = register("ac-power", "power, apparent power and current", "", Derived)
	srcUPS           = register("ups-ratings", "ratings of an uninterruptible supply", "watts and volt-amperes both bound the load", Derived)
	srcUPSFactor     = register("ups-power-factor", "classic output power factor of uninterruptible supplies", "", CommonPractice)
)

// Figures of mains circuits.
var (
	// ContinuousHours is the time from which a load counts as continuous.
	ContinuousHours = figure("continuous load duration", 3, "h", srcNECDefinition)
	// ContinuousFactor is what conductors and breaker bear of a continuous load.
	ContinuousFactor = figure("branch circuit factor on continuous load", 1.25, "", srcNECBranch)
	// InrushLow and InrushHigh are usual cold-start peaks of a few ms.
	InrushLow  = figure("supply inrush, usual least", 30, "A", srcInrushMemory)
	InrushHigh = figure("supply inrush, usual most", 60, "A", srcInrushMemory)
	// UPSPowerFactor is the classic ratio of watts to volt-amperes.
	UPSPowerFactor = figure("uninterruptible supply output power factor, classic", 0.6, "", srcUPSFactor)
)

// InrushSource is the source of the rule that inrush stays below the surge
// rating of cord, switch, bridge, fuse and filter; it gives no amperes.
func InrushSource() Source { return srcInrush }

// BranchSource is the source of [ContinuousLimitA].
func BranchSource() Source { return srcNECBranch }

// ContinuousLimitA returns the largest continuous load in amperes on a breaker
// of some rating (1 to 1000 A) with other, not continuous, load beside it:
// 125 percent of the continuous plus 100 percent of the other load stays within
// the rating. fullyRated is for assemblies listed for 100 percent.
func ContinuousLimitA(breakerA, otherA float64, fullyRated bool) (float64, error) {
	if err := inRange("the breaker's rating", breakerA, 1, 1000, "A"); err != nil {
		return 0, err
	}
	if err := inRange("the other load", otherA, 0, breakerA, "A"); err != nil {
		return 0, err
	}
	if fullyRated {
		return breakerA - otherA, nil
	}
	return (breakerA - otherA) / ContinuousFactor.Value, nil
}

// Coupler is an appliance coupler of IEC 60320.
type Coupler struct {
	// Token is "c13", "c14", "c19" or "c20"; Mate is its partner.
	Token, Mate string
	// Inlet is true for the side on the supply.
	Inlet bool
	// InternationalA and NorthAmericaA are rated currents by listing.
	InternationalA, NorthAmericaA float64
	// Volt is the rated voltage, 0 where not read; PinCelsius the highest pin
	// temperature.
	Volt, PinCelsius float64
	// Source is that of the row.
	Source Source
}

var couplers = []Coupler{
	{"c13", "c14", false, 10, 15, 250, 70, srcIEC60320},
	{"c14", "c13", true, 10, 15, 250, 70, srcIEC60320},
	{"c19", "c20", false, 16, 20, 0, 70, srcIEC60320},
	{"c20", "c19", true, 16, 20, 0, 70, srcIEC60320},
}

// Couplers returns the appliance couplers.
func Couplers() []Coupler { return slices.Clone(couplers) }

// CouplerByToken returns one coupler, or an [UnknownTokenError].
func CouplerByToken(token string) (Coupler, error) {
	i := slices.IndexFunc(couplers, func(c Coupler) bool { return c.Token == token })
	if i < 0 {
		return Coupler{}, unknown(VocabCoupler, token)
	}
	return couplers[i], nil
}

// LimitA returns the rated current under the international or the North
// American listing.
func (c Coupler) LimitA(northAmerica bool) float64 {
	if northAmerica {
		return c.NorthAmericaA
	}
	return c.InternationalA
}

// ACLoad is what a supply draws from the mains.
type ACLoad struct {
	// Watt is the real power, VA the apparent power, Ampere the current.
	Watt, VA, Ampere float64
	// HeatW is what stays in the supply.
	HeatW float64
	// Source is that of the formulas.
	Source Source
}

// ACLoadOf returns the mains load of a supply that delivers dcW watts at an
// efficiency (0.05 to 1), a mains voltage (1 V up) and a power factor (0.05 to
// 1): P = dcW / efficiency, VA = P / factor, I = VA / V.
func ACLoadOf(dcW, efficiency, volts, powerFactor float64) (ACLoad, error) {
	if err := inRange("the delivered power", dcW, 0, maxPowerW, "W"); err != nil {
		return ACLoad{}, err
	}
	if err := inRange("the efficiency", efficiency, 0.05, 1, ""); err != nil {
		return ACLoad{}, err
	}
	if err := inRange("the mains voltage", volts, 1, maxVolt, "V"); err != nil {
		return ACLoad{}, err
	}
	if err := inRange("the power factor", powerFactor, 0.05, 1, ""); err != nil {
		return ACLoad{}, err
	}
	watt := dcW / efficiency
	va := watt / powerFactor
	return ACLoad{watt, va, va / volts, watt - dcW, srcACPower}, nil
}

// UPSCheck is the two-sided check of an uninterruptible supply.
type UPSCheck struct {
	// LimitW is rated VA times output power factor, LimitVA the rated VA.
	LimitW, LimitVA float64
	// LoadVA is the load's apparent power.
	LoadVA float64
	// WattOK and VAOK are the two halves; the supply bears the load only with
	// both.
	WattOK, VAOK bool
	// Source is that of the rule.
	Source Source
}

// OK reports whether both limits hold.
func (u UPSCheck) OK() bool { return u.WattOK && u.VAOK }

// CheckUPS compares a load (watts and power factor) with an uninterruptible
// supply's rating (VA and output power factor).
func CheckUPS(ratedVA, outputFactor, loadW, loadFactor float64) (UPSCheck, error) {
	if err := inRange("the uninterruptible supply's rating", ratedVA, 1, maxPowerW, "VA"); err != nil {
		return UPSCheck{}, err
	}
	if err := inRange("its output power factor", outputFactor, 0.05, 1, ""); err != nil {
		return UPSCheck{}, fmt.Errorf("the uninterruptible supply's watts cannot be worked out: %w", err)
	}
	load, err := ACLoadOf(loadW, 1, 1, loadFactor)
	if err != nil {
		return UPSCheck{}, fmt.Errorf("the load on the uninterruptible supply cannot be worked out: %w", err)
	}
	limitW := ratedVA * outputFactor
	return UPSCheck{limitW, ratedVA, load.VA, loadW <= limitW, load.VA <= ratedVA, srcUPS}, nil
}
