package clearance

import "slipfit.example/rules/kit"

var cardLengthRule = kit.Rule{
	ID: "clearance.card-length", Title: "Length of the card", Since: "0.1.0",
	Why: "A card that is too long meets the enclosure's front, its fans or a radiator.",
	Formula: "Margin is the longest card that the layout takes, less the card's length; both from the inner face of the bracket. " +
		"Where the enclosure is described in space, it is the way from the bracket to the first thing before the card, or to the end of its mount's space.",
	Sources:    []sourceOf{makersLimit},
	Reads:      []string{"card.length_mm", "chassis.limits.card_length_mm", "chassis.layouts.limits.card_length_mm", "chassis.panels", "chassis.layouts.mounts"},
	Parameters: []*kit.Parameter{&kit.LengthTolerance},
	Texts: map[string]string{
		"pass":     "{card} is {measured} long where {required} are free, {margin} to spare.",
		"marginal": "{card} is {measured} long where {required} are free: it goes in with {margin} to spare, less than the figures may be off.",
		"fail":     "{card} is {measured} long where only {required} are free.",
		"unknown":  "Whether {card} is not too long cannot be told without {missing}; look in the data sheets of card and enclosure.",
	},
	Remedies: map[string]string{
		"smaller": "Choose a card that is at least {shortfall} shorter.",
		"measure": "Measure card and enclosure before you order: {shortfall} more room would put it beyond doubt.",
	},
	Bound: boundCard,
	Judge: func(c *kit.Case) {
		d := deskOf(c)
		if d == nil {
			return
		}
		for it := range c.Items(kit.KindCard) {
			size := c.Length(it, "card.length_mm", it.Part.GetCard().LengthMm)
			f := c.AtMost(size, d.roomFor(cardLength, it)).About(it, d.chassis).Word("card", it.Name())
			lowerOrMeasure(f, "smaller")
		}
	},
}
