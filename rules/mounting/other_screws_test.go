package mounting

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestOtherScrews(t *testing.T) {
	frame := func(kit string) string {
		return "{id: case, part: {name: Reed Bed, chassis: {limits: {card_slots: 2}}, kit: {fasteners: [" + kit + "]}, joints: [" +
			"{id: frame, purpose: frame, thread: M5, heads: [countersunk], shortest_mm: 8, longest_mm: 12, count: 5}, " +
			"{id: frame-lower, purpose: frame, thread: M3, heads: [countersunk], shortest_mm: 5, longest_mm: 8, count: 1}]}}"
	}
	const m5, m3 = "{kind: screw, thread: M5, length_mm: 10, head: countersunk, count: 5}", "{kind: screw, thread: M3, length_mm: 6, head: countersunk, count: 1}"
	kittest.Table(t, Pack(), "mounting.other-screws", []kittest.Row{
		{Name: "front and rear frame held by six countersunk screws, five M5 and one M3 (common practice, no source)",
			Build: build(frame(m5 + ", " + m3)),
			Want:  []string{"PASS case,case margin 0", "PASS case,case margin 0"},
		},
		{Name: "a pan head does not seat in a countersunk rim (ISO 7046-2, ISO 7045)",
			Build: build(frame(m5 + ", {kind: screw, thread: M3, length_mm: 6, head: pan, count: 1}")),
			Want:  []string{"PASS case,case margin 0", "FAIL case,case margin -1 buy other-screws"},
		},
		{Name: "one M5 short",
			Build: build(frame("{kind: screw, thread: M5, length_mm: 10, head: countersunk, count: 4}, " + m3)),
			Want:  []string{"FAIL case,case margin -1 buy other-screws", "PASS case,case margin 0"},
		},
		{Name: "a length that nobody states",
			Build: build(frame("{kind: screw, thread: M5, head: countersunk, count: 5}, " + m3)),
			Want:  []string{"UNKNOWN case,case margin -5 missing items[0].part.kit.fasteners[0].length_mm", "PASS case,case margin 0"},
		},
		{Name: "a cooler's two captive spring screws, turned in small equal steps (common practice, no source)",
			Build: build("{id: case, part: {chassis: {limits: {card_slots: 2}}, kit: {}}}", "{id: cooler, part: {air_cooler: {height_mm: 150}, joints: [{id: bar, purpose: cooler, count: 2}], kit: {fasteners: [{kind: screw, thread: M3, count: 2, purpose: cooler}]}}}"),
			Want:  []string{"PASS cooler,case margin 0"},
		},
		{Name: "one screw of two holds a card",
			Build: build("{id: case, part: {chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: thumbscrew, thread: 6-32, length_mm: 6, count: 1}]}}}", "{id: card, part: {card: {length_mm: 200}, joints: [{purpose: card, thread: \"6-32\", shortest_mm: 5, longest_mm: 7, count: 2, enough: 1}]}}"),
			Want:  []string{"MARGINAL card,case margin -1 buy other-screws"},
		},
		{Name: "the exact deal: the long joint takes the only screw that reaches, though the short one came first",
			Build: build("{id: case, part: {chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: M3, length_mm: 10, count: 1}, {kind: screw, thread: M3, length_mm: 5, count: 1}]}}}",
				"{id: a, part: {card: {}, joints: [{purpose: card, thread: M3, shortest_mm: 4, longest_mm: 12, count: 1}]}}", "{id: b, part: {card: {}, joints: [{purpose: card, thread: M3, shortest_mm: 9, longest_mm: 12, count: 1}]}}"),
			Want: []string{"PASS a,case margin 0", "PASS b,case margin 0"},
		},
		{Name: "what an enclosure says of the board is the board's rule's",
			Build: build("{id: case, part: {chassis: {limits: {card_slots: 2}}, joints: [{purpose: board, thread: M3, count: 9}], kit: {}}}"),
		},
		{Name: "the thread is not stated",
			Build: build("{id: case, part: {chassis: {limits: {card_slots: 2}}, kit: {fasteners: [{kind: screw, thread: M3, length_mm: 5, count: 4}]}}}", "{id: card, part: {card: {}, joints: [{purpose: card, count: 2}]}}"),
			Want:  []string{"UNKNOWN card,case margin -2 missing items[1].part.joints"},
		},
	})
}
