package mating

import (
	"slices"
	"strings"

	"slipfit.example/rules/kit"
)

var memoryKindRule = kit.Rule{
	ID: "interface.memory-kind", Title: "Kind of memory", Since: "0.1.0", Alone: true,
	Kinds:   []kit.Kind{kit.KindMemory, kit.KindBoard, kit.KindProcessor},
	Why:     "Modules of another kind have their notch elsewhere or another number of contacts; they do not go in, and would not run.",
	Formula: "Kind and module of each kit must be those of the board's sockets, and the kind one that the processor takes. Words are compared as text.",
	Sources: []sourceOf{sourceByID("jedec-mo-309"), sourceByID("jedec-mo-329"), sourceByID("jedec-mo-310"), sourceByID("jedec-mo-337")},
	Reads:   []string{"memory.kind", "memory.module", "board.memory.kind", "board.memory.module", "processor.memory_kinds"},
	Texts: map[string]string{
		"pass":      "{part} is {kind} {module}, which is what {board} takes.",
		"fail":      "{part} is {own} and {board} has sockets for {taken}.",
		"processor": "{part} is {own}, and {processor} takes {taken} only.",
		"unknown":   "Whether {part} goes into {board} cannot be told without {missing}; kind and module stand on the memory's label and in the board's data sheet.",
		"no-board":  textNoBoard,
	},
	Remedies: map[string]string{
		"change": "Choose memory that is {taken}, or another board.",
		"other":  "Choose memory that is {taken}, and a board for it.",
	},
	Judge: judgeMemoryKind,
}

func judgeMemoryKind(c *kit.Case) {
	h := hookupOf(c)
	for it := range c.Items(kit.KindMemory) {
		if !h.withoutBoard(it) {
			h.judgeMemoryKind(it)
		}
	}
}

func (h *hookup) judgeMemoryKind(it *kit.Item) {
	c, memory, sockets := h.c, it.Part.GetMemory(), h.theBoard().GetMemory()
	kind := c.Word(it, "memory.kind", memory.Kind)
	module := c.Word(it, "memory.module", memory.Module)
	var socketKind, socketModule kit.Value
	if sockets != nil {
		socketKind = c.Word(h.board, "board.memory.kind", sockets.Kind)
		socketModule = c.Word(h.board, "board.memory.module", sockets.Module)
	} else {
		socketKind = c.Absent(h.board.At("board.memory"), "")
		socketModule = socketKind
	}
	about := func(f *kit.Finding) *kit.Finding {
		return f.About(it, h.board).Word("part", it.Name()).Word("kind", kind.Word).Word("module", module.Word).
			Word("board", h.board.Name())
	}
	if own, taken, differ := differing(kind, socketKind, module, socketModule); differ {
		about(c.Judged(kit.Fail).Despite(kind, module, socketKind, socketModule)).Word("own", own).Word("taken", taken).Remedy("change")
		return
	}
	if h.processor == nil {
		about(c.Judged(kit.Pass, kind, module, socketKind, socketModule))
		return
	}
	kinds := h.processor.Part.GetProcessor().MemoryKinds
	taken := c.Words(h.processor, "processor.memory_kinds", kinds)
	if kind.Known() && taken.Known() && !slices.Contains(kinds, kind.Word) {
		about(c.Judged(kit.Fail).Despite(kind, taken)).About(h.processor).Word("processor", h.processor.Name()).
			Word("own", kind.Word).Word("taken", taken.Word).Say("processor").Remedy("other")
		return
	}
	about(c.Judged(kit.Pass, kind, module, socketKind, socketModule, taken))
}

// differing are the kind, else the module, in which a kit and the board's sockets
// are known to differ.
func differing(kind, socketKind, module, socketModule kit.Value) (own, taken string, differ bool) {
	switch {
	case unlike(kind, socketKind):
		return kind.Word, socketKind.Word, true
	case unlike(module, socketModule):
		return module.Word, socketModule.Word, true
	}
	return "", "", false
}

// unlike reports whether two words are known and differ.
func unlike(a, b kit.Value) bool {
	return a.Known() && b.Known() && !strings.EqualFold(a.Word, b.Word)
}
