package mounting

import (
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
)

func TestSupplyScrews(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.supply-screws", []kittest.Row{
		{Name: "a countersunk panel takes countersunk heads: four pan heads do not serve (ISO 7046-2)",
			Build: build("{id: case, part: {chassis: {layouts: [{id: a, mounts: [{id: shelf, kind: MOUNT_KIND_SUPPLY, holes: [{centre: {}, countersunk: true}]}]}]}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, head: pan, length_mm: 6}, {kind: screw, thread: \"6-32\", count: 3, head: countersunk, length_mm: 6}]}}}", "{id: supply, part: {supply: {form_factor: sfx}, kit: {}}}"),
			Facts: []*v1.Fact{arrangement("a|", "supply shelf 1")},
			Want:  []string{"FAIL supply,case margin -1 buy supply-screws"},
		},
		{Name: "four 6-32 in the supply's box (supply drawings)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, purpose: supply}]}}}"),
			Want:  []string{"PASS supply,case margin 0"},
		},
		{Name: "four in the enclosure's box",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, purpose: supply}], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: atx-ps2}, kit: {}}}"),
			Want:  []string{"PASS supply,case margin 0"},
		},
		{Name: "two short",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 2, purpose: supply}]}}}"),
			Want:  []string{"FAIL supply,case margin -2 buy supply-screws"},
		},
		{Name: "M3 does not serve (ISO 261, ASME B1.1)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}, kit: {fasteners: [{kind: screw, thread: M3, count: 4, purpose: supply}]}}}"),
			Want:  []string{"FAIL supply,case margin -4 buy supply-screws"},
		},
		{Name: "what lies in the supply's own box for it is made for it",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}, kit: {fasteners: [{kind: screw, count: 4, purpose: supply}]}}}"),
			Want:  []string{"PASS supply,case margin 0"},
		},
		{Name: "a thread that is not stated in another box is not",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, count: 4, purpose: supply}], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}, kit: {}}}"),
			Want:  []string{"UNKNOWN supply,case margin -4 missing items[0].part.kit.fasteners[0].thread"},
		},
		{Name: "the supply's box is not described",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}}}"),
			Want:  []string{"UNKNOWN supply,case margin -4 missing items[1].part.kit.fasteners"},
		},
		{Name: "form factor not stated",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {rated_w: 500}}}"),
			Want:  []string{"UNKNOWN supply missing items[1].part.supply.form_factor"},
		},
		{Name: "a form factor whose screws are not known",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: lfx}}}"),
			Want:  []string{"UNKNOWN supply missing items[1].part.joints"},
		},
		{Name: "a supply that describes its joints",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 2, purpose: supply}], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: lfx}, joints: [{purpose: supply, count: 2, thread: \"6-32\"}], kit: {}}}"),
			Want:  []string{"PASS supply,case margin 0"},
		},
		{Name: "nothing is counted twice: the board takes four of six screws that have no purpose",
			Build: build("{id: case, part: {chassis: {}, kit: {fasteners: [{kind: standoff, thread: \"6-32\", count: 4}, {kind: screw, thread: \"6-32\", count: 6}]}}}",
				"{id: board, part: {board: {form_factor: mini-itx}}}", "{id: supply, part: {supply: {form_factor: sfx}, kit: {}}}"),
			Want: []string{"FAIL supply,case margin -2 buy supply-screws"},
		},
		{Name: "no supply",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}"),
		},
	})
}
