package climate

import (
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
)

// breathOf is the free distance in mm before the inner side of an item's fans, by
// the boxes of the arrangement, and whether fins stand there, which pass air. ok is
// false where no box tells it.
func (p *Plan) breathOf(item string, axis int) (gapMM float64, fins, ok bool) {
	gapMM = math.Inf(1)
	for _, b := range p.q.Arrangement.GetBoxes() {
		if b.GetItem() != item || b.GetPurpose() != v1.Purpose_PURPOSE_BREATH {
			continue
		}
		at, good := boxOf(b.GetExtent())
		if !good || at.size(axis) >= gapMM {
			continue
		}
		gapMM, ok = at.size(axis), true
		fins = p.coolerAt(at, axis)
	}
	return gapMM, fins, ok
}

// coolerAt tells whether a processor cooler stands at the end of a free distance.
func (p *Plan) coolerAt(breath box, axis int) bool {
	const touchMM = 3
	for _, it := range p.q.Build.GetItems() {
		if it.GetPart().GetAirCooler() == nil {
			continue
		}
		h, ok := p.hullOf(it.GetId())
		if ok && h.lo[axis]-touchMM < breath.hi[axis] && breath.lo[axis] < h.hi[axis]+touchMM && h.seen(axis).cut(breath.seen(axis)).area() > 0 {
			return true
		}
	}
	return false
}

// addBreath is what something close before or behind a fan costs in pressure and in
// sound: the air squeezes through the curtain between both, unless fins stand there.
func (p *Plan) addBreath(w *way, item string, pn *v1.Panel, flow v1.Flow, diameterM float64, n int) {
	axis, _, ok := axisOf(pn.GetFaces())
	if !ok || p.Lumped {
		return
	}
	gap, fins, ok := p.breathOf(item, axis)
	if !ok {
		return
	}
	p.tighten(w.motor, gap, turned(flow)) // the inner side is the other one than the grille's
	if gap = gap / 1000; !fins && gap < diameterM/2 {
		curtain := math.Pi * diameterM * max(gap, 1e-3) * float64(n)
		w.add(air.Range{Low: 0.6, Nominal: 1, High: 1.5}, curtain, Passages)
	}
}
