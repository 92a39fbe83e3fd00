package drawing

import "math"

// raster tells which part is seen at each place of a view, in cells of cell mm.
type raster struct {
	area       area
	cols, rows int
	seen       []int32 // part by its place in the list; below zero where none
	busy       []bool  // covered by a cable, a conflict or a label
	sums       []int32 // of the part in hand, see sumUp
}

const (
	cell   = 0.5
	nobody = -2
)

func (d *drawing) newRaster(s *section) *raster {
	r := &raster{area: s.frame, cols: int(math.Ceil(s.frame.w / cell)), rows: int(math.Ceil(s.frame.h / cell))}
	r.seen, r.busy = make([]int32, r.cols*r.rows), make([]bool, r.cols*r.rows)
	r.sums = make([]int32, (r.cols+1)*(r.rows+1))
	for i := range r.seen {
		r.seen[i] = nobody
	}
	for _, list := range [...][]int{s.behind, s.cut} {
		for _, i := range list {
			a := s.area(&d.solids[i])
			r.fill(a, func(k int) { r.seen[k], r.busy[k] = int32(d.solids[i].owner), false })
			r.edges(a)
		}
	}
	for _, i := range s.before {
		r.edges(s.area(&d.solids[i]))
	}
	for i := range d.gaps {
		if b := d.gaps[i].between(); d.gaps[i].isConflict() && s.cuts(&b, s.plane) {
			r.block(s.area(&b))
		}
	}
	for i := range d.routes {
		r.blockRoute(s, &d.routes[i])
	}
	return r
}

// fill calls do for each cell whose middle lies in an area.
func (r *raster) fill(a area, do func(k int)) {
	x0, x1 := r.span(a.x-r.area.x, a.right()-r.area.x, r.cols)
	y0, y1 := r.span(a.y-r.area.y, a.bottom()-r.area.y, r.rows)
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			do(y*r.cols + x)
		}
	}
}

func (r *raster) span(low, high float64, n int) (from, to int) {
	return max(0, int(math.Ceil(low/cell-0.5))), min(n, int(math.Ceil(high/cell-0.5)))
}

// block marks an area, grown by a third of a cell, as covered.
func (r *raster) block(a area) {
	r.fill(area{a.x - cell/3, a.y - cell/3, a.w + 2*cell/3, a.h + 2*cell/3}, func(k int) { r.busy[k] = true })
}

// edges marks the outline of an area as covered.
func (r *raster) edges(a area) {
	const wide = cell / 2
	r.block(area{a.x, a.y - wide/2, a.w, wide})
	r.block(area{a.x, a.bottom() - wide/2, a.w, wide})
	r.block(area{a.x - wide/2, a.y, wide, a.h})
	r.block(area{a.right() - wide/2, a.y, wide, a.h})
}

func (r *raster) blockRoute(s *section, way *route) {
	for k := 1; k < len(way.points); k++ {
		r.blockLine(s.point(way.points[k-1]), s.point(way.points[k]))
	}
}

// blockLine marks a line as covered.
func (r *raster) blockLine(a, b point) {
	steps := int(math.Hypot(a.x-b.x, a.y-b.y)/cell) + 1
	for i := range steps + 1 {
		t := float64(i) / float64(steps)
		r.block(area{a.x + t*(b.x-a.x) - cell/2, a.y + t*(b.y-a.y) - cell/2, cell, cell})
	}
}

// sumUp prepares free for one part: the sum of its uncovered cells above and to
// the left of each corner.
func (r *raster) sumUp(owner int32) (cells int32) {
	w := r.cols + 1
	for y := range r.rows {
		for x := range r.cols {
			k := y*r.cols + x
			own := int32(0)
			if r.seen[k] == owner && !r.busy[k] {
				own = 1
			}
			r.sums[(y+1)*w+x+1] = own + r.sums[y*w+x+1] + r.sums[(y+1)*w+x] - r.sums[y*w+x]
		}
	}
	return r.sums[len(r.sums)-1]
}

// free reports whether w x h cells from a corner all show the part.
func (r *raster) free(x, y, w, h int) bool {
	n := r.cols + 1
	return x >= 0 && y >= 0 && x+w <= r.cols && y+h <= r.rows &&
		r.sums[(y+h)*n+x+w]-r.sums[y*n+x+w]-r.sums[(y+h)*n+x]+r.sums[y*n+x] == int32(w*h)
}

// place looks for w x h mm in which only the part is seen, nearest the middle of
// what is seen of it, and marks them as covered.
func (r *raster) place(owner int32, w, h float64) (a area, ok bool) {
	if r.sumUp(owner) == 0 {
		return area{}, false
	}
	cols, rows := int(math.Ceil(w/cell)), int(math.Ceil(h/cell))
	m := r.centre(owner)
	best := math.Inf(1)
	for y := 0; y+rows <= r.rows; y++ {
		for x := 0; x+cols <= r.cols; x++ {
			if !r.free(x, y, cols, rows) {
				continue
			}
			far := math.Hypot(float64(x)+float64(cols)/2-m.x, 2*(float64(y)+float64(rows)/2-m.y))
			if far < best {
				best = far
				a = area{r.area.x + float64(x)*cell, r.area.y + float64(y)*cell, float64(cols) * cell, float64(rows) * cell}
			}
		}
	}
	if math.IsInf(best, 1) {
		return area{}, false
	}
	r.block(a)
	return a, true
}

// centre is the mean of the cells that show a part, in cells.
func (r *raster) centre(owner int32) (m point) {
	n := 0.0
	for k, o := range r.seen {
		if o == owner {
			m.x += float64(k % r.cols)
			m.y += float64(k / r.cols)
			n++
		}
	}
	return point{m.x / max(n, 1), m.y / max(n, 1)}
}

// anchor is a place well inside what is seen of a part: the middle of the largest
// square that shows nothing else. It returns false where nothing is seen.
func (r *raster) anchor(owner int32) (p point, ok bool) {
	cells := r.sumUp(owner)
	if cells == 0 {
		return point{}, false
	}
	size := 1
	for y := range r.rows {
		for x := range r.cols {
			for r.free(x, y, size, size) {
				p = point{r.area.x + (float64(x)+float64(size)/2)*cell, r.area.y + (float64(y)+float64(size)/2)*cell}
				size++
			}
		}
	}
	return p, size > 1
}
