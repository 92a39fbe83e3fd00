package arrange

import (
	"math"
	"math/bits"
)

// counter counts feasible arrangements. Where the variables ahead fall apart into groups that cannot disturb each other,
// it counts each group once and multiplies.
type counter struct {
	*walk
	// linked tells, as a square over variables, which can disturb each other.
	linked []bool
	// parts holds for each depth the variables ahead sorted by group.
	parts [][]int32
	seen  []bool
	// nets holds for each depth the use of the resources while its groups are counted.
	nets [][]int64
	// touches tells for each variable and resource whether an option uses or gives it.
	touches []bool
	// cut is set when the budget ends a count: what has been counted is then a lower bound.
	cut bool
}

func newCounter(m *model, t *tables, meter *meter) *counter {
	nv := len(m.vars)
	c := &counter{walk: newWalk(m, t, meter, nil), linked: make([]bool, nv*nv), parts: make([][]int32, nv+1), seen: make([]bool, nv)}
	nr := len(m.stock)
	c.nets, c.touches = make([][]int64, nv+1), make([]bool, nv*nr)
	for d := range c.parts {
		c.parts[d], c.nets[d] = make([]int32, 0, nv), make([]int64, 0, nr)
	}
	for o := range m.opts {
		for r := range nr {
			if m.net[o*nr+r] != 0 {
				c.touches[int(m.opts[o].v)*nr+r] = true
			}
		}
	}
	c.link()
	return c
}

// link fills linked: pairs of options that exclude each other, conditions, and common resources that can run short.
func (c *counter) link() {
	nv, m := len(c.m.vars), c.m
	scarce := c.scarce()
	for u := range nv {
		for v := u + 1; v < nv; v++ {
			if c.clash(u, v) || c.shareScarce(u, v, scarce) || dependsOn(&m.vars[v], u) {
				c.linked[u*nv+v], c.linked[v*nv+u] = true, true
			}
		}
	}
}

func dependsOn(v *variable, parent int) bool {
	for i := range v.when {
		if v.when[i].parent == parent {
			return true
		}
	}
	return false
}

func (c *counter) clash(u, v int) bool {
	n := c.m.n()
	for a := int(c.m.vars[u].from); a < int(c.m.vars[u].to); a++ {
		for b := int(c.m.vars[v].from); b < int(c.m.vars[v].to); b++ {
			if c.t.pair[a*n+b] < 0 && c.t.unary[a] >= 0 && c.t.unary[b] >= 0 {
				return true
			}
		}
	}
	return false
}

// scarce returns the resources that the greediest choices together would overdraw.
func (c *counter) scarce() []bool {
	nr := len(c.m.stock)
	scarce := make([]bool, nr)
	for r := range nr {
		most := int64(0)
		for i := range c.m.vars {
			v, use := &c.m.vars[i], int64(0)
			for o := int(v.from); o < int(v.to); o++ {
				use = max(use, c.m.net[o*nr+r])
			}
			most += use
		}
		scarce[r] = most > c.t.stock[r]
	}
	return scarce
}

func (c *counter) shareScarce(u, v int, scarce []bool) bool {
	for r, on := range scarce {
		if on && c.touches[u*len(scarce)+r] && c.touches[v*len(scarce)+r] {
			return true
		}
	}
	return false
}

// run returns the number of feasible arrangements, and false if it is only a lower bound because the budget ran out or
// the number is beyond 64 bits.
func (c *counter) run() (uint64, bool) {
	if !c.start() {
		return 0, true
	}
	total := c.count(0, false)
	return total, !c.cut && total != math.MaxUint64
}

// count returns the number of ways to decide the variables ahead of frame d. whole tells that they are one group.
func (c *counter) count(d int, whole bool) uint64 {
	f := &c.frames[d]
	if len(f.ahead) == 0 {
		return 1
	}
	if !whole && len(f.ahead) > 1 {
		if n := c.split(d); n < len(f.ahead) {
			return c.product(d)
		}
	}
	total := uint64(0)
	v := f.ahead[0]
	for o := c.m.vars[v].from; o < c.m.vars[v].to; o++ {
		if f.left[o] < 0 {
			continue
		}
		if !c.meter.step() {
			c.cut = true
			break
		}
		if _, ok := c.advance(d, o); ok {
			total = addSaturated(total, c.count(d+1, false))
		}
	}
	return total
}

// split sorts the variables ahead of frame d by group into parts[d] and returns the size of the first group.
func (c *counter) split(d int) int {
	ahead, nv := c.frames[d].ahead, len(c.m.vars)
	part := c.parts[d][:0]
	for _, v := range ahead {
		c.seen[v] = false
	}
	first := 0
	for _, seed := range ahead {
		if c.seen[seed] {
			continue
		}
		c.seen[seed] = true
		part = append(part, seed)
		for i := len(part) - 1; i < len(part); i++ {
			for _, u := range ahead {
				if !c.seen[u] && c.linked[int(part[i])*nv+int(u)] {
					c.seen[u] = true
					part = append(part, u)
				}
			}
		}
		if first == 0 {
			first = len(part)
		}
	}
	c.parts[d] = part
	return first
}

// product counts the groups of parts[d] one by one. Each group in turn becomes all that is ahead of frame d, and the
// resources that it does not touch are taken as plentiful, because other groups settle them. The frame is spent
// afterwards.
func (c *counter) product(d int) uint64 {
	f, nv := &c.frames[d], len(c.m.vars)
	part, net := c.parts[d], append(c.nets[d][:0], f.net...)
	total := uint64(1)
	for from := 0; from < len(part) && total > 0; {
		to := from + 1
		for to < len(part) && linkedToAny(c.linked, nv, part[from:to], part[to]) {
			to++
		}
		f.ahead = append(f.ahead[:0], part[from:to]...)
		insertionSort(f.ahead)
		for r := range net {
			f.net[r] = -plenty
			for _, v := range f.ahead {
				if c.touches[int(v)*len(net)+r] {
					f.net[r] = net[r]
				}
			}
		}
		// All before the first of the group are decided or in other groups, which this one does not depend on.
		c.recount(f, int(f.ahead[0])-1)
		total = mulSaturated(total, c.count(d, true))
		from = to
	}
	return total
}

func linkedToAny(linked []bool, nv int, group []int32, u int32) bool {
	for _, v := range group {
		if linked[int(v)*nv+int(u)] {
			return true
		}
	}
	return false
}

func insertionSort(s []int32) {
	for i := 1; i < len(s); i++ {
		for j := i; j > 0 && s[j] < s[j-1]; j-- {
			s[j], s[j-1] = s[j-1], s[j]
		}
	}
}

func addSaturated(a, b uint64) uint64 {
	sum, carry := bits.Add64(a, b, 0)
	if carry != 0 {
		return math.MaxUint64
	}
	return sum
}

func mulSaturated(a, b uint64) uint64 {
	high, low := bits.Mul64(a, b)
	if high != 0 {
		return math.MaxUint64
	}
	return low
}
