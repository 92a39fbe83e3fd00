package climate

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
)

// opening is a hole or a grille in a panel.
type opening struct {
	panel *v1.Panel
	at    box
	axis  int
	sign  float64 // of the panel's outer face; 0 for an inner wall
	share air.Range
	given *float64 // loss coefficient that was measured
	cover string
	taken [4]rect // by fans and radiators
	used  int
	gone  bool // to a fan that no place is known of
}

// openShares stand in for a grille of which nobody counted the holes.
var openShares = air.Range{Low: 0.35, Nominal: 0.5, High: 0.65}

func (p *Plan) gatherOpenings() {
	for _, pn := range p.chassis.GetPanels() {
		wall, ok := boxOf(pn.GetExtent())
		if !ok {
			continue
		}
		axis, sign, outer := axisOf(pn.GetFaces())
		if !outer {
			axis = wall.thinnest()
		}
		if axis == 2 && outer && sign < 0 && p.feetMM < 1 {
			continue // it stands on its openings
		}
		for _, o := range pn.GetOpenings() {
			at, ok := boxOf(o.GetExtent())
			if !ok {
				continue
			}
			share := openShares
			if o.OpenShare != nil {
				share = around(*o.OpenShare, 0.05)
			} else {
				p.estimate("open share of grilles")
			}
			p.openings = append(p.openings, opening{
				panel: pn, at: at, axis: axis, sign: sign, share: share, given: o.LossCoefficient, cover: o.GetCovering(),
			})
		}
	}
}

// coverK is what a covering costs, on the velocity head of its whole face and with
// the share of the face that is open; entering and leaving included.
func (p *Plan) coverK(cover string, share air.Range) air.Range {
	f := clamp(share.Nominal, 0.05, 0.85)
	k := air.Range{}
	switch cover {
	case "none":
		k = air.OrificeK().Scaled(1 / (f * f))
		if share.Nominal > 0.85 {
			k = air.OrificeK().Scaled(1 / (share.Nominal * share.Nominal))
		}
		return k
	case "louvre":
		// A louvre that was not tested passes what 0.57 of its open share would:
		// the tested example in package air has 0.24 aerodynamic of 0.42 open.
		k, _ = air.LouvreK(clamp(0.57*f, 0.05, 0.9))
		return air.Range{Low: k.Low / 1.3, Nominal: k.Nominal, High: k.High * 1.3}
	case "mesh":
		k, _ = air.WireMeshK(f)
	case "filter":
		k, _ = air.GrilleK(f)
		if !p.q.Changes.Unfiltered {
			filter, _ := air.FilterK(air.FineMesh)
			k = sum(k, filter)
		}
	default:
		k, _ = air.GrilleK(f)
	}
	return sum(k, air.Range{Low: air.RoomExitK, Nominal: air.RoomExitK, High: air.RoomExitK})
}

func sum(a, b air.Range) air.Range {
	return air.Range{Low: a.Low + b.Low, Nominal: a.Nominal + b.Nominal, High: a.High + b.High}
}

// k is what the opening costs with only a part of its outline before the air.
func (o *opening) k(p *Plan, part float64) air.Range {
	if o.given != nil {
		return around(*o.given/(part*part), 0.1)
	}
	s := o.share.Scaled(part)
	return p.coverK(o.cover, s)
}

// far is the zone or room on the other side of an outer panel.
func (o *opening) far(p *Plan) int {
	if o.axis == 2 && o.sign < 0 {
		return p.under()
	}
	return outside
}

// under is the air beneath the enclosure, between its feet.
func (p *Plan) under() int {
	if p.beneath >= 0 {
		return p.beneath
	}
	outer, ok := p.outer()
	if !ok {
		outer = box{hi: [3]float64{300, 200, 300}}
		for i := range p.cells {
			outer = outer.hull(p.cells[i].at)
		}
	}
	p.beneath = len(p.cells)
	feet := max(p.feetMM, 1) / 1000
	p.cells = append(p.cells, cell{name: "beneath", chamber: -1, heightM: -feet / 2, acrossM: max(feet*outer.size(1)/1000, 1e-4)})
	// The gap around the floor, a fifth of it taken by the feet; a sharp inlet and
	// a turn upwards.
	gap := 2 * (outer.size(0) + outer.size(1)) / 1000 * feet * 0.8
	w := way{name: "gap at the feet", from: outside, to: p.beneath, motor: -1, fromM: -feet / 2, toM: -feet / 2}
	w.add(air.Range{Low: 1, Nominal: 1.5, High: 2.5}, gap, Openings)
	p.ways = append(p.ways, w)
	return p.beneath
}

// nearMM is how close a part lies to a panel whose openings it closes.
const nearMM = 6

// ventOpenings makes ways of what fans and parts leave of the openings.
func (p *Plan) ventOpenings() {
	for i := range p.openings {
		o := &p.openings[i]
		switch {
		case o.gone:
		case o.sign == 0:
			p.innerOpening(o)
		case p.Lumped:
			p.ventLumped(o)
		default:
			p.ventCells(o)
		}
	}
	if p.openM2 > 0 {
		p.ventPublished()
	}
}

func (p *Plan) coverUsed(o *opening) {
	for _, r := range o.taken[:o.used] {
		p.areas.cover(r)
	}
}

// vent adds a way through an opening with so many m2 of its outline.
func (p *Plan) vent(o *opening, cell int, outlineM2, heightM float64) {
	if outlineM2 < leastPassageMM2*1e-6 {
		return
	}
	w := way{
		name: o.panel.GetId(), from: o.far(p), to: cell, motor: -1, fromM: heightM, toM: heightM,
	}
	w.add(o.k(p, 1), outlineM2, Openings)
	p.ways = append(p.ways, w)
}

