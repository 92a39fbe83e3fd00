package mating

import "slipfit.example/rules/kit"

var lightHeadersRule = kit.Rule{
	ID: "interface.light-headers", Title: "Headers for addressable lights", Since: "0.1.0", Alone: true,
	Kinds: []kit.Kind{kit.KindFan, kit.KindAirCooler, kit.KindLiquidLoop, kit.KindBoard, kit.KindCable},
	Why:   "A fan's addressable light stays dark without a header of 5 V and three pins; the fan itself runs all the same.",
	Formula: "Margin is the number of the board's argb-3 headers, with what splitters add, less the fans with such a light. A light can be done without, so that a shortage does not " +
		"fail.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads:   []string{"fan.addressable_light", "air_cooler.fans.fan.addressable_light", "liquid_loop.fans.fan.addressable_light", "board.headers", "cable.from", "cable.ends"},
	Texts: map[string]string{
		"pass":     "Of the {required} places for addressable lights on {board}, {measured} are taken.",
		"marginal": "Fans with addressable lights would take {measured} places, and {board} has {required}; some stay dark unless their plugs can be chained.",
		"fail":     "Fans with addressable lights would take {measured} places, and {board} has {required}.",
		"unknown":  "Whether the lights find their header cannot be told without {missing}; the board's manual has a table of its headers.",
		"no-board": textNoBoard,
	},
	Remedies: map[string]string{
		"splitter": "Chain the lights where their plugs allow it, or buy a splitter for {shortfall} more.",
	},
	Cautions: map[string]string{
		"rgb": "Do not plug such a light onto the four-pin header of 12 V: it is made for 5 V and burns.",
	},
	Judge: func(c *kit.Case) {
		h := hookupOf(c)
		lights, first := h.lights()
		if lights == 0 || h.withoutBoard(first) {
			return
		}
		places := whole(h.lightPlaces())
		if len(h.theBoard().Headers) == 0 {
			places = c.Absent(h.board.At("board.headers"), "")
		}
		f := c.AtMost(whole(lights), places).About(first, h.board).Word("board", h.board.Name()).AtWorst(kit.Marginal).Remedy("splitter")
		if h.headersOf(plugRGB) > 0 {
			f.CautionWhen("rgb")
		}
	},
}

// lights counts the fans with addressable lights, and names the first item that
// has one.
func (h *hookup) lights() (n int, first *kit.Item) {
	count := func(it *kit.Item, lit bool, pieces int) {
		if !lit {
			return
		}
		if n += pieces; first == nil {
			first = it
		}
	}
	for it := range h.c.AllItems() {
		switch it.Kind {
		case kit.KindFan:
			count(it, it.Part.GetFan().GetAddressableLight(), it.Count)
		case kit.KindAirCooler:
			for _, seat := range it.Part.GetAirCooler().Fans {
				count(it, seat.Fan.GetAddressableLight(), it.Count*counted(seat.Count))
			}
		case kit.KindLiquidLoop:
			for _, seat := range it.Part.GetLiquidLoop().Fans {
				count(it, seat.Fan.GetAddressableLight(), it.Count*counted(seat.Count))
			}
		}
	}
	return n, first
}

// lightPlaces counts the headers for addressable lights with their splitters; a
// splitter needs a header to sit on.
func (h *hookup) lightPlaces() int {
	n := h.headersOf(plugLight)
	if n == 0 {
		return 0
	}
	for it := range h.c.Items(kit.KindCable) {
		if cable := it.Part.GetCable(); cable.GetFrom() == plugLight {
			n += splits(cable) * it.Count * counted(cable.Count)
		}
	}
	return n
}
