package thermal

import (
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

var deliveredShare = kit.Parameter{
	Name: "thermal.case-air.delivered_share", Unit: "share", Default: 0.5, Least: 0.01, Greatest: 1,
	Purpose: "How much of their free flow fans deliver through the enclosure's grilles, filters and parts, where the flow is not given.",
	Source:  kit.CommonPractice,
}

var deliveredSpread = kit.Parameter{
	Name: "thermal.case-air.delivered_spread_share", Unit: "share", Default: 0.4, Least: 0, Greatest: 0.9,
	Purpose: "How far that share may be off both ways, as a share of it.",
	Source:  kit.CommonPractice,
}

// streams are the free flows of the fans by the way that they blow, in m3/h.
type streams struct {
	in, out, unsaid float64
	values          []kit.Value
	fans            int
}

// caseFlow is the air that passes through the enclosure, in m3/h: what the build
// gives, else what the network of the enclosure passes, else an estimate from the
// fans in its openings.
func (o *survey) caseFlow(c *kit.Case) (flow kit.Value, estimated bool) {
	path := kit.Path{Field: "use.case_flow_m3h"}
	o.networkFlow = false
	if use := c.Build.GetUse(); use != nil && use.CaseFlowM3H != nil {
		return c.Given(path, use.CaseFlowM3H, "m3/h"), false
	}
	if o.outlook.solved && o.outlook.state.Nominal.ThroughM3S > 0 {
		o.networkFlow = true
		through := rangeOf(o.outlook.state.Through()).Scale(m3hPerM3S)
		return c.Derived(through, "m3/h", o.openingsRead(c)), true
	}
	var s streams
	for it := range c.AllItems() {
		s.add(c, it)
	}
	free := c.Derived(quantity.Range{}, "m3/h", s.values...)
	if !free.Known() {
		return free, true
	}
	through := s.through()
	if through <= 0 {
		return c.Absent(path, "m3/h"), true // no fan, or none that turns
	}
	share, spread := c.Parameter(&deliveredShare), c.Parameter(&deliveredSpread)
	return c.Derived(quantity.Share(through*share.Nominal, spread.Nominal), "m3/h", free, share, spread), true
}

// through is the flow that the fans would move without any resistance. What goes
// in must come out: the stronger side counts, since the openings pass what the
// other leaves over, and fans that do not say blow half of their air each way.
func (s *streams) through() float64 {
	return max(s.in, s.out) + s.unsaid/2
}

// add takes in the fans that sit in the enclosure's openings: fans on their own
// and those of a loop's radiator. Fans of an air cooler and of cards stir what is
// inside already; the supply's fan moves its own air.
func (s *streams) add(c *kit.Case, it *kit.Item) {
	switch it.Kind {
	case kit.KindFan:
		s.addFan(c, it, "fan.", it.Part.GetFan(), it.Count)
	case kit.KindLiquidLoop:
		for i, seat := range it.Part.GetLiquidLoop().Fans {
			s.addFan(c, it, loopFan(i), seat.Fan, it.Count*counted(seat.Count))
		}
	}
}

func loopFan(i int) string {
	if i == 0 {
		return "liquid_loop.fans[0].fan."
	}
	return "liquid_loop.fans[" + strconv.Itoa(i) + "].fan."
}

func (s *streams) addFan(c *kit.Case, it *kit.Item, prefix string, fan *v1.Fan, count int) {
	if fan == nil {
		fan = new(v1.Fan)
	}
	flow := freeFlow(c, it, prefix, fan)
	share := speedShare(c, it, prefix, fan)
	s.values = append(s.values, flow, share)
	s.fans += count
	all := flow.Nominal * share.Nominal * float64(count)
	switch directionOf(c, it) {
	case v1.Flow_FLOW_INTAKE:
		s.in += all
	case v1.Flow_FLOW_EXHAUST:
		s.out += all
	default:
		s.unsaid += all
	}
}

// freeFlow is a fan's flow without resistance: as published, else where its curve
// ends.
func freeFlow(c *kit.Case, it *kit.Item, prefix string, fan *v1.Fan) kit.Value {
	if fan.MaxFlowM3H == nil && len(fan.Curve) > 0 {
		end := fan.Curve[0]
		for _, p := range fan.Curve {
			if p.GetFlowM3H() > end.GetFlowM3H() {
				end = p
			}
		}
		return c.Figure(it, prefix+"curve", end.FlowM3H, "m3/h", 0)
	}
	return c.Figure(it, prefix+"max_flow_m3h", fan.MaxFlowM3H, "m3/h", 0)
}

// speedShare is the speed that the build sets over the fan's greatest, 1 where it
// sets none. The flow goes with the speed (fan laws).
func speedShare(c *kit.Case, it *kit.Item, prefix string, fan *v1.Fan) kit.Value {
	rpm, set := fanSpeed(c, it)
	if !set {
		return kit.Constant(1, "share")
	}
	if rpm > 0 && fan.MaxSpeedRpm == nil {
		return c.Absent(it.At(prefix+"max_speed_rpm"), "share")
	}
	if rpm <= 0 {
		return kit.Constant(0, "share")
	}
	greatest := c.Figure(it, prefix+"max_speed_rpm", fan.MaxSpeedRpm, "rpm", 0)
	return greatest.With(quantity.Exact(min(1, rpm / *fan.MaxSpeedRpm)), "share")
}

// openingsRead is the enclosure as the input of a flow that was solved.
func (o *survey) openingsRead(c *kit.Case) kit.Value {
	it := o.outlook.chassis
	if chassis := it.Part.GetChassis(); len(chassis.Panels) == 0 {
		return c.Figure(it, "chassis.open_area_cm2", chassis.OpenAreaCm2, "cm2", 0)
	}
	v := c.Figure(it, "chassis.feet_mm", it.Part.GetChassis().FeetMm, "mm", 0)
	if !v.Known() {
		return kit.Constant(0, "mm")
	}
	return v
}
