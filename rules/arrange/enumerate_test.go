package arrange

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
)

// leaf is a feasible arrangement found by enumeration.
type leaf struct {
	// key lists the choices in the order of search; with interchangeable variables it is that of the first of its kind.
	key                string
	margin             tenths
	pieces, cost, area int64
}

// noMargin stands for an arrangement without any gap or limit.
const noMargin = tenths(math.MaxInt32)

// gapOf is the signed separation of two blocks, written for whole numbers and apart from the package under test.
func gapOf(a, b block) tenths {
	best := tenths(math.MinInt32)
	for k := range 3 {
		if d := a.lo[k] - b.hi[k]; d > best {
			best = d
		}
		if d := b.lo[k] - a.hi[k]; d > best {
			best = d
		}
	}
	return best
}

// enumerate tries every combination of a plan, keeps what is feasible, and drops exchanged equals. It returns also the
// number of combinations tried.
func (p *plan) enumerate() (leaves []leaf, tried int) {
	order := p.order()
	choice := make([]int, len(p.vars))
	seen := map[string]leaf{}
	var try func(at int)
	try = func(at int) {
		if at == len(order) {
			tried++
			if l, ok := p.judge(order, choice); ok {
				if old, dup := seen[l.key]; dup && old != l {
					panic("exchanging equals changes an arrangement: " + l.key)
				}
				seen[l.key] = l
			}
			return
		}
		v := order[at]
		if !p.active(v, choice) {
			choice[v] = -1
			try(at + 1)
			return
		}
		for o := range p.vars[v].options {
			choice[v] = o
			try(at + 1)
		}
	}
	try(0)
	for _, l := range seen {
		leaves = append(leaves, l)
	}
	slices.SortFunc(leaves, func(a, b leaf) int {
		return cmp.Or(cmp.Compare(b.margin, a.margin), cmp.Compare(a.pieces, b.pieces), strings.Compare(a.key, b.key))
	})
	return leaves, tried
}

// order returns the variables in the order of search: again and again the first by name whose conditions are behind it.
func (p *plan) order() []int {
	var out []int
	for len(out) < len(p.vars) {
		next := -1
		for v := range p.vars {
			waits := slices.ContainsFunc(p.vars[v].when, func(c Condition) bool {
				return !slices.ContainsFunc(out, func(u int) bool { return p.vars[u].name == c.Variable })
			})
			if !waits && !slices.Contains(out, v) && (next < 0 || p.vars[v].name < p.vars[next].name) {
				next = v
			}
		}
		out = append(out, next)
	}
	return out
}

func (p *plan) active(v int, choice []int) bool {
	for _, c := range p.vars[v].when {
		parent := slices.IndexFunc(p.vars, func(u planVar) bool { return u.name == c.Variable })
		if choice[parent] < 0 || !slices.Contains(c.Options, p.vars[parent].options[choice[parent]].name) {
			return false
		}
	}
	return true
}

func (p *plan) judge(order, choice []int) (leaf, bool) {
	l := leaf{margin: noMargin}
	net := make([]int, len(p.resources))
	type placed struct{ v, kind int }
	var blocks []block
	var owner []placed
	for _, b := range p.fixed {
		blocks, owner = append(blocks, b), append(owner, placed{-1, 0})
	}
	for v, c := range choice {
		if c < 0 {
			continue
		}
		o := p.vars[v].options[c]
		for _, pin := range p.pins {
			if pin.Variable == p.vars[v].name && pin.Option != o.name {
				return leaf{}, false
			}
		}
		if o.limited {
			l.margin = min(l.margin, o.limit)
		}
		for r, n := range o.net {
			net[r] += n
		}
		l.area += o.area
		for _, b := range o.blocks {
			blocks, owner = append(blocks, b), append(owner, placed{v, o.kind})
		}
	}
	for i := range blocks {
		for j := range i {
			if owner[i].v != owner[j].v {
				l.margin = min(l.margin, gapOf(blocks[i], blocks[j])-p.need[owner[i].kind][owner[j].kind])
			}
		}
	}
	for r, res := range p.resources {
		if missing := int64(net[r] - res.Stock); missing > 0 {
			if !res.Buyable {
				return leaf{}, false
			}
			l.pieces += missing
			l.cost += missing * res.Price
		}
	}
	l.key = p.keyOf(order, choice)
	return l, l.margin >= 0
}

// keyOf writes the choices so that sorting the keys is the order of names: every option name is preceded by its rank.
func (p *plan) keyOf(order, choice []int) string {
	names := make([]string, len(choice))
	members := map[string][]int{}
	for _, v := range order {
		if choice[v] >= 0 {
			names[v] = p.vars[v].options[choice[v]].name
		}
		if k := p.vars[v].key; k != "" {
			members[k] = append(members[k], v)
		}
	}
	for _, vs := range members {
		var taken []string
		for _, v := range vs {
			taken = append(taken, names[v])
		}
		slices.Sort(taken)
		for i, v := range vs {
			names[v] = taken[i]
		}
	}
	var key strings.Builder
	for _, v := range order {
		if names[v] != "" {
			fmt.Fprintf(&key, "%s=%s;", p.vars[v].name, names[v])
		}
	}
	return key.String()
}

func keyOfChoices(choices []Choice) string {
	var key strings.Builder
	for _, c := range choices {
		fmt.Fprintf(&key, "%s=%s;", c.Variable, c.Option)
	}
	return key.String()
}

// paretoOf returns the best combinations of margin, area and cost among leaves.
func paretoOf(leaves []leaf) map[[3]int64]bool {
	front := map[[3]int64]bool{}
	for _, l := range leaves {
		beaten := slices.ContainsFunc(leaves, func(m leaf) bool {
			atLeast := m.margin >= l.margin && m.area >= l.area && m.cost <= l.cost
			return atLeast && (m.margin > l.margin || m.area > l.area || m.cost < l.cost)
		})
		if !beaten {
			front[[3]int64{int64(l.margin), l.area, l.cost}] = true
		}
	}
	return front
}

func tenthsOf(mm float64) tenths { return tenths(math.Round(mm * 10)) }

// hold compares an answer with the enumeration: feasible or not, count, ranked list, Pareto set.
func hold(t *testing.T, a *Answer, leaves []leaf, tried int) {
	t.Helper()
	if !a.Exhaustive || !a.FeasibleExact || a.Feasible != uint64(len(leaves)) || a.Space != uint64(tried) {
		t.Fatalf("%d feasible of %d (exhaustive %v, exact %v), enumeration finds %d of %d", a.Feasible, a.Space, a.Exhaustive, a.FeasibleExact, len(leaves), tried)
	}
	for i, got := range a.Ranked {
		want := leaves[i]
		if tenthsOf(got.Margin) != want.margin || got.Pieces != want.pieces || got.Cost != want.cost || got.FanArea != want.area || keyOfChoices(got.Choices) != want.key {
			t.Fatalf("rank %d is %+v, enumeration finds %+v", i, got, want)
		}
		if got.Tightest == nil || tenthsOf(got.Tightest.Margin) != want.margin {
			t.Fatalf("rank %d is tightest at %+v, margin %v tenths of a mm", i, got.Tightest, want.margin)
		}
	}
	front := paretoOf(leaves)
	if len(front) != len(a.Front) {
		t.Fatalf("%d arrangements in the Pareto set, enumeration finds %d", len(a.Front), len(front))
	}
	for _, f := range a.Front {
		if !front[[3]int64{int64(tenthsOf(f.Margin)), f.FanArea, f.Cost}] {
			t.Fatalf("%+v is not in the enumerated Pareto set", f)
		}
	}
}
