package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestMemoryUnderCooler(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.memory-under-cooler", []kittest.Row{
		{Name: "room to spare",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {memory_clearance_mm: 40}}}", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 34}}}"),
			Want:  []string{"PASS memory,cooler margin 6 mm"},
		},
		{Name: "nothing to spare",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {memory_clearance_mm: 40}}}", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 40}}}"),
			Want:  []string{"MARGINAL memory,cooler margin 0 mm"},
		},
		{Name: "too high",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {memory_clearance_mm: 40, height_mm: 120}}}", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 44}}}"),
			Want:  []string{"FAIL memory,cooler margin -4 mm"},
		},
		{Name: "a tower's fan moves up by 5 mm and the cooler still goes under the panel",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {memory_clearance_mm: 40, height_mm: 158, tower: true, fans: [{fan: {size_mm: 120}}]}}}", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 44}}}"),
			Want:  []string{"MARGINAL memory,cooler margin -4 mm"},
		},
		{Name: "the raised cooler does not go under the panel",
			Build: limited("cooler_height_mm: 160", "{id: cooler, part: {name: Dusk, air_cooler: {memory_clearance_mm: 40, height_mm: 158, tower: true, fans: [{fan: {size_mm: 120}}]}}}", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 44}}}"),
			Want:  []string{"FAIL memory,cooler margin -4 mm"},
		},
		{Name: "whether the raised cooler goes in is not known",
			Build: limited("card_slots: 2", "{id: cooler, part: {name: Dusk, air_cooler: {memory_clearance_mm: 40, height_mm: 158, tower: true, fans: [{fan: {size_mm: 120}}]}}}", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 44}}}"),
			Want:  []string{"FAIL memory,cooler margin -4 mm"},
		},
		{Name: "the cooler does not reach over the memory",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {over_memory: false}}}", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 60}}}"),
			Want:  []string{"PASS memory,cooler"},
		},
		{Name: "modules that lie along the board have nothing above them",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {memory_clearance_mm: 10}}}", "{id: memory, part: {memory: {module: sodimm, height_mm: 30}}}"),
		},
		{Name: "clearance not stated",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {height_mm: 158}}}", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 34}}}"),
			Want:  []string{"UNKNOWN memory,cooler missing items[1].part.air_cooler.memory_clearance_mm"},
		},
		{Name: "height not stated",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {memory_clearance_mm: 40}}}", "{id: memory, part: {memory: {module: udimm}}}"),
			Want:  []string{"UNKNOWN memory,cooler missing items[2].part.memory.height_mm"},
		},
		{Name: "no cooler",
			Build: limited("cooler_height_mm: 168", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 34}}}"),
		},
		{Name: "no memory",
			Build: limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {memory_clearance_mm: 40}}}"),
		},
		{Name: "the policy's tolerance counts",
			Build:  limited("cooler_height_mm: 168", "{id: cooler, part: {name: Dusk, air_cooler: {memory_clearance_mm: 40}}}", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 37}}}"),
			Policy: map[string]float64{"tolerance.length_mm": 2},
			Want:   []string{"MARGINAL memory,cooler margin 3 mm"},
		},
	})
}
