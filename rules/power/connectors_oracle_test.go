package power_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/standards"
)

// wire is a cable of the small builds that the property draws: an outlet or a
// connector that it starts at, and its plugs.
type wire struct {
	outlet string // of a modular cable
	from   string // of an adapter
	plugs  []string
}

// trial is one small build.
type trial struct {
	sockets []string
	wires   []wire
	outlets map[string]int
}

func (r trial) build() string {
	var fixed, loose []string
	for i, w := range r.wires {
		ends := make([]string, len(w.plugs))
		for j, p := range w.plugs {
			ends[j] = "{connector: " + p + "}"
		}
		list := "ends: [" + strings.Join(ends, ", ") + "]"
		switch {
		case w.outlet != "":
			fixed = append(fixed, "{from: "+w.outlet+", "+list+"}")
		case w.from != "":
			loose = append(loose, fmt.Sprintf("- {id: adapter-%d, part: {cable: {from: %s, %s}}}", i, w.from, list))
		default:
			fixed = append(fixed, "{captive: true, "+list+"}")
		}
	}
	var outlets []string
	for _, name := range []string{"eight", "other"} {
		if n := r.outlets[name]; n > 0 {
			outlets = append(outlets, fmt.Sprintf("{socket: %s, count: %d}", name, n))
		}
	}
	needs := make([]string, len(r.sockets))
	for i, s := range r.sockets {
		needs[i] = "{connector: " + s + "}"
	}
	return "items:\n- {id: board, part: {board: {power_sockets: [" + strings.Join(needs, ", ") + "]}}}\n" +
		"- {id: supply, part: {supply: {outlets: [" + strings.Join(outlets, ", ") + "], cables: [" + strings.Join(fixed, ", ") + "]}}}\n" +
		strings.Join(loose, "\n")
}

// plug is one plug of one wire while all ways are tried.
type plug struct {
	token   string
	adapter bool
}

// A plan is worth 100 for each socket that gets a plug, less 1 for each that gets
// only a partial one.
const (
	worthFilled  = 100
	worthPartial = -1
)

// most tries every set of cables and every plug in every socket, one by one and
// without any cunning, and returns the greatest worth.
func (r trial) most() int {
	best := 0
	for set := range 1 << len(r.wires) {
		left := map[string]int{"eight": r.outlets["eight"], "other": r.outlets["other"]}
		var plugs []plug
		var feeds []string
		for i, w := range r.wires {
			if set>>i&1 == 0 {
				continue
			}
			if w.outlet != "" {
				left[w.outlet]--
			}
			if w.from != "" {
				feeds = append(feeds, w.from)
			}
			for _, p := range w.plugs {
				plugs = append(plugs, plug{p, w.from != ""})
			}
		}
		if left["eight"] < 0 || left["other"] < 0 {
			continue
		}
		best = max(best, place(feeds, r.sockets, plugs))
	}
	return best
}

// place plugs in what feeds adapters, all of them, and then sockets as far as it
// goes. It returns -1 where an adapter stays unfed.
func place(feeds, sockets []string, plugs []plug) int {
	best := -1
	try := func(i, gain int, feeds, sockets []string) {
		if rest := place(feeds, sockets, slices.Delete(slices.Clone(plugs), i, i+1)); rest >= 0 {
			best = max(best, gain+rest)
		}
	}
	if len(feeds) > 0 {
		for i, p := range plugs {
			if !p.adapter && mates(p.token, feeds[0], false) {
				try(i, 0, feeds[1:], sockets)
			}
		}
		return best
	}
	if len(sockets) == 0 {
		return 0
	}
	best = max(best, place(feeds, sockets[1:], plugs))
	for i, p := range plugs {
		switch {
		case mates(p.token, sockets[0], false):
			try(i, worthFilled, feeds, sockets[1:])
		case mates(p.token, sockets[0], true):
			try(i, worthFilled+worthPartial, feeds, sockets[1:])
		}
	}
	return best
}

func mates(plug, socket string, partly bool) bool {
	m, err := standards.MatingOf(plug, socket)
	return err == nil && m.Fits && (partly || !m.Partial)
}

// What the rule leaves without a plug is what trying everything leaves, too.
func TestConnectorsFillAsManySocketsAsAnyPlanCan(t *testing.T) {
	e := evaluator(t)
	sockets := rapid.SampledFrom([]string{"cpu-8", "cpu-4", "pcie-8", "pcie-6"})
	plugs := rapid.SampledFrom([]string{"cpu-8", "cpu-4", "cpu-4+4", "pcie-8", "pcie-6", "pcie-6+2"})
	rapid.Check(t, func(rt *rapid.T) {
		r := trial{
			sockets: rapid.SliceOfN(sockets, 1, 4).Draw(rt, "sockets"),
			outlets: map[string]int{"eight": rapid.IntRange(0, 3).Draw(rt, "eight"), "other": 1},
		}
		for range rapid.IntRange(1, 5).Draw(rt, "wires") {
			w := wire{plugs: rapid.SliceOfN(plugs, 1, 2).Draw(rt, "plugs")}
			switch kind := rapid.IntRange(0, 3).Draw(rt, "kind"); {
			case kind == 0 && r.outlets["eight"] > 0:
				w.outlet = "eight"
			case kind == 1:
				w.outlet = "other"
			case kind == 2:
				w.from = sockets.Draw(rt, "from")
			}
			r.wires = append(r.wires, w)
		}
		missing, partial, fed := 0, 0, false
		for _, w := range r.wires {
			fed = fed || w.from == ""
		}
		if !fed {
			return // a supply without cables is not known, not short
		}
		for _, f := range kittest.Evaluate(t, e, kittest.Row{Build: r.build()}).Findings {
			if f.GetRule() != "power.connectors" {
				continue
			}
			if f.GetVerdict() == kit.Fail {
				missing -= int(f.Margin.GetNominal())
			}
			for _, a := range f.Summary.Arguments {
				if a.GetName() == "partial" {
					partial += int(a.Value.GetNominal())
				}
			}
		}
		worth := r.most()
		filled := (worth + worthFilled - 1) / worthFilled
		if want := len(r.sockets) - filled; missing != want {
			rt.Fatalf("the rule leaves %d sockets without a plug, trying everything %d:\n%s", missing, want, r.build())
		}
		// Where some sockets stay empty the finding says no more than that.
		if want := filled*worthFilled - worth; missing == 0 && partial != want {
			rt.Fatalf("the rule fills %d sockets in part, trying everything %d:\n%s", partial, want, r.build())
		}
	})
}
