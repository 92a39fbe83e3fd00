package electric

import "slices"

// pattern is the structure of L D L^T for a symmetric matrix: which entries
// exist, in the order of elimination, and where each update lands. Wiring is
// nearly a tree, so an order by least degree leaves almost no fill, and the
// numbers run through flat arrays without a search.
type pattern struct {
	n      int
	start  []int32 // column -> first slot of its entries below the diagonal
	row    []int32 // slot -> row, rising within a column
	target []int32 // update -> slot, in the order in which updates happen
}

// newPattern orders n unknowns joined by edges and returns the pattern with
// the place of each unknown in the order.
func newPattern(n int, edges [][2]int32) (pattern, []int32) {
	near := make([][]int32, n)
	link := func(i, j int32) {
		if !slices.Contains(near[i], j) {
			near[i] = append(near[i], j)
			near[j] = append(near[j], i)
		}
	}
	for _, e := range edges {
		link(e[0], e[1])
	}
	place := filled(n)
	columns := make([][]int32, n) // in the order of elimination, rows by old number
	for k := range n {
		best := -1
		for i := range n {
			if place[i] < 0 && (best < 0 || len(near[i]) < len(near[best])) {
				best = i
			}
		}
		place[best] = int32(k)
		columns[k] = near[best]
		for i, p := range near[best] {
			at := slices.Index(near[p], int32(best))
			near[p] = slices.Delete(near[p], at, at+1)
			for _, q := range near[best][:i] {
				link(p, q)
			}
		}
	}
	return layPattern(n, columns, place), place
}

// layPattern flattens the columns and works out where every update lands.
func layPattern(n int, columns [][]int32, place []int32) pattern {
	p := pattern{n: n, start: make([]int32, n+1)}
	for k, column := range columns {
		for i := range column {
			column[i] = place[column[i]]
		}
		slices.Sort(column)
		p.row = append(p.row, column...)
		p.start[k+1] = int32(len(p.row))
	}
	for _, column := range columns {
		for i, low := range column {
			for _, high := range column[i+1:] {
				p.target = append(p.target, p.slot(low, high))
			}
		}
	}
	return p
}

// slot finds the entry of two different unknowns. The entry exists.
func (p *pattern) slot(i, j int32) int32 {
	low, high := min(i, j), max(i, j)
	for s := p.start[low]; s < p.start[low+1]; s++ {
		if p.row[s] == high {
			return s
		}
	}
	return -1
}

// leastPivot is the share of an unknown's own conductance that has to be left
// when its turn comes. Less means that nothing holds its voltage.
const leastPivot = 1e-13

// factor turns diagonal d and entries l into D and L in place. It returns -1,
// or the unknown whose pivot is not positive: the matrix is then not positive
// definite, which for wiring means floating, and with constant-power loads
// collapsing.
func (p *pattern) factor(d, l, own []float64) int {
	t := 0
	for k := range p.n {
		dk := d[k]
		if !(dk > leastPivot*own[k]) {
			return k
		}
		from, to := p.start[k], p.start[k+1]
		if from == to {
			continue
		}
		inverse := 1 / dk
		entries, rows := l[from:to], p.row[from:to]
		for i, x := range entries {
			share := x * inverse
			d[rows[i]] -= share * x
			for _, y := range entries[i+1:] {
				l[p.target[t]] -= share * y
				t++
			}
			entries[i] = share
		}
	}
	return -1
}

// solve replaces the right-hand side by the solution.
func (p *pattern) solve(d, l, b []float64) {
	for k := range p.n {
		x := b[k]
		for s := p.start[k]; s < p.start[k+1]; s++ {
			b[p.row[s]] -= l[s] * x
		}
	}
	for k := p.n - 1; k >= 0; k-- {
		x := b[k] / d[k]
		for s := p.start[k]; s < p.start[k+1]; s++ {
			x -= l[s] * b[p.row[s]]
		}
		b[k] = x
	}
}
