package arrange

import "context"

// bound is what an arrangement reaches, or at an inner node what it can reach at best.
type bound struct {
	// margin in um and area in mm2 are the better the larger, buys and cost the smaller.
	margin, area int64
	buys, cost   int64
}

// goal is what a walk looks for. Both methods are called very often and must not allocate.
type goal interface {
	// worth reports whether the goal gains from an arrangement that reaches the bound and comes later in the order of
	// names than all that it was told of.
	worth(b *bound) bool
	// take receives a feasible arrangement: the option of each variable, -1 if inactive. It returns false to stop.
	take(choice []int32, b *bound) bool
}

// meter counts nodes against a budget for all searches of one answer.
type meter struct {
	ctx          context.Context
	used, budget int64
	err          error
}

// step counts a node and reports whether the search may go on.
func (t *meter) step() bool {
	if t.used >= t.budget {
		return false
	}
	t.used++
	if t.used&1023 == 0 && t.ctx.Err() != nil {
		t.err = t.ctx.Err()
		t.budget = t.used
		return false
	}
	return true
}

// breachesPerNode is how many breaches are looked through in about the time of a node.
const breachesPerNode = 32

// charge takes work other than nodes off the budget.
func (t *meter) charge(nodes int64) { t.budget = max(t.used, t.budget-nodes) }

// spent reports whether the budget has cut a search short.
func (t *meter) spent() bool { return t.used >= t.budget }

// tables are the margins that a walk works on: those of the model, or those left when requirements are given up.
type tables struct {
	unary, pair []int64
	// stock is how far each resource may be drawn, plenty if it does not rule anything out.
	stock []int64
}

// plenty is a stock that nothing can overdraw.
const plenty = int64(1) << 50

// frame is the state of one depth of a search.
type frame struct {
	// left holds for each option of the variables ahead its smallest margin against the choices made, in um.
	left []int64
	// ahead lists the variables to come, in order; those ruled out by a condition are gone.
	ahead []int32
	// net is the use of each resource so far, least the least that the variables ahead add.
	net, least []int64
	margin     int64
	// area is that of the choices made, areaAhead the most that the variables ahead add.
	area, areaAhead int64
}

// walk is a depth-first search in the order of names with forward checking. Its memory is one frame for each variable.
type walk struct {
	m      *model
	t      *tables
	meter  *meter
	goal   goal
	frames []frame
	choice []int32
	// gone[v] is the number of the pruning step that found v inactive.
	gone  []int64
	stamp int64
	stop  bool
}

func newWalk(m *model, t *tables, meter *meter, g goal) *walk {
	nv, nr := len(m.vars), len(m.stock)
	w := &walk{m: m, t: t, meter: meter, goal: g, frames: make([]frame, nv+1), choice: make([]int32, nv), gone: make([]int64, nv)}
	// Three blocks for all frames rather than four slices each.
	left, ahead, res := make([]int64, (nv+1)*m.n()), make([]int32, (nv+1)*nv), make([]int64, (nv+1)*2*nr)
	for d := range w.frames {
		f := &w.frames[d]
		f.left, left = left[:m.n():m.n()], left[m.n():]
		f.ahead, ahead = ahead[:0:nv], ahead[nv:]
		f.net, f.least, res = res[:nr:nr], res[nr:2*nr:2*nr], res[2*nr:]
	}
	return w
}

// run walks the whole space and reports whether it was neither stopped by the goal nor by the budget.
func (w *walk) run() bool {
	if !w.start() {
		return true
	}
	w.descend(0)
	return !w.stop
}

// start fills the first frame, and reports false if nothing can be feasible.
func (w *walk) start() bool {
	f := &w.frames[0]
	copy(f.left, w.t.unary)
	f.ahead = f.ahead[:0]
	for v := range w.m.vars {
		f.ahead = append(f.ahead, int32(v))
		w.choice[v] = -1
	}
	clear(f.net)
	f.margin, f.area = unbounded, 0
	w.recount(f, -1)
	return w.stockHolds(f)
}

// certain reports whether a variable ahead is active whatever comes, once all up to the given one are decided.
func (w *walk) certain(v int32, decided int) bool { return w.m.vars[v].lastParent <= decided }

// recount fills least and areaAhead of a frame anew.
func (w *walk) recount(f *frame, decided int) {
	clear(f.least)
	f.areaAhead = 0
	for _, u := range f.ahead {
		uv := &w.m.vars[u]
		f.areaAhead += uv.maxArea
		sure := w.certain(u, decided)
		for r, c := range uv.minNet {
			if sure || c < 0 {
				f.least[r] += c
			}
		}
	}
}

