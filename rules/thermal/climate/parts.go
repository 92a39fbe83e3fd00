package climate

import (
	"math"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
)

// readParts sets every part into the network.
func (p *Plan) readParts() {
	for _, it := range p.q.Build.GetItems() {
		part := it.GetPart()
		switch {
		case part.GetFan() != nil:
			p.readFan(it, part.GetFan())
		case part.GetSupply() != nil:
			p.readSupply(it, part.GetSupply())
		}
	}
	p.addTried()
	p.readProcessor()
	for _, it := range p.q.Build.GetItems() {
		if it.GetPart().GetCard() != nil {
			p.readCard(it, it.GetPart().GetCard())
		}
	}
	for _, it := range p.q.Build.GetItems() {
		p.readLocal(it)
	}
}

// addTried adds the fan of a change that is tried out.
func (p *Plan) addTried() {
	ch := &p.q.Changes
	if ch.AddedMount == "" {
		return
	}
	like := p.item(ch.Like).GetPart().GetFan()
	if like == nil {
		return
	}
	m := p.addMotor(addedFan, caseFan, like, 1)
	if m < 0 {
		return
	}
	for i := range p.motors { // as fast as its like
		if p.motors[i].item == ch.Like {
			p.motors[m].rpm = p.motors[i].rpm
		}
	}
	p.blowThrough(&v1.Seat{Mount: &ch.AddedMount, Flow: &ch.Flow}, addedFan, like, m, 1, nil)
}

// addedFan is the item of a fan that is only tried out.
const addedFan = "added fan"

// addMotor notes fans that turn together and returns their number, -1 where the
// fan is too unknown to move air.
func (p *Plan) addMotor(item string, kind motorKind, fan *v1.Fan, count int) int {
	m := motor{item: item, kind: kind, count: max(1, count), blades: int(fan.GetBlades()), sizeMM: float64(fan.GetSizeMm()),
		maxRPM: fan.GetMaxSpeedRpm(), minRPM: fan.GetMinSpeedRpm(), canStop: fan.GetCanStop(), points: fan.GetNoises(), steered: kind != supplyFan}
	m.rpm = m.maxRPM
	set, has := p.setSpeed(item)
	switch {
	case has && m.maxRPM > 0:
		m.rpm = clamp(set, 0, 1.2*m.maxRPM)
	case has && set == 0:
		m.rpm = 0
	case has || m.maxRPM == 0:
		// Without its greatest speed a set speed is a share of nothing: it is taken
		// to turn as its curve was made.
		m.maxRPM, m.rpm, m.steered = max(set, 1), max(set, 1), false
		p.estimate("speed of " + item)
	}
	if m.minRPM == 0 {
		m.minRPM = 0.25 * m.maxRPM
	}
	m.minRPM = min(m.minRPM, m.maxRPM)
	p.motors = append(p.motors, m)
	return len(p.motors) - 1
}

// fanWay begins a way with fans of a motor; ok is false where nothing can be said.
func (p *Plan) fanWay(name string, from, to, motor int, fan *v1.Fan, beside, inLine int) (w way, ok bool) {
	w = way{name: name, item: p.motors[motor].item, from: from, to: to, motor: motor, curve: curveOf(fan, beside, inLine)}
	if w.curve.air == nil {
		p.gap(w.item, p.motors[motor].kind.fanField()+"max_flow_m3h")
		return w, false
	}
	if w.curve.estimated {
		p.estimate("curve of " + w.item)
	}
	w.fromM, w.toM = p.heightOf(from), p.heightOf(to)
	if from == outside {
		w.fromM = w.toM
	}
	if to == outside {
		w.toM = w.fromM
	}
	return w, true
}

// fanField is where the fan of a kind of motor stands in its part.
func (k motorKind) fanField() string {
	switch k {
	case coolerFan:
		return "air_cooler.fans[0].fan."
	case loopFan:
		return "liquid_loop.fans[0].fan."
	case cardFan:
		return "card.fans[0].fan."
	case supplyFan:
		return "supply.fan.fan."
	default:
		return "fan."
	}
}

func (p *Plan) heightOf(zone int) float64 {
	if zone < 0 {
		return 0
	}
	return p.cells[zone].heightM
}

// gap notes what is missing of an item.
func (p *Plan) gap(item, field string) {
	for i, it := range p.q.Build.GetItems() {
		if it.GetId() == item {
			p.Gaps = append(p.Gaps, itemPath(i)+field)
		}
	}
}

