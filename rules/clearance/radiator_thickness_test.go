package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestRadiatorThickness(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.radiator-thickness", []kittest.Row{
		{Name: "room to spare",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, thickness_mm: 27}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Want:  []string{"PASS loop,case margin 6 mm"},
		},
		{Name: "radiator 27 and fan 25 in 50 mm: 52 mm, 2 mm too deep (sum of the two)",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 50, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, thickness_mm: 27}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Want:  []string{"FAIL loop,case margin -2 mm"},
		},
		{Name: "nothing to spare",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 52, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, thickness_mm: 27}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Want:  []string{"MARGINAL loop,case margin 0 mm"},
		},
		{Name: "fans on both sides count twice",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, thickness_mm: 27}, fans: [{fan: {thickness_mm: 25}, count: 4}]}}}"),
			Want:  []string{"FAIL loop,case margin -19 mm"},
		},
		{Name: "loose fans of its size go on a radiator without fans",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: a, part: {radiator: {nominal_mm: 280, thickness_mm: 30}}}", "{id: fans, count: 2, part: {fan: {size_mm: 140, thickness_mm: 25}}}"),
			Want:  []string{"PASS a,case margin 3 mm"},
		},
		{Name: "thickness of the fans not stated",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, thickness_mm: 27}, fans: [{fan: {size_mm: 140}, count: 2}]}}}"),
			Want:  []string{"UNKNOWN loop,case missing items[1].part.liquid_loop.fans[0].fan.thickness_mm"},
		},
		{Name: "no fans at all",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: a, part: {radiator: {nominal_mm: 280, thickness_mm: 30}}}"),
			Want:  []string{"UNKNOWN a,case margin 28 mm missing items"},
		},
		{Name: "too thick without any fan",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: a, part: {radiator: {nominal_mm: 280, thickness_mm: 60}}}"),
			Want:  []string{"FAIL a,case margin -2 mm"},
		},
		{Name: "thickness not stated",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Want:  []string{"UNKNOWN loop,case missing items[1].part.liquid_loop.radiator.thickness_mm"},
		},
		{Name: "limit not stated",
			Build: limited("radiators: [{mount: top, nominal_mm: [280]}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, thickness_mm: 27}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Want:  []string{"UNKNOWN loop,case missing items[0].part.chassis.limits.radiators[0].thickness_mm"},
		},
		{Name: "a radiator without a place",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 360, thickness_mm: 27}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
		},
		{Name: "the place with room is taken before the one without",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 50}, {mount: side, nominal_mm: [280], thickness_mm: 60}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, thickness_mm: 27}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Want:  []string{"PASS loop,case margin 8 mm"},
		},
		{Name: "the policy's tolerance counts",
			Build:  limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, thickness_mm: 30}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Policy: map[string]float64{"tolerance.length_mm": 2},
			Want:   []string{"MARGINAL loop,case margin 3 mm"},
		},
	})
}
