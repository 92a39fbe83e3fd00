package route

import (
	"math"

	"slipfit.example/rules/geometry"
)

// sweeps bounds the passes over a way while its points slide.
const sweeps = 200

// tighten pulls a way tight: it leaves out points that are not needed, slides the others along their edges, and repeats
// that until nothing moves.
func (q *search) tighten(path []node) []node {
	for range 8 {
		before := q.s.pathCost(path)
		path = q.shortcut(path)
		path = q.slide(path)
		q.settle(path)
		if q.s.pathCost(path) > before-1e-9 {
			break
		}
	}
	return q.shortcut(path)
}

// shortcut leaves out points between which there is a clear way that does not cost more.
func (q *search) shortcut(path []node) []node {
	for i := 1; i+1 < len(path); {
		a, b, c := path[i-1].at, path[i].at, path[i+1].at
		if q.s.cost(a, c) <= q.s.cost(a, b)+q.s.cost(b, c)+1e-12 && q.s.clear(a, c) {
			path = append(path[:i:i], path[i+1:]...)
			i = max(1, i-1)
		} else {
			i++
		}
	}
	return path
}

// slide moves the points along their edges to where the length is least. For a given order of edges the length is a
// convex function of the places, so moving one point after the other leads to the least one. Where that would drive a
// stretch through an obstacle, the points go only as far as all stretches stay clear.
func (q *search) slide(path []node) []node {
	moved := append([]node(nil), path...)
	for range sweeps {
		most := 0.0
		for i := 1; i+1 < len(moved); i++ {
			if moved[i].edge < 0 {
				continue
			}
			e := &q.edges[moved[i].edge]
			x := e.rest(moved[i-1].at, moved[i+1].at, moved[i].at[e.axis])
			most = max(most, math.Abs(x-moved[i].at[e.axis]))
			moved[i].at = e.at(x)
		}
		if most < 1e-9 {
			break
		}
	}
	limit := q.s.pathCost(path)
	for share := 1.0; share > 1e-3; share /= 2 {
		trial := append([]node(nil), path...)
		for i := range trial {
			trial[i].at = path[i].at.Add(moved[i].at.Sub(path[i].at).Scale(share))
		}
		if q.s.pathCost(trial) <= limit && q.allClear(trial) {
			return trial
		}
	}
	return path
}

// rest returns where on the edge the way between two points is shortest: both points folded into one plane with the edge.
func (e *edge) rest(a, b geometry.Vec, now float64) float64 {
	da := math.Hypot(a[e.u]-e.base[e.u], a[e.v]-e.base[e.v])
	db := math.Hypot(b[e.u]-e.base[e.u], b[e.v]-e.base[e.v])
	x := now
	if da+db > 1e-12 {
		x = (a[e.axis]*db + b[e.axis]*da) / (da + db)
	} else {
		// Both lie on the edge's line: any place between them will do.
		x = min(max(x, min(a[e.axis], b[e.axis])), max(a[e.axis], b[e.axis]))
	}
	return min(max(x, e.lo), e.hi)
}

func (q *search) allClear(path []node) bool {
	for i := 1; i < len(path); i++ {
		if !q.s.clear(path[i-1].at, path[i].at) {
			return false
		}
	}
	return true
}

// settle moves each point by ever smaller steps as long as the way gets cheaper and stays clear: points on edges along
// their edge, points in channels along every axis. It takes up what sliding all points at once had to leave.
func (q *search) settle(path []node) {
	for step := q.slack; step > 1e-3; step /= 2 {
		for i := 1; i+1 < len(path); i++ {
			for f := geometry.MinX; f < geometry.NoFace; f++ {
				q.nudge(path, i, f, step)
			}
		}
	}
}

// nudge moves one point by a step if that is allowed and pays.
func (q *search) nudge(path []node, i int, f geometry.Face, step float64) {
	n := path[i]
	to := n.at.Add(f.Normal().Scale(step))
	if n.edge >= 0 {
		e := &q.edges[n.edge]
		if f.Axis() != e.axis {
			return
		}
		to = e.at(min(max(to[e.axis], e.lo), e.hi))
	} else if !q.s.free(to) {
		return
	}
	a, b := path[i-1].at, path[i+1].at
	if q.s.cost(a, to)+q.s.cost(to, b) < q.s.cost(a, n.at)+q.s.cost(n.at, b)-1e-9 && q.s.clear(a, to) && q.s.clear(to, b) {
		path[i].at = to
	}
}
