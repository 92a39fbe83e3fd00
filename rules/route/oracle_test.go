package route

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
	"slipfit.example/rules/geometry"
)

// hut is a small random room: boxes on whole millimetres in a cube, with terminals in opposite corners.
type hut struct {
	room     Room
	from, to Terminal
}

const hutSize = 60

func randomHut(t testing.TB, r *rand.Rand, boxes int) hut {
	h := hut{room: Room{Within: box(t, geometry.Vec{0, 0, 0}, geometry.Vec{hutSize, hutSize, hutSize})}, from: point(3, 3, 3), to: point(57, 57, 57)}
	for range boxes {
		var lo, hi geometry.Vec
		for k := range lo {
			lo[k] = float64(6 + r.IntN(35))
			hi[k] = min(lo[k]+float64(4+r.IntN(40)), 52)
		}
		h.room.Obstacles = append(h.room.Obstacles, Obstacle{"box", box(t, lo, hi)})
	}
	return h
}

// thin is a cable that grows boxes by 1 mm.
var thin = Cable{Diameter: 2}

// blockedAt tells by itself whether a centreline may be at a point, with a hair of play.
func (h *hut) blockedAt(p geometry.Vec, radius float64) bool {
	const hair = 1e-4
	for k := range p {
		if p[k] < radius-hair || p[k] > hutSize-radius+hair {
			return true
		}
	}
	for _, o := range h.room.Obstacles {
		inside := true
		for k := range p {
			inside = inside && p[k] > o.Box.Min()[k]-radius+hair && p[k] < o.Box.Max()[k]+radius-hair
		}
		if inside {
			return true
		}
	}
	return false
}

// seesAt tells whether a stretch is clear, looking four times a millimetre.
func (h *hut) seesAt(p, q geometry.Vec, radius float64) bool {
	n := int(p.Dist(q)*4) + 1
	for i := range n + 1 {
		if h.blockedAt(p.Add(q.Sub(p).Scale(float64(i)/float64(n))), radius) {
			return false
		}
	}
	return true
}

// gridLength is the length of a way over a grid of 3 mm at any angle: a shortest-path search in which a point is reached
// straight from its predecessor's predecessor where that one is in sight (the algorithm Theta*, 2007; from memory). It returns 0 if the grid has no way.
func (h *hut) gridLength(radius float64) float64 {
	const step, n = 3, hutSize/3 + 1
	at := func(i int) geometry.Vec {
		return geometry.Vec{float64(i / (n * n) * step), float64(i / n % n * step), float64(i % n * step)}
	}
	start, goal := (1*n+1)*n+1, (19*n+19)*n+19
	cost, parent, done := make([]float64, n*n*n), make([]int, n*n*n), make([]bool, n*n*n)
	for i := range cost {
		cost[i] = math.Inf(1)
	}
	cost[start], parent[start] = 0, start
	open := []int{start}
	for len(open) > 0 {
		best := 0
		for i := range open {
			if cost[open[i]]+at(open[i]).Dist(at(goal)) < cost[open[best]]+at(open[best]).Dist(at(goal)) {
				best = i
			}
		}
		c := open[best]
		open = slices.Delete(open, best, best+1)
		if done[c] {
			continue
		}
		done[c] = true
		if c == goal {
			return cost[goal]
		}
		for dx := -1; dx <= 1; dx++ {
			for dy := -1; dy <= 1; dy++ {
				for dz := -1; dz <= 1; dz++ {
					x, y, z := c/(n*n)+dx, c/n%n+dy, c%n+dz
					if x < 0 || y < 0 || z < 0 || x >= n || y >= n || z >= n {
						continue
					}
					d := (x*n+y)*n + z
					if done[d] || h.blockedAt(at(d), radius) {
						continue
					}
					from := parent[c]
					if !h.seesAt(at(from), at(d), radius) {
						if from = c; !h.seesAt(at(c), at(d), radius) {
							continue
						}
					}
					if reach := cost[from] + at(from).Dist(at(d)); reach < cost[d] {
						cost[d], parent[d] = reach, from
						open = append(open, d)
					}
				}
			}
		}
	}
	return 0
}