// stockHolds reports whether the resources can still suffice.
func (w *walk) stockHolds(f *frame) bool {
	for r, stock := range w.t.stock {
		if f.net[r]+f.least[r] > stock {
			return false
		}
	}
	return true
}

// descend decides the next variable.
func (w *walk) descend(d int) {
	f := &w.frames[d]
	if len(f.ahead) == 0 {
		b := w.bound(f)
		if w.goal.worth(&b) && !w.goal.take(w.choice, &b) {
			w.stop = true
		}
		return
	}
	v := f.ahead[0]
	for o := w.m.vars[v].from; o < w.m.vars[v].to && !w.stop; o++ {
		if f.left[o] < 0 {
			continue
		}
		if !w.meter.step() {
			w.stop = true
			break
		}
		w.choice[v] = o
		if b, ok := w.advance(d, o); ok && w.goal.worth(&b) {
			w.descend(d + 1)
		}
	}
	w.choice[v] = -1
}

// advance takes an option, fills the next frame, and returns the best that can still be reached; false if nothing can.
func (w *walk) advance(d int, o int32) (bound, bool) {
	f, g := &w.frames[d], &w.frames[d+1]
	v := f.ahead[0]
	w.resolve(f, g, o)
	g.margin = min(f.margin, f.left[o])
	best := w.check(f, g, o, int(v))
	if best < 0 {
		return bound{}, false
	}
	nr := len(g.net)
	net := w.m.net[int(o)*nr : int(o)*nr+nr]
	for r, c := range net {
		g.net[r] = f.net[r] + c
	}
	g.area = f.area + w.m.opts[o].area
	if w.m.vars[v].isParent {
		w.recount(g, int(v))
	} else {
		g.areaAhead = f.areaAhead - w.m.vars[v].maxArea
		for r, c := range w.m.vars[v].minNet {
			g.least[r] = f.least[r] - c
		}
	}
	if !w.stockHolds(g) {
		return bound{}, false
	}
	b := w.bound(g)
	b.margin = best
	return b, true
}

// resolve lists the variables ahead after an option is taken, without those that become inactive.
func (w *walk) resolve(f, g *frame, o int32) {
	v := f.ahead[0]
	if !w.m.vars[v].isParent {
		g.ahead = append(g.ahead[:0], f.ahead[1:]...)
		return
	}
	w.stamp++
	g.ahead = g.ahead[:0]
	for _, u := range f.ahead[1:] {
		if w.ruledInactive(u, v, o) {
			w.gone[u] = w.stamp
		} else {
			g.ahead = append(g.ahead, u)
		}
	}
}

// ruledInactive reports whether taking option o of variable v makes variable u inactive, directly or through a variable
// found inactive in the same step.
func (w *walk) ruledInactive(u, v, o int32) bool {
	for i := range w.m.vars[u].when {
		c := &w.m.vars[u].when[i]
		if c.parent == int(v) && !c.allowed[o-w.m.vars[v].from] || w.gone[c.parent] == w.stamp {
			return true
		}
	}
	return false
}

// check lowers the margins of the options ahead by the pair with o and returns the best margin still to be had, negative
// if a variable that is certainly active has no option left.
func (w *walk) check(f, g *frame, o int32, decided int) int64 {
	n := w.m.n()
	row := w.t.pair[int(o)*n : int(o)*n+n]
	best := g.margin
	for _, u := range g.ahead {
		uv := &w.m.vars[u]
		from, to := int(uv.from), int(uv.to)
		old, new, gaps := f.left[from:to], g.left[from:to], row[from:to]
		most := int64(-1)
		for i := range old {
			x := min(old[i], gaps[i])
			new[i] = x
			most = max(most, x)
		}
		if uv.lastParent <= decided && most < best {
			if best = most; best < 0 {
				return best
			}
		}
	}
	return best
}

// bound returns what a frame can reach at best, apart from the margin ahead.
func (w *walk) bound(f *frame) bound {
	b := bound{margin: f.margin, area: f.area + f.areaAhead}
	for r, hard := range w.m.hard {
		if hard {
			continue
		}
		if missing := f.net[r] + f.least[r] - w.m.stock[r]; missing > 0 {
			b.buys += missing
			b.cost += missing * w.m.p.Resources[r].Price
		}
	}
	return b
}
