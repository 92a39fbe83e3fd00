package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestSupplyForm(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.supply-form", []kittest.Row{
		{Name: "listed",
			Build: limited("supply_form_factors: [sfx, sfx-l]", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}}}"),
			Want:  []string{"PASS supply,case"},
		},
		{Name: "not listed",
			Build: limited("supply_form_factors: [sfx]", "{id: supply, part: {name: Millrace, supply: {form_factor: atx-ps2}}}"),
			Want:  []string{"FAIL supply,case"},
		},
		{Name: "a mount takes it with a bracket",
			Build: laidOut("supply_form_factors: [sfx]", "{id: a, mounts: [{id: shelf, kind: MOUNT_KIND_SUPPLY, form_factors: [flex-atx], needs: [flex-bracket]}]}", "{id: supply, part: {name: Millrace, supply: {form_factor: flex-atx}}}"),
			Want:  []string{"PASS supply,case"},
		},
		{Name: "mounts speak where the limits are silent",
			Build: laidOut("card_slots: 2", "{id: a, mounts: [{id: shelf, kind: MOUNT_KIND_SUPPLY, form_factors: [flex-atx], needs: [flex-bracket]}]}", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}}}"),
			Want:  []string{"FAIL supply,case"},
		},
		{Name: "list not stated",
			Build: limited("card_slots: 2", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}}}"),
			Want:  []string{"UNKNOWN supply,case missing items[0].part.chassis.limits.supply_form_factors"},
		},
		{Name: "form factor not stated",
			Build: limited("supply_form_factors: [sfx]", "{id: supply, part: {name: Millrace, supply: {rated_w: 500}}}"),
			Want:  []string{"UNKNOWN supply,case missing items[1].part.supply.form_factor"},
		},
		{Name: "no supply",
			Build: limited("supply_form_factors: [sfx]"),
			Want:  []string{"UNKNOWN case missing items"},
		},
		{Name: "the layout's list wins",
			Build: laidOut("supply_form_factors: [sfx]", "{id: a, limits: {supply_form_factors: [atx-ps2]}}", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}}}"),
			Want:  []string{"FAIL supply,case"},
		},
	})
}
