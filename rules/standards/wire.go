package standards

import (
	"fmt"
	"math"
	"slices"
)

var (
	srcB258     = register("astm-b258", "ASTM B258", "diameter formula, reproduces a published wire table", Derived)
	srcIACS     = register("iacs", "International Annealed Copper Standard", "resistivity at 20 C, reproduces a published wire table", Derived)
	srcAlpha    = register("copper-alpha", "International Annealed Copper Standard", "temperature coefficient at 20 C", Memory)
	srcAlphaTab = register("copper-alpha-rounded", "table of temperature coefficients", "copper at 20 C", Published)
	srcWire     = register("wire-table", "published wire table", "copper at 20 C", Published)
	srcAmpacity = register("chassis-ampacity", "handbook of electronic tables", "chassis wiring, single wire in free air", Published)
	srcBend     = register("nasa-std-8739.4-7.3.21", "NASA-STD-8739.4", "section 7.3.21", Published)
	srcBendOne  = register("bend-single-wire", "bend of loose single wires", "", Memory)
	srcDrop     = register("voltage-drop", "Ohm's law on both conductors of each pair", "", Derived)
)

// Figures of copper wire and cable bends.
var (
	// CopperResistivity is that of 100 percent IACS copper at 20 C.
	CopperResistivity = figure("copper resistivity", 1.7241e-8, "ohm m", srcIACS)
	// CopperAlpha is copper's temperature coefficient, referred to 20 C. A
	// coefficient of 0.0043, also in print, is referred to 0 C.
	CopperAlpha = figure("copper temperature coefficient", 0.00393, "1/K", srcAlpha)
	// CopperAlphaRounded is the coefficient as a published table rounds it.
	CopperAlphaRounded = figure("copper temperature coefficient, rounded", 0.0039, "1/K", srcAlphaTab)
	// CableBendFactor is the least bend radius of a multi-conductor cable as a
	// multiple of its outer diameter, CableBendLongTerm the recommended one.
	CableBendFactor   = figure("cable bend radius, multiple of diameter", 6, "", srcBend)
	CableBendLongTerm = figure("cable bend radius, long-term multiple of diameter", 10, "", srcBend)
	// WireBendFactor is that of a loose single wire.
	WireBendFactor = figure("single wire bend radius, multiple of diameter", 4, "", srcBendOne)
)

const (
	// Gauges 0000 to 40, in the formula's counting (0000 is -3).
	thickestGauge, thinnestGauge = -3, 40
	// Copper's resistance is near enough linear in this range.
	coldestCopper, hottestCopper = -50.0, 200.0
)

func gauge(awg int) error {
	return inRange("the wire gauge", float64(awg), thickestGauge, thinnestGauge, "AWG")
}

// WireDiameterMM returns the diameter of a solid wire of a gauge (-3 for 0000
// to 40): 0.127 mm times 92 to the power of (36 - n)/39, ASTM B258.
func WireDiameterMM(awg int) (float64, error) {
	if err := gauge(awg); err != nil {
		return 0, err
	}
	return 0.127 * math.Pow(92, float64(36-awg)/39), nil
}

// WireAreaMM2 returns the cross section of a gauge.
func WireAreaMM2(awg int) (float64, error) {
	d, err := WireDiameterMM(awg)
	if err != nil {
		return 0, err
	}
	return math.Pi / 4 * d * d, nil
}

// WireOhmPerM returns the resistance of a metre of copper wire at a temperature
// from -50 to 200 degrees Celsius.
func WireOhmPerM(awg int, celsius float64) (float64, error) {
	area, err := WireAreaMM2(awg)
	if err != nil {
		return 0, err
	}
	if err := inRange("the wire's temperature", celsius, coldestCopper, hottestCopper, "degC"); err != nil {
		return 0, err
	}
	return CopperResistivity.Value / (area * 1e-6) * (1 + CopperAlpha.Value*(celsius-20)), nil
}

