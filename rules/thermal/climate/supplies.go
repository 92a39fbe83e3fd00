package climate

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
)

// readSupply sets the supply's own fan: its fan looks away from its height, its
// inlet's face is where its air leaves.
func (p *Plan) readSupply(it *v1.Item, supply *v1.Supply) {
	seat := supply.GetFan()
	heatW := p.q.Demand.GetSupplyHeatW()
	m := p.supplyMotor(it, supply)
	if m < 0 {
		p.estimate("the supply's own air") // its heat leaves by itself
		return
	}
	from, to := p.supplyEnds(it.GetId())
	if from == outside && to == outside || from == to {
		if from >= 0 {
			p.cells[from].powerW += heatW
		}
		return // it breathes past the enclosure's air
	}
	w, ok := p.fanWay(it.GetId(), from, to, m, seat.GetFan(), int(max(1, seat.GetCount())), 1)
	if !ok {
		return
	}
	w.powerW = heatW
	// Parts and grilles of a supply halve its fan's free flow (common practice, no
	// source).
	free, blocked := w.curve.free, w.curve.air.BlockedPa()
	w.addQuadratic(0.75*blocked/math.Pow(0.5*free, 2), Passages)
	p.ways = append(p.ways, w)
}

// supplyMotor notes the supply's fan as a source of sound and returns its number, -1 where
// nothing is known of it but its sound.
func (p *Plan) supplyMotor(it *v1.Item, supply *v1.Supply) int {
	seat := supply.GetFan()
	if seat.GetFan() == nil {
		p.motors = append(p.motors, motor{item: it.GetId(), kind: pump, points: supply.GetNoises(), whole: true, count: 1})
		return -1
	}
	m := p.addMotor(it.GetId(), supplyFan, seat.GetFan(), int(max(1, seat.GetCount())))
	p.motors[m].points, p.motors[m].whole = supply.GetNoises(), true
	return m
}

// supplyEnds is where the supply's air comes from and goes to.
func (p *Plan) supplyEnds(item string) (from, to int) {
	var s *v1.Seat
	for _, seat := range p.q.Arrangement.GetSeats() {
		if seat.GetItem() == item {
			s = seat
		}
	}
	m := p.mount(s.GetMount())
	pose := s.GetPlaced()
	if pose == nil && int(s.GetPose()) < len(m.GetPoses()) {
		pose = m.GetPoses()[s.GetPose()]
	}
	f, ok := frameOf(pose)
	if !ok {
		// The usual case: it breathes from inside and blows out at its inlet.
		return p.half(p.cells[0].at.centre(), false), outside
	}
	at := pointOf(pose.GetOrigin())
	return p.faced(at, f, 2), p.faced(at, f, 1)
}

// faced is what a face of the supply looks at: the room through an opening close
// by, else the zone before it. The faces meet in the supply's origin.
func (p *Plan) faced(at [3]float64, f frame, i int) int {
	const closeMM = 15
	axis, sign := f.direction(i)
	sign = -sign // its fan looks down, its inlet back
	for k := range p.openings {
		o := &p.openings[k]
		if o.axis != axis || o.sign != sign {
			continue
		}
		plane := o.at.lo[axis]
		if sign < 0 {
			plane = o.at.hi[axis]
		}
		if math.Abs(plane-at[axis]) <= closeMM {
			return o.far(p)
		}
	}
	for a := range at { // into the middle of the face and out of it
		for d := range 3 {
			at[a] += 40 * f[d][a]
		}
	}
	at[axis] += sign * 60
	return p.half(at, i == 1)
}
