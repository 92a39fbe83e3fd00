package assembly

import (
	"fmt"
	"strings"
)

// MaxSteps is how many steps a plan may have.
const MaxSteps = 64

// Step is one thing to put in or to do.
type Step struct {
	// Name is for sentences.
	Name string
	// Rank is its place by custom: of steps that may come next, the one of the
	// least rank does, then the one that is named first.
	Rank int
	// Ways are the straight ways in. None: nothing bars it. With some, it can be
	// done while at least one of them is free.
	Ways []Way
}

// Way is one way in.
type Way struct {
	// Name is for sentences, such as "through the left side".
	Name string
	// Barred are the steps after which the way is no longer free.
	Barred []int
}

// Relation says that one step comes before another.
type Relation struct {
	// First and Then are places in the list of steps.
	First, Then int
	// Why is for sentences: "the plate lies behind the board".
	Why string
	// Undo is what it costs to do them the other way round: what has been done
	// must be opened again. 0: it cannot be done at all.
	Undo int
	// Order holds for relations about the work only: Then need not come out to
	// reach First later.
	Order bool
}

// Plan is what is to be put together.
type Plan struct {
	Steps     []Step
	Relations []Relation
}

// Sequence is an order of assembly.
type Sequence struct {
	// Order are the steps, first to last.
	Order []int
	// Reopened are the relations that are broken, by their places in the plan, and
	// Cost the sum of what that costs.
	Reopened []int
	Cost     int
	// Exact tells that no order costs less. It is false only where more steps than
	// can be searched depend on each other all round.
	Exact bool
}

// CycleError tells that nothing can be the first of some steps, because each has
// to come before the next, round in a circle.
type CycleError struct {
	// Steps are the circle; each comes before the one after it, the last before
	// the first.
	Steps []int
	// Names and Whys go with them.
	Names, Whys []string
}

// Error tells the circle.
func (e *CycleError) Error() string {
	var b strings.Builder
	b.WriteString("these cannot be put together in any order: ")
	for i, name := range e.Names {
		if i > 0 {
			b.WriteString("; ")
		}
		fmt.Fprintf(&b, "%s before %s, because %s", name, e.Names[(i+1)%len(e.Names)], e.Whys[i])
	}
	b.WriteString("; take one of them out of the plan")
	return b.String()
}

// check refuses what is no plan.
func (p *Plan) check() error {
	n := len(p.Steps)
	if n > MaxSteps {
		return fmt.Errorf("a plan of %d steps is more than the %d that are put in order; join some", n, MaxSteps)
	}
	for i, r := range p.Relations {
		if r.First < 0 || r.First >= n || r.Then < 0 || r.Then >= n || r.Undo < 0 || r.Undo > 1_000_000 {
			return fmt.Errorf("relation %d joins steps %d and %d at %d; steps count from 0 to %d and costs from 0 to 1000000",
				i+1, r.First, r.Then, r.Undo, n-1)
		}
	}
	for i, s := range p.Steps {
		for _, w := range s.Ways {
			for _, b := range w.Barred {
				if b < 0 || b >= n || b == i {
					return fmt.Errorf("the way of step %d (%s) is barred by step %d; steps count from 0 to %d, and none bars itself",
						i+1, s.Name, b, n-1)
				}
			}
		}
	}
	return nil
}

// set is a set of steps.
type set uint64

func (s set) has(i int) bool { return s>>uint(i)&1 != 0 }
func single(i int) set       { return 1 << uint(i) }

// net is a plan made ready: for each step what must come before it, what bars each
// of its ways, and what custom puts before it.
type net struct {
	plan  *Plan
	must  []set   // steps that must come before
	bars  [][]set // by way; nil: nothing bars it
	early [][]int // relations by custom whose First is the step
	arcs  []set   // steps that are to come after, for whatever reason
	firm  []set   // steps that must come after
}

func (p *Plan) net() *net {
	n := &net{plan: p, must: make([]set, len(p.Steps)), bars: make([][]set, len(p.Steps)),
		early: make([][]int, len(p.Steps)), arcs: make([]set, len(p.Steps)), firm: make([]set, len(p.Steps))}
	for i, r := range p.Relations {
		n.arcs[r.First] |= single(r.Then)
		if r.Undo == 0 {
			n.must[r.Then] |= single(r.First)
			n.firm[r.First] |= single(r.Then)
		} else {
			n.early[r.First] = append(n.early[r.First], i)
		}
	}
	for i := range p.Steps {
		n.bars[i] = p.Steps[i].bars()
		for _, b := range n.bars[i] {
			n.arcs[i] |= b
			n.firm[i] |= b
		}
	}
	return n
}

// bars are what bars each way; nil where one is always free.
func (s *Step) bars() (bars []set) {
	for _, w := range s.Ways {
		var b set
		for _, i := range w.Barred {
			b |= single(i)
		}
		if b == 0 {
			return nil
		}
		bars = append(bars, b)
	}
	return bars
}

// open reports whether a step has a way in beside what is in already.
func (n *net) open(step int, in set) bool {
	if len(n.bars[step]) == 0 {
		return true
	}
	for _, b := range n.bars[step] {
		if b&in == 0 {
			return true
		}
	}
	return false
}

// may reports whether a step can be done next.
func (n *net) may(step int, in set) bool { return n.must[step]&^in == 0 && n.open(step, in) }

// cost is what a step costs by the customs that it breaks.
func (n *net) cost(step int, in set) (cost int) {
	for _, i := range n.early[step] {
		if r := &n.plan.Relations[i]; in.has(r.Then) {
			cost += r.Undo
		}
	}
	return cost
}
