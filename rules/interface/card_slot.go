package mating

import "slipfit.example/rules/kit"

var cardSlotRule = kit.Rule{
	ID: "interface.card-slot", Title: "Slots for the cards", Since: "0.1.0",
	Why: "A card needs a slot of its own that is long enough for its edge, and that no neighbour hides under its cooler.",
	Formula: "The cards are dealt out to the slots so that as many as can be find one at least as long as their edge and not hidden by a card that takes several openings; a card " +
		"on a riser hides none. A card fails only where no way of dealing out leaves it a slot.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads: []string{"card.width_lanes", "card.slots", "board.card_slots.width_lanes", "board.card_slots.position", "board.card_slots.shares_with",
		"board.card_slots.lanes_shared"},
	UsesFacts: []string{factArrangement},
	Texts: map[string]string{
		"pass":       "{part} goes into {slot}.",
		"riser":      "{part} goes onto the riser {riser}, and that into {slot}.",
		"fail":       "There is no card slot on {board} for {part}.",
		"fail-width": "The edge of {part} takes a slot of {own} lanes, and the longest slot of {board} has fewer.",
		"fail-taken": "{board} has slots for {seated} of {count} cards {part}; what is left is taken, hidden, or dead beside others in use.",
		"unknown":    "Whether {part} goes into a slot of {board} cannot be told without {missing}; count the lanes on a picture of both.",
		"no-board":   textNoBoard,
	},
	Remedies: map[string]string{
		"other": "Choose a card with a shorter edge, or a board with a longer slot.",
		"fewer": "Leave out a card, choose a thinner one, or a board with more slots.",
	},
	Judge: func(c *kit.Case) {
		h := hookupOf(c)
		for it := range c.Items(kit.KindCard) {
			if !h.withoutBoard(it) {
				h.judgeCardSlot(it)
			}
		}
	},
	Bound: boundCardSlot,
}

// cardFit tells how a card goes into a slot: by the length of its edge.
func (h *hookup) cardFit(p *piece, to *place) fit {
	own, slot := p.item.Part.GetCard().WidthLanes, to.card.WidthLanes
	switch {
	case own == nil || slot == nil:
		return fit{maybe, noFlaw}
	case *own > *slot:
		return fit{noFit, flawWidth}
	}
	return fit{goodFit, noFlaw}
}

func (h *hookup) judgeCardSlot(it *kit.Item) {
	c, card := h.c, it.Part.GetCard()
	board := h.theBoard()
	own := h.number(it, "card.width_lanes", card.WidthLanes, "")
	if len(board.CardSlots) == 0 {
		c.Judged(kit.Unknown, own, c.Absent(h.board.At("board.card_slots"), "")).About(it, h.board).
			Word("part", it.Name()).Word("board", h.board.Name())
		return
	}
	o := h.seats.outcomeOf(it)
	number := o.flawed
	if o.worst != nil && o.verdict(it.Count) != kit.Fail {
		number = h.seats.places[o.worst.at].number
	}
	width := h.number(h.board, slotWidth.at(number), board.CardSlots[number].WidthLanes, "")
	f := c.Judged(o.verdict(it.Count)).About(it, h.board).Word("part", it.Name()).Word("board", h.board.Name())
	if f.Verdict() == kit.Fail {
		f.Despite(own, width)
		switch o.flaw {
		case flawWidth:
			f.Say("fail-width").Number("own", own).Remedy("other")
		case flawTaken:
			f.Say("fail-taken").Number("seated", whole(o.seated)).Number("count", whole(it.Count)).Remedy("fewer")
		}
		return
	}
	f.Using(own, width).Word("slot", h.seats.placesOf(it))
	if p := o.worst; p != nil && p.riser != nil {
		f.About(p.riser).Word("riser", p.riser.Name()).SayWhen(kit.Pass, "riser")
	}
}
