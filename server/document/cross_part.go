package document

import (
	"fmt"
	"strconv"
	"time"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// part holds one part against what field rules cannot say.
func (c *crossCheck) part(p *slipfitv1.Part, path string) {
	switch kind := p.Kind.(type) {
	case *slipfitv1.Part_Chassis:
		c.chassis(kind.Chassis, join(path, "chassis"))
	case *slipfitv1.Part_Board:
		unique(c, join(path, "board.card_slots"), "id", kind.Board.GetCardSlots(), (*slipfitv1.CardSlot).GetId)
		unique(c, join(path, "board.m2_slots"), "id", kind.Board.GetM2Slots(), (*slipfitv1.M2Slot).GetId)
	case *slipfitv1.Part_AirCooler:
		c.seats(kind.AirCooler.GetFans(), join(path, "air_cooler.fans"))
	case *slipfitv1.Part_LiquidLoop:
		c.seats(kind.LiquidLoop.GetFans(), join(path, "liquid_loop.fans"))
		c.core(kind.LiquidLoop.GetRadiator(), join(path, "liquid_loop.radiator"))
	case *slipfitv1.Part_Radiator:
		c.core(kind.Radiator, join(path, "radiator"))
	case *slipfitv1.Part_Card:
		c.seats(kind.Card.GetFans(), join(path, "card.fans"))
	case *slipfitv1.Part_Supply:
		c.supply(kind.Supply, join(path, "supply"))
	case *slipfitv1.Part_Fan:
		c.fan(kind.Fan, join(path, "fan"))
	}
	for i, figure := range p.Figures {
		c.figure(p, figure, at(join(path, "figures"), i))
	}
}

func (c *crossCheck) chassis(ch *slipfitv1.Chassis, path string) {
	unique(c, join(path, "layouts"), "id", ch.GetLayouts(), (*slipfitv1.Layout).GetId)
	unique(c, join(path, "compartments"), "id", ch.GetCompartments(), (*slipfitv1.Compartment).GetId)
	unique(c, join(path, "panels"), "id", ch.GetPanels(), (*slipfitv1.Panel).GetId)
	unique(c, join(path, "obstructions"), "id", ch.GetObstructions(), (*slipfitv1.Obstruction).GetId)
	c.limits(ch.GetLimits(), join(path, "limits"))
	panels := make([]string, len(ch.GetPanels()))
	for i, panel := range ch.GetPanels() {
		panels[i] = panel.GetId()
	}
	for i, layout := range ch.GetLayouts() {
		c.layout(layout, panels, at(join(path, "layouts"), i))
	}
}

func (c *crossCheck) limits(l *slipfitv1.ChassisLimits, path string) {
	unique(c, join(path, "radiators"), "mount", l.GetRadiators(), (*slipfitv1.RadiatorLimit).GetMount)
	unique(c, join(path, "fans"), "mount", l.GetFans(), (*slipfitv1.FanLimit).GetMount)
	unique(c, join(path, "drives"), "mount", l.GetDrives(), (*slipfitv1.DriveLimit).GetMount)
}

func (c *crossCheck) layout(l *slipfitv1.Layout, panels []string, path string) {
	unique(c, join(path, "mounts"), "id", l.GetMounts(), (*slipfitv1.Mount).GetId)
	unique(c, join(path, "obstructions"), "id", l.GetObstructions(), (*slipfitv1.Obstruction).GetId)
	c.limits(l.GetLimits(), join(path, "limits"))
	mounts := make([]string, len(l.GetMounts()))
	for i, mount := range l.GetMounts() {
		mounts[i] = mount.GetId()
	}
	for i, mount := range l.GetMounts() {
		path := at(join(path, "mounts"), i)
		for j, other := range mount.GetExcludes() {
			path := at(join(path, "excludes"), j)
			if other != "" && other == mount.GetId() {
				c.addf(path, "the mount %s excludes itself; take its name out", quoteShort(other))
				continue
			}
			c.oneOf(path, other, mounts, "mount", "the layout")
		}
		c.oneOf(join(path, "panel"), mount.GetPanel(), panels, "panel", "the chassis")
		for j, pose := range mount.GetPoses() {
			c.pose(pose, at(join(path, "poses"), j))
		}
	}
}

// line gives the axis that a direction lies along: 0 for X, 1 for Y, 2 for Z.
func line(axis, otherwise slipfitv1.Axis) slipfitv1.Axis {
	if axis == slipfitv1.Axis_AXIS_UNSPECIFIED {
		axis = otherwise
	}
	return (axis - 1) / 2
}

// pose refuses axes that are not at right angles.
func (c *crossCheck) pose(p *slipfitv1.Pose, path string) {
	x := line(p.GetXPoints(), slipfitv1.Axis_AXIS_X_PLUS)
	z := line(p.GetZPoints(), slipfitv1.Axis_AXIS_Z_PLUS)
	if x == z {
		c.addf(path, "x_points and z_points lie along the same axis; they have to be at right angles (absent, x_points is x_plus and z_points is z_plus)")
	}
}

func (c *crossCheck) seats(seats []*slipfitv1.FanSeat, path string) {
	for i, seat := range seats {
		c.fan(seat.GetFan(), join(at(path, i), "fan"))
	}
}

// fan refuses a curve that does not run from no flow to no pressure (ISO 5801).
func (c *crossCheck) fan(f *slipfitv1.Fan, path string) {
	curve := f.GetCurve()
	for i := 1; i < len(curve); i++ {
		before, now := curve[i-1], curve[i]
		path := at(join(path, "curve"), i)
		if now.GetFlowM3H() <= before.GetFlowM3H() {
			c.addf(path, "flow_m3h is %s after %s; put the points of the curve in the order of rising flow, each flow once",
				number(now.GetFlowM3H()), number(before.GetFlowM3H()))
		} else if now.GetPressurePa() > before.GetPressurePa() {
			c.addf(path, "pressure_pa rises from %s to %s while the flow rises; a fan's pressure falls with its flow, so look for swapped or mistyped figures",
				number(before.GetPressurePa()), number(now.GetPressurePa()))
		}
	}
}

// core refuses a radiator whose pressure does not rise with the flow.
func (c *crossCheck) core(r *slipfitv1.Radiator, path string) {
	points := r.GetCore()
	for i := 1; i < len(points); i++ {
		before, now := points[i-1], points[i]
		path := at(join(path, "core"), i)
		if now.GetFlowM3H() <= before.GetFlowM3H() {
			c.addf(path, "flow_m3h is %s after %s; put the points in the order of rising flow, each flow once",
				number(now.GetFlowM3H()), number(before.GetFlowM3H()))
		} else if now.GetPressurePa() < before.GetPressurePa() {
			c.addf(path, "pressure_pa falls from %s to %s while the flow rises; a core takes more pressure at more flow, so look for swapped or mistyped figures",
				number(before.GetPressurePa()), number(now.GetPressurePa()))
		}
	}
}

func (c *crossCheck) supply(s *slipfitv1.Supply, path string) {
	c.fan(s.GetFan().GetFan(), join(path, "fan.fan"))
	last := map[float64]float64{}
	for i, point := range s.GetEfficiencies() {
		before, ok := last[point.GetMainsV()]
		if ok && point.GetLoadShare() <= before {
			c.addf(at(join(path, "efficiencies"), i), "load_share is %s after %s%s; put the points of one mains voltage in the order of rising load, each load once",
				number(point.GetLoadShare()), number(before), volts(point.GetMainsV()))
		}
		last[point.GetMainsV()] = point.GetLoadShare()
	}
	deratings := s.GetDeratings()
	for i := 1; i < len(deratings); i++ {
		before, now := deratings[i-1], deratings[i]
		path := at(join(path, "deratings"), i)
		if now.GetAirC() <= before.GetAirC() {
			c.addf(path, "air_c is %s after %s; put the points in the order of rising temperature, each temperature once",
				number(now.GetAirC()), number(before.GetAirC()))
		} else if now.GetShare() > before.GetShare() {
			c.addf(path, "share rises from %s to %s with the temperature; a supply's rating falls with it, so look for swapped or mistyped figures",
				number(before.GetShare()), number(now.GetShare()))
		}
	}
}

func volts(v float64) string {
	if v == 0 {
		return ""
	}
	return fmt.Sprintf(" at %s V", number(v))
}

func number(f float64) string { return strconv.FormatFloat(f, 'g', -1, 64) }

// figure refuses fields that the part does not have, and days that are none.
func (c *crossCheck) figure(p *slipfitv1.Part, figure *slipfitv1.Figure, path string) {
	for i, field := range figure.GetFields() {
		if reason := figureField(p, field); field != "" && reason != "" {
			c.addf(at(join(path, "fields"), i), "%s", reason)
		}
	}
	day := figure.GetReadOn()
	if _, err := time.Parse(time.DateOnly, day); err != nil && isDayShaped(day) {
		c.addf(join(path, "read_on"), "read_on is %s, which is no day of the calendar; correct it", quoteShort(day))
	}
}
