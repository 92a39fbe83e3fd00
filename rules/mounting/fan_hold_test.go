package mounting

import (
	"testing"

	"google.golang.org/protobuf/proto"

	"slipfit.example/rules/kit/kittest"
)

func TestFanHold(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.fan-hold", []kittest.Row{
		{Name: "three of a fan's four screws hold it where the fourth hole is covered (common practice, no source)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 1}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("", "fan rear 1")},
			Want:  []string{"MARGINAL fan,case"},
		},
		{Name: "a heavy fan as well",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 1}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, mass_g: 900, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("", "fan rear 1")},
			Want:  []string{"MARGINAL fan,case"},
		},
		{Name: "two hold a light fan",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 2}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, mass_g: 150, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("", "fan rear 1")},
			Want:  []string{"MARGINAL fan,case"},
		},
		{Name: "two do not hold a heavy one (common practice, no source)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 2}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, mass_g: 260, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("", "fan rear 1")},
			Want:  []string{"FAIL fan,case margin -60 g"},
		},
		{Name: "a policy that trusts two",
			Build:  build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 2}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, mass_g: 260, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Facts:  map[string]proto.Message{factArrangement: arrangement("", "fan rear 1")},
			Policy: map[string]float64{"mounting.fan-hold.heavy_g": 400},
			Want:   []string{"MARGINAL fan,case"},
		},
		{Name: "mass not stated",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 2}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("", "fan rear 1")},
			Want:  []string{"UNKNOWN fan,case missing items[1].part.mass_g"},
		},
		{Name: "one screw holds nothing",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 3}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, mass_g: 20, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("", "fan rear 1")},
			Want:  []string{"FAIL fan,case"},
		},
		{Name: "no hole is covered",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 0}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("", "fan rear 1")},
		},
		{Name: "it sits elsewhere",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 2}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("", "fan top 1")},
		},
		{Name: "the arrangement is not known",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 2}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Want:  []string{"UNKNOWN fan,case missing clearance.arrangement"},
		},
		{Name: "nothing is covered anywhere, whatever the arrangement",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {fans: [{mount: rear, sizes_mm: [120], count: 2, covered_holes: 0}]}}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
		},
		{Name: "a mount for which two are enough",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {layouts: [{id: a, mounts: [{id: rear, kind: MOUNT_KIND_FAN, joints: [{purpose: fan, count: 4, covered: 2, enough: 2}]}]}]}, kit: {fasteners: [], pieces: []}}}", "{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("a", "fan rear 1")},
			Want:  []string{"MARGINAL fan,case"},
		},
		{Name: "no enclosure",
			Build: build("{id: fan, count: 1, part: {name: Drift, fan: {size_mm: 120, thickness_mm: 25}, kit: {fasteners: [{kind: screw, count: 4, purpose: fan}]}}}"),
			Facts: map[string]proto.Message{factArrangement: arrangement("", "fan rear 1")},
		},
	})
}
