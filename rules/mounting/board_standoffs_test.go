package mounting

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestBoardStandoffs(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.board-standoffs", []kittest.Row{
		{Name: "four for a Mini-ITX board (Mini-ITX addendum 1.1, table 1)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: standoff, thread: \"6-32\", count: 4, purpose: board}], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
			Want:  []string{"PASS board,case margin 0"},
		},
		{Name: "eight for microATX, S being optional (microATX specification 1.2, figure 2)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: standoff, thread: \"6-32\", count: 7, purpose: board}], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: micro-atx}}}"),
			Want:  []string{"FAIL board,case margin -1 buy board-standoffs"},
		},
		{Name: "nine for ATX (microATX specification 1.2, figure 2)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: standoff, thread: \"6-32\", count: 9, purpose: board}], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: atx}}}"),
			Want:  []string{"PASS board,case margin 0"},
		},
		{Name: "one short",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: standoff, thread: \"6-32\", count: 3, purpose: board}], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
			Want:  []string{"FAIL board,case margin -1 buy board-standoffs"},
		},
		{Name: "what has no purpose serves as well",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: standoff, thread: \"6-32\", count: 4}], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
			Want:  []string{"PASS board,case margin 0"},
		},
		{Name: "a board with holes of its own",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: standoff, thread: \"6-32\", count: 4, purpose: board}], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: pond-1, holes: [{centre: {x_mm: 1}}, {centre: {x_mm: 9}}]}}}"),
			Want:  []string{"PASS board,case margin 0"},
		},
		{Name: "the box is not described",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
			Want:  []string{"UNKNOWN board,case margin -4 missing items[0].part.kit.fasteners"},
		},
		{Name: "form factor not stated",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: standoff, thread: \"6-32\", count: 4, purpose: board}], pieces: []}}}", "{id: board, part: {name: Marsh, board: {socket: am5}}}"),
			Want:  []string{"UNKNOWN board,case missing items[1].part.board.form_factor"},
		},
		{Name: "holes not known",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: standoff, thread: \"6-32\", count: 4, purpose: board}], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: ssi-eeb}}}"),
			Want:  []string{"UNKNOWN board,case missing items[1].part.board.holes"},
		},
		{Name: "a mount that describes its joints and has fixed standoffs",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {layouts: [{id: a, mounts: [{id: tray, kind: MOUNT_KIND_BOARD, joints: [{purpose: board, count: 4, thread: M3}]}]}]}, kit: {fasteners: [], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
		},
		{Name: "a mount that asks for six",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {layouts: [{id: a, mounts: [{id: tray, kind: MOUNT_KIND_BOARD, joints: [{purpose: board, kind: standoff, count: 6}]}]}]}, kit: {fasteners: [{kind: standoff, thread: \"6-32\", count: 4, purpose: board}], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
			Want:  []string{"FAIL board,case margin -2 buy board-standoffs"},
		},
		{Name: "no board",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: standoff, thread: \"6-32\", count: 4, purpose: board}], pieces: []}}}"),
		},
	})
}
