package mating

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var memoryModuleRule = kit.Rule{
	ID: "interface.memory-module", Title: "Capacity of one memory module", Since: "0.1.0", Alone: true,
	Kinds:   []kit.Kind{kit.KindMemory, kit.KindBoard},
	Why:     "A module that is larger than the board can address is not recognised, or only in part.",
	Formula: "Margin is the board's greatest capacity of one module less that of the module.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads:   []string{"memory.capacity_gb", "board.memory.module_capacity_gb"},
	Texts: map[string]string{
		"pass":    "Each module of {part} has {measured}, and {board} takes up to {required} in one.",
		"fail":    "Each module of {part} has {measured}, and {board} takes no more than {required} in one.",
		"unknown": "Whether {board} takes modules as large as those of {part} cannot be told without {missing}; the board's data sheet names the largest.",
	},
	Remedies: map[string]string{
		"smaller": "Choose modules of at most {required}, or look whether a newer firmware of {board} takes larger ones.",
	},
	Judge: func(c *kit.Case) {
		h := hookupOf(c)
		if h.board == nil {
			return
		}
		limit := h.number(h.board, "board.memory.module_capacity_gb", h.sockets().ModuleCapacityGb, "GB")
		for it := range c.Items(kit.KindMemory) {
			c.AtMost(h.number(it, "memory.capacity_gb", it.Part.GetMemory().CapacityGb, "GB"), limit).
				About(it, h.board).Word("part", it.Name()).Word("board", h.board.Name()).Remedy("smaller")
		}
	},
}

// noSockets stands for memory sockets that a board does not describe.
var noSockets v1.MemorySockets

// sockets are the board's memory sockets, without any figure where it gives none.
func (h *hookup) sockets() *v1.MemorySockets {
	if m := h.theBoard().GetMemory(); m != nil {
		return m
	}
	return &noSockets
}
