package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestSupplyLength(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.supply-length", []kittest.Row{
		{Name: "room for plugs and more",
			Build: limited("supply_length_mm: 160", "{id: supply, part: {name: Millrace, supply: {length_mm: 125}}}"),
			Want:  []string{"PASS supply,case margin 5 mm"},
		},
		{Name: "room for plugs and nothing more",
			Build: limited("supply_length_mm: 155", "{id: supply, part: {name: Millrace, supply: {length_mm: 125}}}"),
			Want:  []string{"MARGINAL supply,case margin 0 mm"},
		},
		{Name: "goes in itself but its plugs are tight, by custom and so no failure",
			Build: limited("supply_length_mm: 140", "{id: supply, part: {name: Millrace, supply: {length_mm: 125}}}"),
			Want:  []string{"MARGINAL supply,case margin -15 mm"},
		},
		{Name: "too long itself",
			Build: limited("supply_length_mm: 120", "{id: supply, part: {name: Millrace, supply: {length_mm: 125}}}"),
			Want:  []string{"FAIL supply,case margin -35 mm"},
		},
		{Name: "the limit leaves room for plugs already",
			Build: limited("supply_length_mm: 130, supply_length_includes_plugs: true", "{id: supply, part: {name: Millrace, supply: {length_mm: 125}}}"),
			Want:  []string{"PASS supply,case margin 5 mm"},
		},
		{Name: "the same, too long",
			Build: limited("supply_length_mm: 120, supply_length_includes_plugs: true", "{id: supply, part: {name: Millrace, supply: {length_mm: 125}}}"),
			Want:  []string{"FAIL supply,case margin -5 mm"},
		},
		{Name: "a policy that asks for more",
			Build:  limited("supply_length_mm: 160", "{id: supply, part: {name: Millrace, supply: {length_mm: 125}}}"),
			Policy: map[string]float64{"clearance.supply-length.plug_room_mm": 50},
			Want:   []string{"MARGINAL supply,case margin -15 mm"},
		},
		{Name: "SFX is 100 mm long by its drawings",
			Build: limited("supply_length_mm: 140", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}}}"),
			Want:  []string{"PASS supply,case margin 10 mm"},
		},
		{Name: "ATX supplies are sold in many lengths",
			Build: limited("supply_length_mm: 200", "{id: supply, part: {name: Millrace, supply: {form_factor: atx-ps2}}}"),
			Want:  []string{"UNKNOWN supply,case missing items[1].part.supply.length_mm"},
		},
		{Name: "limit not stated",
			Build: limited("card_slots: 2", "{id: supply, part: {name: Millrace, supply: {length_mm: 125}}}"),
			Want:  []string{"UNKNOWN supply,case missing items[0].part.chassis.limits.supply_length_mm"},
		},
		{Name: "the layout says itself whether plugs are taken out",
			Build: laidOut("supply_length_mm: 130, supply_length_includes_plugs: true", "{id: a, limits: {supply_length_includes_plugs: false}}", "{id: supply, part: {supply: {length_mm: 125}}}"),
			Want:  []string{"MARGINAL supply,case margin -25 mm"},
		},
		{Name: "no supply",
			Build: limited("supply_length_mm: 160"),
		},
	})
}
