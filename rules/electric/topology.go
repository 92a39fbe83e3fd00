package electric

import (
	"slices"
	"strings"
)

// islands is a union of nodes that are joined by some kinds of element.
type islands []int32

func newIslands(n int) islands {
	s := make(islands, n)
	for i := range s {
		s[i] = int32(i)
	}
	return s
}

func (s islands) of(n Node) int32 {
	i := int32(n)
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

// join makes one island of two and reports false when they were one already.
func (s islands) join(a, b Node) bool {
	i, j := s.of(a), s.of(b)
	if i == j {
		return false
	}
	// the lower number leads, so that the return's island stays number 0
	s[max(i, j)] = min(i, j)
	return true
}

// checkAdapters refuses adapters that feed each other in a ring. Contacts are
// looked through; cables are not, because return wires of different cables
// meet at both ends.
func (n *Network) checkAdapters() error {
	if len(n.legs) == 0 {
		return nil
	}
	plugs := newIslands(len(n.nodes))
	for i := range n.elements {
		if e := &n.elements[i]; e.kind == contactElement {
			plugs.join(e.a, e.b)
		}
	}
	// depth-first search; state 1 is on the path, 2 is done
	state := make([]uint8, len(n.nodes))
	var path []string
	var visit func(at int32) bool
	visit = func(at int32) bool {
		state[at] = 1
		for _, leg := range n.legs {
			if plugs.of(leg.in) != at {
				continue
			}
			path = append(path, leg.name)
			to := plugs.of(leg.out)
			if state[to] == 1 || (state[to] == 0 && visit(to)) {
				return true
			}
			path = path[:len(path)-1]
		}
		state[at] = 2
		return false
	}
	for _, leg := range n.legs {
		at := plugs.of(leg.in)
		if state[at] == 0 && visit(at) {
			last := path[len(path)-1]
			return inputErrorf("adapter", last, "feeds back into its own supply side through %s: plug the first of them into the supply",
				strings.Join(quoted(slices.Compact(path)), ", "))
		}
	}
	return nil
}

func quoted(names []string) []string {
	out := make([]string, len(names))
	for i, s := range names {
		out[i] = `"` + s + `"`
	}
	return out
}

// checkFeeds refuses loads that no rail feeds: both ends on the same wiring, or
// an end on wiring that no rail leads to the return.
func (n *Network) checkFeeds() error {
	wiring := newIslands(len(n.nodes))
	for i := range n.elements {
		if e := &n.elements[i]; e.kind == conductorElement || e.kind == contactElement {
			wiring.join(e.a, e.b)
		}
	}
	fed := slices.Clone(wiring)
	for i := range n.elements {
		if e := &n.elements[i]; e.kind == railElement {
			fed.join(e.a, e.b)
		}
	}
	for i := range n.elements {
		e := &n.elements[i]
		if e.kind != loadElement {
			continue
		}
		if wiring.of(e.a) == wiring.of(e.b) {
			return inputErrorf("load", e.name, "has no rail: the same wiring holds both its ends; connect its plus to a rail")
		}
		for _, end := range [2]Node{e.a, e.b} {
			if fed.of(end) != 0 {
				return inputErrorf("load", e.name, "has no rail: nothing leads from node %q to a supply; add the rail and its cable", n.nodes[end])
			}
		}
	}
	return nil
}

// rigid says that an element holds its nodes together without resistance.
func (n *Network) rigid(i int) bool {
	e := &n.elements[i]
	switch e.kind {
	case railElement, contactElement:
		return e.ohms.High < floorOhms
	case conductorElement:
		return e.wire.resistance(n.metal).High < floorOhms
	}
	return false
}

// loopError names the elements of a ring without resistance that the last
// one closes.
func (n *Network) loopError(rigid []int, last int) error {
	// breadth-first from one end of the closing element to the other
	e := &n.elements[last]
	via := make([]int, len(n.nodes))
	seen := make([]bool, len(n.nodes))
	queue := []Node{e.a}
	seen[e.a] = true
	for len(queue) > 0 && !seen[e.b] {
		at := queue[0]
		queue = queue[1:]
		for _, i := range rigid {
			r := &n.elements[i]
			for _, hop := range [2][2]Node{{r.a, r.b}, {r.b, r.a}} {
				if i != last && hop[0] == at && !seen[hop[1]] {
					seen[hop[1]], via[hop[1]] = true, i
					queue = append(queue, hop[1])
				}
			}
		}
	}
	var names []string
	for at := e.b; at != e.a; {
		r := &n.elements[via[at]]
		names = append(names, r.name)
		if at == r.a {
			at = r.b
		} else {
			at = r.a
		}
	}
	return inputErrorf(e.kind.String(), e.name, "closes a loop without any resistance with %s: give the length or the resistance of one of them",
		strings.Join(quoted(names), ", "))
}
