package clearance

import (
	"cmp"
	"math"
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
)

// Which way fans blow moves no box, so that it is no choice of the search: it is
// settled for an arrangement that the search has found. Fans of one row blow one
// way, since they would feed each other otherwise (common practice, no source).

// rowsTried is how many free rows of fans are tried both ways; further ones blow
// the usual way.
const rowsTried = 10

// directionsTold is how many ways besides the best are listed.
const directionsTold = 7

// row is a row of fans, or the fans of a radiator.
type row struct {
	mount, panel int // by number; panel -1 for none
	side         string
	pinned       v1.Flow
	usual        v1.Flow
	seats        []int // in the arrangement
	area         int64 // mm2
	inner        float64
	walled       bool // what ends the free way on the inner side is a wall or a card
	bare         bool // nothing covers the opening before it
	radiator     bool
}

// direction is one way for all rows to blow, and how it does. Fewer are better in
// the order of the fields.
type direction struct {
	flows     []v1.Flow
	starved   int     // rows that draw from a wall or a card closer than usual
	crossed   int     // pairs of rows of one panel that feed each other
	unvented  float64 // mm2 of swept area whose air finds no way in or out
	reachable int     // rows that draw through an opening that fingers can go in
	unusual   int     // rows against the custom
}

func (d *direction) compare(e *direction) int {
	return cmp.Or(cmp.Compare(d.starved, e.starved), cmp.Compare(d.crossed, e.crossed), cmp.Compare(d.unvented, e.unvented),
		cmp.Compare(d.reachable, e.reachable), cmp.Compare(d.unusual, e.unusual))
}

// directions lists the ways for the fans of an arrangement to blow, best first.
// Free rows are tried both ways; of equal rows of one panel only how many blow in
// counts.
func (s *scene) directions(a *arrangement, airs []air) (rows []row, all []direction) {
	rows = s.rowsOf(a, airs)
	vents := s.vents(a, rows)
	flows := make([]v1.Flow, len(rows))
	var free []int
	for i := range rows {
		flows[i] = cmp.Or(rows[i].pinned, rows[i].usual)
		if rows[i].pinned == v1.Flow_FLOW_UNSPECIFIED && len(free) < rowsTried {
			free = append(free, i)
		}
	}
	var try func(k int)
	try = func(k int) {
		if k == len(free) {
			all = append(all, s.judgeDirection(rows, slices.Clone(flows), vents))
			return
		}
		i := free[k]
		usual := rows[i].usual
		flows[i] = usual
		if !slices.ContainsFunc(free[:k], func(j int) bool { return rows[j].equals(&rows[i]) && flows[j] != usual }) {
			try(k + 1) // of equal rows the later ones change first
		}
		flows[i] = against(usual)
		try(k + 1)
		flows[i] = usual
	}
	try(0)
	slices.SortStableFunc(all, func(d, e direction) int { return d.compare(&e) })
	return rows, all
}

func against(f v1.Flow) v1.Flow {
	if f == v1.Flow_FLOW_INTAKE {
		return v1.Flow_FLOW_EXHAUST
	}
	return v1.Flow_FLOW_INTAKE
}

// equals reports whether it makes no difference which of two rows blows which way.
func (r *row) equals(o *row) bool {
	return r.panel >= 0 && r.panel == o.panel && r.side == o.side && r.area == o.area && r.usual == o.usual && r.bare == o.bare &&
		r.walled == o.walled && r.radiator == o.radiator && math.Abs(r.inner-o.inner) < 0.1
}

// rowsOf groups the fans of an arrangement by mount and side, and by the way that
// the build fixes. A free fan beside fixed ones follows them.
func (s *scene) rowsOf(a *arrangement, airs []air) (rows []row) {
	for i := range a.seats {
		seat := &a.seats[i]
		if seat.mount < 0 || !s.blows(a, seat) {
			continue
		}
		pinned := s.flowPinned(seat.item, seat.piece)
		at := slices.IndexFunc(rows, func(r row) bool {
			return r.mount == seat.mount && r.side == seat.side && (pinned == 0 || r.pinned == 0 || r.pinned == pinned)
		})
		if at < 0 {
			m := &s.shape.mounts[seat.mount]
			rows = append(rows, row{mount: seat.mount, panel: -1, side: seat.side, usual: s.usualFlow(m), inner: airReach})
			at = len(rows) - 1
			s.facePanel(&rows[at], m, a)
		}
		r := &rows[at]
		r.pinned = cmp.Or(r.pinned, pinned)
		r.seats = append(r.seats, i)
		r.area += s.sweptBy(seat)
		for k := range airs {
			t := a.things[airs[k].thing]
			if w := &airs[k]; t.item == seat.item && t.piece == seat.piece && t.spins && w.free <= r.inner {
				r.inner, r.walled = w.free, w.hit >= 0 && !w.vented
			}
		}
	}
	return rows
}

