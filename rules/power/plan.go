package power

// plan is one way to connect everything: which cables are plugged into the
// supply, which adapters are used, and how many sockets that fills.
type plan struct {
	use      []int // of each kind of cable, how many are used
	filled   []int // needed sockets of each connector that have a plug
	partial  []int // of these, with a plug that fills them only in part
	extra    []int // dispensable sockets of each connector that have a plug
	spare    []int // plugs of each connector that are left over
	adapters int
	score    [4]int // sockets filled, less partial ones, extra ones, less adapters
}

// anyPrice lets a needed socket have a plug for any number of partial ones.
const anyPrice = unreached - 1

// mostPlans bounds the search. Builds as they are sold have a handful of ways to
// choose cables; a document made to waste time gets "not known" beyond this.
const mostPlans = 2000

// needed and wished count the sockets of each connector.
func (w *wiring) demand(token int) (needed, wished int) {
	for i := range w.needs {
		switch n := &w.needs[i]; {
		case n.token != token:
		case n.dispensable:
			wished += n.count
		default:
			needed += n.count
		}
	}
	return needed, wished
}

// solve finds the best plan. complete is false where there are too many ways to
// try them all and the best of those tried leaves something to wish.
func (w *wiring) solve() (complete bool) {
	w.relate()
	search := search{w: w}
	w.best.score = [4]int{-1}
	w.plan.use = zeroed(w.plan.use, len(w.cables))
	search.choose(0)
	return search.done || search.tried <= mostPlans
}

// relate notes how the plugs of each left node go into the sockets of each right
// node. Left nodes are plugs of cables, then plugs of adapters; right nodes what
// feeds adapters, then needed sockets, then dispensable ones; each by connector.
// Only a needed socket takes a partial plug, and an adapter hangs on the supply's
// own cables alone.
func (w *wiring) relate() {
	n := len(w.tokens)
	m := &w.matching
	m.fits = zeroed(m.fits, 2*n*3*n)
	for plug := range n {
		for socket := range n {
			f := w.fitOf(plug, socket)
			whole := f
			if f != fullFit {
				whole = noFit
			}
			cable, adapter := m.fits[plug*3*n:], m.fits[(n+plug)*3*n:]
			cable[socket] = whole
			cable[n+socket], adapter[n+socket] = f, f
			cable[2*n+socket], adapter[2*n+socket] = whole, whole
		}
	}
}

// search walks through the ways to choose cables.
type search struct {
	w     *wiring
	tried int
	done  bool // nothing is left to wish
}

// choose settles the number of cables of kind i and of all after it: as many as
// there are where the outlets suffice for all kinds that share them, else every
// number that they leave; and every number of adapters, none first.
func (s *search) choose(i int) {
	w := s.w
	if s.done || s.tried > mostPlans {
		return
	}
	if i == len(w.cables) {
		s.try()
		return
	}
	k := &w.cables[i]
	switch {
	case k.adapter():
		for n := 0; n <= k.count && !s.done; n++ {
			w.plan.use[i] = n
			s.choose(i + 1)
		}
	case k.outlet < 0 || w.asked(k.outlet) <= w.outlets[k.outlet].count:
		w.plan.use[i] = k.count
		s.choose(i + 1)
	default:
		for n := min(k.count, w.outletsLeft(k.outlet, i)); n >= 0 && !s.done; n-- {
			w.plan.use[i] = n
			s.choose(i + 1)
		}
	}
	w.plan.use[i] = 0
}

// asked is how many cables there are for one kind of outlet.
func (w *wiring) asked(outlet int) (n int) {
	for i := range w.cables {
		if w.cables[i].outlet == outlet {
			n += w.cables[i].count
		}
	}
	return n
}

// outletsLeft is how many outlets of a kind the cables before i leave.
func (w *wiring) outletsLeft(outlet, i int) int {
	left := w.outlets[outlet].count
	for j := range w.cables[:i] {
		if w.cables[j].outlet == outlet {
			left -= w.plan.use[j]
		}
	}
	return left
}

// try assigns the plugs of the cables chosen and keeps the plan if it is better.
func (s *search) try() {
	w := s.w
	s.tried++
	if s.tried > mostPlans || !w.assign() {
		return
	}
	if w.plan.betterThan(&w.best) {
		w.keep()
	}
	s.done = w.contented()
}

// assign fills sockets in the order that counts: what feeds the adapters in use,
// needed sockets with whole plugs, needed sockets with partial plugs, dispensable
// sockets. It reports false where an adapter in use finds nothing to hang on.
func (w *wiring) assign() bool {
	n := len(w.tokens)
	m := &w.matching
	m.reset(2*n, 3*n)
	p := &w.plan
	p.adapters = 0
	for i := range w.cables {
		level := 0
		if w.cables[i].adapter() {
			level = 1
			p.adapters += p.use[i]
		}
		for _, plug := range w.cables[i].plugs {
			m.have[level*n+plug] += p.use[i]
		}
	}
	for i := range w.cables {
		if k := &w.cables[i]; k.adapter() && p.use[i] > 0 && m.fill(k.from, p.use[i], 0) < p.use[i] {
			return false
		}
	}
	w.fillSockets()
	return true
}

func (w *wiring) fillSockets() {
	n, m, p := len(w.tokens), &w.matching, &w.plan
	p.filled, p.partial = zeroed(p.filled, n), zeroed(p.partial, n)
	p.extra, p.spare = zeroed(p.extra, n), zeroed(p.spare, n)
	for t := range n {
		needed, _ := w.demand(t)
		p.filled[t] = m.fill(n+t, needed, 0)
	}
	m.halfOpen = true
	for t := range n {
		needed, _ := w.demand(t)
		p.filled[t] += m.fill(n+t, needed-p.filled[t], anyPrice)
	}
	for t := range n {
		_, wished := w.demand(t)
		p.extra[t] = m.fill(2*n+t, wished, 0)
	}
	p.score = [4]int{0, 0, 0, -p.adapters}
	for t := range n {
		p.partial[t] = m.partial(n + t)
		p.spare[t] = m.free(t) + m.free(n+t)
		p.score[0] += p.filled[t]
		p.score[1] -= p.partial[t]
		p.score[2] += p.extra[t]
	}
}

func (p *plan) betterThan(o *plan) bool {
	for i := range p.score {
		if p.score[i] != o.score[i] {
			return p.score[i] > o.score[i]
		}
	}
	return false
}

// keep copies the plan to the best.
func (w *wiring) keep() { w.best.copy(&w.plan) }

// copy takes over what another plan says, into memory of its own.
func (p *plan) copy(o *plan) {
	p.use = append(p.use[:0], o.use...)
	p.filled = append(p.filled[:0], o.filled...)
	p.partial = append(p.partial[:0], o.partial...)
	p.extra = append(p.extra[:0], o.extra...)
	p.spare = append(p.spare[:0], o.spare...)
	p.adapters, p.score = o.adapters, o.score
}

// contented reports whether the best plan fills every socket with a whole plug
// and without adapters.
func (w *wiring) contented() bool {
	all, extra := 0, 0
	for i := range w.needs {
		if w.needs[i].dispensable {
			extra += w.needs[i].count
		} else {
			all += w.needs[i].count
		}
	}
	return w.best.score == [4]int{all, 0, extra, 0}
}
