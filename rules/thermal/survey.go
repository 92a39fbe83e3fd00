package thermal

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

// survey is what the rules of the pack have in common: the room's air, the heat
// that is set free, and the air that carries it away. It is taken once for each
// build.
type survey struct {
	coolers               []cooler
	processor             *kit.Item // nil where the build has none
	temperature, altitude kit.Value
	capacity              kit.Value      // heat that a cubic metre of the room's air takes per kelvin, J/(m3 K)
	thinness              quantity.Range // density at sea level over that of the room
	heat                  kit.Value      // in W, the known part of it
	gaps                  []kit.Value    // what is missing from the heat
	flow                  kit.Value      // through the enclosure, in m3/h
	estimated             bool           // the flow is an estimate from the fans
	networkFlow           bool           // or it was solved in the network
	rise                  kit.Value      // of the air from inlet to outlet, in K
	demand                *v1.BuildDemand
	outlook               outlook // the solved enclosure
	ahead                 ahead   // what is known before that
	fact                  forecastFact
}

func surveyOf(c *kit.Case) *survey {
	s, ok := c.Workspace.(*survey)
	if !ok {
		s = new(survey)
		c.Workspace = s
	}
	return s
}

func (s *survey) take(c *kit.Case) {
	s.takeCoolers(c)
	s.takeRoom(c)
	s.takeHeat(c)
	s.takeOutlook(c)
	s.flow, s.estimated = s.caseFlow(c)
	s.rise = s.riseOf(c)
}

// Room that stands in where the build does not say: of temperature only the
// density depends on it, and most people live below the altitude named.
var (
	anyRoomC     = quantity.Range{Nominal: 22, Low: 10, High: 35}
	anyAltitudeM = quantity.Range{Nominal: 0, Low: 0, High: 500}
)

func (s *survey) takeRoom(c *kit.Case) {
	room := c.Build.GetRoom()
	var celsius, metres *float64
	if room != nil {
		celsius, metres = room.TemperatureC, room.AltitudeM
	}
	warmth, height := kit.Path{Field: "room.temperature_c"}, kit.Path{Field: "room.altitude_m"}
	s.temperature, s.altitude = c.Given(warmth, celsius, "°C"), c.Given(height, metres, "m")
	at := s.temperature
	if !at.Known() {
		at = c.Assume(warmth, anyRoomC, "°C")
	}
	if !s.altitude.Known() {
		s.altitude = c.Assume(height, anyAltitudeM, "m")
	}
	s.takeDensity(c, at)
}

// takeDensity works out the room's air: thinnest when warm and high.
func (s *survey) takeDensity(c *kit.Case, warmth kit.Value) {
	nominal, err := air.Room(s.altitude.Nominal, warmth.Nominal)
	thin, errThin := air.Room(s.altitude.High, warmth.High)
	thick, errThick := air.Room(s.altitude.Low, warmth.Low)
	sea, errSea := air.Room(0, warmth.Nominal)
	for _, e := range [...]error{err, errThin, errThick, errSea} {
		if e != nil { // a room outside the tables
			s.capacity, s.thinness = c.Absent(kit.Path{Field: "room.altitude_m"}, "J/(m3 K)"), quantity.Exact(1)
			return
		}
	}
	s.capacity = c.Derived(quantity.Range{
		Nominal: nominal.HeatRateWK(1), Low: thin.HeatRateWK(1), High: thick.HeatRateWK(1),
	}, "J/(m3 K)", warmth, s.altitude)
	s.thinness = quantity.Range{
		Nominal: sea.DensityKgM3 / nominal.DensityKgM3, Low: sea.DensityKgM3 / thick.DensityKgM3, High: sea.DensityKgM3 / thin.DensityKgM3,
	}
}

// takeHeat reads the heat that is set free inside: everything that the parts
// draw. The supply's own loss leaves by its own fan.
func (s *survey) takeHeat(c *kit.Case) {
	s.gaps, s.demand = s.gaps[:0], nil
	s.heat = c.AbsentFact(DemandFact, "W")
	encoded, ok := c.FactBytes(DemandFact)
	if !ok {
		return
	}
	var fact v1.Fact
	if err := fact.UnmarshalVT(encoded); err != nil {
		return // a fact that cannot be read is none
	}
	demand := fact.GetDemand()
	if demand == nil || demand.SustainedW == nil {
		return
	}
	r := quantity.Range{Nominal: *demand.SustainedW, Low: demand.GetSustainedLowW(), High: demand.GetSustainedHighW()}
	if r.Check("power") != nil {
		return // nor is one that makes no sense
	}
	s.heat, s.demand = kit.Constant(0, "W").With(r, "W"), demand
	for _, path := range demand.Missing {
		s.gaps = append(s.gaps, c.Absent(splitPath(path), "W"))
	}
}

// splitPath takes a document path apart where texts shorten it: after the part.
func splitPath(path string) kit.Path {
	const mark = ".part."
	if i := strings.Index(path, mark); i >= 0 {
		return kit.Path{Base: path[:i+len(mark)], Field: path[i+len(mark):]}
	}
	return kit.Path{Field: path}
}

// secondsPerHour turns m3/h into m3/s.
const secondsPerHour = 3600

// riseOf is how much warmer the air leaves than it came, P/(rho cp Q), by what is
// known of the power.
func (s *survey) riseOf(c *kit.Case) kit.Value {
	if s.networkFlow && s.warmthKnown() {
		return c.Derived(rangeOf(s.outlook.state.Exhaust()), "K", s.flow, s.capacity)
	}
	from := [...]kit.Value{s.flow, s.capacity}
	if !s.heat.Known() || !s.flow.Known() || !s.capacity.Known() {
		return c.Derived(quantity.Range{}, "K", s.heat, s.flow, s.capacity)
	}
	rise, ok := s.heat.Div(s.flow.Mul(s.capacity.Range).Scale(1.0 / secondsPerHour))
	if !ok {
		return c.Absent(kit.Path{Field: "use.case_flow_m3h"}, "K")
	}
	return c.Derived(rise, "K", from[:]...)
}

// RiseAboveRoom is how far a reading lies above the room, both in degrees
// Celsius, in K: a processor that reads 78 in a room of 25 is 53 K above it, and
// reads 83 when the room has 30.
func RiseAboveRoom(readingC, roomC float64) float64 { return readingC - roomC }

// fanSpeed is the speed that the build sets for an item's fans, in rpm.
func fanSpeed(c *kit.Case, it *kit.Item) (rpm float64, set bool) {
	for _, setting := range c.Build.GetUse().GetFans() {
		if setting.GetItem() == it.ID && setting.SpeedRpm != nil {
			return *setting.SpeedRpm, true
		}
	}
	return 0, false
}

// counted is a count that is 1 where nothing is said.
func counted(n *uint32) int {
	if n == nil {
		return 1
	}
	return int(*n)
}

// directionOf is which way the build says that an item's air goes.
func directionOf(c *kit.Case, it *kit.Item) v1.Flow {
	for _, p := range c.Build.GetArrangement().GetPlacements() {
		if p.GetItem() == it.ID {
			return p.GetFlow()
		}
	}
	return v1.Flow_FLOW_UNSPECIFIED
}
