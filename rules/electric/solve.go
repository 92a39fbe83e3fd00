package electric

import (
	"errors"
	"fmt"
	"math"
)

// Solve works out all voltages and currents of the assumed state.
//
// The straight part of the network (wires, contacts, rails, resistances) is
// one symmetric positive definite matrix. Loads of constant power are followed
// by Newton's method from the voltages without load, the upper side, where the
// matrix stays positive definite as long as the operating point is stable. If
// Newton leaves that side, the loads are raised bit by bit instead; where even
// that ends, the voltage collapses and Solve returns a [*CollapseError] that
// names the load. After an error the readings are not to be used.
func (w *Workspace) Solve() error {
	w.prepare()
	if err := w.noLoad(); err != nil {
		return err
	}
	if !w.newton(1) {
		if err := w.raise(); err != nil {
			return err
		}
	}
	w.readCurrents()
	return finite("the state of the network", w.DeliveredWatts(), w.LossWatts())
}

// prepare works out what does not change during Newton's method.
func (w *Workspace) prepare() {
	c := w.c
	w.scale = 0
	clear(w.offset)
	for i := range c.rigid {
		r := &c.rigid[i]
		w.offset[r.child] = w.offset[r.parent] + r.sign*w.emf[r.elem]
	}
	for _, v := range w.emf {
		w.scale = max(w.scale, v)
	}
	clear(w.baseD)
	clear(w.baseL)
	for _, i := range c.straight {
		br := &c.branches[i]
		w.g[i], w.e[i] = 0, w.emf[br.elem]
		if !w.open[br.elem] {
			w.g[i] = 1 / w.ohms[br.elem]
			w.stamp(br, w.g[i], w.baseD, w.baseL)
		}
	}
}

// stamp adds a conductance between the two groups of a branch.
func (w *Workspace) stamp(br *branch, g float64, d, l []float64) {
	if br.ga == br.gb {
		return
	}
	if br.ga >= 0 {
		d[br.ga] += g
	}
	if br.gb >= 0 {
		d[br.gb] += g
	}
	if br.off >= 0 {
		l[br.off] -= g
	}
}

// spread sets every node's voltage from the unknowns.
func (w *Workspace) spread() {
	for i, g := range w.c.group {
		v := w.offset[i]
		if g >= 0 {
			v += w.x[g]
		}
		w.volts[i] = v
	}
}

// noLoad solves with every constant load at zero.
func (w *Workspace) noLoad() error {
	clear(w.x)
	w.spread()
	if k := w.linearise(0); k >= 0 {
		return w.floatError(k)
	}
	w.c.pattern.solve(w.d, w.l, w.step)
	copy(w.x, w.step)
	w.spread()
	copy(w.idle, w.volts)
	for _, i := range w.c.constant {
		br := &w.c.branches[i]
		if w.draws(br) && w.volts[br.a]-w.volts[br.b] <= 0 {
			return inputErrorf("load", w.c.net.elements[br.elem].name,
				"gets %.2f V: swap its plus and its minus, or connect them to different rails", w.volts[br.a]-w.volts[br.b])
		}
	}
	return nil
}

// draws says that a load of constant power or current is at work.
func (w *Workspace) draws(br *branch) bool { return !w.open[br.elem] && w.ohms[br.elem] > 0 }

// floatError names an element on the node that nothing holds.
func (w *Workspace) floatError(k int) error {
	for i := range w.c.branches {
		if br := &w.c.branches[i]; int(br.ga) == k || int(br.gb) == k {
			e := &w.c.net.elements[br.elem]
			return inputErrorf(e.kind.String(), e.name, "hangs on wiring whose every other end is open: leave one way to the supply closed")
		}
	}
	return errors.New("part of the wiring floats: leave one way to the supply closed")
}

// linearise builds the matrix and the negative imbalance of currents at the
// present voltages, loads at a share of their figures, and factors the matrix.
// It returns -1, or the unknown at which the matrix is not positive definite.
func (w *Workspace) linearise(share float64) int {
	c := w.c
	copy(w.d, w.baseD)
	copy(w.l, w.baseL)
	copy(w.own, w.baseD)
	clear(w.step)
	for _, i := range c.straight {
		br := &c.branches[i]
		w.unbalance(br, (w.volts[br.a]-w.volts[br.b]-w.e[i])*w.g[i])
	}
	if share > 0 {
		for _, i := range c.constant {
			br := &c.branches[i]
			if !w.draws(br) {
				continue
			}
			amps := share * w.ohms[br.elem]
			if br.load == ConstantPower {
				v := w.volts[br.a] - w.volts[br.b]
				amps /= v
				w.stamp(br, -amps/v, w.d, w.l)
			}
			w.unbalance(br, amps)
		}
	}
	return c.pattern.factor(w.d, w.l, w.own)
}