// ventLumped gives half of an opening to each side of its chamber.
func (p *Plan) ventLumped(o *opening) {
	p.coverUsed(o)
	free := p.areas.free(o.at.seen(o.axis)) * 1e-6
	at, h := o.at.centre(), o.at.size(2)/4000
	height := at[2] / 1000
	p.vent(o, p.half(at, false), free/2, height-h)
	p.vent(o, p.half(at, true), free/2, height+h)
}

// ventCells shares an opening among the zones behind it.
func (p *Plan) ventCells(o *opening) {
	plane := o.at.lo[o.axis]
	if o.sign < 0 {
		plane = o.at.hi[o.axis]
	}
	for i := range len(p.cells) {
		c := &p.cells[i]
		near := c.at.hi[o.axis]
		if o.sign < 0 {
			near = c.at.lo[o.axis]
		}
		if c.chamber < 0 || math.Abs(near-plane) > 3 {
			continue
		}
		face := o.at.seen(o.axis).cut(c.at.seen(o.axis))
		if face.area() < leastPassageMM2 {
			continue
		}
		p.coverUsed(o)
		for s := range p.solids {
			b := &p.solids[s].at
			gap := plane - b.hi[o.axis]
			if o.sign < 0 {
				gap = b.lo[o.axis] - plane
			}
			if gap < nearMM && gap > -b.size(o.axis) {
				p.areas.cover(b.seen(o.axis))
			}
		}
		height := o.at.centre()[2]
		if o.axis != 2 { // the middle of the part of the opening before this zone
			height = (face.v0 + face.v1) / 2
		}
		p.vent(o, i, p.areas.free(face)*1e-6, height/1000)
	}
}

// innerOpening joins the zones on both sides of an inner wall.
func (p *Plan) innerOpening(o *opening) {
	a, b := o.at.centre(), o.at.centre()
	a[o.axis], b[o.axis] = o.at.lo[o.axis]-5, o.at.hi[o.axis]+5
	height := o.at.centre()[2] / 1000
	for _, warm := range [...]bool{false, true} {
		from, to, share := p.half(a, warm), p.half(b, warm), 1.0
		if p.Lumped {
			share = 0.5
		}
		if from == to {
			return
		}
		w := way{name: o.panel.GetId(), from: from, to: to, motor: -1, fromM: height, toM: height}
		w.add(o.k(p, 1), o.at.seen(o.axis).area()*1e-6*share, Passages)
		p.ways = append(p.ways, w)
		if !p.Lumped {
			return
		}
	}
}

// ventPublished shares a published open area, less what fans sit in, between both
// sides, half of each low and half high.
func (p *Plan) ventPublished() {
	left := max(p.openM2, 1e-4)
	outer := p.cells[p.pairs[0].cool].at.hull(p.cells[p.pairs[0].warm].at)
	height := outer.size(2) / 1000
	// From a well-rounded area to one of sharp small holes.
	k := air.Range{Low: 1, Nominal: 2.6, High: 4.5}
	for _, v := range [...]struct {
		cell  int
		share float64
		at    float64
	}{{p.pairs[0].cool, 0.5, 0.25}, {p.pairs[0].warm, 0.5, 0.75}} {
		w := way{name: "vents", from: outside, to: v.cell, motor: -1, fromM: v.at * height, toM: v.at * height}
		w.add(k, left*v.share, Openings)
		p.ways = append(p.ways, w)
	}
}

// seatOpening is what a fan or a radiator blows through.
type seatOpening struct {
	k    air.Range // on the fan's own face
	far  int
	tone bool // a covering stands before it
}

// through finds what a fan's square blows through in a panel, and takes it from
// the openings. Where the square's place is not known, the largest opening counts.
func (p *Plan) through(pn *v1.Panel, square box, placed bool, faceMM2 float64) seatOpening {
	var best *opening
	got, most := 0.0, 0.0
	for i := range p.openings {
		o := &p.openings[i]
		if o.panel != pn {
			continue
		}
		area := o.at.seen(o.axis).area()
		if placed {
			area = o.at.seen(o.axis).cut(square.seen(o.axis)).area()
			if area > 0 && o.used < len(o.taken) {
				o.taken[o.used] = square.seen(o.axis)
				o.used++
			}
			got += area
		}
		if area > most {
			best, most = o, area
		}
	}
	if best == nil {
		// The mount names a panel without a hole under it: a fan against a wall.
		return seatOpening{k: p.coverK("perforated", air.Range{Low: 0.05, Nominal: 0.05, High: 0.05}), far: outside}
	}
	part := 1.0
	if placed {
		part = clamp(got/faceMM2, 0.1, 1)
	} else if best.used < len(best.taken) {
		c, u, v := best.at.centre(), 0, 0
		u, v = others(best.axis)
		half := math.Sqrt(faceMM2) / 2
		shift := float64(best.used) * 2 * half
		best.taken[best.used] = rect{best.at.lo[u] + shift, best.at.lo[u] + shift + 2*half, c[v] - half, c[v] + half}
		best.used++
	}
	return seatOpening{k: best.k(p, part), far: best.far(p), tone: best.cover != "none"}
}

// panelOf finds a panel by its name.
func (p *Plan) panelOf(id string) *v1.Panel {
	for _, pn := range p.chassis.GetPanels() {
		if pn.GetId() == id && id != "" {
			return pn
		}
	}
	return nil
}
