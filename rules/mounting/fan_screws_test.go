package mounting

import (
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
)

func TestFanScrews(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.fan-screws", []kittest.Row{
		{Name: "four for each of two fans, four in each box",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 2, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Want:  []string{"PASS fan,case margin 0"},
		},
		{Name: "one short",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 3, purpose: fan}]}}}"),
			Want:  []string{"FAIL fan,case margin -1 buy fan-screws"},
		},
		{Name: "a covered hole takes none",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 1}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 3, purpose: fan}]}}}"),
			Facts: []*v1.Fact{arrangement("", "fan rear 1")},
			Want:  []string{"PASS fan,case margin 0"},
		},
		{Name: "board screws are no fan screws",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 8}], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 0, purpose: fan}]}}}"),
			Want:  []string{"FAIL fan,case margin -4 buy fan-screws"},
		},
		{Name: "the fan's box is not described",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}}}"),
			Want:  []string{"UNKNOWN fan,case margin -4 missing items[1].part.kit.fasteners"},
		},
		{Name: "fans on a radiator are held by the radiator's screws",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 2, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 0, purpose: fan}]}}}", "{id: r, part: {radiator: {nominal_mm: 240}}}"),
			Facts: []*v1.Fact{arrangement("", "r side 1", "fan side 2")},
		},
		{Name: "whether they are is not known without the arrangement",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 2, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 0, purpose: fan}]}}}", "{id: r, part: {radiator: {nominal_mm: 240}}}"),
			Want:  []string{"UNKNOWN fan,case margin -8 missing clearance.arrangement"},
		},
		{Name: "where there are screws enough either way it does not matter",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 2, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}", "{id: r, part: {radiator: {nominal_mm: 240}}}"),
			Want:  []string{"PASS fan,case margin 0"},
		},
		{Name: "no fan",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}"),
		},
	})
}
