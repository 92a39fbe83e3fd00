package standards

import (
	"fmt"
	"math"
	"slices"
)

var (
	srcFanPitch2   = drawings("fan-pitch-2", "fan drawings", "hole pitch, two agreeing", 2)
	srcFanPitch1   = drawings("fan-pitch-1", "fan drawings", "hole pitch, disagreeing with another", 1)
	srcFanPitchMem = register("fan-pitch-memory", "fan drawings", "hole pitch", Memory)
	srcFanThick    = register("fan-thickness", "fan thicknesses as sold", "", Memory)
	srcFanHole     = drawings("fan-hole", "fan drawings", "hole diameter", 2)
	srcFanSupply   = register("fan-4wire-2.1.1", "4-wire PWM controlled fans specification", "section 2.1.1", Published)
	srcFanCurrent  = register("fan-4wire-2.1.2", "4-wire PWM controlled fans specification", "section 2.1.2", Published)
	srcFanTach     = register("fan-4wire-2.1.3", "4-wire PWM controlled fans specification", "section 2.1.3", Published)
	srcFanPWM      = register("fan-4wire-2.1.4", "4-wire PWM controlled fans specification", "section 2.1.4", Published)
	srcFanBoard    = register("fan-4wire-2.3.1", "4-wire PWM controlled fans specification", "section 2.3.1", Published)
	srcFanPins     = register("fan-4wire-pins", "4-wire PWM controlled fans specification", "pins 2 and 3 of table 1", Memory)
	srcFanPinsRead = register("fan-4wire-table1", "4-wire PWM controlled fans specification", "table 1", Published)
	srcFanHeader   = register("fan-header-tps", "desktop board technical product specification", "fan header table", Published)
	srcFanHeaderMe = register("fan-header-trade", "fan header current of boards", "", Memory)
)

// FanSize is a nominal fan size.
type FanSize struct {
	// NominalMM is the frame's edge.
	NominalMM int
	// PitchMM is the distance of neighbouring screw holes.
	PitchMM float64
	// OtherPitchesMM are values that other drawings give.
	OtherPitchesMM []float64
	// ThicknessesMM are the usual thicknesses, ascending.
	ThicknessesMM []float64
	// Source is that of the pitch, ThicknessSource of the thicknesses.
	Source, ThicknessSource Source
}

var fanSizes = []FanSize{
	{40, 32, nil, []float64{10, 20, 28}, srcFanPitch2, srcFanThick},
	{50, 40, nil, []float64{10, 15}, srcFanPitch2, srcFanThick},
	{60, 50, nil, []float64{10, 15, 25}, srcFanPitch2, srcFanThick},
	{70, 60, []float64{61.5}, []float64{10, 15}, srcFanPitch1, srcFanThick},
	{80, 71.5, []float64{72}, []float64{15, 25, 38}, srcFanPitch1, srcFanThick},
	{92, 82.5, []float64{83}, []float64{14, 15, 25}, srcFanPitchMem, srcFanThick},
	{120, 105, nil, []float64{12, 15, 25, 30, 38}, srcFanPitch2, srcFanThick},
	{140, 124.5, []float64{125}, []float64{15, 25, 27, 30}, srcFanPitch1, srcFanThick},
	{180, 165, []float64{153}, []float64{32}, srcFanPitchMem, srcFanThick},
	{200, 154, []float64{170}, []float64{20, 25, 30}, srcFanPitch1, srcFanThick},
}

func (f FanSize) clone() FanSize {
	f.OtherPitchesMM, f.ThicknessesMM = slices.Clone(f.OtherPitchesMM), slices.Clone(f.ThicknessesMM)
	return f
}

// FanSizes returns the nominal sizes, ascending.
func FanSizes() []FanSize {
	out := slices.Clone(fanSizes)
	for i := range out {
		out[i] = out[i].clone()
	}
	return out
}

// FanSizeByNominal returns one nominal size; an error names the nearest sizes.
func FanSizeByNominal(nominalMM int) (FanSize, error) {
	nominal := make([]int, len(fanSizes))
	for i, f := range fanSizes {
		if f.NominalMM == nominalMM {
			return f.clone(), nil
		}
		nominal[i] = f.NominalMM
	}
	return FanSize{}, fmt.Errorf("a fan size of %d mm is not in the tables; nearest: %v mm; give one of them, or the fan's own hole pitch",
		nominalMM, nearestNumbers(nominalMM, nominal))
}

