package audit

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var fanPerformanceRule = kit.Rule{
	ID: "audit.fan-performance", Title: "A fan's flow and pressure against its size and speed", Since: "0.1.0",
	Why:     "What a fan of a given size and speed can move is bounded; a figure beyond that came from another unit or another fan.",
	Formula: "Flow over n D^3 and pressure over rho n^2 D^2, n in turns per second and D the frame size, are held against the ranges of axial and radial fans; the speed by that of the blades' tips.",
	Sources: []source{
		{ID: "fan-laws", Title: "fan laws: similar fans share flow and pressure coefficients", Clause: "ISO 5801", Standing: standards.Derived, Witnesses: 1},
		experience,
	},
	Reads: []string{"fan.size_mm", "fan.max_speed_rpm", "fan.max_flow_m3h", "fan.max_pressure_pa"},
	Texts: texts("Flow and pressure of {part} go with its size and speed.",
		"Whether flow and pressure of {part} are plausible cannot be told without {missing}; data sheets print size and greatest speed."),
	Remedies: remedies(),
	Judge:    each(judgeFanPerformance),
}

// Coefficients of small fans, flow over n D^3 and pressure over rho n^2 D^2: common
// practice, no source; axial ones lie near 0.5 and 1.2.
const (
	leastFlowShare, greatestFlowShare         = 0.12, 1.0
	leastPressureShare, greatestPressureShare = 0.3, 4.5
	// tips of blades, in m/s
	leastTip, greatestTip = 1.5, 52
	airDensity            = 1.2 // kg/m3
)

// fanRange is what a fan of one size and speed may give.
type fanRange struct {
	speedLow, speedHigh       float64 // rpm
	flowLow, flowHigh         float64 // m3/h
	pressureLow, pressureHigh float64 // Pa
}

func fanRangeOf(sizeMM, rpm float64) fanRange {
	d, n := sizeMM/1000, rpm/60
	flow, pressure := n*d*d*d*3600, airDensity*n*n*d*d
	return fanRange{
		leastTip * 60 / (math.Pi * d), greatestTip * 60 / (math.Pi * d),
		leastFlowShare * flow, greatestFlowShare * flow,
		leastPressureShare * pressure, greatestPressureShare * pressure,
	}
}

// takes tells whether a fan's flow and pressure, as far as they are given, are
// within the range.
func (r fanRange) takes(fan *v1.Fan) (flow, pressure bool) {
	within := func(v *float64, low, high float64) bool { return v == nil || *v >= low && *v <= high }
	return within(fan.MaxFlowM3H, r.flowLow, r.flowHigh), within(fan.MaxPressurePa, r.pressureLow, r.pressureHigh)
}

func judgeFanPerformance(s *sheet) {
	eachFan(s.it.Part, func(prefix string, fan *v1.Fan) {
		if fan.MaxFlowM3H == nil && fan.MaxPressurePa == nil && fan.MaxSpeedRpm == nil {
			return
		}
		switch {
		case fan.SizeMm == nil:
			s.lack(prefix+"size_mm", "mm")
		case fan.MaxSpeedRpm == nil:
			s.lack(prefix+"max_speed_rpm", "rpm")
		default:
			holdPerformance(s, prefix, fan)
		}
	})
}

func holdPerformance(s *sheet, prefix string, fan *v1.Fan) {
	size, rpm := float64(*fan.SizeMm), *fan.MaxSpeedRpm
	r := fanRangeOf(size, rpm)
	flow, pressure := r.takes(fan)
	speed := rpm >= r.speedLow && rpm <= r.speedHigh
	if flow && pressure && speed {
		s.held++
		return
	}
	if low, high, ok := r.speedAtFault(size, fan, flow, pressure, speed); ok {
		s.hold(figure{prefix + "max_speed_rpm", fan.MaxSpeedRpm, "rpm", low, high,
			between("speeds that go with its size, flow and pressure", low, high, "rpm"), false},
			s.given(prefix+"size_mm", &size, "mm"))
		return
	}
	beside := []kit.Value{s.given(prefix+"size_mm", &size, "mm"), s.given(prefix+"max_speed_rpm", &rpm, "rpm")}
	s.hold(figure{prefix + "max_flow_m3h", fan.MaxFlowM3H, "m3/h", r.flowLow, r.flowHigh,
		between("flows of fans of that size and speed", r.flowLow, r.flowHigh, "m3/h"), false}, beside...)
	s.hold(figure{prefix + "max_pressure_pa", fan.MaxPressurePa, "Pa", r.pressureLow, r.pressureHigh,
		between("pressures of fans of that size and speed", r.pressureLow, r.pressureHigh, "Pa"), false}, beside...)
}

// speedAtFault tells whether the speed is what is wrong, and which speeds would go
// with the rest: the tips are out of range, or a speed with its point moved puts
// flow and pressure right at once, which is unlikely to come about otherwise.
func (r fanRange) speedAtFault(size float64, fan *v1.Fan, flow, pressure, speed bool) (low, high float64, ok bool) {
	if !speed {
		return r.speedLow, r.speedHigh, true
	}
	if flow || pressure || fan.MaxFlowM3H == nil || fan.MaxPressurePa == nil {
		return 0, 0, false
	}
	for _, factor := range []float64{10, 0.1} {
		moved := *fan.MaxSpeedRpm * factor
		if f, p := fanRangeOf(size, moved).takes(fan); f && p {
			return moved / 2, moved * 2, true
		}
	}
	return 0, 0, false
}
