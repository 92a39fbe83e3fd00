package mounting

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestScrewDepth(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.screw-depth", []kittest.Row{
		{Name: "M3 x 28 through a fan of 25 mm and a washer of 0.5 mm: 2.5 mm into 4.0 mm (sum of lengths)",
			Build:  build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, screw_depth_mm: 4}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 28}]}}}"),
			Policy: map[string]float64{"mounting.screw-depth.clamped_mm": 0.5},
			Want:   []string{"PASS loop,loop margin 1.5 mm"},
		},
		{Name: "M3 x 30 the same way: 4.5 mm into 4.0 mm pierces (sum of lengths)",
			Build:  build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, screw_depth_mm: 4}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 30}]}}}"),
			Policy: map[string]float64{"mounting.screw-depth.clamped_mm": 0.5},
			Want:   []string{"FAIL loop,loop margin -0.5 mm"},
		},
		{Name: "nothing to spare",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, screw_depth_mm: 5}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 30}]}}}"),
			Want:  []string{"MARGINAL loop,loop margin 0 mm"},
		},
		{Name: "a short screw holds the panel against the radiator",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, screw_depth_mm: 6}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 5}]}}}"),
			Want:  []string{"PASS loop,loop margin 2 mm"},
		},
		{Name: "too long a short screw is doubtful, since the sheet is assumed",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, screw_depth_mm: 4}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 8}]}}}"),
			Want:  []string{"MARGINAL loop,loop margin -3 mm"},
		},
		{Name: "a thicker sheet",
			Build:  build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, screw_depth_mm: 4}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 8}]}}}"),
			Policy: map[string]float64{"mounting.screw-depth.panel_mm": 6},
			Want:   []string{"PASS loop,loop margin 2 mm"},
		},
		{Name: "depth not stated",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 30}]}}}"),
			Want:  []string{"UNKNOWN loop,loop missing items[1].part.liquid_loop.radiator.screw_depth_mm"},
		},
		{Name: "length not stated",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, screw_depth_mm: 4}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator}]}}}"),
			Want:  []string{"UNKNOWN loop,loop missing items[1].part.kit.fasteners[0].length_mm"},
		},
		{Name: "thickness of the fans not stated",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, screw_depth_mm: 4}, fans: [{fan: {size_mm: 120}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 30}]}}}"),
			Want:  []string{"UNKNOWN loop,loop missing items[1].part.liquid_loop.fans"},
		},
		{Name: "loose fans without the arrangement",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 30}], pieces: []}}}", "{id: r, part: {radiator: {nominal_mm: 240, screw_depth_mm: 5}}}"),
			Want:  []string{"UNKNOWN r,case missing clearance.arrangement"},
		},
		{Name: "no radiator screws",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, purpose: board}], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, screw_depth_mm: 4}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}}}"),
		},
		{Name: "the policy's tolerance counts",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 240, screw_depth_mm: 6.4}, fans: [{fan: {size_mm: 120, thickness_mm: 25}, count: 2}]}, kit: {fasteners: [{kind: screw, thread: M3, count: 8, purpose: radiator, length_mm: 30}]}}}"),
			Want:  []string{"MARGINAL loop,loop margin 1.4 mm"},
		},
	})
}
