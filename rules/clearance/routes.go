package clearance

import (
	"math"
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/route"
)

// addRoutes lays the ways of a build's cables through an arrangement whose boxes
// and gaps are in place, and adds them to it, where the asker wants to see them.
func addRoutes(c *kit.Case, a *v1.Arrangement) {
	if !c.Wants(FactArrangement) && !c.Wants(FactDrawing) && !c.Wants(FactRanking) {
		return
	}
	l := layingOf(c, a)
	if _, ok := l.space(c, a); !ok {
		return
	}
	for _, r := range allRuns(c, a, l) {
		if r.placed {
			l.seek(&r)
			a.Routes = append(a.Routes, r.message(c))
		}
	}
}

// layingOf is what the plan of the layout keeps of its cables, for the plan's own
// arrangement; any other starts afresh.
func layingOf(c *kit.Case, a *v1.Arrangement) *laying {
	p := deskOf(c).geometry()
	if p != nil && p.shown && len(a.Boxes) > 0 && a.Boxes[0] == p.message().Boxes[0] {
		return &p.laying
	}
	return new(laying)
}

// runsIn are all runs in the arrangement that is judged, listed once for a case.
func (d *desk) runsIn(a *v1.Arrangement, l *laying) []run {
	if d.runsOf != a {
		d.runs, d.runsOf = allRuns(d.c, a, l), a
	}
	return d.runs
}

// allRuns lists the cables, the risers and the leads of a build, with their places
// in an arrangement whose free space is known.
func allRuns(c *kit.Case, a *v1.Arrangement, l *laying) (list []run) {
	if supply := c.First(kit.KindSupply); supply != nil {
		list = runs(c, supply, a, l)
	}
	for _, more := range [...][]run{ribbons(c, a), leads(c, a, l)} {
		for _, r := range more {
			r.number = len(list)
			list = append(list, r)
		}
	}
	return list
}

// measure finds the bounds of a run, and the exact way only where they do not
// decide whether the cable at hand is long enough.
func (r *run) measure(l *laying, slack, tolerance float64) {
	l.bound(r)
	if r.length.Known() {
		if r.enough = r.upper > 0 && r.length.Low >= r.upper+tolerance+slack; r.enough || r.length.Nominal < r.lower-tolerance+slack {
			r.sought, r.way = false, nil // whoever sought the way, the bounds decide
			return
		}
	}
	l.seek(r)
}

func (r *run) kind() route.Cable {
	return route.Cable{Diameter: r.thickness(), MinBendRadius: r.bend()}
}

// exact is the length of the shortest way with its bends, where one was found.
func (r *run) exact() (mm float64, ok bool) {
	if r.way == nil || r.way.Blockage != nil {
		return 0, false
	}
	return wayLength(r.way, r.bend(), r.extra, r.upper), true
}

// wayLength is what a way takes: the shortest one with its bends swung out round
// the edges, or a square one that is known to be clear, where that is shorter.
// Bends that crowd each other have no room to swing; wires then turn more tightly
// one by one, and half an arc of the bend radius is added at each corner (an
// estimate, no source).
func wayLength(way *route.Route, bend, extra, upper float64) float64 {
	mm := max(way.Length, way.Rounded)
	if slices.ContainsFunc(way.Bends, func(b route.Bend) bool { return !b.Fits }) {
		mm = min(mm, way.Length+bend*turning(way.Points)/2)
	}
	mm += extra
	if upper > 0 {
		mm = min(mm, upper)
	}
	return mm
}

// message is the way as the contract has it, slack included in its length.
func (r *run) message(c *kit.Case) *v1.Route {
	out := &v1.Route{From: &r.supply.ID, To: &r.to.ID, Connector: r.socket.Connector}
	if r.item != nil {
		out.Cable = &r.item.ID
	}
	if r.length.Known() && r.length.Nominal > 0 {
		out.HaveMm = new(float64)
		*out.HaveMm = r.length.Nominal
	}
	mm, ok := r.exact()
	if !ok {
		return out
	}
	needed := mm + c.Parameter(r.slack()).Nominal
	if out.HaveMm != nil {
		spare := out.GetHaveMm() - needed
		out.SpareMm = &spare
	}
	order := rounded(needed, c.Parameter(r.step()).Nominal)
	out.NeededMm, out.OrderMm = &needed, &order
	corners := r.way.Points
	if corners[0] != r.mouths[0] {
		out.Points = append(out.Points, pointMessage(r.mouths[0]))
	}
	for _, p := range corners {
		out.Points = append(out.Points, pointMessage(p))
	}
	if corners[len(corners)-1] != r.mouths[1] {
		out.Points = append(out.Points, pointMessage(r.mouths[1]))
	}
	return out
}

// turning is the sum of all turns of a way in radians.
func turning(way []geometry.Vec) (sum float64) {
	for i := 1; i+1 < len(way); i++ {
		in, out := way[i].Sub(way[i-1]), way[i+1].Sub(way[i])
		if n := in.Norm() * out.Norm(); n > 0 {
			sum += math.Acos(min(max(in.Dot(out)/n, -1), 1))
		}
	}
	return sum
}

func pointMessage(p geometry.Vec) *v1.Point { return &v1.Point{XMm: &p[0], YMm: &p[1], ZMm: &p[2]} }

// rounded is a length rounded up to whole steps.
func rounded(mm, step float64) float64 { return math.Ceil(mm/step-1e-9) * step }

// slack and step are the policy's parameters for what the run is.
func (r *run) slack() *kit.Parameter {
	switch {
	case r.ribbon != nil:
		return &riserSlack
	case r.lead:
		return &leadSlack
	}
	return &cableSlack
}

func (r *run) step() *kit.Parameter {
	switch {
	case r.ribbon != nil:
		return &riserStep
	case r.lead:
		return &leadStep
	}
	return &cableStep
}
