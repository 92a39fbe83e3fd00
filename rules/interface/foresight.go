package mating

import (
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// What bounds tell a shortlist before the arrangement says where a card stands.

// boundCardSlot foretells the cards that no slot takes by their edge, and those of
// which nobody says how wide it is.
func boundCardSlot(c *kit.Case) {
	h := hookupOf(c)
	for it := range c.Items(kit.KindCard) {
		if h.board == nil || !c.Sought(it) {
			continue
		}
		if it.Part.GetCard().WidthLanes == nil || h.tooWide(it.Part.GetCard()) {
			c.Unfit()
		}
	}
}

// tooWide reports whether all slots of the board are shorter than a card's edge.
func (h *hookup) tooWide(card *v1.Card) bool {
	slots := h.theBoard().GetCardSlots()
	for _, slot := range slots {
		if slot.WidthLanes == nil || card.GetWidthLanes() <= slot.GetWidthLanes() {
			return false
		}
	}
	return len(slots) > 0
}

// boundCardLink foretells the cards of which the link is not known, and the rate that a
// card reaches in the best of the slots.
func boundCardLink(c *kit.Case) {
	h := hookupOf(c)
	for it := range c.Items(kit.KindCard) {
		if h.board == nil || !c.Sought(it) || !h.slotsListed() {
			continue
		}
		if card := it.Part.GetCard(); card.Generation == nil || card.Lanes == nil && card.WidthLanes == nil {
			c.Unfit()
			continue
		}
		own := cardPiece(it).end.rate()
		if best := h.bestRate(it); own > 0 && best < own && h.risersSuffice() {
			c.Ceiling((best - own) / own)
		}
	}
}

// slotsListed reports whether every slot of the board is looked at.
func (h *hookup) slotsListed() bool { return len(h.theBoard().GetCardSlots()) <= mostPlaces }

// bestRate is the rate in GB/s of a card in the best slot of the board, whatever else is
// in use, if the processor's lanes do not hold it back.
func (h *hookup) bestRate(it *kit.Item) (best float64) {
	s := &h.seats
	s.processor = 0
	s.places = listPlaces(s.places, h.theBoard())
	p := cardPiece(it)
	for j := range s.places {
		if to := &s.places[j]; to.card != nil && h.cardFit(&p, to).grade != noFit {
			best = max(best, s.rate(&p, to, 0), s.rate(&p, to, ^places(0)))
		}
	}
	return best
}

// risersSuffice reports whether no card can come to stand on a riser that the build does
// not name: its link would be left open then, and nothing be told of it.
func (h *hookup) risersSuffice() bool {
	risers, cards := 0, 0
	for it := range h.c.AllItems() {
		switch it.Kind {
		case kit.KindRiser:
			risers += it.Count
		case kit.KindCard:
			cards += it.Count
		}
	}
	if risers >= cards {
		return true
	}
	wanted := h.c.Build.GetArrangement().GetLayout()
	layouts := chassisOf(h.chassis).GetLayouts()
	for _, l := range layouts {
		if wanted != "" && l.GetId() == wanted {
			return !layoutMentionsRiser(l)
		}
	}
	return !slices.ContainsFunc(layouts, layoutMentionsRiser)
}
