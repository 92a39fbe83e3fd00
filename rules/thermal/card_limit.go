package thermal

import (
	"slipfit.example/rules/kit"
)

var cardLimit = kit.Rule{
	ID: "thermal.card-limit", Title: "Card's temperature under load", Since: "0.1.0",
	Why:       "A card's chip that reaches its limit slows down, and its fans run at full speed before that.",
	Formula:   "The limit less the chip's temperature." + textSolved,
	Sources:   solvedBy,
	Reads:     []string{"card.limit_c", "card.resistances", "card.fans", "card.demand.sustained_w", "use.loads", "use.fans", "room.temperature_c"},
	UsesFacts: []string{DemandFact, ArrangementFact},
	Texts: map[string]string{
		"pass":     "{card} comes to {measured}, {rise} above the room, and may reach {required}; the air at its fans is {intake} warmer than the room.",
		"marginal": "{card} comes to about {measured}, {rise} above the room, and may reach {required}; by what is not exactly known it may be {most}. The air at its fans is {intake} warmer than the room.",
		"fail":     "{card} would come to {measured}, {rise} above the room, and may reach only {required}, so it slows down.",
		"unknown":  "How warm {card} gets cannot be told for want of {missing}; its data sheet and tests of it say so.",
	},
	Remedies: map[string]string{
		"air":  "Bring cool air to the card's fans, or let them turn faster, to come {less} lower.",
		"less": "Lower the card's power limit.",
	},
	Cautions: map[string]string{
		"hot": "A card stays hot for minutes after such a load. Switch off, unplug, and let it cool before touching it.",
	},
	Judge: judgeCardLimit, Bound: boundCardLimit,
}

// smallCardW is what a card draws at most whose temperature nobody asks for.
const smallCardW = 15

func judgeCardLimit(c *kit.Case) {
	s := surveyOf(c)
	if !s.outlook.solved {
		return
	}
	for it := range c.Items(kit.KindCard) {
		card := it.Part.GetCard()
		p, ok := s.point(it.ID, "die")
		if !ok || p.PowerW < smallCardW && len(card.Resistances) == 0 {
			continue
		}
		var resistance *float64
		if len(card.Resistances) > 0 {
			resistance = card.Resistances[0].ResistanceKPerW
		}
		law := c.Figure(it, "card.resistances", resistance, "K/W", 0)
		limit := c.Figure(it, "card.limit_c", card.LimitC, "°C", 0)
		f := soften(c.AtMost(s.celsius(c, p.RiseK, law), limit)).About(it).Word("card", it.Name()).
			Number("rise", kit.Constant(p.RiseK.Nominal, "K")).Number("intake", kit.Constant(p.IntakeK.Nominal, "K")).
			Number("most", kit.Constant(s.temperature.Nominal+p.RiseK.High, "°C"))
		less := kit.Constant(f.Shortfall().Nominal, "K")
		f.Number("less", less).RemedyOf("air", less).Remedy("less")
		if f.Verdict() == kit.Fail || f.Verdict() == kit.Marginal {
			f.CautionWhen("hot")
		}
	}
}
