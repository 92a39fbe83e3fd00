package route

import (
	"math"
	"slices"
	"sync"

	"slipfit.example/rules/geometry"
)

const (
	// coarseNodes and fineNodes are how many points the edges are cut into at first and later.
	coarseNodes, fineNodes = 500, 1500
	// nearNodes and nearFine are the same where only what is near a way has edges: so they lie about as close.
	nearNodes, nearFine = 80, 300
	// rounds is how often the way may be looked for anew, on finer points among ever fewer edges.
	rounds = 6
	// enough ends the rounds: an improvement below one part in ten thousand.
	enough = 1e-4
	// unlimited is the limit that nothing reaches.
	unlimited = math.MaxFloat64
	// finest is the smallest distance of points in mm.
	finest = 0.25
)

// node is a point that a way may bend at.
type node struct {
	at geometry.Vec
	// edge is the index of its edge, -1 for terminals and points in channels.
	edge int
}

// search looks for the cheapest way over a set of nodes: A* with the straight distance as what is left.
type search struct {
	s     *scene
	edges []edge
	nodes []node
	// slack is how far nodes lie apart: the tightness of a bend is judged with it.
	slack float64
	// cost is that of the way to each node, left the distance from it to the goal.
	cost, left []float64
	parent     []int32
	closed     []bool
	queue      frontier
}

// searches are kept with their memory for the next one.
var searches = sync.Pool{New: func() any { return new(search) }}

// begin makes a search ready for some edges of a scene.
func (q *search) begin(s *scene, edges []edge) *search {
	*q = search{s: s, edges: edges, nodes: q.nodes[:0], cost: q.cost[:0], left: q.left[:0], parent: q.parent[:0],
		closed: q.closed[:0], queue: q.queue[:0]}
	return q
}

// leave hands the search's memory on.
func (q *search) leave() {
	q.begin(nil, nil)
	searches.Put(q)
}

// shortest returns the points of the shortest way between two clear points that costs less than a limit, nil if there is
// none. Below unlimited nil may also come of points that are too coarse.
func (s *scene) shortest(from, to geometry.Vec, limit float64) []geometry.Vec {
	if s.weight == 1 && s.clear(from, to) {
		return []geometry.Vec{from, to}
	}
	all := s.edges()
	best, bestCost := []node(nil), limit
	budget, fine := coarseNodes, fineNodes
	if limit < unlimited {
		budget, fine = nearNodes, nearFine
	}
	used := searches.Get().(*search)
	defer used.leave()
	for range rounds {
		q := used.begin(s, within(all, from, to, bestCost))
		q.sample(from, to, budget, bestCost)
		path := q.run(bestCost)
		budget = fine
		if path == nil {
			// With a way at hand, finer points bring nothing. Without one, ask whether there is any.
			if best != nil {
				break
			}
			if limit < unlimited || !s.connected(from, to, nil) {
				return nil
			}
			continue
		}
		path = q.tighten(path)
		c := s.pathCost(path)
		done := best != nil && c > bestCost*(1-enough)
		if c < bestCost {
			best, bestCost = path, c
		}
		if done {
			break
		}
	}
	if best == nil {
		best = s.fallback(from, to)
	}
	out := make([]geometry.Vec, len(best))
	for i := range best {
		out[i] = best[i].at
	}
	return out
}

// within returns the edges that a way cheaper than the limit can touch: no cost is below the length.
func within(all []edge, from, to geometry.Vec, limit float64) []edge {
	var out []edge
	for i := range all {
		if all[i].distance(from)+all[i].distance(to) < limit {
			out = append(out, all[i])
		}
	}
	return out
}

// distance returns the distance of a point from the edge.
func (e *edge) distance(p geometry.Vec) float64 {
	return e.at(min(max(p[e.axis], e.lo), e.hi)).Dist(p)
}

// sample fills the nodes: both terminals first, then points on the edges, then points in the channels.
func (q *search) sample(from, to geometry.Vec, budget int, limit float64) {
	q.nodes = append(q.nodes, node{from, -1}, node{to, -1})
	total := 0.0
	for i := range q.edges {
		total += q.edges[i].hi - q.edges[i].lo
	}
	step := max(total/float64(budget), finest)
	for i := range q.edges {
		e := &q.edges[i]
		n := int(math.Ceil((e.hi - e.lo) / step))
		within := e.within(from, to, limit)
		for j := range n + 1 {
			x := e.lo
			if n > 0 {
				x += (e.hi - e.lo) * float64(j) / float64(n)
			}
			if within.holds(x) {
				q.nodes = append(q.nodes, node{e.at(x), i})
			}
		}
	}
	q.slack = step
	q.sampleChannels()
}

// channelSteps is how many stretches each side of a channel's faces is cut into.
const channelSteps = 6

