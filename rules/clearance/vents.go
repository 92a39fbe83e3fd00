package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
)

// facePanel notes which panel a row blows through, and whether its opening is bare.
func (s *scene) facePanel(r *row, m *mountShape, a *arrangement) {
	r.radiator = m.mount.GetKind() == v1.MountKind_MOUNT_KIND_RADIATOR
	for i := range s.enclosure.solid {
		e := &s.enclosure.solid[i]
		if e.panel == nil || m.mount.GetPanel() == "" || e.panel.GetId() != m.mount.GetPanel() {
			continue
		}
		r.panel = i
		for _, o := range e.panel.GetOpenings() {
			box, err := solids.BoxOf(o.GetExtent())
			if err == nil && (o.GetCovering() == "none" || o.GetOpenShare() == 1) && s.covers(a, r.mount, box, thinnest(e.shown)) {
				r.bare = true
			}
		}
	}
}

// covers reports whether something on a mount lies before an opening.
func (s *scene) covers(a *arrangement, mount int, opening geometry.Box, axis geometry.Axis) bool {
	for i, t := range a.things {
		if t.item >= 0 && t.mount == mount && covers(opening, a.hull(i), axis) > 0 {
			return true
		}
	}
	return false
}

// thinnest is the axis along which a sheet is thin.
func thinnest(b geometry.Box) geometry.Axis {
	size, axis := b.Size(), geometry.X
	for k := range size {
		if size[k] < size[axis] {
			axis = geometry.Axis(k)
		}
	}
	return axis
}

// vents is the free area in mm2 of openings in outer walls that no row of fans lies
// before. Openings whose free share is not known count for nothing.
func (s *scene) vents(a *arrangement, rows []row) (free float64) {
	for i := range s.enclosure.solid {
		e := &s.enclosure.solid[i]
		if e.panel == nil || solids.FaceOf(e.panel.GetFaces()) == geometry.NoFace {
			continue
		}
		axis := thinnest(e.shown)
		for _, o := range e.panel.GetOpenings() {
			box, err := solids.BoxOf(o.GetExtent())
			if err != nil {
				continue
			}
			size := box.Size()
			open := size[(axis+1)%3] * size[(axis+2)%3]
			left := open
			for k := range rows {
				if rows[k].panel == i {
					left -= s.coveredBy(a, &rows[k], box, axis)
				}
			}
			free += max(0, left) * o.GetOpenShare()
		}
	}
	return free
}

// coveredBy is how much of an opening a row of fans lies before, in mm2.
func (s *scene) coveredBy(a *arrangement, r *row, opening geometry.Box, axis geometry.Axis) (area float64) {
	for i, t := range a.things {
		if t.item < 0 || t.mount != r.mount || !t.spins {
			continue
		}
		size := a.hull(i).Size()
		area += covers(opening, a.hull(i), axis) * size[(axis+1)%3] * size[(axis+2)%3]
	}
	return area
}