// readFan seats the fans of one item, together where they share a mount. Fans on
// a radiator of another item are left to it.
func (p *Plan) readFan(it *v1.Item, fan *v1.Fan) {
	count := int(max(1, it.GetCount()))
	m := p.addMotor(it.GetId(), caseFan, fan, count)
	seated := 0
	for _, s := range p.q.Arrangement.GetSeats() {
		if s.GetItem() != it.GetId() {
			continue
		}
		n := int(max(1, s.GetCount()))
		p.blowThrough(s, it.GetId(), fan, m, n, p.radiatorAt(s.GetMount()))
		seated += n
	}
	if seated == 0 {
		s := &v1.Seat{}
		for _, pl := range p.q.Build.GetArrangement().GetPlacements() {
			if pl.GetItem() == it.GetId() {
				s.Mount, s.Flow, s.Position, s.Side, s.Pose = pl.Mount, pl.Flow, pl.Position, pl.Side, pl.Pose
			}
		}
		p.blowThrough(s, it.GetId(), fan, m, count, p.radiatorAt(s.GetMount()))
	}
}

// radiatorAt is the loose radiator at a mount, where there is one.
func (p *Plan) radiatorAt(mount string) *v1.Radiator {
	if mount == "" {
		return nil
	}
	for _, s := range p.q.Arrangement.GetSeats() {
		if s.GetMount() == mount {
			if r := p.item(s.GetItem()).GetPart().GetRadiator(); r != nil {
				return r
			}
		}
	}
	for _, pl := range p.q.Build.GetArrangement().GetPlacements() {
		if pl.GetMount() == mount {
			if r := p.item(pl.GetItem()).GetPart().GetRadiator(); r != nil {
				return r
			}
		}
	}
	return nil
}

// place is where a seat sits and which way its air goes.
type place struct {
	panel  *v1.Panel
	square box // of the fans together
	placed bool
	flow   v1.Flow
	inside [3]float64 // a point in the air before or behind it
}

// placeOf finds the place of a seat: by its boxes, else by its mount's space, else
// by the names of the mount.
func (p *Plan) placeOf(s *v1.Seat, item string) place {
	m := p.mount(s.GetMount())
	pl := place{panel: p.panelOf(s.GetPanel()), flow: s.GetFlow()}
	if pl.panel == nil {
		pl.panel = p.panelOf(m.GetPanel())
	}
	if pl.panel == nil {
		for _, pn := range p.chassis.GetPanels() {
			if pn.GetId() != "" && strings.Contains(s.GetMount(), pn.GetId()) {
				pl.panel = pn
			}
		}
	}
	if pl.flow == v1.Flow_FLOW_UNSPECIFIED {
		for _, given := range p.q.Build.GetArrangement().GetPlacements() {
			if given.GetItem() == item && given.GetFlow() != 0 && (given.Mount == nil || given.GetMount() == s.GetMount()) {
				pl.flow = given.GetFlow()
			}
		}
	}
	if pl.flow == v1.Flow_FLOW_UNSPECIFIED {
		pl.flow = usualFlow(pl.panel, s.GetMount())
		p.estimate("direction of " + item)
	}
	if p.q.Changes.Turned == item {
		pl.flow = turned(pl.flow)
	}
	if !p.Lumped {
		pl.square, pl.placed = p.hullOf(item)
	}
	if !pl.placed {
		pl.square, pl.placed = boxOf(m.GetSpace())
	}
	pl.inside = p.cells[0].at.centre()
	if axis, sign, ok := axisOf(pl.panel.GetFaces()); ok && pl.placed {
		pl.inside = pl.square.centre()
		pl.inside[axis] -= sign * (pl.square.size(axis)/2 + 10)
	} else if pl.placed {
		pl.inside = pl.square.centre()
	}
	return pl
}

func turned(f v1.Flow) v1.Flow {
	if f == v1.Flow_FLOW_INTAKE {
		return v1.Flow_FLOW_EXHAUST
	}
	return v1.Flow_FLOW_INTAKE
}

// usualFlow is which way fans mostly blow: out at the rear and the top, else in.
func usualFlow(pn *v1.Panel, mount string) v1.Flow {
	switch {
	case pn.GetFaces() == v1.Axis_AXIS_X_MINUS, pn.GetFaces() == v1.Axis_AXIS_Z_PLUS,
		pn == nil && (strings.Contains(mount, "rear") || strings.Contains(mount, "top")):
		return v1.Flow_FLOW_EXHAUST
	}
	return v1.Flow_FLOW_INTAKE
}

