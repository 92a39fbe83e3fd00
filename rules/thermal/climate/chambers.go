package climate

import (
	"fmt"
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
)

// mostCells bounds how often parts cut chambers.
const mostCells = 12

// readChambers makes the zones: chambers of the geometry, cut by the parts' boxes
// where they are known, else in two; or, without geometry, one chamber from the
// outside dimensions.
func (p *Plan) readChambers() error {
	chambers := 0
	for _, c := range p.chassis.GetCompartments() {
		at, ok := boxOf(c.GetExtent())
		if !ok || c.GetCableChannel() {
			continue
		}
		p.cells = append(p.cells, cell{name: c.GetId(), at: at, chamber: chambers})
		chambers++
	}
	if chambers > mostCells/2 {
		p.cells = p.cells[:mostCells/2]
		chambers = mostCells / 2
	}
	if chambers == 0 {
		if p.chassis.OpenAreaCm2 == nil {
			return fmt.Errorf("neither geometry nor the open area of the enclosure is known; give one of them")
		}
		at, ok := p.outer()
		if !ok {
			return fmt.Errorf("neither geometry nor the outside size of the enclosure is known; give width, height and depth")
		}
		p.openM2 = *p.chassis.OpenAreaCm2 * 1e-4
		p.cells = append(p.cells, cell{name: "inside", at: at})
		chambers = 1
		p.estimate("where the openings of the enclosure are")
	}
	p.takeSolids()
	p.Lumped = len(p.solids) == 0 || p.openM2 > 0
	if p.Lumped {
		p.halve(chambers)
		p.estimate("how the parts divide the inside")
	} else {
		p.cutByCards()
		p.cutByCoolers()
	}
	for i := range p.cells {
		c := &p.cells[i]
		c.heightM = c.at.centre()[2] / 1000
		c.acrossM = crossSectionM2(c.at)
	}
	return nil
}

// outer is the outside of the enclosure as a box.
func (p *Plan) outer() (box, bool) {
	c := p.chassis
	if c.WidthMm == nil || c.HeightMm == nil || c.DepthMm == nil {
		return box{}, false
	}
	return box{hi: [3]float64{*c.DepthMm, *c.WidthMm, *c.HeightMm}}, true
}

// crossSectionM2 is the middling cross-section of a zone, half of it taken by
// parts (common practice, no source).
func crossSectionM2(b box) float64 {
	volume := b.size(0) * b.size(1) * b.size(2) * 1e-9
	return max(0.5*math.Cbrt(volume*volume), 1e-4)
}

// takeSolids keeps the boxes of parts from the arrangement.
func (p *Plan) takeSolids() {
	for _, b := range p.q.Arrangement.GetBoxes() {
		if b.GetItem() == "" || b.GetPurpose() > v1.Purpose_PURPOSE_SOLID {
			continue
		}
		if at, ok := boxOf(b.GetExtent()); ok {
			p.solids = append(p.solids, solid{b.GetItem(), at})
		}
	}
}

// hullOf is the box around all solids of an item.
func (p *Plan) hullOf(item string) (h box, ok bool) {
	for i := range p.solids {
		if p.solids[i].item != item {
			continue
		}
		if !ok {
			h, ok = p.solids[i].at, true
			continue
		}
		h = h.hull(p.solids[i].at)
	}
	return h, ok
}

// halve makes two zones of each chamber: the cool one that air enters, and the
// warm one that it leaves. They lie above each other for the draught of warm air.
func (p *Plan) halve(chambers int) {
	for i := range chambers {
		c := p.cells[i]
		warm := c
		middle := c.at.centre()[2]
		p.cells[i].name, warm.name = c.name+", cool side", c.name+", warm side"
		p.cells[i].at.hi[2], warm.at.lo[2] = middle, middle
		p.cells = append(p.cells, warm)
		p.pairs = append(p.pairs, pair{i, len(p.cells) - 1})
	}
}

// Words for the two sides of a cut, by axis.
var sideWords = [3][2]string{{"rear", "front"}, {"right", "left"}, {"lower", "upper"}}

// cutCell cuts a zone in two at a place along an axis.
func (p *Plan) cutCell(i, axis int, at float64) {
	const leastMM = 5
	c := p.cells[i]
	if len(p.cells) >= mostCells || at < c.at.lo[axis]+leastMM || at > c.at.hi[axis]-leastMM {
		return
	}
	upper := c
	p.cells[i].name, upper.name = c.name+", "+sideWords[axis][0], c.name+", "+sideWords[axis][1]
	p.cells[i].at.hi[axis], upper.at.lo[axis] = at, at
	p.cells = append(p.cells, upper)
}

// cutByCards cuts each chamber at the middle plane of cards that take at least
// three tenths of its cross-section.
func (p *Plan) cutByCards() {
	for _, it := range p.q.Build.GetItems() {
		if it.GetPart().GetCard() == nil {
			continue
		}
		h, ok := p.hullOf(it.GetId())
		if !ok {
			continue
		}
		axis, i := h.thinnest(), p.cellAt(h.centre())
		face := p.cells[i].at.seen(axis)
		if h.seen(axis).cut(face).area() >= 0.3*face.area() {
			p.cutCell(i, axis, h.centre()[axis])
		}
	}
}

