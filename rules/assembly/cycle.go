package assembly

// knots are the sets of steps that depend on each other all round, by any
// relation; a step that depends on none is one of its own.
func (n *net) knots() (knots []set) {
	reach := make([]set, len(n.arcs))
	copy(reach, n.arcs)
	for k := range reach { // Warshall's closure
		for i := range reach {
			if reach[i].has(k) {
				reach[i] |= reach[k]
			}
		}
	}
	var done set
	for i := range reach {
		if done.has(i) {
			continue
		}
		knot := single(i)
		for k := range reach {
			if reach[i].has(k) && reach[k].has(i) {
				knot |= single(k)
			}
		}
		done |= knot
		knots = append(knots, knot)
	}
	return knots
}

// cycle tells the shortest circle among steps that bar each other, of equal ones
// the one whose first step is named first.
func (n *net) cycle(stuck set) *CycleError {
	var best []int
	for i := range n.plan.Steps {
		if stuck.has(i) {
			if c := n.circleFrom(i, stuck); c != nil && (best == nil || len(c) < len(best)) {
				best = c
			}
		}
	}
	e := &CycleError{Steps: best}
	for i, s := range best {
		e.Names = append(e.Names, n.plan.Steps[s].Name)
		e.Whys = append(e.Whys, n.why(s, best[(i+1)%len(best)]))
	}
	return e
}

// circleFrom is the shortest way from a step back to itself along firm relations.
func (n *net) circleFrom(start int, within set) []int {
	from := map[int]int{}
	queue := []int{start}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for to := range n.plan.Steps {
			if !n.firm[at].has(to) || !within.has(to) {
				continue
			}
			if to == start {
				return trace(from, start, at)
			}
			if _, seen := from[to]; !seen {
				from[to] = at
				queue = append(queue, to)
			}
		}
	}
	return nil
}

func trace(from map[int]int, start, end int) []int {
	path := []int{end}
	for end != start {
		end = from[end]
		path = append([]int{end}, path...)
	}
	return path
}

// why tells why one step comes before another.
func (n *net) why(first, then int) string {
	for _, r := range n.plan.Relations {
		if r.First == first && r.Then == then && r.Undo == 0 {
			return r.Why
		}
	}
	for _, w := range n.plan.Steps[first].Ways {
		for _, b := range w.Barred {
			if b == then {
				return n.plan.Steps[then].Name + " bars its way " + w.Name
			}
		}
	}
	return "it is so"
}