// sampleChannels adds a grid of clear points on the faces of the channels, where a way enters and leaves them.
func (q *search) sampleChannels() {
	for _, c := range q.s.channels {
		for k := range c.lo {
			c.lo[k], c.hi[k] = max(c.lo[k], q.s.lo[k]), min(c.hi[k], q.s.hi[k])
		}
		if c.lo[0] >= c.hi[0] || c.lo[1] >= c.hi[1] || c.lo[2] >= c.hi[2] {
			continue
		}
		for i := range channelSteps + 1 {
			for j := range channelSteps + 1 {
				for k := range channelSteps + 1 {
					if i%channelSteps != 0 && j%channelSteps != 0 && k%channelSteps != 0 {
						continue
					}
					f := geometry.Vec{float64(i), float64(j), float64(k)}
					p := c.lo
					for a := range p {
						p[a] += (c.hi[a] - c.lo[a]) * f[a] / channelSteps
					}
					if q.s.free(p) {
						q.nodes = append(q.nodes, node{p, -1})
					}
				}
			}
		}
	}
}

func (s *scene) free(p geometry.Vec) bool {
	for i := range s.solids {
		if s.solids[i].contains(p) {
			return false
		}
	}
	return s.inRoom(p)
}

// leans reports whether a way can bend tightly on a node's edge when it goes on along d: seen along the edge it has to
// run beside one of the two faces, not away from both and not into both.
func (q *search) leans(n *node, d *geometry.Vec) bool {
	if n.edge < 0 {
		return true
	}
	e := &q.edges[n.edge]
	a, b := d[e.u]*e.su, d[e.v]*e.sv
	return !(a > q.slack && b > q.slack) && !(a < -q.slack && b < -q.slack)
}

// run returns the cheapest way below a limit from node 0 to node 1, nil if there is none.
func (q *search) run(limit float64) []node {
	n := len(q.nodes)
	q.cost, q.left, q.parent, q.closed = slices.Grow(q.cost, n)[:n], slices.Grow(q.left, n)[:n], slices.Grow(q.parent, n)[:n], slices.Grow(q.closed, n)[:n]
	for i := range q.nodes {
		q.cost[i], q.left[i], q.closed[i] = math.MaxFloat64, q.nodes[i].at.Dist(q.nodes[1].at), false
	}
	q.cost[0] = 0
	q.queue.push(entry{q.left[0], 0})
	for len(q.queue) > 0 {
		at := q.queue.pop().node
		if q.closed[at] {
			continue
		}
		if at == 1 {
			return q.path()
		}
		q.closed[at] = true
		q.expand(at, limit)
	}
	return nil
}

// expand offers the way to a node to all nodes in sight. The cheap tests come first: most nodes are too far to gain.
func (q *search) expand(at int32, limit float64) {
	p, spent := &q.nodes[at], q.cost[at]
	for j := range q.nodes {
		if q.closed[j] {
			continue
		}
		// No cost is below the length, so a length above this gains nothing.
		most := min(q.cost[j], limit-q.left[j]) - spent
		if most <= 0 {
			continue
		}
		r := &q.nodes[j]
		d := r.at.Sub(p.at)
		square := d.Dot(d)
		if square >= most*most || !q.leans(p, &d) {
			continue
		}
		back := geometry.Vec{-d[0], -d[1], -d[2]}
		if !q.leans(r, &back) {
			continue
		}
		cost := 0.0
		if q.s.weight == 1 {
			cost = math.Sqrt(square)
		} else if cost = q.s.cost(p.at, r.at); cost >= most {
			continue
		}
		if !q.s.clear(p.at, r.at) {
			continue
		}
		q.cost[j], q.parent[j] = spent+cost, at
		q.queue.push(entry{spent + cost + q.left[j], int32(j)})
	}
}

func (q *search) path() []node {
	var rev []node
	for at := int32(1); ; at = q.parent[at] {
		rev = append(rev, q.nodes[at])
		if at == 0 {
			break
		}
	}
	for i, j := 0, len(rev)-1; i < j; i, j = i+1, j-1 {
		rev[i], rev[j] = rev[j], rev[i]
	}
	return rev
}

func (s *scene) pathCost(path []node) float64 {
	c := 0.0
	for i := 1; i < len(path); i++ {
		c += s.cost(path[i-1].at, path[i].at)
	}
	return c
}

// entry is a node to be looked at, by the least that a way through it can cost.
type entry struct {
	total float64
	node  int32
}

// before orders entries; equal totals go by node, so that the way does not depend on chance.
func (e entry) before(o entry) bool {
	return e.total < o.total || (e.total == o.total && e.node < o.node)
}

// frontier is a binary heap of entries, the first one on top.
type frontier []entry

func (f *frontier) push(e entry) {
	h := append(*f, e)
	i := len(h) - 1
	for i > 0 && e.before(h[(i-1)/2]) {
		h[i] = h[(i-1)/2]
		i = (i - 1) / 2
	}
	h[i] = e
	*f = h
}

func (f *frontier) pop() entry {
	h := *f
	top, last := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	i := 0
	for {
		c := 2*i + 1
		if c >= len(h) {
			break
		}
		if c+1 < len(h) && h[c+1].before(h[c]) {
			c++
		}
		if !h[c].before(last) {
			break
		}
		h[i] = h[c]
		i = c
	}
	if len(h) > 0 {
		h[i] = last
	}
	*f = h
	return top
}
