package assembly

import (
	"math/bits"
	"slices"
)

// reachBudget is how many sets of things that are out are looked at before the
// search is content with a set from which nothing can be left in.
const reachBudget = 4000

// Reach tells what has to come out of the finished thing to get at one step's, in
// the order of taking out, and as few as can be. seq is the order that it was put
// together in: of equal sets, what went in last comes out first. It returns nil
// where nothing is in the way, or where the plan cannot be taken apart.
func (p *Plan) Reach(step int, seq Sequence) []int {
	if p.check() != nil || step < 0 || step >= len(p.Steps) || len(seq.Order) != len(p.Steps) {
		return nil
	}
	r := reacher{net: p.net(), step: step, late: slices.Clone(seq.Order)}
	slices.Reverse(r.late)
	r.covers = make([]set, len(p.Steps))
	for _, rel := range p.Relations {
		if !rel.Order {
			r.covers[rel.First] |= single(rel.Then)
		}
	}
	return r.least()
}

// reacher takes things out to get at one.
type reacher struct {
	*net
	step   int
	late   []int // last one in first
	covers []set // what has to come out before the step's own comes out
}

// free reports whether a step's thing can come out while others are in.
func (r *reacher) free(step int, in set) bool { return r.covers[step]&in == 0 && r.open(step, in) }

// least looks at sets of things that are out, the smallest first.
func (r *reacher) least() []int {
	type state struct {
		out  set
		from int
		took int
	}
	near := r.near()
	states := []state{{from: -1, took: -1}}
	seen := map[set]bool{0: true}
	for at := 0; at < len(states); at++ {
		in := r.all() &^ states[at].out &^ single(r.step)
		if r.free(r.step, in) {
			var out []int
			for s := at; states[s].took >= 0; s = states[s].from {
				out = append(out, states[s].took)
			}
			slices.Reverse(out)
			return out
		}
		if len(states) > reachBudget {
			return r.greedy(near)
		}
		for _, s := range r.late {
			if !near.has(s) || !in.has(s) || !r.free(s, in&^single(s)|single(r.step)) {
				continue
			}
			if next := states[at].out | single(s); !seen[next] {
				seen[next] = true
				states = append(states, state{next, at, s})
			}
		}
	}
	return nil
}

// near are the things that can have to do with it: what bars it, what bars those.
func (r *reacher) near() set {
	near := single(r.step)
	for {
		grown := near
		for i := range r.plan.Steps {
			if near.has(i) {
				grown |= r.covers[i]
				for _, b := range r.bars[i] {
					grown |= b
				}
			}
		}
		if grown == near {
			return near &^ single(r.step)
		}
		near = grown
	}
}

// greedy takes out what it can until the thing is free, and then leaves in again
// whatever need not be out.
func (r *reacher) greedy(near set) []int {
	var out []int
	in := r.all() &^ single(r.step)
	for !r.free(r.step, in) {
		before := len(out)
		for _, s := range r.late {
			if near.has(s) && in.has(s) && r.free(s, in&^single(s)|single(r.step)) {
				out, in = append(out, s), in&^single(s)
			}
		}
		if len(out) == before {
			return nil
		}
	}
	for i := len(out) - 1; i >= 0; i-- {
		if rest := slices.Delete(slices.Clone(out), i, i+1); r.works(rest) {
			out = rest
		}
	}
	return out
}

// works reports whether things come out in this order and leave the step's free.
func (r *reacher) works(out []int) bool {
	in := r.all()
	for _, s := range out {
		if !r.free(s, in&^single(s)) {
			return false
		}
		in &^= single(s)
	}
	return bits.OnesCount64(uint64(in)) > 0 && r.free(r.step, in&^single(r.step))
}
