package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestDriveBays(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.drive-bays", []kittest.Row{
		{Name: "bays enough",
			Build: limited("drives: [{mount: cage, form_factor: 3.5-inch, count: 1}, {mount: tray, form_factor: 2.5-inch, count: 2, height_mm: 9.5}]", "{id: a, count: 1, part: {drive: {form_factor: 3.5-inch}}}", "{id: b, count: 2, part: {drive: {form_factor: 2.5-inch, height_mm: 7}}}"),
			Want:  []string{"PASS a,case margin 0", "PASS b,case margin 0"},
		},
		{Name: "one too many",
			Build: limited("drives: [{mount: cage, form_factor: 3.5-inch, count: 1}, {mount: tray, form_factor: 2.5-inch, count: 2, height_mm: 9.5}]", "{id: a, count: 2, part: {drive: {form_factor: 3.5-inch}}}"),
			Want:  []string{"FAIL a,case margin -1"},
		},
		{Name: "a drive on the board needs no bay",
			Build: limited("drives: [{mount: cage, form_factor: 3.5-inch, count: 1}, {mount: tray, form_factor: 2.5-inch, count: 2, height_mm: 9.5}]", "{id: a, count: 1, part: {drive: {form_factor: m2}}}"),
		},
		{Name: "a bay as high as the drive",
			Build: limited("drives: [{mount: cage, form_factor: 3.5-inch, count: 1}, {mount: tray, form_factor: 2.5-inch, count: 2, height_mm: 9.5}]", "{id: a, count: 1, part: {drive: {form_factor: 2.5-inch, height_mm: 9.5}}}"),
			Want:  []string{"MARGINAL a,case margin 0 mm"},
		},
		{Name: "a drive that is too high",
			Build: limited("drives: [{mount: cage, form_factor: 3.5-inch, count: 1}, {mount: tray, form_factor: 2.5-inch, count: 2, height_mm: 9.5}]", "{id: a, count: 1, part: {drive: {form_factor: 2.5-inch, height_mm: 15}}}"),
			Want:  []string{"FAIL a,case margin -5.5 mm"},
		},
		{Name: "height not stated where the bay states one",
			Build: limited("drives: [{mount: cage, form_factor: 3.5-inch, count: 1}, {mount: tray, form_factor: 2.5-inch, count: 2, height_mm: 9.5}]", "{id: a, count: 1, part: {drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"UNKNOWN a,case missing items[1].part.drive.height_mm"},
		},
		{Name: "form factor not stated",
			Build: limited("drives: [{mount: cage, form_factor: 3.5-inch, count: 1}, {mount: tray, form_factor: 2.5-inch, count: 2, height_mm: 9.5}]", "{id: a, part: {drive: {height_mm: 7}}}"),
			Want:  []string{"UNKNOWN a,case missing items[1].part.drive.form_factor"},
		},
		{Name: "bays not stated",
			Build: limited("card_slots: 2", "{id: a, count: 1, part: {drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"UNKNOWN a,case missing items[0].part.chassis.limits.drives"},
		},
		{Name: "a bay that does not say how many it takes",
			Build: limited("drives: [{mount: tray, form_factor: 2.5-inch}]", "{id: a, count: 2, part: {drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"UNKNOWN a,case margin -1 missing items[0].part.chassis.limits.drives[0].count"},
		},
		{Name: "a bay that does not say what it takes",
			Build: limited("drives: [{mount: tray, count: 2}]", "{id: a, count: 1, part: {drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"UNKNOWN a,case margin 0 missing items[0].part.chassis.limits.drives[0].form_factor"},
		},
		{Name: "one bay for one 3.5-inch or two 2.5-inch drives",
			Build: limited("drives: [{mount: cage, form_factor: 3.5-inch, count: 1}, {mount: cage, form_factor: 2.5-inch, count: 2}]", "{id: a, count: 1, part: {drive: {form_factor: 3.5-inch}}}", "{id: b, count: 1, part: {drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"PASS a,case margin 0", "FAIL b,case margin -1"},
		},
		{Name: "fixed choices are kept",
			Build: arranged("drives: [{mount: cage, form_factor: 3.5-inch, count: 1}, {mount: tray, form_factor: 2.5-inch, count: 2, height_mm: 9.5}]", "placements: [{item: a, mount: cage}]", "{id: a, count: 1, part: {drive: {form_factor: 2.5-inch, height_mm: 7}}}"),
			Want:  []string{"FAIL a,case margin -1"},
		},
		{Name: "a mount says what a bay takes that does not",
			Build: laidOut("drives: [{mount: tray, count: 1}]", "{id: a, mounts: [{id: tray, kind: MOUNT_KIND_DRIVE, form_factors: [2.5-inch]}]}", "{id: a, part: {drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"PASS a,case margin 0"},
		},
	})
}
