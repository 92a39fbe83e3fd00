package route

import (
	"slices"

	"slipfit.example/rules/geometry"
)

// lattice cuts a room into cells along all faces, so that each cell is wholly free or wholly filled.
type lattice struct {
	s    *scene
	cuts [3][]float64
	// from holds for each cell 1 + the cell that it was reached from, 0 if it was not reached; start cells refer to
	// themselves.
	from []int32
	todo []int32
	// off marks obstacles to be ignored, filled the cells of the others.
	off    []bool
	filled []bool
}

func newLattice(s *scene, off []bool) *lattice {
	l := &lattice{s: s, off: off}
	for k := range l.cuts {
		c := []float64{s.lo[k], s.hi[k]}
		for i := range s.solids {
			if off != nil && off[i] {
				continue
			}
			for _, x := range []float64{s.solids[i].lo[k], s.solids[i].hi[k]} {
				if x > s.lo[k] && x < s.hi[k] {
					c = append(c, x)
				}
			}
		}
		slices.Sort(c)
		l.cuts[k] = slices.Compact(c)
	}
	n := l.size()
	l.from, l.filled, l.todo = make([]int32, n), make([]bool, n), make([]int32, 0, n)
	l.fill()
	return l
}

func (l *lattice) dims() (nx, ny, nz int) {
	return len(l.cuts[0]) - 1, len(l.cuts[1]) - 1, len(l.cuts[2]) - 1
}

func (l *lattice) size() int {
	nx, ny, nz := l.dims()
	return nx * ny * nz
}

// fill marks the cells of all solids.
func (l *lattice) fill() {
	_, ny, nz := l.dims()
	for i := range l.s.solids {
		if l.off != nil && l.off[i] {
			continue
		}
		var lo, hi [3]int
		for k := range lo {
			lo[k], _ = slices.BinarySearch(l.cuts[k], l.s.solids[i].lo[k])
			hi[k], _ = slices.BinarySearch(l.cuts[k], l.s.solids[i].hi[k])
			hi[k] = min(hi[k], len(l.cuts[k])-1)
		}
		for x := lo[0]; x < hi[0]; x++ {
			for y := lo[1]; y < hi[1]; y++ {
				for z := lo[2]; z < hi[2]; z++ {
					l.filled[(x*ny+y)*nz+z] = true
				}
			}
		}
	}
}

// cellsAt calls visit for the free cells that a point belongs to; it lies in several if it lies on a cut.
func (l *lattice) cellsAt(p geometry.Vec, visit func(cell int32)) {
	var lo, hi [3]int
	for k := range lo {
		i, exact := slices.BinarySearch(l.cuts[k], p[k])
		lo[k], hi[k] = i-1, i-1
		if exact {
			hi[k] = i
		}
		lo[k], hi[k] = max(lo[k], 0), min(hi[k], len(l.cuts[k])-2)
	}
	_, ny, nz := l.dims()
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for z := lo[2]; z <= hi[2]; z++ {
				if c := int32((x*ny+y)*nz + z); !l.filled[c] {
					visit(c)
				}
			}
		}
	}
}

// flood spreads from a point over all connected cells.
func (l *lattice) flood(p geometry.Vec) {
	l.cellsAt(p, func(c int32) {
		if l.from[c] == 0 {
			l.from[c] = c + 1
			l.todo = append(l.todo, c)
		}
	})
	nx, ny, nz := l.dims()
	for i := 0; i < len(l.todo); i++ {
		c := int(l.todo[i])
		x, y, z := c/(ny*nz), c/nz%ny, c%nz
		l.spread(c, c-ny*nz, x > 0)
		l.spread(c, c+ny*nz, x+1 < nx)
		l.spread(c, c-nz, y > 0)
		l.spread(c, c+nz, y+1 < ny)
		l.spread(c, c-1, z > 0)
		l.spread(c, c+1, z+1 < nz)
	}
}

func (l *lattice) spread(from, to int, inside bool) {
	if inside && l.from[to] == 0 && !l.filled[to] {
		l.from[to] = int32(from) + 1
		l.todo = append(l.todo, int32(to))
	}
}

// reached returns a reached cell that a point belongs to.
func (l *lattice) reached(p geometry.Vec) (int32, bool) {
	found := int32(-1)
	l.cellsAt(p, func(c int32) {
		if found < 0 && l.from[c] > 0 {
			found = c
		}
	})
	return found, found >= 0
}

