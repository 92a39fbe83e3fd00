package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// move is a fixed place that, left free, lets everything fit better.
type move struct {
	item   *kit.Item
	to     string  // where the item then goes
	spare  float64 // in the tightest place, mm
	shift  float64 // by how far an offset changes, mm; 0 where something else does
	better bool
	buy    []string // what that takes and is not at hand
}

// gained is how much more room, in mm, a move has to bring to be worth telling.
const gained = 0.5

// betterPlace looks whether one of the items, or the board, does better without
// the place that the build fixes for it.
func (d *desk) betterPlace(items ...*kit.Item) (best move) {
	now := -1.0
	if d.spot.found {
		now = d.spot.chosen.margin
	}
	for _, it := range append(items, d.c.First(kit.KindBoard)) {
		choices, fixed := d.choicesWithout(it)
		if !fixed {
			continue
		}
		p := d.planOf(d.limits.index, choices)
		if p == nil || !p.seen || !p.found || p.chosen.margin < now+gained || best.better && p.chosen.margin <= best.spare {
			continue
		}
		best = d.moveTo(it, p)
	}
	return best
}

// choicesWithout are the build's fixed choices without those of one item.
func (d *desk) choicesWithout(it *kit.Item) (choices *v1.ArrangementChoice, fixed bool) {
	now := d.c.Build.GetArrangement()
	choices = new(v1.ArrangementChoice)
	if now != nil {
		choices.Layout = now.Layout
	}
	for _, p := range now.GetPlacements() {
		if it != nil && p.GetItem() == it.ID {
			fixed = true
			continue
		}
		choices.Placements = append(choices.Placements, p)
	}
	return choices, fixed
}

// moveTo tells where an item goes in a plan, and by how far its offset changes.
func (d *desk) moveTo(it *kit.Item, p *plan) move {
	m := move{item: it, spare: p.chosen.margin, better: true, buy: buyTokens(p.chosen.purchases)}
	index := d.indexOf(it)
	there, here := p.chosen.seatOf(index, 0), d.spot.chosen.seatOf(index, 0)
	if there == nil || there.mount < 0 {
		m.to = "elsewhere"
		return m
	}
	shape := &p.scene.shape.mounts[there.mount]
	m.to = "on " + shape.mount.GetId()
	for i, mm := range there.offsets {
		m.to += " at " + kit.FormatNumber(mm, "mm")
		if here != nil && here.mount == there.mount && i < len(here.offsets) && m.shift == 0 {
			m.shift = mm - here.offsets[i]
		}
	}
	if len(shape.poses) > 1 {
		m.to += " in pose " + kit.FormatNumber(float64(there.pose+1), "")
	}
	return m
}

func (d *desk) indexOf(it *kit.Item) int {
	n := 0
	for other := range d.c.AllItems() {
		if other == it {
			return n
		}
		n++
	}
	return -1
}

// remedyOfPlace adds to a finding that a fixed place, left free, gives more room.
func (d *desk) remedyOfPlace(f *kit.Finding, items ...*kit.Item) {
	if f.Verdict() == kit.Pass || d.c.Terse() && f.Verdict() == kit.Fail || len(d.c.Build.GetArrangement().GetPlacements()) == 0 {
		return
	}
	m := d.betterPlace(items...)
	if !m.better {
		return
	}
	f.Word("moved", m.item.Name()).Word("to", m.to).Number("spare", kit.Constant(settledZero(m.spare), "mm"))
	if m.shift != 0 {
		f.RemedyOf("place", kit.Constant(m.shift, "mm"), m.buy...)
		return
	}
	f.Remedy("place", m.buy...)
}
