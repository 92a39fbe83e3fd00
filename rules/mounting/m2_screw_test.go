package mounting

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestM2Screw(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.m2-screw", []kittest.Row{
		{Name: "one M2 screw in the board's box (from memory)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}, kit: {fasteners: [{kind: screw, thread: M2, count: 1, purpose: drive, length_mm: 3}]}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: m2}}}"),
			Want:  []string{"PASS drive,case margin 0"},
		},
		{Name: "two drives and one screw are doubtful: the board may hold them without a tool",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}, kit: {fasteners: [{kind: screw, thread: M2, count: 1, purpose: drive}]}}}", "{id: drive, count: 2, part: {name: Loam, drive: {form_factor: m2}}}"),
			Want:  []string{"MARGINAL drive,case margin -1 buy m2-screw"},
		},
		{Name: "none listed",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}, kit: {}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: m2}}}"),
			Want:  []string{"MARGINAL drive,case margin -1 buy m2-screw"},
		},
		{Name: "the board's box is not described",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: m2}}}"),
			Want:  []string{"UNKNOWN drive,case margin -1 missing items[1].part.kit.fasteners"},
		},
		{Name: "a 6-32 screw does not serve",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, purpose: drive}], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}, kit: {}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: m2}}}"),
			Want:  []string{"MARGINAL drive,case margin -1 buy m2-screw"},
		},
		{Name: "no M.2 drive",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
		},
	})
}
