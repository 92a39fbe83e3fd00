package climate

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
	"slipfit.example/rules/heat"
	"slipfit.example/rules/sound"
)

// local is a small part that the air of its zone cools: its heat enters the zone,
// and its own temperature follows from the air and its speed there.
type local struct {
	item, of  string
	zone      int
	powerW    float64 // of one piece
	areaM2    float64 // of one piece
	lengthM   float64 // along the air's way
	boardKW   float64 // to the board or cage it sits in, 0 for none
	limitC    *float64
	capacity  float64 // J/K of one piece
	uncertain float64 // share both ways
}

// Losses and areas of small parts (common practice, no source): regulators lose
// a tenth of what the processor draws, and have some 100 cm2 of heatsink.
const (
	regulatorLoss  = 0.10
	regulatorM2    = 0.010
	memoryLengthM  = 0.133
	memoryBoardKW  = 18
	bareDriveBoard = 9
)

// readLocal sets a small part: memory, drives, regulators.
func (p *Plan) readLocal(it *v1.Item) {
	part := it.GetPart()
	count := float64(max(1, it.GetCount()))
	w, drawn := p.drawW(it.GetId())
	l := local{item: it.GetId(), uncertain: 0.35}
	switch {
	case part.GetMemory() != nil:
		mem := part.GetMemory()
		modules := count * float64(max(1, mem.GetModules()))
		tall := orElse(mem.HeightMm, 32) / 1000
		l.of, l.zone, l.limitC, l.powerW = "memory", p.zoneOf(it), mem.LimitC, w/modules
		l.areaM2, l.lengthM, l.boardKW, l.capacity = 2*memoryLengthM*tall, memoryLengthM, memoryBoardKW, 0.9*massOr(it, 40)/modules
	case part.GetDrive() != nil:
		p.readDrive(&l, it, part.GetDrive(), w/count)
	case part.GetBoard() != nil:
		if len(p.chips) == 0 || p.chips[0].of != "die" || p.item(p.chips[0].item).GetPart().GetProcessor() == nil {
			return
		}
		l.of, l.zone, l.limitC, l.uncertain = "regulator", p.nearBoard(), part.GetBoard().RegulatorLimitC, 0.5
		l.powerW, l.areaM2, l.lengthM, l.boardKW, l.capacity = regulatorLoss*p.chips[0].powerW, regulatorM2, 0.06, 4, 60
		p.locals = append(p.locals, l)
		return
	default:
		return
	}
	if !drawn {
		return
	}
	p.locals = append(p.locals, l)
}

func (p *Plan) readDrive(l *local, it *v1.Item, d *v1.Drive, w float64) {
	l.of, l.zone, l.limitC, l.powerW = "drive", p.zoneOf(it), d.LimitC, w
	switch d.GetFormFactor() {
	case "3.5-inch":
		l.areaM2, l.lengthM, l.boardKW, l.capacity = 0.035, 0.147, 6, 0.8*massOr(it, 650)
	case "2.5-inch":
		l.areaM2, l.lengthM, l.boardKW, l.capacity = 0.016, 0.1, 8, 0.9*massOr(it, 60)
	default: // M.2, bare or under a heatsink
		l.zone = p.nearBoard()
		l.areaM2, l.lengthM, l.boardKW, l.capacity = 2*0.022*0.08, 0.08, bareDriveBoard, 0.8*massOr(it, 9)+8
		if d.GetHeightMm() > 5 { // fins quadruple the face
			l.areaM2 *= 4
		}
	}
}

// zoneOf is the zone that a small part lies in.
func (p *Plan) zoneOf(it *v1.Item) int {
	if h, ok := p.hullOf(it.GetId()); ok {
		return p.cellAt(h.centre())
	}
	for _, s := range p.q.Arrangement.GetSeats() {
		if s.GetItem() == it.GetId() && s.Mount != nil {
			return p.half(p.seatPoint(it.GetId()), false)
		}
	}
	return p.nearBoard()
}

// resistanceKW is from a small part to its air of a speed in m/s: natural
// convection and radiation to its surroundings, 10 W/(m2 K) together, and the
// laminar plate, Nu = 0.664 Re^0.5 Pr^0.33, which is 3.9 sqrt(v/L) W/(m2 K) in air
// of 40 degrees (heat transfer textbooks); beside it the board's way.
func (l *local) resistanceKW(speedMS float64) float64 {
	h := 10 + 3.9*math.Sqrt(max(speedMS, 0)/l.lengthM)
	g := h * l.areaM2
	if l.boardKW > 0 {
		g += 1 / l.boardKW
	}
	return 1 / g
}

// spread is the factor that a local resistance may be off by.
func (l *local) spread() air.Range { return around(1, l.uncertain) }

