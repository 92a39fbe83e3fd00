package climate

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
)

// readCard sets a card: its fans draw from the side they face, and its air leaves
// along its edges, through its end where it is open, and through its bracket.
func (p *Plan) readCard(it *v1.Item, card *v1.Card) {
	w, ok := p.drawW(it.GetId())
	if !ok {
		p.gap(it.GetId(), "card.demand.sustained_w")
	}
	front, back := p.cardSides(it.GetId())
	c := cardChip(it, card, w, front)
	fan, count, free := p.cardLaw(&c, it, card)
	if fan != nil && free > 0 {
		p.cardWays(&c, it, card, fan, count, front, back)
	}
	p.chips = append(p.chips, c)
}

// cardChip is a card that draws so much, in a zone, still without a cooler.
func cardChip(it *v1.Item, card *v1.Card, powerW float64, zone int) chip {
	return chip{item: it.GetId(), of: "die", powerW: powerW, limitC: card.LimitC, way: -1, zone: zone, loop: -1, motor: -1, sinkOf: Card,
		capacity: 0.7 * massOr(it, 800), spread: around(1, 0.1)}
}

// cardLaw sets what of a card's cooler is the same wherever it sits: its fans' motor and
// its law.
func (p *Plan) cardLaw(c *chip, it *v1.Item, card *v1.Card) (fan *v1.Fan, count int, free float64) {
	fan, count = fanOf(card.Fans)
	if fan != nil {
		c.motor = p.addMotor(it.GetId(), cardFan, fan, count)
		p.motors[c.motor].points, p.motors[c.motor].whole = card.GetNoises(), true
		free = curveOf(fan, count, 1).free
	} else if len(card.GetNoises()) > 0 {
		p.motors = append(p.motors, motor{item: it.GetId(), kind: pump, points: card.GetNoises(), whole: true, count: 1})
	}
	c.law, c.known = p.lawOf(c, it.GetPart(), card.Resistances, nil, nil, free, p.speedOf(c.motor))
	return fan, count, free
}

// cardSides is the zone that a card's fans face and the one at its back.
func (p *Plan) cardSides(item string) (front, back int) {
	h, boxed := p.hullOf(item)
	if !boxed || p.Lumped {
		at := p.seatPoint(item)
		return p.half(at, false), p.half(at, true)
	}
	axis := h.thinnest()
	sign := p.cardFacing(item, h, axis)
	a, b := h.centre(), h.centre()
	a[axis] += sign * (h.size(axis)/2 + 5)
	b[axis] -= sign * (h.size(axis)/2 + 5)
	return p.cellAt(a), p.cellAt(b)
}

// cardFacing is which way a card's fans look: by its pose, by the free space asked
// for before them, else away from the board's middle.
func (p *Plan) cardFacing(item string, h box, axis int) float64 {
	for _, s := range p.q.Arrangement.GetSeats() {
		if s.GetItem() != item {
			continue
		}
		if f, ok := frameOf(s.GetPlaced()); ok {
			if a, sign := f.direction(0); a == axis {
				return sign
			}
		}
	}
	for _, b := range p.q.Arrangement.GetBoxes() {
		if at, ok := boxOf(b.GetExtent()); ok && b.GetItem() == item && b.GetPurpose() == v1.Purpose_PURPOSE_BREATH {
			return math.Copysign(1, at.centre()[axis]-h.centre()[axis])
		}
	}
	for _, it := range p.q.Build.GetItems() {
		if it.GetPart().GetBoard() == nil {
			continue
		}
		if b, ok := p.hullOf(it.GetId()); ok {
			return math.Copysign(1, h.centre()[axis]-b.centre()[axis])
		}
	}
	return -1
}

// cardWays adds the air in the card and the ways out of it.
func (p *Plan) cardWays(c *chip, it *v1.Item, card *v1.Card, fan *v1.Fan, count, front, back int) {
	inside, height := len(p.cells), p.heightOf(front)
	p.cells = append(p.cells, cell{name: "in " + it.GetId(), chamber: -1, heightM: height, acrossM: 0.005})
	w, ok := p.fanWay(it.GetId(), front, inside, c.motor, fan, count, 1)
	if !ok { // its blades are unknown; the air in it stays a closed pocket
		p.cells = p.cells[:inside]
		return
	}
	p.addFins(&w)
	p.ways = append(p.ways, w)
	c.way = len(p.ways) - 1
	length, tall, thick := orElse(card.LengthMm, 240)/1000, orElse(card.HeightMm, 120)/1000, orElse(card.ThicknessMm, 40)/1000
	bracket := float64(max(1, card.GetSlots())) * 12e-3 * 80e-3
	k := air.OrificeK()
	k.High *= 2
	leave := func(name string, to int, area float64) {
		if area <= 0 {
			return
		}
		out := way{name: name, from: inside, to: to, motor: -1, fromM: height, toM: height}
		out.add(k, area, Passages)
		p.ways = append(p.ways, out)
	}
	// Free shares are common practice, no source: a bracket's slots leave a third,
	// open shrouds half of both long edges, and an open end six tenths of the last
	// third of the card.
	if card.GetBlower() {
		leave("bracket of "+it.GetId(), outside, 0.5*bracket)
		return
	}
	leave("bracket of "+it.GetId(), outside, 0.3*bracket)
	leave("edges of "+it.GetId(), front, 0.5*length*thick)
	end := 0.0
	if card.GetFlowThrough() {
		end = 0.6 * length / 3 * tall
	}
	if front != back {
		leave("back of "+it.GetId(), back, 0.5*length*thick+end)
	}
}

func orElse(v *float64, other float64) float64 {
	if v != nil && *v > 0 {
		return *v
	}
	return other
}
