package assembly

import (
	"math"
	"math/bits"
	"slices"
)

// exactSteps is how many steps that depend on each other all round are searched
// to the end: two to this power are looked at.
const exactSteps = 14

// Order puts the plan in order. The error is a CycleError where no order is firm,
// or says what makes the plan none.
func (p *Plan) Order() (Sequence, error) {
	if err := p.check(); err != nil {
		return Sequence{}, err
	}
	n := p.net()
	if stuck := n.stuck(); stuck != 0 {
		return Sequence{}, n.cycle(stuck)
	}
	seq := Sequence{Exact: true}
	after := slices.Clone(n.arcs)
	for _, knot := range n.knots() {
		if bits.OnesCount64(uint64(knot)) < 2 {
			continue
		}
		order, exact := n.untie(knot)
		seq.Exact = seq.Exact && exact
		chain(after, knot, order)
	}
	seq.Order = n.merge(after)
	n.account(&seq)
	return seq, nil
}

// stuck takes the finished thing apart: what can come out does, and what is left
// can never have been put together. Taking out more never bars anything, so that
// any order of taking out tells the truth.
func (n *net) stuck() set {
	in := n.all()
	for progress := true; progress; {
		progress = false
		for i := range n.plan.Steps {
			if in.has(i) && n.comesOut(i, in&^single(i)) {
				in &^= single(i)
				progress = true
			}
		}
	}
	return in
}

func (n *net) all() set {
	if len(n.plan.Steps) == MaxSteps {
		return math.MaxUint64
	}
	return single(len(n.plan.Steps)) - 1
}

// comesOut reports whether a step can be undone while others are in: nothing that
// must come after it is left, and it has a way.
func (n *net) comesOut(step int, others set) bool {
	for i := range n.plan.Steps {
		if others.has(i) && n.must[i].has(step) {
			return false
		}
	}
	// A step that must come before itself never comes out.
	return !n.must[step].has(step) && n.open(step, others)
}

// chain replaces the relations among the steps of a knot by their order.
func chain(after []set, knot set, order []int) {
	for i := range after {
		if knot.has(i) {
			after[i] &^= knot
		}
	}
	for i := range len(order) - 1 {
		after[order[i]] |= single(order[i+1])
	}
}

// merge is the order by custom among all that keep the relations, which have no
// circle left.
func (n *net) merge(after []set) []int {
	order := make([]int, 0, len(after))
	var done set
	for len(order) < len(after) {
		best := -1
		for i := range after {
			if !done.has(i) && !n.waits(i, after, done) && (best < 0 || n.before(i, best)) {
				best = i
			}
		}
		done |= single(best)
		order = append(order, best)
	}
	return order
}

func (n *net) waits(step int, after []set, done set) bool {
	for i := range after {
		if !done.has(i) && i != step && after[i].has(step) {
			return true
		}
	}
	return false
}

// before orders two steps by custom.
func (n *net) before(a, b int) bool {
	ra, rb := n.plan.Steps[a].Rank, n.plan.Steps[b].Rank
	return ra < rb || ra == rb && a < b
}

// account tells which customs an order breaks.
func (n *net) account(seq *Sequence) {
	at := make([]int, len(seq.Order))
	for i, s := range seq.Order {
		at[s] = i
	}
	for i, r := range n.plan.Relations {
		if r.Undo > 0 && at[r.Then] < at[r.First] {
			seq.Reopened = append(seq.Reopened, i)
			seq.Cost += r.Undo
		}
	}
}

// untie orders the steps of one knot at least cost.
func (n *net) untie(knot set) (order []int, exact bool) {
	var steps []int
	for i := range n.plan.Steps {
		if knot.has(i) {
			steps = append(steps, i)
		}
	}
	slices.SortFunc(steps, func(a, b int) int {
		if n.before(a, b) {
			return -1
		}
		return 1
	})
	if len(steps) > exactSteps {
		return n.unwind(steps, knot), false
	}
	return n.search(steps), true
}

// unreachable is the cost of what cannot be done.
const unreachable = math.MaxInt32

// search looks at every set of the knot's steps that can be in: the cheapest way on
// from each is found from the full set backwards, and then followed forwards. What
// lies outside of the knot is either in before all of it or comes after all of it.
func (n *net) search(steps []int) []int {
	local := n.restrict(steps)
	full := 1<<len(steps) - 1
	rest := make([]int32, full+1)
	for in := full - 1; in >= 0; in-- {
		rest[in] = unreachable
		for k := range steps {
			if in>>k&1 != 0 || !local.may(k, set(in)) || rest[in|1<<k] == unreachable {
				continue
			}
			rest[in] = min(rest[in], int32(local.cost(k, set(in)))+rest[in|1<<k])
		}
	}
	order := make([]int, 0, len(steps))
	for in := 0; in != full; {
		for k := range steps {
			if in>>k&1 == 0 && local.may(k, set(in)) && rest[in|1<<k] != unreachable &&
				int32(local.cost(k, set(in)))+rest[in|1<<k] == rest[in] {
				order = append(order, steps[k])
				in |= 1 << k
				break
			}
		}
	}
	return order
}

// restrict is the net of some steps alone, numbered by their places in the list.
func (n *net) restrict(steps []int) *net {
	place := make(map[int]int, len(steps))
	for k, s := range steps {
		place[s] = k
	}
	narrow := func(wide set) (out set) {
		for k, s := range steps {
			if wide.has(s) {
				out |= single(k)
			}
		}
		return out
	}
	local := &net{plan: &Plan{Steps: make([]Step, len(steps))}, must: make([]set, len(steps)),
		bars: make([][]set, len(steps)), early: make([][]int, len(steps))}
	for k, s := range steps {
		local.must[k] = narrow(n.must[s])
		for _, b := range n.bars[s] {
			local.bars[k] = append(local.bars[k], narrow(b))
		}
		for _, i := range n.early[s] {
			r := n.plan.Relations[i]
			then, inside := place[r.Then]
			if !inside {
				continue
			}
			r.First, r.Then = k, then
			local.early[k] = append(local.early[k], len(local.plan.Relations))
			local.plan.Relations = append(local.plan.Relations, r)
		}
	}
	return local
}

// unwind orders a knot too large to search by taking it apart: of what can come
// out, what is put in last at least cost comes first.
func (n *net) unwind(steps []int, knot set) []int {
	order := make([]int, len(steps))
	in := knot
	for at := len(steps) - 1; at >= 0; at-- {
		best, least := -1, math.MaxInt
		for _, s := range slices.Backward(steps) {
			if !in.has(s) || !n.comesOut(s, in&^single(s)) {
				continue
			}
			if c := n.cost(s, in&^single(s)); c < least {
				best, least = s, c
			}
		}
		order[at] = best
		in &^= single(best)
	}
	return order
}
