package demo

import (
	"math"
	"strings"
	"testing"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/standards"
)

// Standard air of fan tests, 1.2 kg/m3 (ISO 5801), and its heat capacity at room temperature.
const (
	airDensity = 1.2
	airHeat    = 1006.0
	cubicHour  = 1.0 / 3600
)

// Curves run from no flow to no pressure, fall all the way, and end where the data sheet's lone figures say.
func TestFanCurvesFall(t *testing.T) {
	curves := 0
	for _, e := range catalogue(t) {
		for name, fan := range fansOf(e.part) {
			curve := fan.GetCurve()
			if len(curve) == 0 {
				continue
			}
			curves++
			first, last := curve[0], curve[len(curve)-1]
			if first.GetFlowM3H() != 0 || last.GetPressurePa() != 0 {
				t.Errorf("%s: the curve does not run from no flow to no pressure", name)
			}
			if first.GetPressurePa() != fan.GetMaxPressurePa() || last.GetFlowM3H() != fan.GetMaxFlowM3H() {
				t.Errorf("%s: the curve's ends are not its greatest pressure and flow", name)
			}
			for i := 1; i < len(curve); i++ {
				if curve[i].GetFlowM3H() <= curve[i-1].GetFlowM3H() || curve[i].GetPressurePa() >= curve[i-1].GetPressurePa() {
					t.Errorf("%s: the curve does not fall at its point %d", name, i)
				}
			}
		}
	}
	if curves < 12 {
		t.Errorf("only %d fans have a curve", curves)
	}
}

// By the fan laws flow goes with N D^3 and pressure with rho N^2 D^2, so that flow and pressure of all fans fall close
// together when they are divided by the blades' tip speed. The bounds are common practice of small axial fans, no source:
// they catch a figure in the wrong unit and a decimal slip.
func TestFansObeySimilarity(t *testing.T) {
	for _, e := range catalogue(t) {
		blower := e.part.GetCard().GetBlower()
		for name, fan := range fansOf(e.part) {
			tipDiameter := (float64(fan.GetSizeMm()) - 6) / 1000
			tipSpeed := math.Pi * tipDiameter * fan.GetMaxSpeedRpm() / 60
			flow := fan.GetMaxFlowM3H() * cubicHour / (math.Pi / 4 * tipDiameter * tipDiameter * tipSpeed)
			pressure := fan.GetMaxPressurePa() / (airDensity / 2 * tipSpeed * tipSpeed)
			highest := 0.5
			if blower {
				highest = 1.3 // a radial wheel reaches more than the head of its tip speed
			}
			if flow < 0.12 || flow > 0.38 || pressure < 0.15 || pressure > highest {
				t.Errorf("%s: flow coefficient %.2f (0.12 to 0.38), pressure coefficient %.2f (0.15 to %.1f)", name, flow, pressure, highest)
			}
			if fan.GetMinSpeedRpm() >= fan.GetMaxSpeedRpm() {
				t.Errorf("%s: least speed %g is not below greatest %g", name, fan.GetMinSpeedRpm(), fan.GetMaxSpeedRpm())
			}
		}
	}
}

// What a fan does to the air is less than what it draws, and its currents keep to the 4-wire fan specification, 2.1.2:
// 1.5 A steady, 2.2 A at the start.
func TestFansDrawMoreThanTheyBlow(t *testing.T) {
	for _, e := range catalogue(t) {
		for name, fan := range fansOf(e.part) {
			if fan.CurrentA == nil {
				continue
			}
			drawn := 12 * fan.GetCurrentA()
			for _, p := range fan.GetCurve() {
				if blown := p.GetFlowM3H() * cubicHour * p.GetPressurePa(); blown > 0.4*drawn {
					t.Errorf("%s: %.2f W of air from %.2f W of current", name, blown, drawn)
				}
			}
			if fan.GetCurrentA() > standards.FanSteady.Value || fan.GetStartCurrentA() > standards.FanStart.Value || fan.GetStartCurrentA() < fan.GetCurrentA() {
				t.Errorf("%s: %g A running, %g A starting", name, fan.GetCurrentA(), fan.GetStartCurrentA())
			}
		}
	}
}

