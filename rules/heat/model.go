package heat

import (
	"fmt"

	"slipfit.example/rules/air"
)

// Ref points at something that has a temperature: the Room, a zone of the flow
// network, a body, a panel or the liquid that leaves a station of a loop. The
// methods of Model make it.
type Ref int

// Room is the room around the enclosure; its temperature is the flow network's.
const Room Ref = -1

// NoBranch stands for "in no way of the flow network".
const NoBranch = -1

// Model is what gives, carries and takes heat. It is plain data; a Solver
// works on it. Air is required, all else may be empty.
type Model struct {
	Air *air.Network
	// Zones add heat and heat capacity to the zones of Air, in its order; nil
	// or one for each zone.
	Zones []Zone
	// BranchPowerW is heat that is set free in the ways of Air, in its order,
	// such as that of fan motors; nil or one for each way. It enters the zone
	// that the air of the way reaches, or both ends when the air stands.
	BranchPowerW []float64
	Bodies       []Body
	Conductors   []Conductor
	Sinks        []Sink
	Panels       []Panel
	Loops        []Loop
}

// Zone is heat set free in a zone's air, W, and the heat capacity of the air
// and of the small things in it, J/K (zero stands for some five litres of air).
type Zone struct {
	PowerW     float64
	CapacityJK float64
}

// Body is a solid of one temperature: a chip, a plate, a board, a drive.
type Body struct {
	Name       string  // required, for reports and errors
	PowerW     float64 // heat set free in it, W; negative is refused
	CapacityJK float64 // J/K; zero follows at once
}

// Conductor is a fixed resistance between two things: interface layer, spreader,
// natural convection of a small part to the air of its zone.
type Conductor struct {
	Name         string
	A, B         Ref
	ResistanceKW float64 // K/W, above zero
}

// Sink is a body that a flow of air cools. Its heat enters the air of that
// flow; the temperature that drives it is that of the air before the sink.
type Sink struct {
	Name string
	Body Ref
	// Branch is the way of the flow network that the sink stands in, or
	// NoBranch for a sink with a fan of its own that takes air from a zone and
	// gives it back there (InZone, FlowM3S).
	Branch int
	// Share is the part of the way's flow that passes the sink, 0 to 1; zero
	// stands for all of it.
	Share float64
	// InZone and FlowM3S are used with NoBranch only.
	InZone  Ref
	FlowM3S float64
	Law     FlowLaw
	// AtRestKW is the resistance when no air moves, to the air around; zero
	// stands for none. The sink is never worse than this.
	AtRestKW float64
}

// Panel is a wall of the enclosure between a zone and the room. Its own
// temperature is what a hand feels.
type Panel struct {
	Name       string
	Inside     Ref
	AreaM2     float64
	LengthM    float64 // see Facing
	Facing     Facing
	Emissivity float64 // of its outside
	InnerWM2K  float64 // coefficient at its inside, W/(m2 K), above zero
	CapacityJK float64
}

// Loop is a liquid loop: a pump drives a liquid through stations in order and
// back to the first.
type Loop struct {
	Name     string
	FlowM3S  float64 // flow of the pump; zero stands still
	Liquid   Liquid
	Stations []Station
	// CapacityJK is the heat capacity of the liquid and its vessel, shared by
	// the stations.
	CapacityJK float64
}

// Liquid is what flows in a loop.
type Liquid struct {
	DensityKgM3 float64
	CpJKgK      float64
}

// Water is plain water at 20 degC. A fifth of glycol lowers rho cp by about
// four percent (common practice, no source).
var Water = Liquid{DensityKgM3: 998, CpJKgK: 4182}

// Station is a plate on a body, or a radiator in a way of the flow network.
type Station struct {
	Name string
	// Body and PlateKW are a cold plate: resistance from the body to the liquid
	// that enters. PlateKW zero makes the station a radiator.
	Body    Ref
	PlateKW float64
	// Branch is the way whose air passes the radiator, Share the part of it
	// (zero stands for all).
	Branch int
	Share  float64
	// UAWK is the radiator's conductance between both streams at the air flow
	// UAFlowM3S; it changes with the power UAExponent (0 to 0.8) of that flow.
	UAWK        float64
	UAFlowM3S   float64
	UAExponent  float64
	Arrangement Arrangement
}

// Zone is the reference to zone i of the flow network.
func (m *Model) Zone(i int) Ref { return Ref(i) }

// Body is the reference to body i.
func (m *Model) Body(i int) Ref { return Ref(len(m.Air.Nodes) + i) }

// Panel is the reference to panel i.
func (m *Model) Panel(i int) Ref { return m.Body(len(m.Bodies)) + Ref(i) }

// Liquid is the reference to the liquid that leaves a station of a loop.
func (m *Model) Liquid(loop, station int) Ref {
	r := m.Panel(len(m.Panels))
	for _, l := range m.Loops[:loop] {
		r += Ref(len(l.Stations))
	}
	return r + Ref(station)
}

// size is the number of temperatures that the model asks for.
func (m *Model) size() int {
	n := len(m.Air.Nodes) + len(m.Bodies) + len(m.Panels)
	for i := range m.Loops {
		n += len(m.Loops[i].Stations)
	}
	return n
}

// Name is what a reference points at, in words.
func (m *Model) Name(r Ref) string {
	i := int(r)
	if r == Room {
		return "room"
	}
	if i < len(m.Air.Nodes) {
		return m.Air.Nodes[i].Name
	}
	if i -= len(m.Air.Nodes); i < len(m.Bodies) {
		return m.Bodies[i].Name
	}
	if i -= len(m.Bodies); i < len(m.Panels) {
		return m.Panels[i].Name
	}
	i -= len(m.Panels)
	for l := range m.Loops {
		if i < len(m.Loops[l].Stations) {
			return fmt.Sprintf("%s after %s", m.Loops[l].Name, m.Loops[l].Stations[i].Name)
		}
		i -= len(m.Loops[l].Stations)
	}
	return fmt.Sprintf("nothing (%d)", int(r))
}
