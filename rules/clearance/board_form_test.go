package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestBoardForm(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.board-form", []kittest.Row{
		{Name: "listed",
			Build: limited("board_form_factors: [mini-itx, micro-atx]", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
			Want:  []string{"PASS board,case"},
		},
		{Name: "every Mini-ITX hole is one of ATX (Mini-ITX addendum 1.1, table 1)",
			Build: limited("board_form_factors: [atx]", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
			Want:  []string{"PASS board,case"},
		},
		{Name: "microATX asks for holes B and R that ATX does not have (microATX specification 1.2, figure 2)",
			Build: limited("board_form_factors: [atx]", "{id: board, part: {name: Marsh, board: {form_factor: micro-atx}}}"),
			Want:  []string{"MARGINAL board,case"},
		},
		{Name: "the tray with all holes is taken before the one without",
			Build: limited("board_form_factors: [ssi-eeb, atx]", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
			Want:  []string{"PASS board,case"},
		},
		{Name: "SSI EEB has its own holes, which are not known",
			Build: limited("board_form_factors: [ssi-eeb]", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
			Want:  []string{"UNKNOWN board,case missing items[1].part.board.holes"},
		},
		{Name: "larger than any listed",
			Build: limited("board_form_factors: [mini-itx]", "{id: board, part: {name: Marsh, board: {form_factor: atx}}}"),
			Want:  []string{"FAIL board,case"},
		},
		{Name: "an unknown form factor that is not listed",
			Build: limited("board_form_factors: [mini-itx]", "{id: board, part: {name: Marsh, board: {form_factor: pond-1}}}"),
			Want:  []string{"FAIL board,case"},
		},
		{Name: "an unknown form factor that is listed compares as text",
			Build: limited("board_form_factors: [pond-1]", "{id: board, part: {name: Marsh, board: {form_factor: pond-1}}}"),
			Want:  []string{"PASS board,case"},
		},
		{Name: "list not stated",
			Build: limited("card_slots: 2", "{id: board, part: {name: Marsh, board: {form_factor: atx}}}"),
			Want:  []string{"UNKNOWN board,case missing items[0].part.chassis.limits.board_form_factors"},
		},
		{Name: "form factor not stated",
			Build: limited("board_form_factors: [mini-itx]", "{id: board, part: {name: Marsh, board: {socket: am5}}}"),
			Want:  []string{"UNKNOWN board,case missing items[1].part.board.form_factor"},
		},
		{Name: "no board",
			Build: limited("board_form_factors: [mini-itx]"),
			Want:  []string{"UNKNOWN case missing items"},
		},
		{Name: "the layout's list wins",
			Build: laidOut("board_form_factors: [mini-itx]", "{id: a, limits: {board_form_factors: [atx]}}", "{id: board, part: {name: Marsh, board: {form_factor: atx}}}"),
			Want:  []string{"PASS board,case"},
		},
		{Name: "a mount speaks where the limits are silent",
			Build: laidOut("card_slots: 2", "{id: a, mounts: [{id: tray, kind: MOUNT_KIND_BOARD, form_factors: [mini-itx]}]}", "{id: board, part: {name: Marsh, board: {form_factor: atx}}}"),
			Want:  []string{"FAIL board,case"},
		},
	})
}
