package mounting

import (
	"testing"

	"google.golang.org/protobuf/proto"

	"slipfit.example/rules/kit/kittest"
)

func TestAccessories(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.accessories", []kittest.Row{
		{Name: "all there",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: [{provides: side-bracket, count: 2}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("|side-bracket")},
			Want:  []string{"PASS case margin 1"},
		},
		{Name: "three 280 mm radiators are listed, the box holds one bracket, and two are used: the second must be bought (common practice, no source)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: [{provides: radiator-bracket}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("|radiator-bracket,radiator-bracket")},
			Want:  []string{"FAIL case margin -1 buy radiator-bracket"},
		},
		{Name: "three used: two to buy",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: [{provides: radiator-bracket}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("|radiator-bracket,radiator-bracket,radiator-bracket")},
			Want:  []string{"FAIL case margin -2 buy radiator-bracket radiator-bracket"},
		},
		{Name: "the supply's own bracket is on the list though easily overlooked (common practice, no source)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}, kit: {pieces: [{provides: supply-bracket}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("|supply-bracket")},
			Want:  []string{"PASS case margin 0"},
		},
		{Name: "an accessory of the build counts, piece by piece",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: plates, count: 2, part: {accessory: {provides: [fan-plate]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("|fan-plate,fan-plate")},
			Want:  []string{"PASS case margin 0"},
		},
		{Name: "each kind is reported once",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: [{provides: a}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("|a,b")},
			Want:  []string{"PASS case margin 0", "FAIL case margin -1 buy b"},
		},
		{Name: "the box is not described",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("|side-bracket")},
			Want:  []string{"UNKNOWN case margin -1 missing items[0].part.kit.pieces"},
		},
		{Name: "nor is the supply's, which may bring it",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {layouts: [{id: a, mounts: [{id: shelf, kind: MOUNT_KIND_SUPPLY, needs: [supply-bracket]}]}]}, kit: {fasteners: [], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("a|supply-bracket", "supply shelf 1")},
			Want:  []string{"UNKNOWN case margin -1 missing items[1].part.kit.pieces"},
		},
		{Name: "without the arrangement the only layout tells",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {layouts: [{id: a, needs: [riser]}]}, kit: {fasteners: [], pieces: []}}}"),
			Want:  []string{"FAIL case margin -1 buy riser"},
		},
		{Name: "with several layouts nobody does",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {layouts: [{id: a, needs: [riser]}, {id: b}]}, kit: {fasteners: [], pieces: []}}}"),
			Want:  []string{"UNKNOWN case missing clearance.arrangement"},
		},
		{Name: "nor with places that ask for their own",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {radiators: [{mount: top, needs: [plate]}]}}, kit: {fasteners: [], pieces: []}}}"),
			Want:  []string{"UNKNOWN case missing clearance.arrangement"},
		},
		{Name: "nothing asked for",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("|")},
		},
		{Name: "no enclosure",
			Build: build("{id: board, part: {name: Marsh, board: {form_factor: mini-itx}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("|riser")},
		},
	})
}
