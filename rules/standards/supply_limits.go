package standards

import (
	"fmt"
	"math"
	"slices"
	"time"
)

const (
	multiRail  = "ATX version 3.0 multi-rail desktop platform power supply design guide (document 336521)"
	singleRail = "ATX12VO single-rail desktop platform power supply design guide (document 613768), revision 2.01"
)

var (
	srcGuideRails      = register("atx3-table4-2", multiRail, "table 4-2", Published)
	srcGuideArithmetic = register("atx3-table4-2-arithmetic", multiRail, "table 4-2, 12 V less 7 percent", Derived)
	srcOlderRails      = register("atx12v2-table2", "ATX12V 2.x and TFX12V 2.0 power supply design guides", "table 2", Published)
	srcGuideCard       = register("atx3-table3-5", multiRail, "table 3-5", Published)
	srcGuideAux        = register("atx3-5.2.2.4.3", multiRail, "section 5.2.2.4.3", Published)
	srcExcursion       = register("atx12vo-table3-3", singleRail, "table 3-3", Published)
	srcExcursionTest   = register("atx12vo-table3-4", singleRail, "table 3-4", Published)
	srcProcessor       = register("atx3-table2-1", multiRail, "table 2-1", Published)
	srcEnergyHazard    = register("atx3-table2-1-note1", multiRail, "table 2-1, note 1", Published)
	srcHoldUp30        = register("atx3-table4-10", multiRail+", revision 2.01", "tables 4-9 and 4-10", Published)
	srcHoldUp31        = register("atx3.1-table4-10", multiRail+", revision 2.1a", "tables 4-9 and 4-10", Published)
	srcLoadStep        = register("atx3-table4-3", multiRail, "table 4-3", Published)
	srcACInput         = register("tfx12v-2.0-table1", "TFX12V power supply design guide 2.0", "table 1", Published)
	srcGuideWire       = register("atx3-5.2", multiRail, "section 5.2", Published)
)

// Guides whose rail limits are known, for [RailLimitFor].
const (
	// GuideATX3 is the design guide of ATX 3.x, at the load end of the harness.
	GuideATX3 = "atx-3"
	// GuideATX12V2 is the older design guide, ATX12V 2.x.
	GuideATX12V2 = "atx12v-2"
	// GuideCard is the add-in card's side: edge and auxiliary connectors.
	GuideCard = "add-in-card"
)

// Rails of a supply, as limits and connectors name them.
const (
	Rail12V     = "+12V"
	Rail5V      = "+5V"
	Rail3V3     = "+3.3V"
	RailStandby = "+5VSB"
	RailMinus12 = "-12V"
)

// RailLimit is the voltage range that a guide allows on a rail.
type RailLimit struct {
	// Guide and Rail are the keys.
	Guide, Rail string
	// LowV, NominalV and HighV are in order of size.
	LowV, NominalV, HighV float64
	// Source is that of the row.
	Source Source
}

var railLimits = []RailLimit{
	{GuideATX3, Rail12V, 11.20, 12, 12.60, srcGuideRails},
	{GuideATX3, Rail5V, 4.75, 5, 5.25, srcGuideRails},
	{GuideATX3, RailStandby, 4.75, 5, 5.25, srcGuideRails},
	{GuideATX3, Rail3V3, 3.14, 3.3, 3.47, srcGuideRails},
	{GuideATX3, RailMinus12, -13.20, -12, -10.80, srcGuideRails},
	{GuideATX12V2, Rail12V, 11.40, 12, 12.60, srcOlderRails},
	{GuideCard, Rail12V, 11.04, 12, 12.60, srcGuideCard},
}

// RailLimits returns the voltage limits of rails.
func RailLimits() []RailLimit { return slices.Clone(railLimits) }

// RailLimitFor returns a guide's limit for a rail.
func RailLimitFor(guide, rail string) (RailLimit, error) {
	for _, r := range railLimits {
		if r.Guide == guide && r.Rail == rail {
			return r, nil
		}
	}
	return RailLimit{}, fmt.Errorf("no limit is known for rail %q in guide %q; guides are %s, %s and %s, rails %s, %s, %s, %s and %s",
		rail, guide, GuideATX3, GuideATX12V2, GuideCard, Rail12V, Rail5V, Rail3V3, RailStandby, RailMinus12)
}