// unbalance takes a branch's current out of one group and into the other.
func (w *Workspace) unbalance(br *branch, amps float64) {
	if br.ga == br.gb {
		return // it flows within one group
	}
	if br.ga >= 0 {
		w.step[br.ga] -= amps
	}
	if br.gb >= 0 {
		w.step[br.gb] += amps
	}
}

// Newton's method ends when what the next step would change is below
// settledShare of the rail voltage. It also ends when rounding keeps the steps
// from shrinking further below roundingShare.
const (
	mostSteps     = 40
	settledShare  = 1e-12
	roundingShare = 1e-7
)

// newton goes from the present unknowns to the solution at a share of the
// loads. It reports false when it leaves the stable side or does not settle.
func (w *Workspace) newton(share float64) bool {
	before := 0.0
	for range mostSteps {
		if w.linearise(share) >= 0 {
			return false
		}
		w.c.pattern.solve(w.d, w.l, w.step)
		change := 0.0
		for i, dv := range w.step {
			w.x[i] += dv
			change = max(change, math.Abs(dv))
		}
		w.spread()
		if math.IsNaN(change) || !w.upright() {
			return false
		}
		// Newton's steps shrink by the square of the last shrinking; the very
		// first has nothing to be compared with
		next := change * (change / before) * (change / before)
		if change <= settledShare*w.scale || (before > 0 && next <= settledShare*w.scale) ||
			(before > 0 && change > before/2 && change <= roundingShare*w.scale) {
			return true
		}
		before = change
	}
	return false
}

// upright says that every constant load still has a voltage above zero.
func (w *Workspace) upright() bool {
	for _, i := range w.c.constant {
		if br := &w.c.branches[i]; w.draws(br) && !(w.volts[br.a]-w.volts[br.b] > 0) {
			return false
		}
	}
	return true
}

// finestShare is how closely the share at which a network collapses is found.
const finestShare = 1e-4

// raise reaches the full loads by way of smaller ones.
func (w *Workspace) raise() error {
	for i, g := range w.c.group {
		if g >= 0 {
			w.keep[g] = w.idle[i] - w.offset[i]
		}
	}
	reached, stride := 0.0, 0.25
	for reached < 1 {
		copy(w.x, w.keep)
		w.spread()
		next := min(1, reached+stride)
		if w.newton(next) {
			reached = next
			copy(w.keep, w.x)
			continue
		}
		if stride /= 2; stride < finestShare {
			copy(w.x, w.keep)
			w.spread()
			return w.collapse(reached)
		}
	}
	return nil
}

// collapse names the load whose voltage fell furthest at the last share that
// could be carried.
func (w *Workspace) collapse(share float64) error {
	least, name, volts := math.Inf(1), "", 0.0
	for _, i := range w.c.constant {
		br := &w.c.branches[i]
		if !w.draws(br) {
			continue
		}
		v := w.volts[br.a] - w.volts[br.b]
		if left := v / (w.idle[br.a] - w.idle[br.b]); left < least {
			least, name, volts = left, w.c.net.elements[br.elem].name, v
		}
	}
	if name == "" {
		return fmt.Errorf("the network did not settle: check the resistances of its cables and contacts")
	}
	return &CollapseError{Load: name, Share: share, Volts: volts}
}

// readCurrents works out every element's current from the voltages; currents
// in elements without resistance follow from what flows out of their nodes.
func (w *Workspace) readCurrents() {
	c := w.c
	clear(w.outflow)
	for _, i := range c.straight {
		br := &c.branches[i]
		w.carry(br, (w.volts[br.a]-w.volts[br.b]-w.e[i])*w.g[i])
	}
	for _, i := range c.constant {
		br := &c.branches[i]
		amps := 0.0
		if w.draws(br) {
			amps = w.ohms[br.elem]
			if br.load == ConstantPower {
				amps /= w.volts[br.a] - w.volts[br.b]
			}
		}
		w.carry(br, amps)
	}
	w.peel(w.amps)
}

// carry notes a branch's current.
func (w *Workspace) carry(br *branch, amps float64) {
	w.amps[br.elem] = amps
	w.outflow[br.a] += amps
	w.outflow[br.b] -= amps
}

// peel empties the trees of rigid elements from their leaves: what flows out
// of a leaf's branches flows into it through its rigid element.
func (w *Workspace) peel(amps []float64) {
	for i := len(w.c.rigid) - 1; i >= 0; i-- {
		r := &w.c.rigid[i]
		amps[r.elem] = -r.sign * w.outflow[r.child]
		w.outflow[r.parent] += w.outflow[r.child]
	}
}
