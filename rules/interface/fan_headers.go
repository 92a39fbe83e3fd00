package mating

import "slipfit.example/rules/kit"

var fanHeadersRule = kit.Rule{
	ID: "interface.fan-headers", Title: "Headers for fans and pumps", Since: "0.1.0", Alone: true,
	Kinds: []kit.Kind{kit.KindFan, kit.KindAirCooler, kit.KindLiquidLoop, kit.KindBoard, kit.KindCable},
	Why:   "A fan or pump that finds no header stands still, or runs at full speed from the supply.",
	Formula: "Margin is the number of the board's headers for fans and pumps, with what the build's splitters add, less the fans and pumps: loose ones, those of the cooler, and those " +
		"of a loop with its pump, which is taken to need one header. Three-wire and four-wire plugs go onto each other's headers.",
	Sources: []sourceOf{sourceByID("fan-4wire-table1"), kit.CommonPractice},
	Reads:   []string{"fan.header", "air_cooler.fans.fan.header", "liquid_loop.fans.fan.header", "board.headers", "cable.from", "cable.ends"},
	Texts: map[string]string{
		"pass":      "Of the {required} places for fans and pumps on {board}, splitters included, {measured} are taken.",
		"odd":       "Of the {required} places for fans and pumps on {board} {measured} are taken, but not all by the kind they are made for: a pump on a fan header must be set to full speed, and a four-wire fan on three pins is not controlled.",
		"fail":      "Fans and pumps would take {measured} places, and {board} has {required} with the splitters of the build.",
		"kinds":     "Fans and pumps take {measured} places, and the headers of {board} are not of the kinds that their plugs need.",
		"unknown":   "Whether all fans and pumps find a header cannot be told without {missing}; the plug stands in the fan's data sheet, the headers in the board's manual.",
		"undecided": "So many fans and headers were not tried out to the end; check by hand which fan goes onto which header of {board}.",
		"no-board":  textNoBoard,
	},
	Remedies: map[string]string{
		"splitter": "Buy splitters for {lacking} more plugs, for fans that may run at one speed, and mind what the header bears.",
		"set":      "Set the pump's header to full speed in the firmware.",
		"kind":     "Choose fans with plugs for the headers of {board}.",
	},
	Judge: judgeFanHeaders,
}

func judgeFanHeaders(c *kit.Case) {
	h := hookupOf(c)
	p := h.plugged()
	bare := h.coolerWithoutFans()
	if len(p.consumers) == 0 && bare == nil {
		return
	}
	first := bare
	if len(p.consumers) > 0 {
		first = p.consumers[0].item
	}
	if h.withoutBoard(first) {
		return
	}
	all := whole(len(p.consumers) + p.unlisted)
	places := whole(p.places())
	if len(h.theBoard().Headers) == 0 {
		places = c.Absent(h.board.At("board.headers"), "")
	}
	f := c.AtMost(all, places)
	p.mention(f)
	f.About(h.board).Word("board", h.board.Name())
	if f.Verdict() == kit.Unknown {
		return
	}
	short := max(0, p.short())
	f.Number("lacking", whole(short)).RemedyOf("splitter", whole(short), "splitter-fan-4")
	if f.Verdict() == kit.Fail {
		f.Despite(h.unsaidPlugs()...)
		return
	}
	p.judgeKinds(h, f, bare)
}

// judgeKinds goes on where the number of places suffices.
func (p *plugging) judgeKinds(h *hookup, f *kit.Finding, bare *kit.Item) {
	c := h.c
	unsaid := h.unsaidPlugs()
	if bare != nil {
		unsaid = append(unsaid, c.Absent(bare.At("air_cooler.fans"), ""))
	}
	h.scratch = unsaid
	switch {
	case p.level == unplaced && p.undecided:
		f.Using(c.Absent(h.board.At("board.headers"), "")).Say("undecided")
	case p.level == unplaced && len(unsaid) == 0:
		f.AtBest(kit.Fail).Say("kinds").Remedy("kind")
	default:
		f.Using(unsaid...)
		if p.odd && f.Verdict() == kit.Pass {
			f.AtBest(kit.Marginal).Say("odd").Remedy("set")
		}
	}
}

// mention names the items that are plugged in.
func (p *plugging) mention(f *kit.Finding) {
	var last *kit.Item
	for i := range p.consumers {
		if it := p.consumers[i].item; it != last && p.firstOf(it) == i {
			f.About(it)
			last = it
		}
	}
}

// firstOf is the first consumer of an item.
func (p *plugging) firstOf(it *kit.Item) int {
	for i := range p.consumers {
		if p.consumers[i].item == it {
			return i
		}
	}
	return -1
}

// unsaidPlugs are the plugs that no part states.
func (h *hookup) unsaidPlugs() []kit.Value {
	out := h.scratch[:0]
	for i := range h.plugged().consumers {
		if c := &h.plugged().consumers[i]; c.plug == "" && !c.alike {
			out = append(out, h.c.Absent(c.item.At(c.plugPath), ""))
		}
	}
	h.scratch = out
	return out
}

// coolerWithoutFans is an air cooler whose fans are not described.
func (h *hookup) coolerWithoutFans() *kit.Item {
	for it := range h.c.Items(kit.KindAirCooler) {
		if len(it.Part.GetAirCooler().Fans) == 0 {
			return it
		}
	}
	return nil
}