// Frames are of the usual sizes and thicknesses.
func TestFanFramesAreUsual(t *testing.T) {
	for _, e := range catalogue(t) {
		for name, fan := range fansOf(e.part) {
			size, err := standards.FanSizeByNominal(int(fan.GetSizeMm()))
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			usual := false
			for _, thickness := range size.ThicknessesMM {
				usual = usual || thickness == fan.GetThicknessMm()
			}
			// Radial wheels and the thinnest fans of half-length cards are of no such size.
			if !usual && e.part.GetCard() == nil {
				t.Errorf("%s: %g mm is no usual thickness of a %d mm fan (%v)", name, fan.GetThicknessMm(), fan.GetSizeMm(), size.ThicknessesMM)
			}
		}
	}
}

// Sound goes with 50 to 60 lg of speed (fan laws; 50 lg is the rule of thumb, 60 lg the upper bound in practice). Two
// points of one source may not disagree with that by more than a measurement does.
func TestSoundFollowsSpeed(t *testing.T) {
	check := func(name string, points []*slipfitv1.NoisePoint) {
		for i := 1; i < len(points); i++ {
			a, b := points[i-1], points[i]
			slope := (a.GetLevelDba() - b.GetLevelDba()) / math.Log10(a.GetSpeedRpm()/b.GetSpeedRpm())
			if slope < 40 || slope > 62 {
				t.Errorf("%s: %.0f lg from %g to %g rpm", name, slope, a.GetSpeedRpm(), b.GetSpeedRpm())
			}
		}
	}
	for _, e := range catalogue(t) {
		for name, fan := range fansOf(e.part) {
			check(name, fan.GetNoises())
		}
		check(e.part.GetId(), e.part.GetCard().GetNoises())
		check(e.part.GetId(), e.part.GetSupply().GetNoises())
	}
}

// A sink's resistance falls as its fan turns faster, by a power of 0.3 to 0.8 between two points (laminar fins 0.5,
// turbulent 0.8, both less a constant part), and the rated heat is what the resistance at full speed gives.
func TestResistancesFallWithSpeed(t *testing.T) {
	check := func(name string, points []*slipfitv1.ResistancePoint) {
		for i := 1; i < len(points); i++ {
			a, b := points[i-1], points[i]
			power := math.Log(b.GetResistanceKPerW()/a.GetResistanceKPerW()) / math.Log(a.GetSpeedRpm()/b.GetSpeedRpm())
			if power < 0.3 || power > 0.8 {
				t.Errorf("%s: resistance goes with speed to the power -%.2f", name, power)
			}
		}
	}
	rated := func(name string, heat, rise float64, points []*slipfitv1.ResistancePoint) {
		if len(points) == 0 {
			return
		}
		if r := rise / heat; math.Abs(r-points[0].GetResistanceKPerW()) > 0.03*r {
			t.Errorf("%s: %g K at %g W are %.4f K/W, not %g K/W", name, rise, heat, r, points[0].GetResistanceKPerW())
		}
	}
	for _, e := range catalogue(t) {
		id, air, loop := e.part.GetId(), e.part.GetAirCooler(), e.part.GetLiquidLoop()
		check(id, air.GetResistances())
		check(id, loop.GetResistances())
		check(id, e.part.GetCard().GetResistances())
		rated(id, air.GetRatedHeatW(), air.GetRatedRiseK(), air.GetResistances())
		rated(id, loop.GetRatedHeatW(), loop.GetRatedRiseK(), loop.GetResistances())
	}
}

