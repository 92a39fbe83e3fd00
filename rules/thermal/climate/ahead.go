package climate

import (
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Ahead is what can be told of a build before anybody knows where its parts come to
// lie: bounds that hold for every arrangement. It is used again for the next build, and
// is not safe for concurrent use.
type Ahead struct {
	plan Plan
	fans []aheadFan
	// legs bounds how often one round of air can rise and fall between zones.
	legs  int
	tallM float64

	nearby nearby
	seated bool
}

// aheadFan is fans that drive air in the network, and the chip that they cool, -1 for
// none.
type aheadFan struct {
	motor int
	curve curve
	chip  int
	// ways bounds how many of them one round of air can pass.
	ways int
}

// Read takes a build. Draws says what an item draws, all its pieces together, in W; ok
// is false where that is not known. Seated tells that the parts will have boxes, so that
// what stands before fans may be looked at. The error is a sentence that says why nothing
// can be told.
func (a *Ahead) Read(build *v1.Build, seated bool, draws func(*v1.Item) (watts float64, ok bool)) error {
	p := &a.plan
	p.reset(Question{Build: build})
	a.fans = a.fans[:0]
	if err := p.readRoom(); err != nil {
		return err
	}
	for _, it := range build.GetItems() {
		if p.chassis == nil {
			p.chassis = it.GetPart().GetChassis()
		}
	}
	if p.chassis == nil {
		return fmt.Errorf("the build names no enclosure; add it")
	}
	p.readFeet()
	a.readHeights()
	if a.seated = seated; seated {
		a.nearby.read(p)
	}
	// The order is that of a plan, so that levels add up to the last digit alike.
	for _, it := range build.GetItems() {
		switch part := it.GetPart(); {
		case part.GetFan() != nil:
			a.readFan(it, part.GetFan())
		case part.GetSupply() != nil:
			seat := part.GetSupply().GetFan()
			a.addFan(p.supplyMotor(it, part.GetSupply()), seat.GetFan(), int(max(1, seat.GetCount())), 1, 1)
		}
	}
	a.readProcessor(draws)
	for _, it := range build.GetItems() {
		if card := it.GetPart().GetCard(); card != nil {
			a.readCard(it, card, draws)
		}
	}
	return nil
}

// addFan notes fans that drive air; fans of which too little is known do not.
func (a *Ahead) addFan(motor int, fan *v1.Fan, beside, inLine, ways int) int {
	if motor < 0 {
		return -1
	}
	c := curveOf(fan, beside, inLine)
	if c.air == nil {
		return -1
	}
	a.fans = append(a.fans, aheadFan{motor: motor, curve: c, chip: -1, ways: ways})
	return len(a.fans) - 1
}

func (a *Ahead) readFan(it *v1.Item, fan *v1.Fan) {
	p := &a.plan
	count := int(max(1, it.GetCount()))
	m := p.addMotor(it.GetId(), caseFan, fan, count)
	pin := p.onlyPlacement(it.GetId())
	fixed, ways := pin.GetMount() != "", count
	if fixed {
		ways = 1 // side by side in one panel
	}
	if a.addFan(m, fan, count, 1, ways) < 0 || !a.seated || !fixed && count > 1 {
		return // some of them may lie far from the others
	}
	seats := a.nearby.seatsOf(p, it, pin)
	// Of what stands before its blades counts what is there for certain; where their
	// direction is not set, as much as behind their outlet.
	outer, inner := v1.Flow_FLOW_EXHAUST, v1.Flow_FLOW_EXHAUST
	switch pin.GetFlow() {
	case v1.Flow_FLOW_INTAKE:
		outer = v1.Flow_FLOW_INTAKE
	case v1.Flow_FLOW_EXHAUST:
		inner = v1.Flow_FLOW_INTAKE
	}
	if seats.covered {
		p.tighten(m, bladesBehindMM, outer)
	}
	if seats.hit {
		p.tighten(m, seats.gapMM, inner)
	}
}

func hasRadiator(part *v1.Part) bool { return part.GetRadiator() != nil || part.GetLiquidLoop() != nil }

// frameMM is a fan's frame, as blowThrough takes it.
func frameMM(fan *v1.Fan) float64 {
	if size := fan.GetSizeMm(); size > 0 {
		return float64(size)
	}
	return 120
}

// fanMounts are the mounts that a fan may sit at, by all layouts that the build allows: the
// one of a placement, or all, with those of radiators where there are some.
func (p *Plan) fanMounts(pin *v1.Placement) (mounts []*v1.Mount) {
	layout, radiators := p.q.Build.GetArrangement().GetLayout(), p.firstPart(hasRadiator) != nil
	for _, l := range p.chassis.GetLayouts() {
		for _, m := range l.GetMounts() {
			fans := m.GetKind() == v1.MountKind_MOUNT_KIND_FAN || radiators && m.GetKind() == v1.MountKind_MOUNT_KIND_RADIATOR
			if (layout == "" || l.GetId() == layout) && (pin.GetMount() == m.GetId() || pin.GetMount() == "" && fans) {
				mounts = append(mounts, m)
			}
		}
	}
	return mounts
}

// surelyCovered tells that a fan of a frame size has a covering before it wherever it may
// sit: by its boxes, and by its mount's space where there are none.
func (p *Plan) surelyCovered(rows []row, frame float64) bool {
	for i := range rows {
		var seats []box
		if len(rows[i].places) > 0 {
			seats = append(seats, rows[i].hull)
		}
		if space, ok := boxOf(rows[i].mount.GetSpace()); ok {
			seats = append(seats, space)
		}
		if len(seats) == 0 || !p.covers(p.panelOf(rows[i].mount.GetPanel()), seats, frame) {
			return false
		}
	}
	return len(rows) > 0
}

// covers tells that a covering of a panel stands before a fan wherever in some places it
// sits.
func (p *Plan) covers(pn *v1.Panel, seats []box, frame float64) bool {
	axis, sign, outer := axisOf(pn.GetFaces())
	if _, walled := boxOf(pn.GetExtent()); !walled || !outer || axis == 2 && sign < 0 && p.feetMM < 1 {
		return false // its openings do not count
	}
	for _, seat := range seats {
		at, meets := seat.seen(axis), false
		for _, o := range pn.GetOpenings() {
			b, ok := boxOf(o.GetExtent())
			if ok && o.GetCovering() == "none" {
				return false
			}
			hole := b.seen(axis)
			meets = meets || ok && alwaysMeets(at.u0, at.u1, frame, hole.u0, hole.u1) && alwaysMeets(at.v0, at.v1, frame, hole.v0, hole.v1)
		}
		if !meets {
			return false
		}
	}
	return true
}

// alwaysMeets tells that a piece of a length meets a stretch wherever in a place it lies.
func alwaysMeets(from, to, length, hole0, hole1 float64) bool {
	length = min(length, to-from)
	return from+length > hole0 && to-length < hole1
}

func (a *Ahead) readProcessor(draws func(*v1.Item) (float64, bool)) {
	p := &a.plan
	for _, it := range p.q.Build.GetItems() {
		cpu := it.GetPart().GetProcessor()
		if cpu == nil {
			continue
		}
		w, drawn := draws(it)
		c := p.processorChip(it, cpu, w)
		a.readCooler(&c)
		c.known = c.known && drawn
		p.chips = append(p.chips, c)
		return
	}
}

func (a *Ahead) readCooler(c *chip) {
	p := &a.plan
	for _, it := range p.q.Build.GetItems() {
		part := it.GetPart()
		if cooler := part.GetAirCooler(); cooler != nil {
			fan, count, free := p.coolerLaw(c, it, cooler)
			c.flow = delivered * free
			if fan != nil && cooler.GetTower() {
				a.cool(c, a.addFan(c.motor, fan, 1, count, 1))
			}
			return
		}
		if l := part.GetLiquidLoop(); l != nil {
			p.addPump(it, l)
			if fan, count := fanOf(l.Fans); fan != nil {
				// Its plate and radiator take the heat: nothing is said of it.
				a.addFan(p.addMotor(it.GetId(), loopFan, fan, count), fan, count, 1, 1)
			}
			return
		}
	}
}

func (a *Ahead) readCard(it *v1.Item, card *v1.Card, draws func(*v1.Item) (float64, bool)) {
	p := &a.plan
	w, drawn := draws(it)
	c := cardChip(it, card, w, -1)
	fan, count, free := p.cardLaw(&c, it, card)
	if fan != nil && free > 0 {
		a.cool(&c, a.addFan(c.motor, fan, count, 1, 1))
	}
	c.known = c.known && drawn
	p.chips = append(p.chips, c)
}

// Sounds works out the sound at the listener with what stands before the fans for
// certain. Every level is no more than a forecast's, and the sources are the same.
func (a *Ahead) Sounds(b Belief, out *Noise) { a.plan.Sounds(nil, b.Nominal[Sound], out) }

// Drives tells that some fan drives air in the network wherever the parts lie.
func (a *Ahead) Drives() bool {
	for i := range a.fans {
		if a.plan.motors[a.fans[i].motor].kind == caseFan || a.fans[i].chip >= 0 && a.plan.motors[a.fans[i].motor].kind == cardFan {
			return true
		}
	}
	return false
}

// Try tells whether a build gives a network that can be solved, as far as that can be
// told without solving it.
func (p *Plan) Try(q Question) error {
	if err := p.Read(q); err != nil {
		return err
	}
	p.settle(Prior().Nominal, nil)
	return p.solver.Load(&p.model)
}