// blows reports whether a seat is that of something with fans on a mount: a loose
// fan, or a radiator whose fans are its own.
func (s *scene) blows(a *arrangement, seat *seatOf) bool {
	part := s.items[seat.item].part
	if part.GetFan() != nil {
		return true
	}
	return (part.GetRadiator() != nil || part.GetLiquidLoop() != nil) &&
		slices.ContainsFunc(a.things, func(t *thing) bool { return t.item == seat.item && t.piece == seat.piece && t.spins })
}

// sweptBy is the area that the fans of a seat sweep, in mm2.
func (s *scene) sweptBy(seat *seatOf) int64 {
	part := s.items[seat.item].part
	if fan := part.GetFan(); fan != nil {
		return int64(math.Round(discArea(float64(fan.GetSizeMm()))))
	}
	r := part.GetLiquidLoop().GetRadiator()
	if len(part.GetLiquidLoop().GetFans()) == 0 {
		return 0 // its fans have seats of their own
	}
	n := rows[r.GetNominalMm()]
	return int64(n.fans) * int64(math.Round(discArea(float64(n.size))))
}

// usualFlow is the custom: out at the top and the rear, and in elsewhere (common
// practice, no source).
func (s *scene) usualFlow(m *mountShape) v1.Flow {
	if wall := s.enclosure.wall(m.mount.GetPanel()); wall != nil {
		if f := solids.FaceOf(wall.panel.GetFaces()); f == geometry.MaxZ || f == geometry.MinX {
			return v1.Flow_FLOW_EXHAUST
		}
	}
	return v1.Flow_FLOW_INTAKE
}

// judgeDirection counts what speaks against a way to blow.
func (s *scene) judgeDirection(rows []row, flows []v1.Flow, vents float64) direction {
	out := direction{flows: flows}
	surplus := 0.0
	for i := range rows {
		r := &rows[i]
		if flows[i] == v1.Flow_FLOW_INTAKE {
			surplus += float64(r.area)
			if r.bare {
				out.reachable++
			}
		} else {
			surplus -= float64(r.area)
			if r.walled && r.inner < s.keep.breath {
				out.starved++
			}
		}
		if flows[i] != r.usual {
			out.unusual++
		}
		for j := range i {
			if r.panel >= 0 && r.panel == rows[j].panel && flows[i] != flows[j] {
				out.crossed++
			}
		}
	}
	out.unvented = max(0, math.Abs(surplus)-vents)
	return out
}

// blow sets which way the fans of an arrangement blow, and sums up what they move.
func (a *arrangement) blow(rows []row, flows []v1.Flow) {
	a.seats = slices.Clone(a.seats)
	a.intake, a.exhaust = 0, 0
	for i := range rows {
		r := &rows[i]
		guard := ""
		switch {
		case flows[i] == v1.Flow_FLOW_INTAKE:
			a.intake += r.area
			if r.bare && !r.radiator {
				guard = sideOuter
			}
		default:
			a.exhaust += r.area
			if !r.radiator && r.side != sideOuter {
				guard = sideInner
			}
		}
		for _, k := range r.seats {
			a.seats[k].flow, a.seats[k].guard = flows[i], guard
		}
	}
}

// direct lets the fans of an arrangement blow the best way.
func (s *scene) direct(a *arrangement, airs []air) {
	rows, all := s.directions(a, airs)
	if len(rows) > 0 {
		a.blow(rows, all[0].flows)
		a.fanArea = a.intake + a.exhaust
	}
}

// otherDirections are an arrangement's seats with its fans blowing other ways.
func (s *scene) otherDirections(a *arrangement, airs []air, feasible *bool) (out []*v1.Arrangement) {
	rows, all := s.directions(a, airs)
	for i := 1; i < len(all) && i <= directionsTold; i++ {
		other := *a
		other.blow(rows, all[i].flows)
		m := s.write(&other, nil, false)
		m.Feasible = feasible
		out = append(out, m)
	}
	return out
}
