package arrange

import (
	"cmp"
	"math"
	"slices"
)

// givenUp is the allowance of a requirement that does not count at all.
const givenUp = int64(math.MaxInt64)

// relaxation searches a model in which requirements may be missed: each by its allowance, in um, pieces of a resource, or
// 1 for a pin. It ignores the order of interchangeable variables, because a requirement given up for one of them makes
// them differ.
type relaxation struct {
	m     *model
	t     tables
	meter *meter
	allow []int64
	walk  *walk
}

func newRelaxation(m *model, meter *meter) *relaxation {
	n := m.n()
	x := &relaxation{m: m, meter: meter, allow: make([]int64, len(m.reqs))}
	x.t = tables{make([]int64, n), make([]int64, n*n), make([]int64, len(m.stock))}
	for i := range x.t.pair {
		x.t.pair[i] = unbounded
	}
	x.walk = newWalk(m, &x.t, meter, nil)
	return x
}

// feasible reports whether an arrangement misses no requirement by more than its allowance, and returns the first one.
// It says no if the budget ends before it finds one.
func (x *relaxation) feasible() ([]int32, bool) {
	for o, list := range x.m.unaryBreach {
		x.t.unary[o] = x.verdict(list)
	}
	n := x.m.n()
	for i := range x.m.pairs {
		p := &x.m.pairs[i]
		v := x.verdict(p.breaches)
		x.t.pair[int(p.a)*n+int(p.b)], x.t.pair[int(p.b)*n+int(p.a)] = v, v
	}
	for r, req := range x.m.resReq {
		x.t.stock[r] = plenty
		if req >= 0 && x.allow[req] != givenUp {
			x.t.stock[r] = x.m.stock[r] + x.allow[req]
		}
	}
	x.meter.charge(int64(len(x.m.pairs)+n) / breachesPerNode)
	var g anyGoal
	x.walk.goal, x.walk.stop = &g, false
	x.walk.run()
	return g.choice, g.choice != nil
}

func (x *relaxation) verdict(list []breach) int64 {
	for _, b := range list {
		if b.short > x.allow[b.req] {
			return -1
		}
	}
	return unbounded
}

// breakable returns the requirements that some choice misses, pins first, then by kind and name. Those tried first are
// the first to leave a conflict.
func (m *model) breakable() []int32 {
	seen := make([]bool, len(m.reqs))
	mark := func(list []breach) {
		for _, b := range list {
			seen[b.req] = true
		}
	}
	for _, list := range m.unaryBreach {
		mark(list)
	}
	for i := range m.pairs {
		mark(m.pairs[i].breaches)
	}
	for _, req := range m.resReq {
		if req >= 0 {
			seen[req] = true
		}
	}
	var list []int32
	for i, on := range seen {
		if on {
			list = append(list, int32(i))
		}
	}
	slices.SortFunc(list, func(a, b int32) int { return compareRequirements(m.reqs[a], m.reqs[b]) })
	return list
}

func compareRequirements(a, b Requirement) int {
	return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.A, b.A), cmp.Compare(a.B, b.B))
}

// conflict returns a minimal set among the requirements that cannot be kept together, by deletion: whatever can be given
// up without making an arrangement feasible leaves the set, many at a time while that works. The requirements have to be
// in conflict. It returns false if the budget ended first; the set is then in conflict but perhaps not minimal.
func (x *relaxation) conflict(among []int32) ([]int32, bool) {
	for i := range x.allow {
		x.allow[i] = givenUp
	}
	for _, r := range among {
		x.allow[r] = 0
	}
	list := slices.Clone(among)
	size := max(1, len(list)/2)
	for i := 0; i < len(list); {
		size = min(size, len(list)-i)
		chunk := list[i : i+size]
		x.set(chunk, givenUp)
		_, ok := x.feasible()
		if !ok && x.meter.spent() {
			x.set(chunk, 0)
			return list, false
		}
		switch {
		case !ok:
			list = slices.Delete(list, i, i+size)
		case size > 1:
			x.set(chunk, 0)
			size /= 2
		default:
			x.set(chunk, 0)
			i++
			// What follows a needed requirement is often not needed: try larger bites again.
			size = max(1, (len(list)-i)/2)
		}
	}
	return list, true
}

func (x *relaxation) set(reqs []int32, allow int64) {
	for _, r := range reqs {
		x.allow[r] = allow
	}
}
