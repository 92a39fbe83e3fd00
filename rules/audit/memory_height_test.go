package audit

import "testing"

func TestMemoryHeight(t *testing.T) {
	table(t, "audit.memory-height", []row{
		{"a bare module is 31.25 mm tall (JEDEC MO-329)", "memory: {kind: ddr5, module: udimm, height_mm: 31.25}", []string{"PASS entry"}},
		{"inches", "memory: {kind: ddr5, module: udimm, height_mm: 1.23}", []string{"FAIL entry margin -16.3 mm"}},
		{"ten times", "memory: {kind: ddr5, module: udimm, height_mm: 440}", []string{"FAIL entry margin -363.8 mm"}},
		{"no kind", "memory: {module: udimm, height_mm: 31}", []string{"UNKNOWN entry missing items[0].part.memory.kind"}},
		{"no module", "memory: {kind: ddr5, height_mm: 31}", []string{"UNKNOWN entry missing items[0].part.memory.module"}},
		{"no height", "memory: {kind: ddr5, module: udimm}", nil},
	})
}
