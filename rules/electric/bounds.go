package electric

import "math"

// BoundAcross is the range of the voltage from node a to node b over all
// ranges of the network, in an operation. See BoundAmps for how it is found.
func (w *Workspace) BoundAcross(op Operation, a, b Node) (Range, error) {
	return w.bound(op, quantity{a: a, b: b, elem: -1, sign: 1})
}

// BoundAmps is the range of an element's current over all ranges of the
// network, in an operation: for a contact, its own resistance low and its
// neighbours' high, and so on for all that matters.
//
// A voltage or current of a network of resistances is monotone in each single
// resistance, so its extremes stand at ends of the ranges. The search sets
// every input to the end that its sensitivity points to, solves again, and
// repeats until no sign changes, from three corners. The sensitivities come
// from the adjoint network, which is the same matrix. An error of Solve at a
// corner is returned, because then the bound is not a number.
//
// All inputs are taken as independent. Afterwards the workspace stands at the
// last corner tried: call Assume before reading it.
func (w *Workspace) BoundAmps(op Operation, e Element) (Range, error) {
	q := quantity{elem: int32(e), sign: 1}
	if w.c.net.elements[e].kind == railElement {
		q.sign = -1
	}
	return w.bound(op, q)
}

// quantity is what is bounded: a voltage between two nodes, or the current of
// an element when elem is not -1.
type quantity struct {
	a, b Node
	elem int32
	sign float64 // of the reading against the current from the a end to the b end
}

func (w *Workspace) read(q quantity) float64 {
	if q.elem < 0 {
		return w.volts[q.a] - w.volts[q.b]
	}
	return q.sign * w.amps[q.elem]
}

// mostTurns is how often the search follows its signs; two or three suffice
// for the wiring of a computer.
const mostTurns = 12

func (w *Workspace) bound(op Operation, q quantity) (Range, error) {
	w.Assume(op, Nominal)
	if err := w.Solve(); err != nil {
		return Range{}, err
	}
	r := Exactly(w.read(q))
	slope := w.newSlope()
	for _, towards := range [2]float64{-1, 1} {
		for _, start := range [3]Corner{Nominal, Weak, Strong} {
			v, err := w.climb(op, start, q, towards, slope)
			if err != nil {
				return Range{}, err
			}
			r.Low, r.High = min(r.Low, v), max(r.High, v)
		}
	}
	return r, nil
}

// climb follows the signs of the sensitivities from one corner and returns the
// furthest value seen.
func (w *Workspace) climb(op Operation, start Corner, q quantity, towards float64, s *slope) (float64, error) {
	w.Assume(op, start)
	if err := w.Solve(); err != nil {
		return 0, err
	}
	best := w.read(q)
	for range mostTurns {
		w.slopes(q, s)
		if !w.turn(op, towards*q.sign, s) {
			break
		}
		if err := w.Solve(); err != nil {
			return 0, err
		}
		v := w.read(q)
		if towards*(v-best) <= 1e-12*math.Abs(best) {
			break
		}
		best = v
	}
	return best, nil
}

// turn sets every input to the end that its slope points to, and says whether
// any of them moved.
func (w *Workspace) turn(op Operation, towards float64, s *slope) bool {
	moved := false
	set := func(value *float64, r Range, slope float64) {
		end := r.High
		if slope == 0 || r.Low == r.High {
			return
		}
		if slope*towards < 0 {
			end = r.Low
		}
		moved = moved || *value != end
		*value = end
	}
	for i := range w.c.net.elements {
		e := &w.c.net.elements[i]
		switch {
		case e.kind == loadElement:
			set(&w.ohms[i], e.figure(op), s.ohms[i])
		case e.kind == railElement:
			set(&w.emf[i], e.emf, s.emf[i])
			fallthrough
		default:
			if w.c.rigidOf[i] < 0 {
				set(&w.ohms[i], w.c.ohms[i], s.ohms[i])
			}
		}
	}
	return moved
}

