package audit

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// prefixes are the paths of what stands in a list, as far as the contract lets such
// lists go.
func prefixes(before, after string, n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = before + string(rune('0'+i/10)) + string(rune('0'+i%10)) + after
		if i < 10 {
			out[i] = before + string(rune('0'+i)) + after
		}
	}
	return out
}

var (
	coolerFans   = prefixes("air_cooler.fans[", "].fan.", 4)
	loopFans     = prefixes("liquid_loop.fans[", "].fan.", 4)
	cardFans     = prefixes("card.fans[", "].fan.", 4)
	layoutLimits = prefixes("chassis.layouts[", "].limits.", 16)
)

// eachFan gives the fans that an entry is or carries, with the path before their
// fields.
func eachFan(part *v1.Part, visit func(prefix string, fan *v1.Fan)) {
	seats := func(paths []string, list []*v1.FanSeat) {
		for i, seat := range list {
			if seat.GetFan() != nil && i < len(paths) {
				visit(paths[i], seat.Fan)
			}
		}
	}
	switch kind := part.GetKind().(type) {
	case *v1.Part_Fan:
		visit("fan.", kind.Fan)
	case *v1.Part_AirCooler:
		seats(coolerFans, kind.AirCooler.GetFans())
	case *v1.Part_LiquidLoop:
		seats(loopFans, kind.LiquidLoop.GetFans())
	case *v1.Part_Card:
		seats(cardFans, kind.Card.GetFans())
	case *v1.Part_Supply:
		if fan := kind.Supply.GetFan().GetFan(); fan != nil {
			visit("supply.fan.fan.", fan)
		}
	}
}

// eachLimits gives the published limits of an enclosure and of its layouts, with
// the path before their fields.
func eachLimits(part *v1.Part, visit func(prefix string, limits *v1.ChassisLimits)) {
	chassis := part.GetChassis()
	if l := chassis.GetLimits(); l != nil {
		visit("chassis.limits.", l)
	}
	for i, layout := range chassis.GetLayouts() {
		if l := layout.GetLimits(); l != nil && i < len(layoutLimits) {
			visit(layoutLimits[i], l)
		}
	}
}

// radiatorOf gives the radiator that an entry is or carries, with the path before
// its fields; nil where there is none.
func radiatorOf(part *v1.Part) (string, *v1.Radiator) {
	switch kind := part.GetKind().(type) {
	case *v1.Part_Radiator:
		return "radiator.", kind.Radiator
	case *v1.Part_LiquidLoop:
		return "liquid_loop.radiator.", kind.LiquidLoop.GetRadiator()
	}
	return "", nil
}

// demandOf gives the electrical figures of an entry, with the path before their
// fields; nil where there are none.
func demandOf(part *v1.Part) (string, *v1.Demand) {
	switch kind := part.GetKind().(type) {
	case *v1.Part_Processor:
		return "processor.demand.", kind.Processor.GetDemand()
	case *v1.Part_Card:
		return "card.demand.", kind.Card.GetDemand()
	case *v1.Part_Memory:
		return "memory.demand.", kind.Memory.GetDemand()
	case *v1.Part_Drive:
		return "drive.demand.", kind.Drive.GetDemand()
	case *v1.Part_Board:
		return "board.demand.", kind.Board.GetDemand()
	}
	return "", nil
}

// number gives a whole number as a figure.
func number(v uint32) *float64 {
	f := float64(v)
	return &f
}

// given reads a figure for the evidence.
func (s *sheet) given(field string, v *float64, unit string) kit.Value {
	return s.c.Figure(s.it, field, v, unit, 0)
}