// DiagonalMM returns the distance of opposite screw holes.
func (f FanSize) DiagonalMM() float64 { return f.PitchMM * math.Sqrt2 }

// Figures of fans and their headers.
var (
	// FanHole is the through hole's diameter.
	FanHole = figure("fan hole diameter", 4.3, "mm", srcFanHole)
	// FanVoltLow and FanVoltHigh bound the supply of a fan.
	FanVoltLow  = figure("fan supply, least", 11.4, "V", srcFanSupply)
	FanVoltHigh = figure("fan supply, most", 12.6, "V", srcFanSupply)
	// FanSteady and FanStart are a fan's currents, FanStartTime the longest
	// time of the latter.
	FanSteady    = figure("fan current, steady", 1.5, "A", srcFanCurrent)
	FanStart     = figure("fan current at start", 2.2, "A", srcFanCurrent)
	FanStartTime = figure("fan start time", 1.0, "s", srcFanCurrent)
	// TachPulses is the number of tachometer pulses in a turn.
	TachPulses = figure("tachometer pulses per revolution", 2, "", srcFanTach)
	// PWMTarget, PWMLow and PWMHigh are the control signal's frequency.
	PWMTarget = figure("fan PWM frequency, target", 25000, "Hz", srcFanPWM)
	PWMLow    = figure("fan PWM frequency, least", 21000, "Hz", srcFanPWM)
	PWMHigh   = figure("fan PWM frequency, most", 28000, "Hz", srcFanPWM)
	// PWMLowLevel is the highest voltage that counts as low; PWMOpenLevel the
	// highest that a fan shows on the open control pin.
	PWMLowLevel  = figure("fan PWM low level, most", 0.8, "V", srcFanPWM)
	PWMOpenLevel = figure("fan PWM open level, most", 5.25, "V", srcFanPWM)
	// PWMSource is what a fan sources into a low control pin; PWMSink and
	// PWMSinkRecommended what a board has to sink.
	PWMSource          = figure("fan PWM source current, most", 0.005, "A", srcFanPWM)
	PWMSink            = figure("board PWM sink current, required", 0.005, "A", srcFanBoard)
	PWMSinkRecommended = figure("board PWM sink current, recommended", 0.008, "A", srcFanBoard)
)

// PWMAccepted reports whether a control signal of so many hertz is in the
// specification's range.
func PWMAccepted(hz float64) bool { return hz >= PWMLow.Value && hz <= PWMHigh.Value }

// TachRPM returns turns per minute from a tachometer frequency in hertz.
func TachRPM(hz float64) (float64, error) {
	if err := inRange("the tachometer frequency", hz, 0, 1e5, "Hz"); err != nil {
		return 0, err
	}
	return hz * 60 / TachPulses.Value, nil
}

// FanPin is a pin of the 4-wire fan header.
type FanPin struct {
	// Pin counts from 1.
	Pin int
	// Signal is its use.
	Signal string
	// Source is that of the row.
	Source Source
}

var fanPins = []FanPin{
	{1, "ground", srcFanPinsRead},
	{2, "+12 V", srcFanPins},
	{3, "tachometer", srcFanPins},
	{4, "PWM control", srcFanPinsRead},
}

// FanPins returns the pins of the 4-wire fan header.
func FanPins() []FanPin { return slices.Clone(fanPins) }

// FanHeader is the current that a board's fan header brings.
type FanHeader struct {
	// Header names the header's use.
	Header string
	// Ampere is its limit.
	Ampere float64
	// Default is true for the row to use where a board says nothing.
	Default bool
	// Source is that of the row.
	Source Source
}

var fanHeaders = []FanHeader{
	{"any header whose board gives no figure", 1.0, true, srcFanHeaderMe},
	{"processor fan", 2.0, false, srcFanHeader},
	{"chassis fan", 1.5, false, srcFanHeader},
	{"pump", 2.0, false, srcFanHeaderMe},
}

// FanHeaders returns the header currents; the first is the default.
func FanHeaders() []FanHeader { return slices.Clone(fanHeaders) }
