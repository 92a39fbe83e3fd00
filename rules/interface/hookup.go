package mating

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// hookup is what the rules of one case share: the board and the processor, how
// the memory fills its sockets, and who has been plugged in where. Its memory
// serves the next case again.
type hookup struct {
	c                         *kit.Case
	board, processor, chassis *kit.Item // nil where there is none, or several
	boards, processors        int
	modules                   int    // of memory, of all kits
	ranks                     uint32 // the most ranks of a module, 0 where a kit does not say

	seats   seating
	plugs   plugging
	scratch []kit.Value
	fact    linksFact
}

func hookupOf(c *kit.Case) *hookup {
	h, ok := c.Workspace.(*hookup)
	if !ok {
		h = new(hookup)
		c.Workspace = h
	}
	return h
}

// open reads the build anew.
func (h *hookup) open(c *kit.Case) {
	h.c, h.board, h.processor, h.chassis = c, nil, nil, c.First(kit.KindChassis)
	h.boards, h.processors, h.modules, h.ranks = 0, 0, 0, 0
	rankless := false
	for it := range c.AllItems() {
		switch it.Kind {
		case kit.KindBoard:
			h.board = it
			h.boards += it.Count
		case kit.KindProcessor:
			h.processor = it
			h.processors += it.Count
		case kit.KindMemory:
			memory := it.Part.GetMemory()
			h.modules += it.Count * counted(memory.Modules)
			h.ranks = max(h.ranks, memory.GetRanks())
			rankless = rankless || memory.Ranks == nil
		}
	}
	if h.boards != 1 {
		h.board = nil
	}
	if h.processors != 1 {
		h.processor = nil
	}
	if rankless {
		h.ranks = 0
	}
	if !c.JudgesAlone() {
		h.seats.open(h)
	}
	h.plugs.dealt = false
}

// plugged is who has been plugged in where, worked out when first it is asked for.
func (h *hookup) plugged() *plugging {
	if !h.plugs.dealt {
		h.plugs.open(h)
		h.plugs.dealt = true
	}
	return &h.plugs
}

// theBoard is the board's document, empty where the build has no single board.
func (h *hookup) theBoard() *v1.Board {
	if h.board == nil {
		return nil
	}
	return h.board.Part.GetBoard()
}

// withoutBoard reports that nothing can be told about an item for want of a board.
func (h *hookup) withoutBoard(it *kit.Item) bool {
	if h.board != nil {
		return false
	}
	h.c.Judged(kit.Unknown, h.c.Absent(noItem, "")).About(it).Word("part", it.Name()).Say("no-board")
	return true
}

// number is a count of a part, such as its lanes, as a value.
func (h *hookup) number(it *kit.Item, field string, n *uint32, unit string) kit.Value {
	if n == nil {
		return h.c.Absent(it.At(field), unit)
	}
	v := float64(*n)
	return h.c.Figure(it, field, &v, unit, 0)
}

// least is the least of a and b, with what either came from.
func least(c *kit.Case, a, b kit.Value) kit.Value {
	return c.Derived(a.Range.Smaller(b.Range), a.Unit, a, b)
}

// bottleneck reports a rate that is reached beside the one that a part is good
// for. Less than that is slower and not broken: it fails only below the share that
// the policy sets.
func bottleneck(c *kit.Case, got, want kit.Value, share *kit.Parameter) *kit.Finding {
	f := c.AtLeast(got, want)
	if f.Verdict() != kit.Fail {
		return f
	}
	if floor := c.Parameter(share); floor.Nominal > 0 {
		f.Using(floor)
		if got.Nominal < floor.Nominal*want.Nominal {
			return f
		}
	}
	return f.AtWorst(kit.Marginal)
}

// bottleneckShare is the parameter of a rule on bottlenecks.
func bottleneckShare(rule string) *kit.Parameter {
	return &kit.Parameter{
		Name: rule + ".least_share", Unit: "share", Default: 0, Least: 0, Greatest: 1,
		Purpose: "Share of the part's own rate below which a bottleneck is a failure; at 0 a bottleneck never is, it only slows.",
		Source:  kit.CommonPractice,
	}
}

func whole(n int) kit.Value { return kit.Constant(float64(n), "") }

func counted(n *uint32) int {
	if n == nil {
		return 1
	}
	return int(*n)
}

// zeroed is a slice of n zero values in the memory of old where it suffices.
func zeroed[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, n)
	}
	old = old[:n]
	clear(old)
	return old
}
