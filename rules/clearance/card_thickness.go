package clearance

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var cardThicknessRule = kit.Rule{
	ID: "clearance.card-thickness", Title: "Thickness of the card", Since: "0.1.0",
	Why: "A card that is thicker than its room lies against the panel or another part and gets no air.",
	Formula: "Margin is the thickest card that the layout takes, less the card's thickness with its cooler. Where no such limit is published, " +
		"the openings for brackets times their pitch of 20.32 mm stand in for it; a card beyond that is doubtful, not impossible. " +
		"Where the enclosure is described in space, it is the way from the card's back to the first thing of the enclosure, or to the end of its mount's space.",
	Sources: []sourceOf{makersLimit, standards.SlotPitch.Source},
	Reads: []string{
		"card.thickness_mm", "chassis.limits.card_thickness_mm", "chassis.layouts.limits.card_thickness_mm",
		"chassis.limits.card_slots", "chassis.layouts.limits.card_slots", "chassis.panels", "chassis.layouts.mounts",
	},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Texts: map[string]string{
		"pass":       "{card} is {measured} thick where {required} are free, {margin} to spare.",
		"marginal":   "{card} is {measured} thick where {required} are free: it goes in with {margin} to spare, less than the figures may be off.",
		"fail":       "{card} is {measured} thick where only {required} are free.",
		"unknown":    "Whether {card} is not too thick cannot be told without {missing}; look in the data sheets of card and enclosure.",
		"over-slots": "{card} is {measured} thick, more than the {required} that the openings for brackets make; whether more is free beside them is not published.",
	},
	Remedies: map[string]string{
		"smaller": "Choose a card that is at least {shortfall} thinner.",
		"measure": "Measure card and enclosure before you order: {shortfall} more room would put it beyond doubt.",
	},
	Judge: judgeCardThickness,
}

func judgeCardThickness(c *kit.Case) {
	d := deskOf(c)
	if d == nil {
		return
	}
	for it := range c.Items(kit.KindCard) {
		thickness := c.Length(it, "card.thickness_mm", it.Part.GetCard().ThicknessMm)
		if slots := d.limits.slots(); !d.states(cardThickness) && slots.Known() && !d.hasRoom(cardThickness, it) {
			f := c.AtMost(thickness, slots.With(slots.Scale(standards.SlotPitch.Value), "mm")).About(it, d.chassis)
			f.Word("card", it.Name()).SayWhen(kit.Fail, "over-slots").AtWorst(kit.Marginal)
			f.RemedyOf("measure", f.Shortfall())
			continue
		}
		f := c.AtMost(thickness, d.roomFor(cardThickness, it)).About(it, d.chassis).Word("card", it.Name())
		lowerOrMeasure(f, "smaller")
	}
}