// WireSource is the source of diameter, area and resistance at 20 C.
func WireSource() Source { return srcB258 }

// WireRow is a row of a published wire table, kept to check the formulas.
type WireRow struct {
	// AWG is the gauge.
	AWG int
	// MilliohmPerM is the resistance of a metre at 20 C.
	MilliohmPerM float64
	// ChassisA is the current of a single wire in free air; bundles carry less.
	ChassisA float64
	// Source is that of the resistance, ChassisSource of the current.
	Source, ChassisSource Source
}

var wireRows = []WireRow{
	{14, 8.29, 32, srcWire, srcAmpacity},
	{16, 13.2, 22, srcWire, srcAmpacity},
	{18, 21.0, 16, srcWire, srcAmpacity},
	{20, 33.3, 11, srcWire, srcAmpacity},
	{22, 53.0, 7, srcWire, srcAmpacity},
	{24, 84.2, 3.5, srcWire, srcAmpacity},
	{26, 134, 2.2, srcWire, srcAmpacity},
	{28, 213, 1.4, srcWire, srcAmpacity},
}

// WireRows returns the published rows, thickest first.
func WireRows() []WireRow { return slices.Clone(wireRows) }

// ChassisAmpere returns what a single wire of a gauge carries in free air. A
// gauge between two rows takes the thinner row's; outside them is an error.
func ChassisAmpere(awg int) (WireRow, error) {
	first, last := wireRows[0].AWG, wireRows[len(wireRows)-1].AWG
	for _, r := range wireRows {
		if awg >= first && awg <= r.AWG {
			return r, nil
		}
	}
	return WireRow{}, fmt.Errorf("no chassis current is tabled for gauge %d; give a gauge from %d to %d AWG", awg, first, last)
}

// BendRadiusMM returns the least bend radius of a cable of some outer diameter;
// longTerm asks for the recommended radius of a lasting bend.
func BendRadiusMM(outerMM float64, longTerm bool) (float64, error) {
	if err := inRange("the cable's outer diameter", outerMM, 0, 1000, "mm"); err != nil {
		return 0, err
	}
	if longTerm {
		return CableBendLongTerm.Value * outerMM, nil
	}
	return CableBendFactor.Value * outerMM, nil
}

// Run is a stretch of cable that carries a direct current there and back.
type Run struct {
	// AWG is the gauge of every conductor.
	AWG int
	// LengthM is one way.
	LengthM float64
	// Pairs is the number of supply-and-return pairs that share the current.
	Pairs int
	// Ampere is the total current.
	Ampere float64
	// Celsius is the conductors' temperature.
	Celsius float64
}

// Drop is what a run loses.
type Drop struct {
	// Volt is the drop there and back, Watt the heat in the run.
	Volt, Watt float64
	// PairA is the current in each pair.
	PairA float64
	// Source is that of the formula, or of the temperature coefficient away
	// from 20 C.
	Source Source
}

// Drop returns the voltage drop of a run: 2 L r (1 + alpha (T - 20)) I per pair,
// pairs sharing equally. The limits of a supply hold at its own cable's end, so
// that only extensions and adapters count as a run.
func (r Run) Drop() (Drop, error) {
	ohm, err := WireOhmPerM(r.AWG, r.Celsius)
	if err != nil {
		return Drop{}, err
	}
	if err := inRange("the run's length", r.LengthM, 0, 1000, "m"); err != nil {
		return Drop{}, err
	}
	pairA, err := ContactAmpere(r.Ampere, r.Pairs)
	if err != nil {
		return Drop{}, fmt.Errorf("the run's current cannot be shared: %w", err)
	}
	volt := 2 * r.LengthM * ohm * pairA
	source := srcDrop
	if r.Celsius != 20 {
		source = Weaker(srcDrop, srcAlpha)
	}
	return Drop{volt, volt * r.Ampere, pairA, source}, nil
}
