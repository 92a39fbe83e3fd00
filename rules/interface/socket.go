package mating

import (
	"strings"

	"slipfit.example/rules/kit"
)

var socketRule = kit.Rule{
	ID: "interface.socket", Title: "Processor and socket", Since: "0.1.0", Alone: true,
	Kinds:   []kit.Kind{kit.KindBoard, kit.KindProcessor},
	Why:     "A processor goes into the socket it was made for and into no other; forced into another it breaks its contacts.",
	Formula: "The processor's socket must be the board's. Sockets are compared by their name, capitals aside.",
	Sources: []sourceOf{sourceByID("socket-names")},
	Reads:   []string{"processor.socket", "board.socket"},
	Texts: map[string]string{
		"pass":         "{processor} and {board} both have the socket {socket}.",
		"fail":         "{processor} is made for {own} and {board} has {socket}.",
		"unknown":      "Whether {processor} goes into {board} cannot be told without {missing}; the socket stands on the first line of either data sheet.",
		"no-board":     "The build names no single board, so that it cannot be told whether {processor} has its socket; keep one board in the build.",
		"no-processor": "The build names no single processor for {board}; keep one processor in the build.",
		"neither":      "The build names neither one board nor one processor, so that hardly anything can be told about what plugs into what; add both.",
	},
	Remedies: map[string]string{
		"change": "Choose a board with the socket {own}, or a processor for {socket}.",
	},
	Cautions: map[string]string{
		"force": "Never press a processor into a socket that it does not drop into by itself.",
	},
	Judge: judgeSocket,
}

func judgeSocket(c *kit.Case) {
	h := hookupOf(c)
	board, processor := h.board, h.processor
	switch {
	case board == nil && processor == nil:
		c.Judged(kit.Unknown, c.Absent(noItem, "")).Say("neither")
	case board == nil:
		c.Judged(kit.Unknown, c.Absent(noItem, "")).About(processor).Word("processor", processor.Name()).Say("no-board")
	case processor == nil:
		c.Judged(kit.Unknown, c.Absent(noItem, "")).About(board).Word("board", board.Name()).Say("no-processor")
	default:
		own := c.Word(processor, "processor.socket", processor.Part.GetProcessor().Socket)
		socket := c.Word(board, "board.socket", board.Part.GetBoard().Socket)
		verdict := kit.Fail
		if strings.EqualFold(own.Word, socket.Word) {
			verdict = kit.Pass
		}
		f := c.Judged(verdict, own, socket).About(processor, board).Word("processor", processor.Name()).
			Word("board", board.Name()).Word("own", own.Word).Word("socket", socket.Word).Remedy("change")
		if f.Verdict() == kit.Fail {
			f.Caution("force")
		}
	}
}

// sameSocket reports whether processor and board are known to go together.
func (h *hookup) sameSocket() bool {
	return h.board != nil && h.processor != nil &&
		strings.EqualFold(h.processor.Part.GetProcessor().GetSocket(), h.board.Part.GetBoard().GetSocket())
}