// panel is a wall that gives heat to the room.
type panel struct {
	name      string
	zone      int
	areaM2    float64
	lengthM   float64
	facing    heat.Facing
	material  string
	emission  float64
	thickness float64 // mm
}

// readPanels sets the outer walls: from the geometry, else from the outside size.
func (p *Plan) readPanels() {
	for _, pn := range p.chassis.GetPanels() {
		at, ok := boxOf(pn.GetExtent())
		axis, sign, faces := axisOf(pn.GetFaces())
		if !ok || !faces {
			continue
		}
		in := at.centre()
		in[axis] -= sign * (at.size(axis)/2 + 15)
		p.addPanel(pn.GetId(), at, axis, sign, p.half(in, axis == 2 && sign > 0 || axis == 0 && sign < 0), pn.GetMaterial())
	}
	if len(p.panels) > 0 {
		return
	}
	outer, ok := p.outer()
	if !ok {
		return
	}
	warm := p.half(p.cells[0].at.centre(), true)
	cool := p.half(p.cells[0].at.centre(), false)
	for _, side := range [...]struct {
		name       string
		axis, zone int
		sign       float64
	}{{"rear", 0, warm, -1}, {"front", 0, cool, 1}, {"right", 1, cool, -1}, {"left", 1, warm, 1}, {"top", 2, warm, 1}} {
		p.addPanel(side.name, outer, side.axis, side.sign, side.zone, "")
	}
}

func (p *Plan) addPanel(name string, at box, axis int, sign float64, zone int, material string) {
	face := at.seen(axis)
	area := face.area() * 1e-6
	if area < 1e-4 || len(p.panels) >= 16 {
		return
	}
	n := panel{name: name, zone: zone, areaM2: area, material: material, emission: 0.85, thickness: at.size(axis)}
	if n.thickness > 20 {
		n.thickness = 1.5
	}
	around := (face.u1 - face.u0 + face.v1 - face.v0) * 2e-3
	switch {
	case axis != 2:
		n.facing, n.lengthM = heat.Upright, max(at.size(2)/1000, 0.002)
	case sign > 0:
		n.facing, n.lengthM = heat.Up, max(area/around, 0.002)
	default:
		n.facing, n.lengthM = heat.Down, max(area/around, 0.002)
	}
	p.panels = append(p.panels, n)
}

// panelCapacityJK is the heat capacity of a panel by its material.
func (n *panel) capacityJK() float64 {
	perM3 := 3.6e6 // steel, J/(m3 K)
	switch n.material {
	case "aluminium":
		perM3 = 2.4e6
	case "glass":
		perM3 = 2.0e6
	case "plastic", "wood", "mesh":
		perM3 = 1.3e6
	}
	return n.areaM2 * n.thickness / 1000 * perM3
}

// innerWM2K is what reaches a panel from inside: slow forced convection and the
// radiation of warm parts (common practice, no source).
var innerWM2K = air.Range{Low: 5, Nominal: 8, High: 12}

// spreadHeat gives every item's heat a place that no chip takes already.
func (p *Plan) spreadHeat() {
	for _, d := range p.q.Demand.GetItems() {
		it := p.item(d.GetItem())
		w := d.GetSustainedW()
		if it == nil || !(w > 0) {
			continue
		}
		if p.isChip(d.GetItem()) {
			continue
		}
		p.cells[p.heatZone(it)].powerW += w
	}
	p.Gaps = append(p.Gaps, p.q.Demand.GetMissing()...)
}

func (p *Plan) isChip(item string) bool {
	for i := range p.chips {
		if p.chips[i].item == item && (p.chips[i].known || p.chips[i].way >= 0) {
			return true
		}
	}
	return false
}

// heatZone is where the heat of an item without a sink of its own goes.
func (p *Plan) heatZone(it *v1.Item) int {
	for i := range p.chips {
		if p.chips[i].item == it.GetId() && p.chips[i].zone >= 0 {
			return p.chips[i].zone
		}
	}
	for i := range p.locals {
		if p.locals[i].item == it.GetId() {
			return p.locals[i].zone
		}
	}
	for i := range p.ways {
		w := &p.ways[i]
		if w.item == it.GetId() && w.motor >= 0 {
			if w.to >= 0 {
				return w.to
			}
			if w.from >= 0 {
				return w.from
			}
		}
	}
	return p.nearBoard()
}

// tightness is how much louder something close before a fan's blades makes it.
func tightness(gapMM, sizeMM float64) air.Range {
	if sizeMM < 20 {
		sizeMM = 120
	}
	r, err := sound.TightGrillePenalty(max(gapMM, 0)/1000, sizeMM/1000)
	if err != nil {
		return air.Range{}
	}
	return r
}
