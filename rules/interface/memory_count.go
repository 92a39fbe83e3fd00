package mating

import "slipfit.example/rules/kit"

var memoryCountRule = kit.Rule{
	ID: "interface.memory-count", Title: "Sockets for the memory modules", Since: "0.1.0", Alone: true,
	Kinds:   []kit.Kind{kit.KindMemory, kit.KindBoard},
	Why:     "Each module needs a socket of its own.",
	Formula: "Margin is the number of the board's memory sockets less the modules of all kits.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads:   []string{"memory.modules", "board.memory.sockets"},
	Texts: map[string]string{
		"pass":    "Of the {required} memory sockets of {board}, the modules take {measured}.",
		"fail":    "Of the {required} memory sockets of {board}, the modules would take {measured}.",
		"unknown": "Whether {board} has a socket for each memory module ({modules}) cannot be told without {missing}; count the sockets on a picture of the board.",
		"none":    "The build names no memory for {board}, which does not start without; add the modules.",
	},
	Remedies: map[string]string{
		"fewer": "Leave out {shortfall} of the modules; fewer and larger ones also run faster.",
	},
	Judge: judgeMemoryCount,
}

func judgeMemoryCount(c *kit.Case) {
	h := hookupOf(c)
	switch {
	case h.board == nil:
		return // the rule on the kind has said it for each kit
	case h.modules == 0:
		c.Judged(kit.Unknown, c.Absent(noItem, "")).About(h.board).Word("board", h.board.Name()).Say("none")
		return
	}
	modules := whole(h.modules)
	f := c.AtMost(modules, h.number(h.board, "board.memory.sockets", h.sockets().Sockets, ""))
	for it := range c.Items(kit.KindMemory) {
		f.About(it)
	}
	f.About(h.board).Word("board", h.board.Name()).Number("modules", modules).Remedy("fewer")
}