// Figures of supplies' outputs.
var (
	// Rail12VArithmetic is 12 V less 7 percent; the guide's table prints 11.20 V.
	Rail12VArithmetic = figure("+12 V low limit by arithmetic", 11.16, "V", srcGuideArithmetic)
	// EnergyHazard is the power at which a rail counts as an energy hazard,
	// and EnergyHazardCurrent the current above which 12 V must be split where
	// that limit is claimed.
	EnergyHazard        = figure("energy hazard limit", 240, "VA", srcEnergyHazard)
	EnergyHazardCurrent = figure("+12 V current above which rails are split", 18, "A", srcEnergyHazard)
	// AuxRequiredAbove is the rated power above which a supply must bring a
	// 12VHPWR or 12V-2x6 connector.
	AuxRequiredAbove = figure("rated power above which 12VHPWR is required", 450, "W", srcGuideAux)
)

// Excursion is a short overload that a supply has to bear.
type Excursion struct {
	// HighPower rows hold for supplies above 450 W with a 12VHPWR or 12V-2x6
	// connector, the others for the rest.
	HighPower bool
	// Duration is the longest time of the peak; DutyShare its share of a
	// period (1 for continuous).
	Duration  time.Duration
	DutyShare float64
	// Share is the peak as a multiple of rated power.
	Share float64
	// Source is that of the row.
	Source Source
}

// Continuous is the duration of the last excursion row: no excursion at all.
const Continuous = time.Duration(math.MaxInt64)

var excursions = []Excursion{
	{true, 100 * time.Microsecond, 0.05, 2.00, srcExcursion},
	{true, time.Millisecond, 0.08, 1.80, srcExcursion},
	{true, 10 * time.Millisecond, 0.125, 1.60, srcExcursion},
	{true, 100 * time.Millisecond, 0.25, 1.20, srcExcursion},
	{true, Continuous, 1, 1.00, srcExcursion},
	{false, 100 * time.Microsecond, 0.05, 1.50, srcExcursion},
	{false, time.Millisecond, 0.08, 1.45, srcExcursion},
	{false, 10 * time.Millisecond, 0.125, 1.35, srcExcursion},
	{false, 100 * time.Millisecond, 0.25, 1.10, srcExcursion},
	{false, Continuous, 1, 1.00, srcExcursion},
}

// Excursions returns both excursion tables.
func Excursions() []Excursion { return slices.Clone(excursions) }

// ExcursionFor returns the row that bounds a peak of some duration on a supply
// of ratedW watts: the shortest tabled duration that is no shorter than the
// peak. The limit in watts is ratedW times the row's share.
func ExcursionFor(ratedW float64, hasHighPowerConnector bool, peak time.Duration) (Excursion, error) {
	if err := inRange("the supply's rated power", ratedW, 1, maxPowerW, "W"); err != nil {
		return Excursion{}, err
	}
	if peak <= 0 {
		return Excursion{}, fmt.Errorf("the peak lasts %v, which is no duration; give a time above zero", peak)
	}
	high := hasHighPowerConnector && ratedW > AuxRequiredAbove.Value
	for _, e := range excursions {
		if e.HighPower == high && peak <= e.Duration {
			return e, nil
		}
	}
	panic("standards: the excursion tables end with a continuous row")
}

// ExcursionBaseW returns the load between peaks at which the root mean square
// over a period equals ratedW: sqrt((P^2 - d*Pe^2)/(1 - d)), for peaks of peakW
// watts over a share d of the time (0 to below 1).
func ExcursionBaseW(ratedW, peakW, dutyShare float64) (float64, error) {
	if err := inRange("the supply's rated power", ratedW, 0, maxPowerW, "W"); err != nil {
		return 0, err
	}
	if err := inRange("the peak power", peakW, 0, maxPowerW, "W"); err != nil {
		return 0, err
	}
	if err := inRange("the duty share", dutyShare, 0, 0.999999, ""); err != nil {
		return 0, err
	}
	square := (ratedW*ratedW - dutyShare*peakW*peakW) / (1 - dutyShare)
	if square < 0 {
		return 0, fmt.Errorf("peaks of %g W over %g of the time exceed %g W root mean square on their own; lower the peak or its share",
			peakW, dutyShare, ratedW)
	}
	return math.Sqrt(square), nil
}

// ExcursionTestSource is the source of the published test of excursions, which
// [ExcursionBaseW] and [ExcursionBaseTime] reproduce.
func ExcursionTestSource() Source { return srcExcursionTest }

// ExcursionBaseTime returns the time between peaks of the given duration at a
// duty share above 0 and up to 1: tc/d - tc.
func ExcursionBaseTime(peak time.Duration, dutyShare float64) (time.Duration, error) {
	if peak <= 0 || peak > time.Hour {
		return 0, fmt.Errorf("the peak lasts %v, which is out of range; give a time above zero and up to one hour", peak)
	}
	if err := inRange("the duty share", dutyShare, 1e-6, 1, ""); err != nil {
		return 0, err
	}
	return time.Duration(math.Round(float64(peak)/dutyShare)) - peak, nil
}

