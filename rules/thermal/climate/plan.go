package climate

import (
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
	"slipfit.example/rules/heat"
)

// Question is what a plan is made from. Nothing in it is changed.
type Question struct {
	Build *v1.Build
	// Arrangement is where the parts lie; nil where nobody worked it out.
	Arrangement *v1.Arrangement
	// Demand is what the parts draw; nil where nobody worked it out.
	Demand *v1.BuildDemand
	// Changes are tried out: what one change would bring.
	Changes Changes
}

// Changes are departures from a build that are tried out.
type Changes struct {
	// Turned is the item whose fans blow the other way.
	Turned string
	// Unfiltered takes filters off the openings.
	Unfiltered bool
	// FeetMM is added to the height of the feet.
	FeetMM float64
	// AddedMount is a mount that one more fan like Like goes to, blowing Flow.
	AddedMount string
	Like       string
	Flow       v1.Flow
}

// outside stands for the room as an end of a way.
const outside = air.Outside

// Plan is a build as a network. It is used again for the next build, and is not
// safe for concurrent use.
type Plan struct {
	q       Question
	chassis *v1.Chassis
	layout  *v1.Layout

	// Room is the air of the room.
	Room air.State
	// RoomGiven tells whether the build says the room's temperature.
	RoomGiven bool
	// Estimates are what stands in for figures, in words.
	Estimates []string
	// Gaps are document paths without which heat is missing.
	Gaps []string
	// Lumped tells that chambers were not cut by the parts' boxes.
	Lumped bool

	cells    []cell
	pairs    []pair // of each compartment, when lumped
	solids   []solid
	openings []opening
	panels   []panel
	ways     []way
	motors   []motor
	chips    []chip
	loops    []loop
	locals   []local
	beneath  int // zone under the enclosure, -1
	feetMM   float64
	openM2   float64 // published open area, where there is no geometry
	areas    areas
	net      air.Network
	model    heat.Model
	solver   *heat.Solver
	fans     []air.Fan
	laws     lawMemory
}

// cell is a zone of air: a piece of a chamber, or the air in a card.
type cell struct {
	name    string
	at      box
	chamber int
	heightM float64
	powerW  float64
	acrossM float64 // middling free cross-section, m2, for the speed of its air
}

// pair is the two zones of a chamber that was not cut by boxes.
type pair struct{ cool, warm int }

// solid is a box that air does not pass.
type solid struct {
	item string
	at   box
}

// loss is a quadratic resistance known between two ends, Pa/(m3/s)^2 at 1.2 kg/m3.
type loss struct {
	quadratic air.Range
	of        Coefficient
}

// way is a branch of the flow network before its coefficients are settled.
type way struct {
	name     string
	item     string // of the fan
	from, to int
	losses   [5]loss
	count    int
	linear   float64 // Pa/(m3/s)
	motor    int     // -1 without a fan
	curve    curve
	fromM    float64
	toM      float64
	powerW   float64
}

func (w *way) add(k air.Range, areaM2 float64, of Coefficient) {
	if w.count == len(w.losses) || !(areaM2 > 0) {
		return
	}
	per := air.FanStandardDensityKgM3 / (2 * areaM2 * areaM2)
	w.losses[w.count] = loss{k.Scaled(per), of}
	w.count++
}

func (w *way) addQuadratic(q float64, of Coefficient) {
	if w.count < len(w.losses) && q > 0 {
		w.losses[w.count] = loss{around(q, 0.3), of}
		w.count++
	}
}

// motor is fans that turn together: all of one item.
type motor struct {
	item    string
	kind    motorKind
	maxRPM  float64
	minRPM  float64
	rpm     float64 // that the build sets; the greatest where it sets none
	canStop bool
	steered bool // its speed is for firmware to set
	count   int
	blades  int
	sizeMM  float64
	points  []*v1.NoisePoint
	whole   bool // the points are of all its fans together
	tight   air.Range
	flow    v1.Flow
}

type motorKind int

const (
	caseFan motorKind = iota
	coolerFan
	loopFan
	cardFan
	supplyFan
	pump // noise only
)

