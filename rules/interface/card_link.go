package mating

import "slipfit.example/rules/kit"

var cardLinkShare = bottleneckShare("interface.card-link")

var cardLinkRule = kit.Rule{
	ID: "interface.card-link", Title: "Link of the cards", Since: "0.1.0",
	Why: "A card exchanges data no faster than the slowest of slot, riser and card; a riser of an older generation holds the whole link, and may not hold it steadily.",
	Formula: "The link is the smallest generation and the smallest number of lanes of slot, riser and card, with the lanes that are left where others share them, and in the first " +
		"slot no newer than the processor's own lanes. Margin is its rate after line coding, less that of the card's own link.",
	Sources:    []sourceOf{sourceByID("pcie-rates"), sourceByID("pcie-negotiation"), sourceByID("pcie-6-flit"), kit.CommonPractice},
	Parameters: []*kit.Parameter{cardLinkShare},
	Reads: []string{"card.generation", "card.lanes", "card.width_lanes", "riser.generation", "riser.lanes", "board.card_slots.generation", "board.card_slots.lanes",
		"board.card_slots.lanes_shared", "board.card_slots.shares_with", "processor.generation"},
	UsesFacts: []string{factArrangement},
	Texts: map[string]string{
		"pass":      "{part} runs in {slot} at its full {link}, which is {measured}.",
		"marginal":  "{part} could use {own}, but {slot} gives it {link}: {measured} in place of {required}.",
		"shared":    "{part} could use {own}, but {slot} shares its lanes with {sharer} and gives it {link}: {measured} in place of {required}.",
		"riser":     "{part} could use {own}, but the riser {riser} holds the link to {link}: {measured} in place of {required}.",
		"processor": "{part} could use {own}, but the lanes of {processor} hold {slot} to {link}: {measured} in place of {required}.",
		"fail":      "{part} could use {own}, but {slot} gives it {link}: {measured} in place of {required}, less than the share that the policy asks for.",
		"unknown":   "Which link {part} has in {slot} cannot be told without {missing}; generation and lanes stand in the data sheets of card, riser and board.",
		"no-riser":  "{part} stands on a riser that the build does not name, so that its link cannot be told; add the riser to the build.",
	},
	Remedies: map[string]string{
		"set-riser": "Choose a riser of generation {generation}, or set the slot to that of the riser in the firmware: left to itself the link may train faster than the riser carries, and break down.",
		"free":      "Leave {sharer} free.",
		"live":      "Cards rarely use all of their link; for the full rate choose a board with a faster slot.",
	},
	Judge: func(c *kit.Case) {
		h := hookupOf(c)
		for it := range c.Items(kit.KindCard) {
			if h.board != nil {
				h.judgeCardLink(it)
			}
		}
	},
	Bound: boundCardLink,
}

func (h *hookup) judgeCardLink(it *kit.Item) {
	c, s := h.c, &h.seats
	p := s.outcomeOf(it).slowest
	if p == nil {
		return // the rule on slots has said it
	}
	to := &s.places[p.at]
	row, own := s.link(p, to, s.used).row(), p.end.row()
	values := h.linkValues(p)
	about := func(f *kit.Finding) *kit.Finding {
		f.About(it, h.board).Word("part", it.Name()).Word("slot", to.id)
		if p.riser != nil {
			f.About(p.riser)
		}
		return f
	}
	if row.gbs == 0 || own.gbs == 0 {
		f := about(c.Judged(kit.Unknown, values...))
		if p.risen && p.riser == nil {
			f.Say("no-riser")
			return
		}
		h.blameTables(f, p)
		return
	}
	f := about(bottleneck(c, kit.Constant(row.gbs, "GB/s"), kit.Constant(own.gbs, "GB/s"), cardLinkShare).Saturates().Using(values...)).
		Word("link", row.name).Word("own", own.name)
	if f.Verdict() == kit.Marginal {
		h.tellCardCause(f, p, to)
	}
}

// tellCardCause says what holds a card's link back most.
func (h *hookup) tellCardCause(f *kit.Finding, p *piece, to *place) {
	s := &h.seats
	offered := s.offered(to, s.used).through(p.end)
	switch {
	case p.riser != nil && s.link(p, to, s.used).rate() < offered.rate():
		f.Say("riser").Word("riser", p.riser.Name()).Number("generation", whole(offered.generation)).Remedy("set-riser")
	case to.shares(s.used) && s.offered(to, 0).through(p.end).rate() > offered.rate():
		sharer := s.sharer(to)
		f.Say("shared").Word("sharer", sharer).Remedy("free")
	case s.processor > 0 && to.first() && s.processor < min(int(*to.generation()), p.end.generation):
		f.Say("processor").Word("processor", h.processor.Name()).Remedy("live")
	default:
		f.Remedy("live")
	}
}