// edgeLength is the length of the shortest way over points every 1.5 mm on all edges of all grown boxes, by plain
// Dijkstra without any pruning. It returns 0 if there is none.
func (h *hut) edgeLength(radius float64) float64 {
	pts := []geometry.Vec{h.from.At, h.to.At}
	for _, o := range h.room.Obstacles {
		lo, hi := o.Box.Min(), o.Box.Max()
		for k := range lo {
			lo[k], hi[k] = lo[k]-radius, hi[k]+radius
		}
		for axis := range 3 {
			n := int(math.Ceil((hi[axis] - lo[axis]) / 1.5))
			for corner := range 4 {
				for i := range n + 1 {
					p := lo
					p[axis] += (hi[axis] - lo[axis]) * float64(i) / float64(n)
					if corner&1 == 1 {
						p[(axis+1)%3] = hi[(axis+1)%3]
					}
					if corner&2 == 2 {
						p[(axis+2)%3] = hi[(axis+2)%3]
					}
					if !h.blockedAt(p, radius) {
						pts = append(pts, p)
					}
				}
			}
		}
	}
	cost, done := make([]float64, len(pts)), make([]bool, len(pts))
	for i := range cost {
		cost[i] = math.Inf(1)
	}
	cost[0] = 0
	for {
		c := -1
		for i := range pts {
			if !done[i] && !math.IsInf(cost[i], 1) && (c < 0 || cost[i] < cost[c]) {
				c = i
			}
		}
		if c < 0 {
			return 0
		}
		if c == 1 {
			return cost[1]
		}
		done[c] = true
		for i := range pts {
			if reach := cost[c] + pts[c].Dist(pts[i]); !done[i] && reach < cost[i] && h.seesAt(pts[c], pts[i], radius) {
				cost[i] = reach
			}
		}
	}
}

func checkWay(t testing.TB, h *hut, r *Route, radius float64) {
	t.Helper()
	length := 0.0
	for i := 1; i < len(r.Points); i++ {
		length += r.Points[i].Dist(r.Points[i-1])
		if !h.seesAt(r.Points[i-1], r.Points[i], radius) {
			t.Fatalf("the stretch %v to %v runs through something", r.Points[i-1], r.Points[i])
		}
	}
	if math.Abs(length-r.Length) > 1e-9 || r.Points[0] != h.from.At || r.Points[len(r.Points)-1] != h.to.At {
		t.Fatalf("length %v mm along %v, reported %v mm", length, r.Points, r.Length)
	}
}

// The way found is clear, so it is never shorter than the shortest one; and it is at most 3 % longer than what two other
// searches find: any-angle over a grid, and over points on edges without pruning.
func TestAgainstOtherSearches(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 13))
	compared, bent, worst := 0, 0, 0.0
	for i := range 30 {
		h := randomHut(t, r, 2+i%9)
		got := find(t, h.room, thin, h.from, h.to)
		grid := h.gridLength(1)
		if got.Blockage != nil {
			if grid > 0 {
				t.Fatalf("hut %d: blocked by %v, the grid has a way of %v mm", i, got.Blockage.Obstacles, grid)
			}
			continue
		}
		checkWay(t, &h, got, 1)
		if len(got.Points) > 3 {
			bent++
		}
		others := []float64{grid}
		if i < 9 {
			others = append(others, h.edgeLength(1))
		}
		for _, other := range others {
			if other == 0 {
				continue
			}
			compared++
			worst = max(worst, got.Length/other)
			if got.Length > other*1.03 {
				t.Errorf("hut %d: %v mm, another search finds %v mm", i, got.Length, other)
			}
		}
	}
	t.Logf("%d comparisons, %d ways with several bends, longest share %.4f", compared, bent, worst)
	if compared < 30 || bent < 5 {
		t.Fatalf("%d comparisons, %d ways with several bends: the sample is too small", compared, bent)
	}
}

// Turning and mirroring the hut, or walking the other way, does not change the length by more than the search's own play,
// and a thicker cable never finds a shorter way.
func TestSymmetries(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		h := randomHut(t, rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 1)), rapid.IntRange(1, 10).Draw(rt, "boxes"))
		a, b := find(t, h.room, thin, h.from, h.to), find(t, h.room, thin, h.to, h.from)
		if (a.Blockage == nil) != (b.Blockage == nil) {
			rt.Fatalf("%+v one way, %+v the other", a.Blockage, b.Blockage)
		}
		if a.Blockage != nil {
			return
		}
		checkWay(t, &h, a, 1)
		if a.Length > b.Length*1.01 || b.Length > a.Length*1.01 {
			rt.Fatalf("%v mm one way, %v mm the other", a.Length, b.Length)
		}
		thick := find(t, h.room, Cable{Diameter: 4}, h.from, h.to)
		if thick.Blockage == nil && thick.Length < a.Length*0.999 {
			rt.Fatalf("%v mm for a thin cable, %v mm for a thick one", a.Length, thick.Length)
		}
		round := find(t, h.room, Cable{Diameter: 2, MinBendRadius: 3}, h.from, h.to)
		if fits := !slices.ContainsFunc(round.Bends, func(b Bend) bool { return !b.Fits }); fits && round.Rounded < round.Length-1e-6 {
			rt.Fatalf("rounded %v mm, tight %v mm", round.Rounded, round.Length)
		}
	})
}