// Read makes the plan of a build. It returns an error in a sentence where there is
// nothing to solve, such as a build without an enclosure.
func (p *Plan) Read(q Question) error {
	p.reset(q)
	if err := p.readRoom(); err != nil {
		return err
	}
	for _, it := range q.Build.GetItems() {
		if c := it.GetPart().GetChassis(); c != nil {
			p.chassis = c
			break
		}
	}
	if p.chassis == nil {
		return fmt.Errorf("the build names no enclosure; add it")
	}
	p.findLayout()
	p.readFeet()
	if err := p.readChambers(); err != nil {
		return err
	}
	p.gatherOpenings()
	p.readParts()
	p.ventOpenings()
	p.joinPassages()
	p.readPanels()
	p.spreadHeat()
	if len(p.ways) == 0 {
		return fmt.Errorf("no opening and no fan of the enclosure is known; give its panels' openings or its open area")
	}
	return nil
}

func (p *Plan) reset(q Question) {
	s := p.solver
	if s == nil {
		s = heat.NewSolver(heat.Options{ToleranceK: 2e-3, MostRounds: 120})
	}
	*p = Plan{
		q: q, solver: s, beneath: -1, areas: p.areas, laws: p.laws,
		Estimates: p.Estimates[:0], Gaps: p.Gaps[:0],
		cells: p.cells[:0], pairs: p.pairs[:0], solids: p.solids[:0], openings: p.openings[:0], panels: p.panels[:0],
		ways: p.ways[:0], motors: p.motors[:0], chips: p.chips[:0], loops: p.loops[:0], locals: p.locals[:0],
		net: air.Network{Nodes: p.net.Nodes[:0], Branches: p.net.Branches[:0]}, fans: p.fans[:0],
		model: heat.Model{
			Zones: p.model.Zones[:0], BranchPowerW: p.model.BranchPowerW[:0], Bodies: p.model.Bodies[:0],
			Sinks: p.model.Sinks[:0], Panels: p.model.Panels[:0], Loops: p.model.Loops[:0], Conductors: p.model.Conductors[:0],
		},
	}
}

// usualRoomC stands in for a room that nobody measured; of it only the density
// depends on it.
const usualRoomC = 22

func (p *Plan) readRoom() error {
	room := p.q.Build.GetRoom()
	celsius := float64(usualRoomC)
	if room != nil && room.TemperatureC != nil {
		celsius, p.RoomGiven = *room.TemperatureC, true
	}
	var err error
	p.Room, err = air.Room(room.GetAltitudeM(), celsius)
	if err != nil {
		return fmt.Errorf("the room has no air to work with: %w", err)
	}
	return nil
}

func (p *Plan) findLayout() {
	id := p.q.Arrangement.GetLayout()
	if id == "" {
		id = p.q.Build.GetArrangement().GetLayout()
	}
	for _, l := range p.chassis.GetLayouts() {
		if l.GetId() == id || id == "" {
			p.layout = l
			return
		}
	}
}

// mount is a mount of the layout by its id, or nil.
func (p *Plan) mount(id string) *v1.Mount {
	if id == "" {
		return nil
	}
	for _, m := range p.layout.GetMounts() {
		if m.GetId() == id {
			return m
		}
	}
	return nil
}

// usualFeetMM stands in for feet that nobody measured.
const usualFeetMM = 10

func (p *Plan) readFeet() {
	if p.chassis.FeetMm != nil {
		p.feetMM = *p.chassis.FeetMm
	} else {
		p.feetMM = usualFeetMM
		p.estimate("height of the feet")
	}
	for _, it := range p.q.Build.GetItems() {
		p.feetMM += it.GetPart().GetAccessory().GetFeetMm()
	}
	p.feetMM += p.q.Changes.FeetMM
}

func (p *Plan) estimate(what string) {
	for _, e := range p.Estimates {
		if e == what {
			return
		}
	}
	p.Estimates = append(p.Estimates, what)
}

// item finds an item of the build.
func (p *Plan) item(id string) *v1.Item {
	for _, it := range p.q.Build.GetItems() {
		if it.GetId() == id {
			return it
		}
	}
	return nil
}

// setSpeed is the speed that the build sets for an item's fans.
func (p *Plan) setSpeed(id string) (float64, bool) {
	for _, f := range p.q.Build.GetUse().GetFans() {
		if f.GetItem() == id && f.SpeedRpm != nil {
			return *f.SpeedRpm, true
		}
	}
	return 0, false
}

// drawW is what an item draws, all its pieces together.
func (p *Plan) drawW(id string) (float64, bool) {
	for _, d := range p.q.Demand.GetItems() {
		if d.GetItem() == id && d.SustainedW != nil {
			return *d.SustainedW, true
		}
	}
	return 0, false
}
