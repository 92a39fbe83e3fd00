package mating

import "slipfit.example/rules/kit"

var memoryTotalRule = kit.Rule{
	ID: "interface.memory-total", Title: "Capacity of all memory", Since: "0.1.0", Alone: true,
	Kinds:   []kit.Kind{kit.KindMemory, kit.KindBoard, kit.KindProcessor},
	Why:     "Memory beyond what board and processor can address is paid for and not used.",
	Formula: "Margin is the smaller of the greatest capacities of board and processor, less the capacity of all modules.",
	Sources: []sourceOf{kit.CommonPractice},
	Reads:   []string{"memory.capacity_gb", "memory.modules", "board.memory.capacity_gb", "processor.memory_capacity_gb"},
	Texts: map[string]string{
		"pass":    "The memory has {measured} in all, and board and processor take up to {required}.",
		"fail":    "The memory has {measured} in all, and board and processor together take no more than {required}.",
		"unknown": "Whether board and processor take all of the memory cannot be told without {missing}; their data sheets name the greatest capacity.",
	},
	Remedies: map[string]string{
		"less": "Take {shortfall} less.",
	},
	Judge: judgeMemoryTotal,
}

func judgeMemoryTotal(c *kit.Case) {
	h := hookupOf(c)
	if h.board == nil || h.modules == 0 {
		return
	}
	all, known := 0.0, h.scratch[:0]
	for it := range c.Items(kit.KindMemory) {
		v := h.number(it, "memory.capacity_gb", it.Part.GetMemory().CapacityGb, "GB")
		all += v.Nominal * float64(it.Count*counted(it.Part.GetMemory().Modules))
		known = append(known, v)
	}
	h.scratch = known
	limit := h.number(h.board, "board.memory.capacity_gb", h.sockets().CapacityGb, "GB")
	if h.processor != nil {
		limit = least(c, limit, h.number(h.processor, "processor.memory_capacity_gb", h.processor.Part.GetProcessor().MemoryCapacityGb, "GB"))
	}
	f := c.AtMost(kit.Constant(all, "GB"), limit).Using(known...)
	for it := range c.Items(kit.KindMemory) {
		f.About(it)
	}
	f.About(h.board, h.processor).Remedy("less")
}
