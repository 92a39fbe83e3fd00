package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestRadiatorLength(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.radiator-length", []kittest.Row{
		{Name: "room to spare",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, length_mm: 312}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Want:  []string{"PASS loop,case margin 8 mm"},
		},
		{Name: "nothing to spare",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, length_mm: 320}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Want:  []string{"MARGINAL loop,case margin 0 mm"},
		},
		{Name: "too long",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, length_mm: 325}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Want:  []string{"FAIL loop,case margin -5 mm"},
		},
		{Name: "length not stated",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Want:  []string{"UNKNOWN loop,case missing items[1].part.liquid_loop.radiator.length_mm"},
		},
		{Name: "a place that lists sizes and no length",
			Build: limited("radiators: [{mount: top, nominal_mm: [280]}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, length_mm: 325}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
		},
		{Name: "no radiator",
			Build: limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]"),
		},
		{Name: "the policy's tolerance counts",
			Build:  limited("radiators: [{mount: top, nominal_mm: [280], thickness_mm: 58, length_mm: 320}]", "{id: loop, part: {name: Brook, liquid_loop: {radiator: {nominal_mm: 280, length_mm: 317}, fans: [{fan: {size_mm: 140, thickness_mm: 25}, count: 2}]}}}"),
			Policy: map[string]float64{"tolerance.length_mm": 2},
			Want:   []string{"MARGINAL loop,case margin 3 mm"},
		},
	})
}
