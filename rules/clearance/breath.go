package clearance

import (
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

var breathRoom = kit.Parameter{
	Name: "clearance.breath.free_mm", Unit: "mm", Default: 10, Least: 0, Greatest: 200,
	Purpose: "How far a fan has to keep from a wall or a card in the way of its air.",
	Source:  kit.CommonPractice,
}

var breathRule = kit.Rule{
	ID: "clearance.breath", Title: "Breath of the fans", Since: "0.1.0",
	Why: "A fan with a wall or a card right before it moves less air and makes more noise.",
	Formula: "The free way is measured from the fan's frame, the card's fan side, or the supply's fan side to the first solid thing before it. A panel that is " +
		"open over at least half of the fan is no wall. Too little is doubtful, not impossible. What is too close is told, and the closest otherwise.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads: []string{
		"chassis.panels.openings", "chassis.layouts.mounts", "fan.thickness_mm", "card.fans", "card.thickness_mm", "supply.fan", "air_cooler.tower",
	},
	Parameters: []*kit.Parameter{&breathRoom},
	Texts: map[string]string{
		"pass":     "{breather} has {measured} of breath before {obstacle}.",
		"marginal": "{breather} has only {measured} of breath before {obstacle}; {required} are usual.",
		"fail":     "{breather} has only {measured} of breath before {obstacle}; {required} are usual.",
		"unknown":  "How much breath {breather} has cannot be told without {missing}.",
	},
	Remedies: map[string]string{
		"room": "Give it {shortfall} more: another offset of the board, a thinner part, or a fan on another mount.",
	},
	Judge: judgeBreath,
}

func judgeBreath(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	a := d.shown()
	if a == nil {
		return
	}
	usual := c.Parameter(&breathRoom)
	var closest *air
	short := 0
	for i := range d.spot.airs {
		w := &d.spot.airs[i]
		if w.hit < 0 || w.vented || a.overlap(w.thing, w.hit) || d.breathTold(a, i) {
			continue // an overlap is told as such
		}
		if w.free < usual.Nominal {
			short++
			d.tellBreath(a, w, usual)
			continue
		}
		if closest == nil || w.free < closest.free {
			closest = w
		}
	}
	if short == 0 && closest != nil {
		d.tellBreath(a, closest, usual)
	}
}

// overlap reports whether the matter of two things is in each other's way.
func (a *arrangement) overlap(i, j int) bool {
	return geometry.SignedDistance(new(a.hull(i)), new(a.hull(j))) < -1e-3
}

// breathTold reports whether an equal piece has as little breath and came before.
func (d *desk) breathTold(a *arrangement, i int) bool {
	w := &d.spot.airs[i]
	for k := range i {
		v := &d.spot.airs[k]
		if a.things[v.thing].item == a.things[w.thing].item && v.hit == w.hit && v.free <= w.free {
			return true
		}
	}
	return false
}

func (d *desk) tellBreath(a *arrangement, w *air, usual kit.Value) {
	t, u := a.things[w.thing], a.things[w.hit]
	free := d.c.Derived(quantity.Around(settledZero(w.free), w.off, w.off), "mm", d.figuresOf(t, u)...)
	f := d.c.AtLeast(free, usual).AtWorst(kit.Marginal).About(d.itemOf(t), d.itemOf(u))
	f.Word("breather", d.titleOf(t)).Word("obstacle", d.titleOf(u))
	f.RemedyOf("room", f.Shortfall())
}
