package geometry

import "slices"

// OverlapVolume returns the common volume of two boxes in mm3.
func OverlapVolume(a, b Box) float64 {
	v := 1.0
	for k := range a.min {
		d := min(a.max[k], b.max[k]) - max(a.min[k], b.min[k])
		if d <= 0 {
			return 0
		}
		v *= d
	}
	return v
}

// Workspace holds the memory of the volume functions, so that repeated calls allocate nothing. The zero value is ready.
// One workspace must not be used by two goroutines at a time.
type Workspace struct {
	cut    []Box
	xs, ys []float64
	slab   []Box
	strip  []Interval
}

// UnionVolume returns the volume in mm3 that at least one of the boxes covers. It cuts space into slabs between the
// faces along X, each slab into strips along Y, and measures each strip along Z.
func (w *Workspace) UnionVolume(boxes []Box) float64 {
	w.xs = w.xs[:0]
	for i := range boxes {
		w.xs = append(w.xs, boxes[i].min[0], boxes[i].max[0])
	}
	slices.Sort(w.xs)
	total := 0.0
	for i := 1; i < len(w.xs); i++ {
		lo, hi := w.xs[i-1], w.xs[i]
		if lo == hi {
			continue
		}
		w.slab = w.slab[:0]
		for j := range boxes {
			if boxes[j].min[0] <= lo && hi <= boxes[j].max[0] {
				w.slab = append(w.slab, boxes[j])
			}
		}
		total += (hi - lo) * w.slabArea(1, 2)
	}
	return total
}

// slabArea returns the area that the boxes in w.slab cover in the plane of two axes.
func (w *Workspace) slabArea(u, v Axis) float64 {
	w.ys = w.ys[:0]
	for i := range w.slab {
		w.ys = append(w.ys, w.slab[i].min[u], w.slab[i].max[u])
	}
	slices.Sort(w.ys)
	area := 0.0
	for i := 1; i < len(w.ys); i++ {
		lo, hi := w.ys[i-1], w.ys[i]
		if lo == hi {
			continue
		}
		w.strip = w.strip[:0]
		for j := range w.slab {
			if w.slab[j].min[u] <= lo && hi <= w.slab[j].max[u] {
				w.strip = append(w.strip, Interval{w.slab[j].min[v], w.slab[j].max[v]})
			}
		}
		area += (hi - lo) * coveredLength(w.strip)
	}
	return area
}

// coveredLength sorts intervals and returns the length that they cover.
func coveredLength(s []Interval) float64 {
	slices.SortFunc(s, func(a, b Interval) int {
		if a.Low < b.Low {
			return -1
		} else if a.Low > b.Low {
			return 1
		}
		return 0
	})
	length := 0.0
	for i := 0; i < len(s); {
		end := s[i].High
		j := i + 1
		for ; j < len(s) && s[j].Low <= end; j++ {
			end = max(end, s[j].High)
		}
		length += end - s[i].Low
		i = j
	}
	return length
}

// clip fills w.cut with the parts of the boxes inside a region.
func (w *Workspace) clip(within Box, boxes []Box) {
	w.cut = w.cut[:0]
	for i := range boxes {
		if c, ok := within.Intersection(boxes[i]); ok {
			w.cut = append(w.cut, c)
		}
	}
}

// FreeVolume returns the volume in mm3 of a region that none of the boxes covers.
func (w *Workspace) FreeVolume(within Box, boxes []Box) float64 {
	w.clip(within, boxes)
	return max(0, within.Volume()-w.UnionVolume(w.cut))
}

// FreeArea returns the area in mm2 that stays open where a plane across an axis cuts a region filled with boxes: what an
// air stream along the axis finds. A plane outside the region is closed: 0. Boxes count where their interior meets the
// plane.
func (w *Workspace) FreeArea(within Box, across Axis, at float64, boxes []Box) float64 {
	if across > Z || !(within.min[across] <= at && at <= within.max[across]) {
		return 0
	}
	w.clip(within, boxes)
	w.slab = w.slab[:0]
	for _, b := range w.cut {
		if b.min[across] < at && at < b.max[across] {
			w.slab = append(w.slab, b)
		}
	}
	u, v := (across+1)%3, (across+2)%3
	size := within.Size()
	return max(0, size[u]*size[v]-w.slabArea(u, v))
}

// FreeBoxes appends disjoint boxes that together fill what the obstacles leave of a region, and returns dst. Each
// obstacle splits a box that it meets into at most six.
func FreeBoxes(dst []Box, within Box, obstacles []Box) []Box {
	base := len(dst)
	dst = append(dst, within)
	for i := range obstacles {
		for j, n := base, len(dst); j < n; {
			c, ok := dst[j].Intersection(obstacles[i])
			if !ok {
				j++
				continue
			}
			rest := dst[j]
			n--
			dst[j] = dst[n]
			last := len(dst) - 1
			dst[n] = dst[last]
			dst = shell(dst[:last], rest, c)
		}
	}
	return dst
}

// shell appends what is left of a box when an inner box is taken out of it.
func shell(dst []Box, rest, inner Box) []Box {
	for k := range rest.min {
		if rest.min[k] < inner.min[k] {
			b := rest
			b.max[k] = inner.min[k]
			dst = append(dst, b)
			rest.min[k] = inner.min[k]
		}
		if rest.max[k] > inner.max[k] {
			b := rest
			b.min[k] = inner.max[k]
			dst = append(dst, b)
			rest.max[k] = inner.max[k]
		}
	}
	return dst
}
