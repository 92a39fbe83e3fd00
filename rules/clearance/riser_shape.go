package clearance

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var riserPlay = kit.Parameter{
	Name: "clearance.riser-shape.play_mm", Unit: "mm", Default: 1, Least: 0, Greatest: 20,
	Purpose: "How far the socket of a rigid riser may be from where the card stands: screw holes and the socket itself give way by so much.",
	Source:  kit.CommonPractice,
}

var riserShapeRule = kit.Rule{
	ID: "clearance.riser-shape", Title: "Rigid riser brings the card to its mount", Since: "0.1.0", Overall: true,
	Why: "A rigid riser puts the card in one place and no other: where the enclosure holds it elsewhere, neither its bracket nor its screws meet.",
	Formula: "The riser stands in the board's free slot nearest the processor, as a card would. The place and the direction that its socket gives the card " +
		"are compared with those of the mount that the card stands on; the distance is the greatest along an axis.",
	Sources:    []sourceOf{makersLimit, standards.FirstSlotCentreX.Source, kit.CommonPractice},
	Parameters: []*kit.Parameter{&riserPlay},
	Reads:      []string{"riser.rigid", "riser.slot_at", "riser.slot_x_points", "riser.slot_z_points", "bodies", "chassis.layouts.mounts", "board.card_slots.position"},
	Texts: map[string]string{
		"pass":     "The socket of {riser} is {measured} off the place where {part} stands.",
		"marginal": "The socket of {riser} is {measured} off the place where {part} stands: about as much as it may be.",
		"fail":     "The socket of {riser} is {measured} off the place where {part} stands; it would have to lie {way}.",
		"turned":   "The socket of {riser} would turn {part} another way round than its mount holds it.",
		"unknown":  "Whether {riser} brings a card to its mount cannot be told without {missing}.",
	},
	Remedies: map[string]string{
		"other": "Use the riser that the enclosure's maker names for this mount, or a flexible one.",
	},
	Judge: judgeRiserShape,
}

func judgeRiserShape(c *kit.Case) {
	d := deskOf(c)
	if d == nil || d.geometry() == nil {
		return
	}
	s := d.spot.scene
	for _, l := range s.lacks {
		if it := d.itemAt(l.item); it != nil && it.Part.GetRiser() != nil && len(l.missing) > 0 {
			var absent []kit.Value
			for _, field := range l.missing {
				absent = append(absent, c.Absent(it.At(field), ""))
			}
			c.Judged(kit.Unknown, absent...).About(it).Word("riser", it.Name())
		}
	}
	a := d.shown()
	if a == nil {
		return
	}
	for _, t := range a.things {
		for _, u := range a.things {
			if t.serving(u) {
				d.tellRiserShape(t, u)
			}
		}
	}
}

func (d *desk) tellRiserShape(t, u *thing) {
	riser, card := d.itemAt(t.item), d.itemAt(u.item)
	off, turned := t.offSocket(u)
	inputs := []kit.Value{d.placesValue()}
	at := riser.Part.GetRiser().GetSlotAt()
	for i, mm := range [3]*float64{at.XMm, at.YMm, at.ZMm} {
		if mm != nil {
			inputs = append(inputs, d.c.Given(riser.At("riser.slot_at."+[3]string{"x_mm", "y_mm", "z_mm"}[i]), mm, "mm"))
		}
	}
	var f *kit.Finding
	if turned {
		f = d.c.Judged(kit.Fail, inputs...).Say("turned")
	} else {
		f = d.c.AtMost(d.c.Derived(quantity.Exact(settledZero(off)), "mm", inputs...), d.c.Parameter(&riserPlay))
	}
	f.About(riser, card).Word("riser", riser.Name()).Word("part", card.Name()).Word("way", t.wordsTo(u)).Remedy("other")
}