// slope holds how a quantity changes with every input, by element.
type slope struct {
	ohms, emf []float64
	weight    []float64 // branch -> how the quantity counts its current
	slack     []float64 // branch -> its conductance at the solution
	node      []float64 // node -> scratch
	inside    []bool    // node -> beyond the rigid element that is read
}

func (w *Workspace) newSlope() *slope {
	elements, nodes, branches := len(w.c.net.elements), len(w.volts), len(w.c.branches)
	return &slope{
		ohms: make([]float64, elements), emf: make([]float64, elements),
		weight: make([]float64, branches), slack: make([]float64, branches),
		node: make([]float64, nodes), inside: make([]bool, nodes),
	}
}

// weigh writes the current that is read as a sum of branch currents.
func (w *Workspace) weigh(q quantity, s *slope) {
	clear(s.weight)
	if q.elem < 0 {
		return
	}
	if k := w.c.branchOf[q.elem]; k >= 0 {
		s.weight[k] = 1
		return
	}
	// a rigid element carries what flows out of the tree beyond it
	clear(s.inside)
	at := w.c.rigidOf[q.elem]
	s.inside[w.c.rigid[at].child] = true
	for _, r := range w.c.rigid[at+1:] {
		s.inside[r.child] = s.inside[r.child] || s.inside[r.parent]
	}
	for k := range w.c.branches {
		br := &w.c.branches[k]
		switch {
		case s.inside[br.a] && !s.inside[br.b]:
			s.weight[k] = -w.c.rigid[at].sign
		case s.inside[br.b] && !s.inside[br.a]:
			s.weight[k] = w.c.rigid[at].sign
		}
	}
}

// slopes works out the sensitivities of a quantity at the last solution: one
// solve of the adjoint network, then a product for each input.
func (w *Workspace) slopes(q quantity, s *slope) {
	w.linearise(1)
	w.weigh(q, s)
	clear(s.node)
	if q.elem < 0 {
		s.node[q.a]++
		s.node[q.b]--
	}
	adjoint := w.step
	clear(adjoint)
	push := func(g int32, x float64) {
		if g >= 0 {
			adjoint[g] += x
		}
	}
	for i, x := range s.node {
		push(w.c.group[i], x)
	}
	for k := range w.c.branches {
		br := &w.c.branches[k]
		s.slack[k] = w.g[k]
		if br.load == ConstantPower && w.draws(br) {
			v := w.volts[br.a] - w.volts[br.b]
			s.slack[k] = -w.ohms[br.elem] / (v * v)
		}
		push(br.ga, s.weight[k]*s.slack[k])
		push(br.gb, -s.weight[k]*s.slack[k])
	}
	w.c.pattern.solve(w.d, w.l, adjoint)
	w.gather(s, adjoint)
}

// gather turns the adjoint voltages into slopes.
func (w *Workspace) gather(s *slope, adjoint []float64) {
	of := func(g int32) float64 {
		if g < 0 {
			return 0
		}
		return adjoint[g]
	}
	for k := range w.c.branches {
		br := &w.c.branches[k]
		i := br.elem
		pull := s.weight[k] - (of(br.ga) - of(br.gb))
		switch {
		case br.load == ConstantCurrent:
			s.ohms[i] = pull
		case br.load == ConstantPower:
			s.ohms[i] = pull / (w.volts[br.a] - w.volts[br.b])
		default:
			s.ohms[i] = -pull * w.amps[i] / w.ohms[i]
			s.emf[i] = -pull * w.g[k]
		}
		s.node[br.a] += s.slack[k] * pull
		s.node[br.b] -= s.slack[k] * pull
	}
	for i := len(w.c.rigid) - 1; i >= 0; i-- {
		r := &w.c.rigid[i]
		s.emf[r.elem] = r.sign * s.node[r.child]
		s.node[r.parent] += s.node[r.child]
	}
}
