package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestCoolerHeight(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.cooler-height", []kittest.Row{
		{Name: "plenty of room",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {height_mm: 150}}}"),
			Want:  []string{"PASS cooler,case margin 18 mm"},
		},
		{Name: "a 168 mm cooler under a 168 mm limit goes in with nothing to spare (common practice, no source)",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {height_mm: 168}}}"),
			Want:  []string{"MARGINAL cooler,case margin 0 mm"},
		},
		{Name: "a millimetre too tall",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {height_mm: 169}}}"),
			Want:  []string{"FAIL cooler,case margin -1 mm"},
		},
		{Name: "limit not stated",
			Build: limited("card_length_mm: 300", "{id: cooler, part: {name: Dusk, air_cooler: {height_mm: 150}}}"),
			Want:  []string{"UNKNOWN cooler,case missing items[0].part.chassis.limits.cooler_height_mm"},
		},
		{Name: "height not stated",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {air_cooler: {width_mm: 120}}}"),
			Want:  []string{"UNKNOWN cooler,case missing items[1].part.air_cooler.height_mm"},
		},
		{Name: "the block of a loop stands there too",
			Build: limited("cooler_height_mm: 45", "{id: loop, part: {liquid_loop: {radiator: {nominal_mm: 240}, block_height_mm: 52}}}"),
			Want:  []string{"FAIL loop,case margin -7 mm"},
		},
		{Name: "a processor without a cooler",
			Build: limited("cooler_height_mm: 45", "{id: cpu, part: {processor: {socket: am5}}}"),
			Want:  []string{"UNKNOWN cpu missing items"},
		},
		{Name: "neither processor nor cooler",
			Build: limited("cooler_height_mm: 45"),
		},
		{Name: "no enclosure",
			Build: "items: [{id: cooler, part: {name: Dusk, air_cooler: {height_mm: 150}}}]",
		},
		{Name: "the layout's own limit wins",
			Build: laidOut("cooler_height_mm: 168", "{id: low, limits: {cooler_height_mm: 90}}", "{id: cooler, part: {name: Dusk, air_cooler: {height_mm: 100}}}"),
			Want:  []string{"FAIL cooler,case margin -10 mm"},
		},
		{Name: "the enclosure's limit holds where the layout has none",
			Build: laidOut("cooler_height_mm: 168", "{id: low, limits: {card_length_mm: 90}}", "{id: cooler, part: {name: Dusk, air_cooler: {height_mm: 100}}}"),
			Want:  []string{"PASS cooler,case margin 68 mm"},
		},
		{Name: "a stated tolerance counts",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {air_cooler: {height_mm: 167}, figures: [{fields: [air_cooler.height_mm], plus: 0.6}]}}"),
			Want:  []string{"MARGINAL cooler,case margin 1 mm"},
		},
		{Name: "the policy's tolerance counts",
			Build:  limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {height_mm: 167}}}"),
			Policy: map[string]float64{"tolerance.length_mm": 2},
			Want:   []string{"MARGINAL cooler,case margin 1 mm"},
		},
	})
}
