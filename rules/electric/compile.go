package electric

import "fmt"

// branch is an element with resistance, or a load, ready for stamping.
type branch struct {
	a, b   int32 // nodes
	ga, gb int32 // unknowns of the nodes' groups; -1 for the return's group
	off    int32 // slot of the off-diagonal entry; -1 when there is none
	elem   int32
	load   LoadKind // 0 for rails, conductors and contacts
}

// rigidEdge is an element without resistance in the tree of its group: the
// child stands at the parent's voltage plus sign times the element's.
type rigidEdge struct {
	child, parent int32
	elem          int32
	sign          float64 // +1 when the child is the element's a end
}

// Circuit is a network whose structure is worked out: nodes that nothing
// separates merged into groups, the order of elimination and every index of
// the factorisation fixed. It does not change and can be shared.
type Circuit struct {
	net      *Network
	group    []int32     // node -> unknown, -1 for the return's group
	rigid    []rigidEdge // parents before children
	branches []branch
	straight []int32 // branches whose current is straight in their voltage
	constant []int32 // the others: loads of constant power or current
	branchOf []int32 // element -> branch, -1 for a rigid element
	rigidOf  []int32 // element -> rigid edge, -1 otherwise
	ohms     []Range // element -> resistance range, floor applied
	pattern  pattern
}

// Compile checks the network and fixes its structure. Its error joins all that
// is wrong with single elements, or else is the first thing wrong with how
// they are connected; each sentence names the element. The network must not be
// added to afterwards.
func (n *Network) Compile() (*Circuit, error) {
	if err := n.faultsOf(); err != nil {
		return nil, err
	}
	if err := n.checkAdapters(); err != nil {
		return nil, err
	}
	if err := n.checkFeeds(); err != nil {
		return nil, err
	}
	c := &Circuit{net: n, branchOf: filled(len(n.elements)), rigidOf: filled(len(n.elements))}
	if err := c.merge(); err != nil {
		return nil, err
	}
	unknowns := c.makeBranches()
	if err := c.checkFloating(unknowns); err != nil {
		return nil, err
	}
	c.eliminate(unknowns)
	return c, nil
}

func filled(n int) []int32 {
	s := make([]int32, n)
	for i := range s {
		s[i] = -1
	}
	return s
}

// merge finds the groups of nodes that elements without resistance hold
// together, and refuses loops of such elements, in which no current is
// determined.
func (c *Circuit) merge() error {
	n := c.net
	groups := newIslands(len(n.nodes))
	var rigid []int
	for i := range n.elements {
		if !n.rigid(i) {
			continue
		}
		rigid = append(rigid, i)
		if e := &n.elements[i]; !groups.join(e.a, e.b) {
			return n.loopError(rigid, i)
		}
	}
	c.layRigid(rigid)
	c.group = filled(len(n.nodes))
	next := int32(0)
	of := filled(len(n.nodes))
	for i := range n.nodes {
		lead := groups.of(Node(i))
		if lead == 0 {
			continue // stays -1, the return's group
		}
		if of[lead] < 0 {
			of[lead] = next
			next++
		}
		c.group[i] = of[lead]
	}
	return nil
}

// layRigid orders the rigid elements from each group's first node outwards.
func (c *Circuit) layRigid(rigid []int) {
	if len(rigid) == 0 {
		return
	}
	n := c.net
	touch := make([][]int, len(n.nodes))
	for _, i := range rigid {
		e := &n.elements[i]
		touch[e.a] = append(touch[e.a], i)
		touch[e.b] = append(touch[e.b], i)
	}
	seen := make([]bool, len(n.nodes))
	var queue []int32
	for root := range n.nodes {
		if seen[root] || len(touch[root]) == 0 {
			continue
		}
		seen[root] = true
		queue = append(queue[:0], int32(root))
		for at := 0; at < len(queue); at++ {
			parent := queue[at]
			for _, i := range touch[parent] {
				e := &n.elements[i]
				child, sign := int32(e.a), 1.0
				if child == parent {
					child, sign = int32(e.b), -1
				}
				if seen[child] {
					continue
				}
				seen[child] = true
				c.rigidOf[i] = int32(len(c.rigid))
				c.rigid = append(c.rigid, rigidEdge{child, parent, int32(i), sign})
				queue = append(queue, child)
			}
		}
	}
}

// makeBranches lists what is not rigid, and returns the number of unknowns.
func (c *Circuit) makeBranches() int {
	n := c.net
	c.ohms = make([]Range, len(n.elements))
	c.branches = make([]branch, 0, len(n.elements)-len(c.rigid))
	for i := range n.elements {
		e := &n.elements[i]
		r := e.ohms
		if e.kind == conductorElement {
			r = e.wire.resistance(n.metal)
		}
		c.ohms[i] = r.greater(Exactly(floorOhms))
		if c.rigidOf[i] >= 0 {
			continue
		}
		c.branchOf[i] = int32(len(c.branches))
		if e.kind == loadElement && e.load != Resistance {
			c.constant = append(c.constant, c.branchOf[i])
		} else {
			c.straight = append(c.straight, c.branchOf[i])
		}
		c.branches = append(c.branches, branch{
			a: int32(e.a), b: int32(e.b), ga: c.group[e.a], gb: c.group[e.b], off: -1, elem: int32(i), load: e.load})
	}
	unknowns := int32(-1)
	for _, g := range c.group {
		unknowns = max(unknowns, g)
	}
	return int(unknowns) + 1
}

// checkFloating refuses wiring from which nothing but loads leads to the
// return: its voltage would be anything.
func (c *Circuit) checkFloating(unknowns int) error {
	held := newIslands(unknowns + 1) // shifted by one: 0 is the return's group
	for _, br := range c.branches {
		if br.load == 0 || br.load == Resistance {
			held.join(Node(br.ga+1), Node(br.gb+1))
		}
	}
	for node, g := range c.group {
		if held.of(Node(g+1)) == 0 {
			continue
		}
		for i := range c.net.elements {
			if e := &c.net.elements[i]; int(e.a) == node || int(e.b) == node {
				return inputErrorf(e.kind.String(), e.name,
					"floats: nothing leads from its node %q to the return of a supply; connect it or leave it out", c.net.nodes[node])
			}
		}
		return fmt.Errorf("node %q is connected to nothing: connect it or leave it out", c.net.nodes[node])
	}
	return nil
}

// eliminate fixes the order of elimination and renumbers the unknowns by it.
func (c *Circuit) eliminate(unknowns int) {
	edges := make([][2]int32, 0, len(c.branches))
	for _, br := range c.branches {
		if br.ga >= 0 && br.gb >= 0 && br.ga != br.gb {
			edges = append(edges, [2]int32{br.ga, br.gb})
		}
	}
	var place []int32
	c.pattern, place = newPattern(unknowns, edges)
	for i, g := range c.group {
		if g >= 0 {
			c.group[i] = place[g]
		}
	}
	for i := range c.branches {
		br := &c.branches[i]
		br.ga, br.gb = c.group[br.a], c.group[br.b]
		if br.ga >= 0 && br.gb >= 0 && br.ga != br.gb {
			br.off = c.pattern.slot(br.ga, br.gb)
		}
	}
}

// Nodes is the number of nodes, the return among them.
func (c *Circuit) Nodes() int { return len(c.net.nodes) }

// Unknowns is the number of voltages that are solved for after merging.
func (c *Circuit) Unknowns() int { return c.pattern.n }

// Name is the name that an element was added under.
func (c *Circuit) Name(e Element) string { return c.net.elements[e].name }