// ProcessorCurrent is the current that the guide has a supply's second +12 V
// rail bring for a processor of some thermal design power.
type ProcessorCurrent struct {
	// DesignPowerW is the processor's thermal design power.
	DesignPowerW float64
	// ContinuousA holds for over one second, PeakA for 10 ms.
	ContinuousA, PeakA float64
	// Source is that of the row.
	Source Source
}

var processorCurrents = []ProcessorCurrent{
	{35, 11, 19, srcProcessor},
	{65, 23, 34, srcProcessor},
	{125, 26, 39, srcProcessor},
	{165, 37.5, 40, srcProcessor},
}

// ProcessorCurrents returns the processor current table, ascending.
func ProcessorCurrents() []ProcessorCurrent { return slices.Clone(processorCurrents) }

// ProcessorCurrentFor returns the row for a processor: that of the next thermal
// design power in the table, never a smaller one. Beyond the table is an error.
func ProcessorCurrentFor(designPowerW float64) (ProcessorCurrent, error) {
	highest := processorCurrents[len(processorCurrents)-1].DesignPowerW
	if err := inRange("the processor's thermal design power", designPowerW, 0, highest, "W"); err != nil {
		return ProcessorCurrent{}, fmt.Errorf("the processor current table does not reach: %w, or the processor's own continuous current", err)
	}
	for _, p := range processorCurrents {
		if designPowerW <= p.DesignPowerW {
			return p, nil
		}
	}
	return processorCurrents[len(processorCurrents)-1], nil
}

// BudgetW returns the power to plan for the processor: continuous current at
// the rail's low limit of 11.20 V.
func (p ProcessorCurrent) BudgetW() float64 { return p.ContinuousA * railLimits[0].LowV }

// HoldUp is the time that power stays good after the mains is lost.
type HoldUp struct {
	// Guide is "atx-3.0" or "atx-3.1".
	Guide string
	// Required is false for a recommendation.
	Required bool
	// LoadShare is the share of rated load at which it holds.
	LoadShare float64
	// PowerOK is the time from loss of mains to loss of PWR_OK, Warning the
	// least time from then until the rails fall.
	PowerOK, Warning time.Duration
	// Source is that of the row.
	Source Source
}

var holdUps = []HoldUp{
	{"atx-3.0", true, 1.0, 16 * time.Millisecond, time.Millisecond, srcHoldUp30},
	{"atx-3.1", true, 1.0, 11 * time.Millisecond, time.Millisecond, srcHoldUp31},
	{"atx-3.1", false, 0.8, 16 * time.Millisecond, time.Millisecond, srcHoldUp31},
}

// HoldUps returns the hold-up times.
func HoldUps() []HoldUp { return slices.Clone(holdUps) }

// LoadStep is the step of load that a rail has to bear.
type LoadStep struct {
	// Rail is the guide's name of the rail.
	Rail string
	// RequiredShare and RecommendedShare are of the rail's rated current.
	RequiredShare, RecommendedShare float64
	// Source is that of the row.
	Source Source
}

var loadSteps = []LoadStep{
	{"+3.3V", 0.30, 0.30, srcLoadStep},
	{"+5V", 0.30, 0.30, srcLoadStep},
	{"+12V1", 0.40, 0.70, srcLoadStep},
	{"+12V2", 0.85, 0.85, srcLoadStep},
}

// LoadSteps returns the load-step table.
func LoadSteps() []LoadStep { return slices.Clone(loadSteps) }

// ACRange is a mains range that a supply accepts.
type ACRange struct {
	// LowV to HighV is the voltage, LowHz to HighHz the frequency.
	LowV, HighV, LowHz, HighHz float64
	// Source is that of the row.
	Source Source
}

var acRanges = []ACRange{
	{90, 135, 47, 63, srcACInput},
	{180, 265, 47, 63, srcACInput},
}

// ACRanges returns the mains ranges of the design guide.
func ACRanges() []ACRange { return slices.Clone(acRanges) }

// ACRangeFor returns the range that a mains voltage lies in.
func ACRangeFor(volts float64) (ACRange, error) {
	for _, r := range acRanges {
		if volts >= r.LowV && volts <= r.HighV {
			return r, nil
		}
	}
	return ACRange{}, fmt.Errorf("the mains voltage is %v V, which is in neither range of the design guide; give 90 to 135 V or 180 to 265 V", volts)
}