// A radiator cannot give more heat to the air than the air carries away, a core's pressure goes with flow to a power between
// laminar 1 and turbulent 2, and no screw that is meant for it reaches its tubes.
func TestRadiatorsKeepTheBalance(t *testing.T) {
	for _, e := range catalogue(t) {
		r := e.part.GetRadiator()
		if loop := e.part.GetLiquidLoop(); loop != nil {
			r = loop.GetRadiator()
		}
		if r == nil {
			continue
		}
		carried := airDensity * airHeat * r.GetConductanceFlowM3H() * cubicHour
		if share := r.GetConductanceWPerK() / carried; share < 0.3 || share > 0.8 {
			t.Errorf("%s: %.2f of what the air can carry (0.3 to 0.8)", e.part.GetId(), share)
		}
		core := r.GetCore()
		for i := 1; i < len(core); i++ {
			power := math.Log(core[i].GetPressurePa()/core[i-1].GetPressurePa()) / math.Log(core[i].GetFlowM3H()/core[i-1].GetFlowM3H())
			if power < 1 || power > 2 {
				t.Errorf("%s: the core's pressure goes with flow to the power %.2f", e.part.GetId(), power)
			}
		}
		if r.GetThicknessMm() < standards.RadiatorSlimLow.Value {
			t.Errorf("%s is thinner than the slimmest radiators sold", e.part.GetId())
		}
		for _, joint := range e.part.GetJoints() {
			// Through a fan of 25 mm a screw may enter as deep as the tubes allow (length less clamped stack).
			if joint.GetId() == "fans" && joint.GetLongestMm() > 25+r.GetScrewDepthMm() {
				t.Errorf("%s: a screw of %g mm through 25 mm of fan reaches the tubes", e.part.GetId(), joint.GetLongestMm())
			}
		}
		for _, f := range e.part.GetKit().GetFasteners() {
			if f.GetPurpose() == "radiator" && f.GetLengthMm() > 20 && f.GetLengthMm()-25 > r.GetScrewDepthMm() {
				t.Errorf("%s brings a screw of %g mm, which reaches its own tubes", e.part.GetId(), f.GetLengthMm())
			}
		}
	}
}

// The heat that a cooler is asked for is no more than the processor can draw, and excursions rise as they shorten.
func TestDemandsAreInOrder(t *testing.T) {
	for _, e := range catalogue(t) {
		id, processor := e.part.GetId(), e.part.GetProcessor()
		demand := processor.GetDemand()
		if card := e.part.GetCard(); card != nil {
			demand = card.GetDemand()
		}
		if processor != nil && demand.SustainedW != nil && demand.GetSustainedW() < processor.GetRatedHeatW() {
			t.Errorf("%s draws %g W, less than the %g W it is rated for", id, demand.GetSustainedW(), processor.GetRatedHeatW())
		}
		last := demand.GetSustainedW()
		for i, x := range demand.GetExcursions() {
			if x.GetPowerW() <= last {
				t.Errorf("%s: excursion %d of %g W does not rise above %g W", id, i, x.GetPowerW(), last)
			}
			last = x.GetPowerW()
		}
		if demand.GetIdleW() >= max(demand.GetSustainedW(), 20) {
			t.Errorf("%s: %g W at rest", id, demand.GetIdleW())
		}
	}
}

// Sockets, form factors, connectors, marks and threads are spelled as the tables of the trade spell them.
func TestTokensAreTheTrades(t *testing.T) {
	known := func(id string, v standards.Vocabulary, tokens ...string) {
		for _, token := range tokens {
			if token != "" && !standards.Known(v, token) {
				t.Errorf("%s: the %s %q is not in the tables (%v)", id, v, token, standards.Nearest(v, token))
			}
		}
	}
	for _, e := range catalogue(t) {
		p, id := e.part, e.part.GetId()
		known(id, standards.VocabSocket, p.GetBoard().GetSocket(), p.GetProcessor().GetSocket())
		known(id, standards.VocabBoard, p.GetBoard().GetFormFactor())
		known(id, standards.VocabSupply, p.GetSupply().GetFormFactor())
		known(id, standards.VocabEfficiency, strings.TrimPrefix(p.GetSupply().GetEfficiencyMark(), "80plus-"))
		for _, bracket := range append(p.GetAirCooler().GetBrackets(), p.GetLiquidLoop().GetBrackets()...) {
			known(id, standards.VocabSocket, bracket.GetSockets()...)
		}
		for _, cable := range append(p.GetSupply().GetCables(), p.GetCable()) {
			for _, end := range cable.GetEnds() {
				if end.GetConnector() != "fan-4" && end.GetConnector() != "sata-data" {
					known(id, standards.VocabConnector, end.GetConnector())
				}
			}
		}
		for _, f := range p.GetKit().GetFasteners() {
			if thread := f.GetThread(); thread != "ST4.8" { // ISO 1478, self-tapping
				known(id, standards.VocabThread, strings.ToLower(thread))
			}
		}
	}
}
