package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

func TestMemoryHeight(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.memory-height", []kittest.Row{
		{Name: "room to spare",
			Build: limited("memory_height_mm: 48", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 34}}}"),
			Want:  []string{"PASS memory,case margin 14 mm"},
		},
		{Name: "nothing to spare",
			Build: limited("memory_height_mm: 34", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 34}}}"),
			Want:  []string{"MARGINAL memory,case margin 0 mm"},
		},
		{Name: "too high",
			Build: limited("memory_height_mm: 33", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 34}}}"),
			Want:  []string{"FAIL memory,case margin -1 mm"},
		},
		{Name: "an enclosure without such a limit sets none",
			Build: limited("card_slots: 2", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 34}}}"),
		},
		{Name: "height not stated",
			Build: limited("memory_height_mm: 33", "{id: memory, part: {memory: {module: udimm}}}"),
			Want:  []string{"UNKNOWN memory,case missing items[1].part.memory.height_mm"},
		},
		{Name: "modules that lie along the board",
			Build: limited("memory_height_mm: 20", "{id: memory, part: {memory: {module: sodimm, height_mm: 30}}}"),
		},
		{Name: "no memory",
			Build: limited("memory_height_mm: 33"),
		},
		{Name: "the policy's tolerance counts",
			Build:  limited("memory_height_mm: 36", "{id: memory, part: {name: Sedge, memory: {module: udimm, height_mm: 34}}}"),
			Policy: map[string]float64{"tolerance.length_mm": 2},
			Want:   []string{"MARGINAL memory,case margin 2 mm"},
		},
	})
}
