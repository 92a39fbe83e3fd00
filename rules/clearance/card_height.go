package clearance

import "slipfit.example/rules/kit"

var cardHeightRule = kit.Rule{
	ID: "clearance.card-height", Title: "Height of the card", Since: "0.1.0",
	Why: "A card that stands out of its slot too far, or whose plugs do, meets the side panel.",
	Formula: "Margin is the tallest card that the layout takes, less the card's height; both from the slot's edge upwards, contacts included. " +
		"Where the enclosure is described in space, it is the way from the slot to the first thing over the card, or to the end of its mount's space.",
	Sources:    []sourceOf{makersLimit},
	Reads:      []string{"card.height_mm", "chassis.limits.card_height_mm", "chassis.layouts.limits.card_height_mm", "chassis.panels", "chassis.layouts.mounts"},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Texts: map[string]string{
		"pass":     "{card} is {measured} tall where {required} are free, {margin} to spare.",
		"marginal": "{card} is {measured} tall where {required} are free: it goes in with {margin} to spare, less than the figures may be off.",
		"fail":     "{card} is {measured} tall where only {required} are free.",
		"unknown":  "Whether {card} is not too tall cannot be told without {missing}; look in the data sheets of card and enclosure.",
	},
	Remedies: map[string]string{
		"smaller": "Choose a card that is at least {shortfall} lower.",
		"measure": "Measure card and enclosure before you order: {shortfall} more room would put it beyond doubt.",
	},
	Judge: func(c *kit.Case) {
		d := deskOf(c)
		if d == nil {
			return
		}
		for it := range c.Items(kit.KindCard) {
			size := c.Length(it, "card.height_mm", it.Part.GetCard().HeightMm)
			f := c.AtMost(size, d.roomFor(cardHeight, it)).About(it, d.chassis).Word("card", it.Name())
			lowerOrMeasure(f, "smaller")
		}
	},
}