func (s *scene) connected(from, to geometry.Vec, off []bool) bool {
	l := newLattice(s, off)
	l.flood(from)
	_, ok := l.reached(to)
	return ok
}

// blocked returns why a lead cannot be laid, nil if both can. Passable is left open.
func (s *scene) blocked(a, b lead) *Blockage {
	for i, l := range []lead{a, b} {
		if l.hit >= 0 {
			return &Blockage{Terminal: i, Obstacles: []int{l.hit}}
		}
		if l.out {
			return &Blockage{Terminal: i}
		}
	}
	return nil
}

// closing returns a smallest set of obstacles that keep two points apart, by deletion, many at a time while that works.
// Only those that touch what can be reached from the first point have a part in it.
func (s *scene) closing(from, to geometry.Vec) []int {
	off := make([]bool, len(s.solids))
	l := newLattice(s, nil)
	l.flood(from)
	var list []int
	for i := range s.solids {
		if off[i] = !l.touches(&s.solids[i]); !off[i] {
			list = append(list, i)
		}
	}
	for i, size := 0, max(1, len(list)/2); i < len(list); {
		size = min(size, len(list)-i)
		chunk := list[i : i+size]
		set(off, chunk, true)
		switch {
		case !s.connected(from, to, off):
			list = slices.Delete(list, i, i+size)
		case size > 1:
			set(off, chunk, false)
			size /= 2
		default:
			set(off, chunk, false)
			i++
			size = max(1, (len(list)-i)/2)
		}
	}
	return list
}

func set(off []bool, indices []int, to bool) {
	for _, i := range indices {
		off[i] = to
	}
}

// touches reports whether a reached cell lies in or next to the cells of a solid.
func (l *lattice) touches(o *solid) bool {
	var lo, hi [3]int
	for k := range lo {
		i, _ := slices.BinarySearch(l.cuts[k], o.lo[k])
		j, _ := slices.BinarySearch(l.cuts[k], o.hi[k])
		lo[k], hi[k] = max(i-1, 0), min(j, len(l.cuts[k])-2)
	}
	_, ny, nz := l.dims()
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for z := lo[2]; z <= hi[2]; z++ {
				if l.from[(x*ny+y)*nz+z] > 0 {
					return true
				}
			}
		}
	}
	return false
}

// passable returns the largest diameter, to a tenth of a millimetre, that gets from one terminal to the other. The boxes
// that close the way are asked first: few boxes make few cells, and what they stop, all stop.
func passable(room *Room, diameter float64, from, to Terminal, closing []int) float64 {
	few := *room
	few.Obstacles = nil
	for _, i := range closing {
		few.Obstacles = append(few.Obstacles, room.Obstacles[i])
	}
	top := halve(&few, diameter, from, to)
	if top == 0 || passes(room, top, from, to) {
		return top
	}
	return halve(room, top, from, to)
}

// halve looks for the largest diameter below a given one by halving.
func halve(room *Room, diameter float64, from, to Terminal) float64 {
	lo, hi := 0.0, diameter
	for hi-lo > 0.1 {
		if mid := (lo + hi) / 2; passes(room, mid, from, to) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// passes reports whether a cable of a diameter finds a way.
func passes(room *Room, diameter float64, from, to Terminal) bool {
	s := newScene(room, diameter/2)
	a, b := s.leadOut(from), s.leadOut(to)
	return s.blocked(a, b) == nil && s.connected(a.end, b.end, nil)
}

// fallback returns a clear way between connected points through the cells of the lattice. It is used where a passage is so narrow that no point on
// an edge sees through it.
func (s *scene) fallback(from, to geometry.Vec) []node {
	l := newLattice(s, nil)
	l.flood(from)
	cell, _ := l.reached(to)
	_, ny, nz := l.dims()
	rev := []node{{to, -1}}
	for {
		at := [3]int{int(cell) / (ny * nz), int(cell) / nz % ny, int(cell) % nz}
		var p geometry.Vec
		for k := range p {
			p[k] = (l.cuts[k][at[k]] + l.cuts[k][at[k]+1]) / 2
		}
		rev = append(rev, node{p, -1})
		next := l.from[cell] - 1
		if next == cell {
			break
		}
		cell = next
	}
	rev = append(rev, node{from, -1})
	slices.Reverse(rev)
	q := &search{s: s, slack: 10}
	return q.tighten(rev)
}