// cutByCoolers cuts the zone that a tower cooler stands in at its middle, across
// its air's way.
func (p *Plan) cutByCoolers() {
	for _, it := range p.q.Build.GetItems() {
		if !it.GetPart().GetAirCooler().GetTower() {
			continue
		}
		if h, ok := p.hullOf(it.GetId()); ok {
			axis, _ := p.towerWay(it.GetId())
			p.cutCell(p.cellAt(h.centre()), axis, h.centre()[axis])
		}
	}
}

// towerWay is the axis and the sign of the air's way through a tower cooler. It
// runs along the board, to the rear where the board does not face that way
// itself, and upwards otherwise.
func (p *Plan) towerWay(cooler string) (axis int, sign float64) {
	normal := -1
	for _, it := range p.q.Build.GetItems() {
		if it.GetPart().GetBoard() == nil {
			continue
		}
		if h, ok := p.hullOf(it.GetId()); ok {
			normal = h.thinnest()
		}
	}
	if normal == 0 {
		return 2, 1
	}
	return 0, -1
}

// cellAt is the zone that a place lies in, or the nearest one.
func (p *Plan) cellAt(at [3]float64) int {
	best, least := 0, math.Inf(1)
	for i := range p.cells {
		if p.cells[i].chamber < 0 {
			continue
		}
		b, d := &p.cells[i].at, 0.0
		for a := range at {
			off := max(b.lo[a]-at[a], at[a]-b.hi[a], 0)
			d += off * off
		}
		if d < least {
			best, least = i, d
		}
	}
	return best
}

// half is the cool or the warm zone of the chamber that a place lies in.
func (p *Plan) half(at [3]float64, warm bool) int {
	i := p.cellAt(at)
	if !p.Lumped {
		return i
	}
	for _, pr := range p.pairs {
		if i == pr.cool || i == pr.warm {
			if warm {
				return pr.warm
			}
			return pr.cool
		}
	}
	return i
}

// joinPassages makes ways between zones that lie side by side: what the parts
// leave free in the plane between them.
func (p *Plan) joinPassages() {
	n := len(p.cells)
	for i := range n {
		for j := i + 1; j < n; j++ {
			p.joinCells(i, j)
		}
	}
	for _, pr := range p.pairs {
		// Half of the middle plane is free beside the parts (common practice, no
		// source); the whole of it at best, a fifth at worst.
		face := p.cells[pr.cool].at.seen(2).area() * 1e-6
		w := way{name: "past the parts", from: pr.cool, to: pr.warm, motor: -1, fromM: p.cells[pr.cool].heightM, toM: p.cells[pr.warm].heightM}
		k := air.OrificeK()
		w.add(air.Range{Low: k.Nominal, Nominal: 4 * k.Nominal, High: 25 * k.Nominal}, face, Passages)
		p.ways = append(p.ways, w)
	}
}

// leastPassageMM2 is what stays open beside parts that seem to close a plane:
// cables' holes and gaps, one square centimetre.
const leastPassageMM2 = 100

func (p *Plan) joinCells(i, j int) {
	a, b := &p.cells[i], &p.cells[j]
	if p.Lumped || a.chamber < 0 || b.chamber < 0 {
		return
	}
	const touchMM = 0.5
	for axis := range 3 {
		at := a.at.hi[axis]
		if math.Abs(at-b.at.lo[axis]) > touchMM {
			at = a.at.lo[axis]
			if math.Abs(at-b.at.hi[axis]) > touchMM {
				continue
			}
		}
		face := a.at.seen(axis).cut(b.at.seen(axis))
		if face.area() < leastPassageMM2 {
			continue
		}
		if a.chamber != b.chamber && p.walled(axis, at) {
			continue
		}
		for s := range p.solids {
			if h := &p.solids[s].at; h.lo[axis] < at && at < h.hi[axis] {
				p.areas.cover(h.seen(axis))
			}
		}
		free := max(p.areas.free(face), leastPassageMM2) * 1e-6
		w := way{name: "passage", from: i, to: j, motor: -1, fromM: a.heightM, toM: b.heightM}
		// From a sharp hole to twice that for its bends and for cables in it.
		k := air.OrificeK()
		w.add(air.Range{Low: 0.6 * k.Nominal, Nominal: k.Nominal, High: 2.5 * k.Nominal}, free, Passages)
		p.ways = append(p.ways, w)
		return
	}
}

// walled tells whether an inner panel stands in a plane.
func (p *Plan) walled(axis int, at float64) bool {
	for _, pn := range p.chassis.GetPanels() {
		if b, ok := boxOf(pn.GetExtent()); ok && pn.GetFaces() == 0 && b.thinnest() == axis && b.lo[axis]-2 < at && at < b.hi[axis]+2 {
			return true
		}
	}
	return false
}
