package mounting

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestMixedThreads(t *testing.T) {
	kittest.Table(t, Pack(), "mounting.mixed-threads", []kittest.Row{
		{Name: "both threads in the boxes: a caution, no failure",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, purpose: board}, {kind: screw, thread: M3, count: 4, purpose: drive}], pieces: []}}}"),
			Want:  []string{"PASS case"},
		},
		{Name: "in two boxes",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, purpose: board}], pieces: []}}}", "{id: supply, part: {name: Millrace, supply: {form_factor: sfx}, kit: {fasteners: [{kind: screw, thread: M3, count: 4, purpose: supply}]}}}"),
			Want:  []string{"PASS supply"},
		},
		{Name: "one thread",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, purpose: board}], pieces: []}}}"),
		},
		{Name: "standoffs are not screws",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: standoff, thread: M3, count: 4, purpose: board}, {kind: screw, thread: \"6-32\", count: 4, purpose: board}], pieces: []}}}"),
		},
		{Name: "an empty bag does not count",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, purpose: board}, {kind: screw, thread: M3, count: 0, purpose: board}], pieces: []}}}"),
		},
		{Name: "thread not stated",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: \"6-32\", count: 4, purpose: board}, {kind: screw, count: 4, purpose: board}], pieces: []}}}"),
		},
		{Name: "no boxes",
			Build: build("{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}}}"),
		},
	})
}