// A blockage is minimal: its boxes alone close the way, and without any one of them there is one.
func TestBlockagesAreMinimal(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 15))
	blocked := 0
	for range 60 {
		h := randomHut(t, r, 3)
		// A cage of six plates round the target, and boxes that have no part in it.
		for k := range 3 {
			for _, at := range []float64{45, 58} {
				lo, hi := geometry.Vec{45, 45, 45}, geometry.Vec{60, 60, 60}
				lo[k], hi[k] = at, at+2
				h.room.Obstacles = append(h.room.Obstacles, Obstacle{"plate", box(t, lo, hi)})
			}
		}
		h.to = point(52, 52, 52)
		got := find(t, h.room, thin, h.from, h.to)
		if got.Blockage == nil {
			t.Fatalf("the cage is open: %v", got.Points)
		}
		if got.Blockage.Terminal >= 0 {
			continue
		}
		blocked++
		only := h.room
		only.Obstacles = nil
		for _, i := range got.Blockage.Obstacles {
			only.Obstacles = append(only.Obstacles, h.room.Obstacles[i])
		}
		if find(t, only, thin, h.from, h.to).Blockage == nil {
			t.Fatalf("%v do not close the way", got.Blockage.Obstacles)
		}
		for i := range only.Obstacles {
			less := only
			less.Obstacles = slices.Delete(slices.Clone(only.Obstacles), i, i+1)
			if find(t, less, thin, h.from, h.to).Blockage != nil {
				t.Fatalf("%v close the way without one of them", got.Blockage.Obstacles)
			}
		}
	}
	if blocked < 10 {
		t.Fatalf("only %d blocked huts", blocked)
	}
}

// crowd is a room with n boxes strewn about.
func crowd(t testing.TB, n int) Room {
	r := rand.New(rand.NewPCG(16, 17))
	room := Room{Within: box(t, geometry.Vec{0, 0, 0}, geometry.Vec{400, 200, 400})}
	for range n {
		lo := geometry.Vec{15 + r.Float64()*320, 15 + r.Float64()*130, 15 + r.Float64()*320}
		room.Obstacles = append(room.Obstacles, Obstacle{"box", box(t, lo, lo.Add(geometry.Vec{5 + r.Float64()*70, 5 + r.Float64()*40, 5 + r.Float64()*70}))})
	}
	return room
}

// BenchmarkFind lays a cable through rooms with 10, 40 and 100 boxes, and tries to where a lid across the room closes the
// way.
func BenchmarkFind(b *testing.B) {
	cable := Cable{Diameter: 8, MinBendRadius: 25}
	for _, n := range []int{10, 40, 100} {
		room := crowd(b, n)
		b.Run(fmt.Sprintf("open/%d", n), func(b *testing.B) {
			var got *Route
			for b.Loop() {
				got = find(b, room, cable, point(5, 5, 5), point(395, 195, 395))
			}
			if got.Blockage != nil {
				b.Fatalf("blocked: %+v", got.Blockage)
			}
			b.ReportMetric(got.Length, "mm")
			b.ReportMetric(float64(len(got.Points)), "points")
		})
		room.Obstacles = append(slices.Clone(room.Obstacles), Obstacle{"lid", box(b, geometry.Vec{0, 182, 0}, geometry.Vec{400, 184, 400})})
		b.Run(fmt.Sprintf("closed/%d", n), func(b *testing.B) {
			var got *Route
			for b.Loop() {
				got = find(b, room, cable, point(5, 5, 5), point(395, 195, 395))
			}
			if got.Blockage == nil {
				b.Fatalf("a way of %v mm", got.Length)
			}
		})
	}
}
