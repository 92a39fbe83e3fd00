package audit

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var memoryHeightRule = kit.Rule{
	ID: "audit.memory-height", Title: "A module's height against the bare module", Since: "0.1.0",
	Why:     "The bare module's height is standardized and a heat spreader adds to it; what is lower by far or taller by far came from another unit.",
	Formula: "The height is held against very low modules at the lower end, and against the bare module with 45 mm of heat spreader at the upper.",
	Sources: []source{memoryKinds[0].Source, experience},
	Reads:   []string{"memory.kind", "memory.module", "memory.height_mm"},
	Texts: texts("The height of {part} is one of its kind of module.",
		"Whether the height of {part} is plausible cannot be told without {missing}; kind and module stand on the label."),
	Remedies: remedies(),
	Judge:    each(judgeMemoryHeight),
}

var memoryKinds = standards.MemoryKinds()

const (
	veryLow      = 17.5 // mm, a very-low-profile module
	tallSpreader = 45   // mm
)

func judgeMemoryHeight(s *sheet) {
	memory := s.it.Part.GetMemory()
	if memory == nil || memory.HeightMm == nil {
		return
	}
	switch {
	case memory.Kind == nil:
		s.lack("memory.kind", "")
		return
	case memory.Module == nil:
		s.lack("memory.module", "")
		return
	}
	for i := range memoryKinds {
		k := &memoryKinds[i]
		if n := len(*memory.Kind); len(k.Token) != n+1+len(*memory.Module) || k.Token[:n] != *memory.Kind || k.Token[n+1:] != *memory.Module {
			continue
		}
		low, high := veryLow, k.HeightMM+tallSpreader
		s.hold(figure{"memory.height_mm", memory.HeightMm, "mm", low, high,
			between("heights of "+k.Name+" modules", low, high, "mm"), false})
	}
}
