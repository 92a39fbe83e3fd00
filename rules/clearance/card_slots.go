package clearance

import (
	"math"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

var cardSlotsRule = kit.Rule{
	ID: "clearance.card-slots", Title: "Openings for card brackets", Since: "0.1.0",
	Why: "Every slot that a card takes needs an opening in the enclosure's rear, or the card cannot be screwed down.",
	Formula: "Margin is the number of openings less those that the cards take. A card takes those of its bracket, and one for each 20.32 mm of " +
		"thickness where the bracket's number is not stated.",
	Sources: []sourceOf{makersLimit, standards.SlotPitch.Source},
	Reads:   []string{"card.slots", "card.thickness_mm", "chassis.limits.card_slots", "chassis.layouts.limits.card_slots"},
	Texts: map[string]string{
		"pass":    "The cards take {measured} of {required} openings for brackets.",
		"fail":    "The cards take {measured} openings for brackets and there are only {required}.",
		"unknown": "Whether there are openings enough for the cards' brackets cannot be told without {missing}; count them at the enclosure's rear.",
	},
	Remedies: map[string]string{
		"fewer": "Choose cards that take fewer openings, or leave one out.",
	},
	Judge: judgeCardSlots,
}

func judgeCardSlots(c *kit.Case) {
	d := deskOf(c)
	if d == nil || c.First(kit.KindCard) == nil {
		return
	}
	var taken kit.Value
	first := true
	for it := range c.Items(kit.KindCard) {
		v := openingsOf(c, it)
		if first {
			taken, first = v, false
		} else {
			taken = c.Sum("", taken, v)
		}
	}
	f := c.AtMost(taken, d.limits.slots())
	for it := range c.Items(kit.KindCard) {
		f.About(it)
	}
	f.About(d.chassis).Remedy("fewer")
}

// openingsOf is how many openings all pieces of a card take.
func openingsOf(c *kit.Case, it *kit.Item) kit.Value {
	card := it.Part.GetCard()
	if card.Slots == nil && card.ThicknessMm != nil {
		slots := math.Ceil(*card.ThicknessMm / standards.SlotPitch.Value)
		return c.Assume(it.At("card.slots"), quantity.Exact(slots*float64(it.Count)), "")
	}
	v := count(c, it, "card.slots", card.Slots)
	return v.With(v.Scale(float64(it.Count)), "")
}
