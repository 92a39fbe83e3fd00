package mounting

import (
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
)

func TestRadiatorScrews(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.radiator-screws", []kittest.Row{
		{Name: "eight M3 x 30 for two fans of 25 mm",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, thread: M3, screw_depth_mm: 5}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 30}]}}}"),
			Want:  []string{"PASS loop,case margin 0"},
		},
		{Name: "four are for one fan",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, thread: M3, screw_depth_mm: 5}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 4, purpose: radiator, length_mm: 30}]}}}"),
			Want:  []string{"FAIL loop,case margin -4 buy radiator-screws"},
		},
		{Name: "short ones do not reach: 25 mm of fan and 3 mm of thread in steel (engagement of one diameter)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, thread: M3, screw_depth_mm: 5}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 27}]}}}"),
			Want:  []string{"FAIL loop,case margin -8 buy radiator-screws"},
		},
		{Name: "long ones that pierce do not count",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, thread: M3, screw_depth_mm: 4}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 30}]}}}"),
			Want:  []string{"FAIL loop,case margin -8 buy radiator-screws"},
		},
		{Name: "another thread does not count",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, thread: M3, screw_depth_mm: 5}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 8, purpose: radiator, length_mm: 30}]}}}"),
			Want:  []string{"FAIL loop,case margin -8 buy radiator-screws"},
		},
		{Name: "what lies in a loop's own box for it has its thread",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, count: 8, purpose: radiator, length_mm: 30}]}}}"),
			Want:  []string{"PASS loop,case margin 0"},
		},
		{Name: "length not stated",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, thread: M3}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator}]}}}"),
			Want:  []string{"UNKNOWN loop,case margin -8 missing items[1].part.kit.fasteners[0].length_mm"},
		},
		{Name: "box not described",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, thread: M3}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}}}"),
			Want:  []string{"UNKNOWN loop,case margin -8 missing items[1].part.kit.fasteners"},
		},
		{Name: "size not stated",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {liquid_loop: {radiator: {thread: M3}}}}"),
			Want:  []string{"UNKNOWN loop missing items[1].part.liquid_loop.radiator.nominal_mm"},
		},
		{Name: "loose fans on the same mount tell the length",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 20}], pieces: []}}}", "{id: r, part: {radiator: {nominal_mm: 240, thread: M3}, kit: {}}}", "{id: fan, count: 2, part: {fan: {size_mm: 120, thickness_mm: 15}}}"),
			Facts: []*v1.Fact{arrangement("", "r side 1", "fan side 2")},
			Want:  []string{"PASS r,case margin 0"},
		},
		{Name: "and without the arrangement nobody does",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 20}], pieces: []}}}", "{id: r, part: {radiator: {nominal_mm: 240, thread: M3}, kit: {}}}", "{id: fan, count: 2, part: {fan: {size_mm: 120, thickness_mm: 15}}}"),
			Want:  []string{"UNKNOWN r,case margin -8 missing clearance.arrangement"},
		},
		{Name: "no radiator",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}"),
		},
	})
}
