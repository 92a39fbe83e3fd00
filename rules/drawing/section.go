package drawing

import (
	"cmp"
	"math"
	"slices"
)

// section is one view with its cutting plane and what it shows, each list in the
// order of drawing.
type section struct {
	paper
	plane  float64 // along the direction of looking
	behind []int   // boxes behind the plane, the farthest first
	cut    []int   // boxes that the plane cuts
	before []int   // boxes before the plane, of parts only
	rooms  []int   // plug, access and breath boxes that the plane meets or that lie behind it
}

// newSection chooses the plane of a view and sorts the boxes by it.
func (d *drawing) newSection(p paper) *section {
	s := &section{paper: p, plane: d.planeOf(p.view)}
	for i := range d.solids {
		b := &d.solids[i]
		near, far := s.near(b), s.far(b)
		switch {
		case b.isRoom():
			if far > s.plane {
				s.rooms = append(s.rooms, i)
			}
		case near >= s.plane:
			s.behind = append(s.behind, i)
		case far > s.plane:
			s.cut = append(s.cut, i)
		case b.owner != enclosure:
			s.before = append(s.before, i)
		}
	}
	slices.SortStableFunc(s.behind, func(a, b int) int {
		return cmp.Compare(s.near(&d.solids[b]), s.near(&d.solids[a]))
	})
	// Openings lie in the panels that they go through, so they come after them.
	slices.SortStableFunc(s.cut, func(a, b int) int {
		return cmp.Compare(d.rank(a), d.rank(b))
	})
	return s
}

// rank puts the enclosure first and its openings next.
func (d *drawing) rank(i int) int {
	switch b := &d.solids[i]; {
	case b.owner != enclosure:
		return 2
	case b.source.OpenShare != nil:
		return 1
	}
	return 0
}

// planeOf chooses where a view is cut: through as many parts as one plane can
// meet, above all through both sides of the gaps that are shown; of equals the
// plane nearest the middle.
func (d *drawing) planeOf(v *view) float64 {
	var faces []float64
	for i := range d.solids {
		if b := &d.solids[i]; b.owner != enclosure && !b.isRoom() {
			faces = append(faces, v.near(b), v.far(b))
		}
	}
	slices.Sort(faces)
	middle := v.away.of(d.middle)
	best, most := middle, -1.0
	for i := 1; i < len(faces); i++ {
		if faces[i]-faces[i-1] < 0.2 {
			continue
		}
		plane := (faces[i] + faces[i-1]) / 2
		worth := d.worth(v, plane)
		if worth > most || worth == most && math.Abs(plane-middle) < math.Abs(best-middle) {
			best, most = plane, worth
		}
	}
	return best
}

// worth is how much a plane tells: two points for each part that it cuts, one for
// each shown gap whose both sides it cuts, seven where that is a conflict.
func (d *drawing) worth(v *view, plane float64) (worth float64) {
	met := make([]bool, len(d.parts))
	for i := range d.solids {
		b := &d.solids[i]
		if b.owner != enclosure && !b.isRoom() && !met[b.owner] && v.cuts(b, plane) {
			met[b.owner] = true
			worth += 2
		}
	}
	for _, g := range d.gaps {
		if !v.shows(g.axis) || !v.cuts(g.first, plane) || !v.cuts(g.second, plane) {
			continue
		}
		if worth++; g.isConflict() {
			worth += 6
		}
	}
	return worth
}

func (v *view) cuts(s *solid, plane float64) bool { return v.near(s) < plane && plane < v.far(s) }
