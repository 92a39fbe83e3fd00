package mating

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

var memoryRateShare = bottleneckShare("interface.memory-rate")

var memoryRateRule = kit.Rule{
	ID: "interface.memory-rate", Title: "Rate of the memory", Since: "0.1.0", Alone: true,
	Kinds: []kit.Kind{kit.KindMemory, kit.KindBoard, kit.KindProcessor},
	Why:   "Memory runs at the rate that board and processor reach with so many modules of so many ranks; with all sockets filled that is often far less than what is printed on the modules.",
	Formula: "All modules run at the rate of the slowest kit, at most at what the board lists for that number of modules and ranks. What the processor lists is sure; above it " +
		"the memory runs by luck. A filling that is not listed counts like the next fuller one that is. Margin is that rate less the kit's own.",
	Sources:    []sourceOf{kit.CommonPractice},
	Parameters: []*kit.Parameter{memoryRateShare},
	Reads:      []string{"memory.rate_mts", "memory.ranks", "memory.modules", "board.memory.rates", "processor.memory_rates"},
	Texts: map[string]string{
		"pass":         "{part} runs at its {required}: board and processor list that much for this number of modules ({modules}).",
		"beyond":       "{part} reaches its {required} on {board}, but {processor} lists {sure} for this number of modules ({modules}); count on that and take more as luck.",
		"marginal":     "{part} is sold for {required} and runs at {measured} here: {board} lists no more for this number of modules ({modules}{filling}).",
		"slowest-kit":  "{part} is sold for {required} and runs at {measured} here, the rate of the slowest kit in the build.",
		"fail":         "{part} is sold for {required} and runs at {measured} here, which is less than the share of it that the policy asks for.",
		"unknown":      "Which rate {part} reaches cannot be told without {missing}; look into the memory tables of the board's and the processor's data sheets.",
		"no-processor": "Which rate {part} reaches cannot be told without a processor; add it to the build.",
	},
	Remedies: map[string]string{
		"fewer":  "Two large modules in place of {modules} small ones run faster; else memory sold for {measured} does the same here.",
		"set":    "Set the memory to {sure} in the firmware if the machine is not stable; memory sold for that rate does the same.",
		"slower": "Memory sold for {measured} does the same here.",
	},
	Judge: judgeMemoryRate,
}

func judgeMemoryRate(c *kit.Case) {
	h := hookupOf(c)
	if h.board == nil || h.modules == 0 {
		return
	}
	slowest := kit.Value{}
	for it := range c.Items(kit.KindMemory) {
		v := h.number(it, "memory.rate_mts", it.Part.GetMemory().RateMts, "MT/s")
		if slowest.Unit == "" || !v.Known() || slowest.Known() && v.Nominal < slowest.Nominal {
			slowest = v
		}
	}
	listed := h.listedRate(h.board, "board.memory.rates", boardRate, h.sockets().Rates)
	if h.processor == nil {
		for it := range c.Items(kit.KindMemory) {
			c.Judged(kit.Unknown, c.Absent(noItem, "")).About(it).Word("part", it.Name()).Say("no-processor")
		}
		return
	}
	sure := h.listedRate(h.processor, "processor.memory_rates", processorRate, h.processor.Part.GetProcessor().MemoryRates)
	for it := range c.Items(kit.KindMemory) {
		h.judgeMemoryRate(it, slowest, listed, sure)
	}
}

func (h *hookup) judgeMemoryRate(it *kit.Item, slowest, listed, sure kit.Value) {
	c := h.c
	own := h.number(it, "memory.rate_mts", it.Part.GetMemory().RateMts, "MT/s")
	top := min(slowest.Nominal, listed.Nominal)
	reached := kit.Constant(top, "MT/s")
	reached.Range = quantity.Range{Nominal: top, Low: min(top, sure.Nominal), High: top}
	var f *kit.Finding
	if !slowest.Known() || !listed.Known() || !sure.Known() {
		f = c.Judged(kit.Unknown, own, slowest, listed, sure)
	} else {
		f = bottleneck(c, reached, own, memoryRateShare).Saturates().Using(slowest, listed, sure)
	}
	f.About(it, h.board, h.processor).Word("part", it.Name()).Word("board", h.board.Name()).
		Word("processor", h.processor.Name()).Number("modules", whole(h.modules)).Number("sure", sure)
	filling := ""
	if h.sockets().Sockets != nil && int(h.sockets().GetSockets()) == h.modules {
		filling = ", all sockets filled"
	}
	f.Word("filling", filling)
	switch {
	case f.Verdict() != kit.Marginal:
	case top >= own.Nominal:
		f.Say("beyond").Remedy("set")
	case slowest.Nominal < listed.Nominal:
		f.Say("slowest-kit").Remedy("slower")
	case h.modules > 2:
		f.Remedy("fewer")
	default:
		f.Remedy("slower")
	}
}

// listedRate is the data rate that a list gives for the build's modules and their
// ranks: the entry for so many modules, else for the next greater number, which a
// smaller filling reaches as well; of these the one for the ranks, else for any,
// else for the next more ranks.
func (h *hookup) listedRate(it *kit.Item, list string, at *listPath, rates []*v1.MemoryRate) kit.Value {
	c := h.c
	fill := uint32(0)
	for _, r := range rates {
		if int(r.GetModules()) >= h.modules && (fill == 0 || r.GetModules() < fill) {
			fill = r.GetModules()
		}
	}
	if fill == 0 {
		return c.Absent(it.At(list), "MT/s")
	}
	best, differing := -1, false
	for i, r := range rates {
		if r.GetModules() != fill {
			continue
		}
		if h.ranks == 0 {
			differing = differing || best >= 0 && r.GetRateMts() != rates[best].GetRateMts()
			best = i
			continue
		}
		if rankDistance(r, h.ranks) < rankDistance(entryAt(rates, best), h.ranks) {
			best = i
		}
	}
	switch {
	case differing:
		return c.Absent(h.ranklessKit().At("memory.ranks"), "MT/s")
	case best < 0 || rates[best].RateMts == nil:
		return c.Absent(it.At(list), "MT/s")
	}
	rate := float64(rates[best].GetRateMts())
	if int(fill) != h.modules {
		return c.Assume(it.At(at.at(best)), quantity.Exact(rate), "MT/s")
	}
	return c.Given(it.At(at.at(best)), &rate, "MT/s")
}

// noRank is farther than any entry for some ranks.
const noRank = 1 << 20

// rankDistance ranks entries for modules of some ranks: the exact one, then any
// rank, then more ranks. An entry for fewer ranks says nothing.
func rankDistance(r *v1.MemoryRate, ranks uint32) int {
	switch {
	case r == nil || r.Ranks != nil && r.GetRanks() < ranks:
		return noRank
	case r.Ranks == nil:
		return 1
	case r.GetRanks() == ranks:
		return 0
	default:
		return 1 + int(r.GetRanks()-ranks)
	}
}

// entryAt is an entry of a list, nil before its beginning.
func entryAt(rates []*v1.MemoryRate, i int) *v1.MemoryRate {
	if i < 0 {
		return nil
	}
	return rates[i]
}

// ranklessKit is the first kit of memory that does not state its ranks.
func (h *hookup) ranklessKit() *kit.Item {
	for it := range h.c.Items(kit.KindMemory) {
		if it.Part.GetMemory().Ranks == nil {
			return it
		}
	}
	return h.c.First(kit.KindMemory)
}
