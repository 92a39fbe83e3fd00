package mounting

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestCoolerBracket(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.cooler-bracket", []kittest.Row{
		{Name: "named and part of the cooler",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: am5}}}", "{id: cooler, part: {name: Dusk, air_cooler: {brackets: [{sockets: [am4, am5]}]}}}"),
			Want:  []string{"PASS cooler,board"},
		},
		{Name: "named and in the cooler's box",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: am5}}}", "{id: cooler, part: {name: Dusk, air_cooler: {brackets: [{sockets: [am5], needs: bracket-am5}]}, kit: {pieces: [{provides: bracket-am5}]}}}"),
			Want:  []string{"PASS cooler,board"},
		},
		{Name: "named and bought",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: am5}}}", "{id: cooler, part: {name: Dusk, air_cooler: {brackets: [{sockets: [am5], needs: bracket-am5}]}, kit: {}}}", "{id: bracket, part: {accessory: {provides: [bracket-am5]}}}"),
			Want:  []string{"PASS cooler,board"},
		},
		{Name: "named and in no box",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: am5}}}", "{id: cooler, part: {name: Dusk, air_cooler: {brackets: [{sockets: [am5], needs: bracket-am5}]}, kit: {}}}"),
			Want:  []string{"FAIL cooler,board buy bracket-am5"},
		},
		{Name: "the box is not described",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: am5}}}", "{id: cooler, part: {name: Dusk, air_cooler: {brackets: [{sockets: [am5], needs: bracket-am5}]}}}"),
			Want:  []string{"UNKNOWN cooler,board missing items[1].part.kit.pieces"},
		},
		{Name: "am4 and am5 have the same holes (from memory, so doubtful)",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: am5}}}", "{id: cooler, part: {name: Dusk, air_cooler: {brackets: [{sockets: [am4]}]}}}"),
			Want:  []string{"MARGINAL cooler,board"},
		},
		{Name: "lga1700 has others",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: am5}}}", "{id: cooler, part: {name: Dusk, air_cooler: {brackets: [{sockets: [lga1700]}]}}}"),
			Want:  []string{"FAIL cooler,board buy bracket-am5"},
		},
		{Name: "a bracket is bought for the socket that the cooler does not name",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: am5}}}", "{id: cooler, part: {name: Dusk, air_cooler: {brackets: [{sockets: [lga1700]}]}}}", "{id: bracket, part: {accessory: {provides: [bracket-am5]}}}"),
			Want:  []string{"PASS cooler,board"},
		},
		{Name: "sockets not stated",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: am5}}}", "{id: cooler, part: {name: Dusk, air_cooler: {brackets: []}}}"),
			Want:  []string{"UNKNOWN cooler,board missing items[1].part.air_cooler.brackets"},
		},
		{Name: "the board's socket not stated",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}", "{id: cooler, part: {name: Dusk, air_cooler: {brackets: [{sockets: [am5]}]}}}"),
			Want:  []string{"UNKNOWN cooler,board missing items[0].part.board.socket"},
		},
		{Name: "no board",
			Build: build("{id: cooler, part: {name: Dusk, air_cooler: {brackets: [{sockets: [am5]}]}}}"),
			Want:  []string{"UNKNOWN cooler missing items"},
		},
		{Name: "a loop is fastened as well",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: am5}}}", "{id: loop, part: {liquid_loop: {radiator: {nominal_mm: 240}, brackets: [{sockets: [lga1700]}]}}}"),
			Want:  []string{"FAIL loop,board buy bracket-am5"},
		},
		{Name: "no cooler",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: am5}}}"),
		},
	})
}
