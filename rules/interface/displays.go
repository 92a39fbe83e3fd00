package mating

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

var displaysRule = kit.Rule{
	ID: "interface.displays", Title: "Sockets for the displays", Since: "0.1.0", Alone: true,
	Kinds: []kit.Kind{kit.KindCard, kit.KindBoard, kit.KindProcessor},
	Why:   "Each display needs a socket that something drives: those of a graphics card, or those of the board where the processor has graphics of its own.",
	Formula: "Margin is the number of the cards' display sockets less the displays to be driven. Without enough of them, the board's count as well where the processor has graphics; " +
		"beside a card it depends on the firmware whether they work. A build that does not say how many displays it drives needs one to be set up.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads:   []string{"card.outputs", "board.outputs", "processor.graphics"},
	Texts: map[string]string{
		"pass":        "Of {measured} display sockets that something drives, {required} are needed.",
		"marginal":    "The {required} displays wanted need the sockets of the board beside those of the card; whether both work at once depends on the firmware.",
		"fail":        "Of {measured} display sockets that something drives, {required} are needed.",
		"no-graphics": "Nothing drives a display, and {required} are wanted: {processor} has no graphics of its own, and no card has display sockets.",
		"unknown":     "Whether the displays wanted ({required}) can be driven cannot be told without {missing}; look at the rear of board and card, and into the processor's data sheet.",
	},
	Remedies: map[string]string{
		"enable": "Enable the processor's graphics beside the card in the firmware, or choose a card with {required} sockets.",
		"card":   "Choose a graphics card with {required} display sockets, or drive several displays from one socket by a hub where the display standard allows it.",
	},
	Judge: judgeDisplays,
}

func judgeDisplays(c *kit.Case) {
	h := hookupOf(c)
	wanted := c.Build.GetUse().GetDisplays()
	stated := c.Build.GetUse() != nil && c.Build.GetUse().Displays != nil
	if stated && wanted == 0 || !stated && h.board == nil {
		return
	}
	var need kit.Value
	if at := (kit.Path{Field: "use.displays"}); stated {
		n := float64(wanted)
		need = c.Given(at, &n, "")
	} else {
		need = c.Assume(at, quantity.Exact(1), "")
	}
	onCards, graphics := h.cardOutputs()
	if onCards >= need.Nominal {
		h.tellDisplays(c.AtLeast(kit.Constant(onCards, ""), need))
		return
	}
	onBoard := h.boardOutputs()
	all := c.Derived(quantity.Exact(onCards+onBoard.Nominal), "", onBoard)
	f := c.AtLeast(all, need)
	if graphics && f.Verdict() == kit.Pass {
		f.AtBest(kit.Marginal).Remedy("enable")
	}
	if f.Verdict() == kit.Fail {
		if bare := h.bareCard(); bare != nil {
			f.Using(c.Absent(bare.At("card.outputs"), ""))
		} else if f.Remedy("card"); all.Nominal == 0 && h.processor != nil && !h.processor.Part.GetProcessor().GetGraphics() {
			f.Say("no-graphics").Word("processor", h.processor.Name())
		}
	}
	h.tellDisplays(f)
}

func (h *hookup) tellDisplays(f *kit.Finding) {
	for it := range h.c.Items(kit.KindCard) {
		if len(it.Part.GetCard().Outputs) > 0 {
			f.About(it)
		}
	}
	f.About(h.board, h.processor)
}

// cardOutputs counts the cards' display sockets; graphics is whether there are any.
func (h *hookup) cardOutputs() (n float64, graphics bool) {
	for it := range h.c.Items(kit.KindCard) {
		for _, o := range it.Part.GetCard().Outputs {
			n += float64(counted(o.Count) * it.Count)
		}
	}
	return n, n > 0
}

// boardOutputs counts the board's display sockets that the processor drives.
func (h *hookup) boardOutputs() kit.Value {
	c := h.c
	if h.processor == nil || h.board == nil {
		return c.Absent(noItem, "")
	}
	graphics := h.processor.Part.GetProcessor().Graphics
	if graphics == nil {
		return c.Absent(h.processor.At("processor.graphics"), "")
	}
	n, word := 0.0, "no"
	if *graphics {
		if word = "yes"; len(h.theBoard().Outputs) == 0 {
			return c.Absent(h.board.At("board.outputs"), "")
		}
		for _, o := range h.theBoard().Outputs {
			n += float64(counted(o.Count))
		}
	}
	return c.Word(h.processor, "processor.graphics", &word).With(quantity.Exact(n), "")
}

// bareCard is a card that may have display sockets and lists none: one that has
// fans or a plug for power, as cards for graphics do.
func (h *hookup) bareCard() *kit.Item {
	for it := range h.c.Items(kit.KindCard) {
		if card := it.Part.GetCard(); len(card.Outputs) == 0 && (len(card.Fans) > 0 || len(card.PowerSockets) > 0) {
			return it
		}
	}
	return nil
}
