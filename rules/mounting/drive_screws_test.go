package mounting

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestDriveScrews(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.drive-screws", []kittest.Row{
		{Name: "four M3 for a 2.5-inch drive (encyclopaedia of computer screws)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: M3, count: 4, purpose: drive}], pieces: []}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"PASS drive,case margin 0"},
		},
		{Name: "6-32 do not serve it",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, purpose: drive}], pieces: []}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"FAIL drive,case margin -4 buy drive-screws"},
		},
		{Name: "they do serve a 3.5-inch drive (encyclopaedia of computer screws)",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, purpose: drive}], pieces: []}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: 3.5-inch}}}"),
			Want:  []string{"PASS drive,case margin 0"},
		},
		{Name: "two drives take eight",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: M3, count: 6, purpose: drive}], pieces: []}}}", "{id: drive, count: 2, part: {name: Loam, drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"FAIL drive,case margin -2 buy drive-screws"},
		},
		{Name: "thread not stated",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, count: 4, purpose: drive}], pieces: []}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"UNKNOWN drive,case margin -4 missing items[0].part.kit.fasteners[0].thread"},
		},
		{Name: "box not described",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"UNKNOWN drive,case margin -4 missing items[0].part.kit.fasteners"},
		},
		{Name: "form factor not stated",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: drive, part: {drive: {bus: sata}}}"),
			Want:  []string{"UNKNOWN drive missing items[1].part.drive.form_factor"},
		},
		{Name: "a form factor whose screws are not known",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: 1.8-inch}}}"),
			Want:  []string{"UNKNOWN drive missing items[1].part.joints"},
		},
		{Name: "an M.2 drive is judged elsewhere",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: m2}}}"),
		},
	})
}