// blowThrough adds the way of fans in a panel, through a radiator or not.
func (p *Plan) blowThrough(s *v1.Seat, item string, fan *v1.Fan, motor, n int, radiator *v1.Radiator) (wayIndex int) {
	pl := p.placeOf(s, item)
	p.motors[motor].flow = pl.flow
	inside := p.half(pl.inside, pl.flow == v1.Flow_FLOW_EXHAUST)
	frame := float64(fan.GetSizeMm())
	if frame == 0 {
		frame = 120
	}
	far, annulus := outside, annulusM2(fan)*float64(n)
	grille := seatOpening{k: p.coverK("perforated", openShares), far: outside, tone: true}
	if pl.panel != nil {
		square := pl.square
		if pl.placed {
			square = p.squareOf(square, pl.panel, frame, n)
		}
		grille = p.through(pl.panel, square, pl.placed, frame*frame*float64(n))
		far = grille.far
	} else if p.openM2 > 0 {
		p.openM2 = max(p.openM2-0.5*annulus, 0.1*p.openM2)
		if strings.Contains(s.GetMount(), "bottom") {
			far = p.under()
		}
	}
	from, to := far, inside
	if pl.flow == v1.Flow_FLOW_EXHAUST {
		from, to = inside, far
	}
	w, ok := p.fanWay(item, from, to, motor, fan, n, 1)
	if !ok {
		return -1
	}
	w.add(grille.k, annulus, Openings)
	if far == p.beneath && far >= 0 {
		// Air turns in under each fan through the curtain between floor and table.
		curtain := math.Pi * bladeOr(fan) * max(p.feetMM, 1) / 1000 * float64(n)
		w.add(air.Range{Low: 0.6, Nominal: 1, High: 1.5}, curtain, Openings)
	}
	if radiator != nil {
		p.addCore(&w, radiator)
	}
	if grille.tone {
		p.tighten(motor, bladesBehindMM, pl.flow)
	}
	p.addBreath(&w, item, pl.panel, pl.flow, bladeOr(fan), n)
	p.ways = append(p.ways, w)
	return len(p.ways) - 1
}

// bladesBehindMM is how far blades stand behind the edge of their frame (common
// practice, no source).
const bladesBehindMM = 4

func bladeOr(fan *v1.Fan) float64 {
	if d := bladeDiameterM(fan); d > 0 {
		return d
	}
	return 0.114
}

// squareOf is what n fans of a frame size cover of a mount's space: the space may
// be for larger or more fans than those that sit in it.
func (p *Plan) squareOf(space box, pn *v1.Panel, frame float64, n int) box {
	axis, _, ok := axisOf(pn.GetFaces())
	if !ok {
		return space
	}
	u, v := others(axis)
	if space.size(v) > space.size(u) {
		u, v = v, u
	}
	c := space.centre()
	long, wide := min(space.size(u), frame*float64(n)), min(space.size(v), frame)
	space.lo[u], space.hi[u] = c[u]-long/2, c[u]+long/2
	space.lo[v], space.hi[v] = c[v]-wide/2, c[v]+wide/2
	return space
}

// tighten notes what stands close before a fan's blades: in front of its intake in
// full, behind its outlet by half (package sound).
func (p *Plan) tighten(motor int, gapMM float64, flow v1.Flow) {
	m := &p.motors[motor]
	r := tightness(gapMM, m.sizeMM)
	if flow == v1.Flow_FLOW_EXHAUST {
		r = r.Scaled(0.5)
	}
	if r.Nominal > m.tight.Nominal {
		m.tight = r
	}
}

// addCore puts a radiator's core in line with its fans.
func (p *Plan) addCore(w *way, r *v1.Radiator) {
	core := r.GetCore()
	if len(core) >= 2 {
		a, b := core[0], core[len(core)-1]
		res, err := air.RadiatorThrough(
			air.Point{FlowM3S: a.GetFlowM3H() * air.M3SPerM3H, PressurePa: a.GetPressurePa()},
			air.Point{FlowM3S: b.GetFlowM3H() * air.M3SPerM3H, PressurePa: b.GetPressurePa()})
		if err == nil {
			w.linear += res.LinearPaSM3
			w.addQuadratic(res.QuadraticPaS2M6, Passages)
			return
		}
	}
	// 10 Pa at 100 m3/h on the face of two fans of 120 mm (common practice, no
	// source), half of it in proportion to the flow.
	face := max(float64(r.GetNominalMm()), 120) / 240
	q := 100 * air.M3SPerM3H * face
	w.linear += 5 / q
	w.addQuadratic(5/(q*q), Passages)
	p.estimate("core of the radiator")
}
