package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestFanThickness(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.fan-thickness", []kittest.Row{
		{Name: "room to spare",
			Build: limited("fans: [{mount: rear, sizes_mm: [120], count: 1, thickness_mm: 30}]", "{id: a, count: 1, part: {fan: {size_mm: 120, thickness_mm: 25}}}"),
			Want:  []string{"PASS a,case margin 5 mm"},
		},
		{Name: "nothing to spare",
			Build: limited("fans: [{mount: rear, sizes_mm: [120], count: 1, thickness_mm: 25}]", "{id: a, count: 1, part: {fan: {size_mm: 120, thickness_mm: 25}}}"),
			Want:  []string{"MARGINAL a,case margin 0 mm"},
		},
		{Name: "too thick",
			Build: limited("fans: [{mount: rear, sizes_mm: [120], count: 1, thickness_mm: 15}]", "{id: a, count: 1, part: {fan: {size_mm: 120, thickness_mm: 25}}}"),
			Want:  []string{"FAIL a,case margin -10 mm"},
		},
		{Name: "thickness not stated",
			Build: limited("fans: [{mount: rear, sizes_mm: [120], count: 1, thickness_mm: 15}]", "{id: a, part: {fan: {size_mm: 120}}}"),
			Want:  []string{"UNKNOWN a,case missing items[1].part.fan.thickness_mm"},
		},
		{Name: "limit not stated",
			Build: limited("fans: [{mount: rear, sizes_mm: [120], count: 1}]", "{id: a, count: 1, part: {fan: {size_mm: 120, thickness_mm: 25}}}"),
			Want:  []string{"UNKNOWN a,case missing items[0].part.chassis.limits.fans[0].thickness_mm"},
		},
		{Name: "the thin fan goes to the shallow place",
			Build:  limited("fans: [{mount: top, sizes_mm: [120], count: 1, thickness_mm: 30}, {mount: bottom, sizes_mm: [120], count: 1, thickness_mm: 16}]", "{id: thin, count: 1, part: {fan: {size_mm: 120, thickness_mm: 15}}}", "{id: thick, count: 1, part: {fan: {size_mm: 120, thickness_mm: 25}}}"),
			Policy: map[string]float64{"tolerance.length_mm": 0.6},
			Want:   []string{"MARGINAL thin,case margin 1 mm", "PASS thick,case margin 5 mm"},
		},
		{Name: "a fan without a place",
			Build: limited("fans: [{mount: rear, sizes_mm: [120], count: 1, thickness_mm: 30}]", "{id: a, count: 1, part: {fan: {size_mm: 140, thickness_mm: 25}}}"),
		},
		{Name: "a fan on a radiator is judged with it",
			Build: limited("radiators: [{mount: side, nominal_mm: [120]}]", "{id: r, part: {radiator: {nominal_mm: 120}}}", "{id: a, count: 1, part: {fan: {size_mm: 120, thickness_mm: 25}}}"),
		},
	})
}
