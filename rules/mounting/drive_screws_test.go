package mounting

import (
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
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
		{Name: "5 mm through a sheet of 1 mm go 1 mm too deep into holes of 3 mm (worked by hand)",
			Build: build("{id: case, part: {chassis: {}, kit: {fasteners: [{kind: screw, thread: M3, length_mm: 5, count: 4}], pieces: []}}}", "{id: drive, part: {holes: [{centre: {}, thread: M3, depth_mm: 3}], drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"FAIL drive,case margin -4 buy drive-screws"},
		},
		{Name: "4 mm do not",
			Build: build("{id: case, part: {chassis: {}, kit: {fasteners: [{kind: screw, thread: M3, length_mm: 4, count: 4}], pieces: []}}}", "{id: drive, part: {holes: [{centre: {}, thread: M3, depth_mm: 3}], drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"PASS drive,case margin 0"},
		},
		{Name: "nor 5 mm through a thicker sheet", Policy: map[string]float64{"mounting.drive-screws.sheet_mm": 2},
			Build: build("{id: case, part: {chassis: {}, kit: {fasteners: [{kind: screw, thread: M3, length_mm: 5, count: 4}], pieces: []}}}", "{id: drive, part: {holes: [{centre: {}, thread: M3, depth_mm: 3}], drive: {form_factor: 2.5-inch}}}"),
			Want:  []string{"PASS drive,case margin 0"},
		},
		{Name: "a countersunk rim takes no pan head (common practice, no source)",
			Build: build("{id: case, part: {chassis: {layouts: [{id: a, mounts: [{id: cage, kind: MOUNT_KIND_DRIVE, form_factors: [2.5-inch], holes: [{centre: {x_mm: 14}, countersunk: true}]}]}]}, kit: {fasteners: [{kind: screw, thread: M3, head: pan, count: 4}], pieces: []}}}", "{id: drive, part: {drive: {form_factor: 2.5-inch}}}"),
			Facts: []*v1.Fact{arrangement("a|", "drive cage 1")}, Want: []string{"FAIL drive,case margin -4 buy drive-screws"},
		},
		{Name: "and takes a countersunk one",
			Build: build("{id: case, part: {chassis: {layouts: [{id: a, mounts: [{id: cage, kind: MOUNT_KIND_DRIVE, form_factors: [2.5-inch], holes: [{centre: {x_mm: 14}, countersunk: true}]}]}]}, kit: {fasteners: [{kind: screw, thread: M3, head: countersunk, count: 4}], pieces: []}}}", "{id: drive, part: {drive: {form_factor: 2.5-inch}}}"),
			Facts: []*v1.Fact{arrangement("a|", "drive cage 1")}, Want: []string{"PASS drive,case margin 0"},
		},
		{Name: "an M.2 drive is judged elsewhere",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [], pieces: []}}}", "{id: drive, count: 1, part: {name: Loam, drive: {form_factor: m2}}}"),
		},
	})
}
