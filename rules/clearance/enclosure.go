package clearance

import (
	"fmt"
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
)

// enclosure is the geometry of a chassis read once: nothing in it depends on a
// build.
type enclosure struct {
	part    *v1.Part
	room    geometry.Box // round all compartments that parts lie in
	solid   []element    // in every layout: panels, obstructions, and what is outside
	layouts []layoutShape
	flaws   []flaw // that make the geometry unusable
}

// element is a solid thing of the enclosure.
type element struct {
	id    string
	panel *v1.Panel    // nil for an obstruction or the outside
	shown geometry.Box // as it is drawn
	box   geometry.Box // as parts must not overlap it: outer panels reach outwards
	outer bool         // the outside, which is not drawn
}

// layoutShape is the geometry of one layout.
type layoutShape struct {
	layout *v1.Layout
	seen   bool // there is a mount with a pose for the board
	solid  []element
	mounts []mountShape
	// excludes holds for two mounts by their number that they cannot be used at once.
	excludes [][]bool
	flaws    []flaw
}

// mountShape is a mount with its places made ready.
type mountShape struct {
	mount  *v1.Mount
	index  int
	poses  []geometry.Pose
	shifts []shift
	space  geometry.Box
	bound  bool // space is stated
	plate  float64
}

// shift is one setting of all travels of a mount.
type shift struct {
	offsets []float64
	by      geometry.Vec
}

// flaw is something in the chassis document that geometry cannot be read from.
type flaw struct {
	path     string // from the chassis's part
	sentence string
}

// maxShifts bounds the settings of one mount: four travels of six steps.
const maxShifts = 1296

// beyond is how far the outside of the enclosure is taken to reach, in mm.
const beyond = 500.0

// readEnclosure reads a chassis. A chassis without compartments has no geometry,
// and none of its layouts is seen.
func readEnclosure(part *v1.Part) *enclosure {
	e := &enclosure{part: part}
	document := part.GetChassis()
	var rooms []geometry.Box
	for i, c := range document.GetCompartments() {
		box, ok := e.box(c.GetExtent(), "chassis.compartments[%d].extent", i)
		if ok && !c.GetCableChannel() {
			rooms = append(rooms, box)
		}
	}
	if len(rooms) == 0 {
		return e
	}
	e.room = rooms[0]
	for _, r := range rooms[1:] {
		e.room = e.room.Hull(r)
	}
	e.readPanels(document)
	for i, o := range document.GetObstructions() {
		if box, ok := e.box(o.GetExtent(), "chassis.obstructions[%d].extent", i); ok {
			e.solid = append(e.solid, element{id: o.GetId(), shown: box, box: box})
		}
	}
	e.closeOff(rooms)
	for i, layout := range document.GetLayouts() {
		e.layouts = append(e.layouts, e.readLayout(layout, i))
	}
	return e
}

func (e *enclosure) box(extent *v1.Extent, path string, index int) (geometry.Box, bool) {
	box, err := solids.BoxOf(extent)
	if err != nil {
		e.flaws = append(e.flaws, flaw{fmt.Sprintf(path, index), err.Error()})
	}
	return box, err == nil
}

// readPanels adds the walls. An outer wall keeps parts out of all that lies behind
// it, so that a part that goes through a thin sheet is measured by how far it does.
func (e *enclosure) readPanels(document *v1.Chassis) {
	for i, p := range document.GetPanels() {
		box, ok := e.box(p.GetExtent(), "chassis.panels[%d].extent", i)
		if !ok {
			continue
		}
		wall := element{id: p.GetId(), panel: p, shown: box, box: box}
		f := solids.FaceOf(p.GetFaces())
		if f == geometry.NoFace {
			for _, rest := range geometry.FreeBoxes(nil, box, passages(p)) {
				e.solid = append(e.solid, element{id: p.GetId(), panel: p, shown: rest, box: rest})
			}
			continue
		}
		if out, err := geometry.Sweep(box, f, beyond); err == nil {
			wall.box = out
		}
		e.solid = append(e.solid, wall)
	}
}

// passages are the openings of a wall that things can pass: those without a
// covering.
func passages(wall *v1.Panel) (holes []geometry.Box) {
	for _, o := range wall.GetOpenings() {
		if o.GetCovering() != "none" && o.GetOpenShare() != 1 {
			continue
		}
		if hole, err := solids.BoxOf(o.GetExtent()); err == nil {
			holes = append(holes, hole)
		}
	}
	return holes
}

// closeOff makes everything solid that is neither a compartment nor a panel.
func (e *enclosure) closeOff(rooms []geometry.Box) {
	whole, err := e.room.Inflated(beyond)
	if err != nil {
		e.flaws = append(e.flaws, flaw{"chassis.compartments", err.Error()})
		return
	}
	taken := rooms
	for i := range e.solid {
		if e.solid[i].panel != nil {
			taken = append(append(taken, e.solid[i].box), passages(e.solid[i].panel)...)
		}
	}
	for _, box := range geometry.FreeBoxes(nil, whole, taken) {
		e.solid = append(e.solid, element{id: "outside", box: box, shown: box, outer: true})
	}
}

func (e *enclosure) readLayout(layout *v1.Layout, index int) layoutShape {
	shape := layoutShape{layout: layout}
	where := layoutPath(index)
	for i, o := range layout.GetObstructions() {
		box, err := solids.BoxOf(o.GetExtent())
		if err != nil {
			shape.flaw(fmt.Sprintf("%sobstructions[%d].extent", where, i), err.Error())
			continue
		}
		shape.solid = append(shape.solid, element{id: o.GetId(), shown: box, box: box})
	}
	for i, m := range layout.GetMounts() {
		path := fmt.Sprintf("%smounts[%d]", where, i)
		shape.mounts = append(shape.mounts, e.readMount(&shape, m, i, path))
	}
	shape.relate(where)
	for i := range shape.mounts {
		m := &shape.mounts[i]
		shape.seen = shape.seen || m.mount.GetKind() == v1.MountKind_MOUNT_KIND_BOARD && len(m.poses) > 0
	}
	return shape
}

func (s *layoutShape) flaw(path, sentence string) { s.flaws = append(s.flaws, flaw{path, sentence}) }

func (e *enclosure) readMount(s *layoutShape, m *v1.Mount, index int, path string) mountShape {
	out := mountShape{mount: m, index: index, plate: e.plateOf(m.GetPanel())}
	reach, _ := e.room.Inflated(100)
	for i, p := range m.GetPoses() {
		pose, err := solids.PoseOf(p)
		switch {
		case err != nil:
			s.flaw(fmt.Sprintf("%s.poses[%d]", path, i), err.Error())
		case !reach.Contains(pose.Origin()):
			s.flaw(fmt.Sprintf("%s.poses[%d].origin", path, i), "the mount lies outside the enclosure's compartments")
		default:
			out.poses = append(out.poses, pose)
		}
	}
	if m.Space != nil {
		box, err := solids.BoxOf(m.Space)
		if err != nil {
			s.flaw(path+".space", err.Error())
		}
		out.space, out.bound = box, err == nil
	}
	if m.Panel != nil && out.plate < 0 {
		s.flaw(path+".panel", "no panel bears the name "+m.GetPanel())
	}
	out.shifts = shiftsOf(s, m, path)
	return out
}

// plateOf is the thickness of the panel that a mount sits on, -1 for a name that
// no panel bears, 0 for none.
func (e *enclosure) plateOf(panel string) float64 {
	if panel == "" {
		return 0
	}
	wall := e.wall(panel)
	if wall == nil {
		return -1
	}
	size := wall.shown.Size()
	return min(size[0], size[1], size[2])
}

// wall is the panel of a name, nil for none.
func (e *enclosure) wall(name string) *element {
	for i := range e.solid {
		if p := e.solid[i].panel; p != nil && name != "" && p.GetId() == name {
			return &e.solid[i]
		}
	}
	return nil
}

// shiftsOf lists all settings of a mount's travels.
func shiftsOf(s *layoutShape, m *v1.Mount, path string) []shift {
	all := []shift{{}}
	for i, t := range m.GetTravels() {
		along := solids.FaceOf(t.GetAlong())
		if along == geometry.NoFace {
			s.flaw(fmt.Sprintf("%s.travels[%d].along", path, i), "the travel has no direction")
			continue
		}
		var next []shift
		for _, before := range all {
			for _, mm := range t.GetOffsetsMm() {
				if !(math.Abs(mm) <= 1000) || len(next) == maxShifts {
					s.flaw(fmt.Sprintf("%s.travels[%d].offsets_mm", path, i), "the offsets are too many or too large")
					return all
				}
				next = append(next, shift{
					offsets: append(append([]float64(nil), before.offsets...), mm),
					by:      before.by.Add(along.Normal().Scale(mm)),
				})
			}
		}
		if len(next) > 0 {
			all = next
		}
	}
	return all
}

// relate works out which mounts exclude each other.
func (s *layoutShape) relate(where string) {
	s.excludes = make([][]bool, len(s.mounts))
	for i := range s.excludes {
		s.excludes[i] = make([]bool, len(s.mounts))
	}
	for i := range s.mounts {
		for k, name := range s.mounts[i].mount.GetExcludes() {
			j := s.mountIndex(name)
			if j < 0 {
				s.flaw(fmt.Sprintf("%smounts[%d].excludes[%d]", where, i, k), "no mount of the layout bears the name "+name)
				continue
			}
			s.excludes[i][j], s.excludes[j][i] = true, true
		}
	}
}

func (s *layoutShape) mountIndex(id string) int {
	for i := range s.mounts {
		if s.mounts[i].mount.GetId() == id {
			return i
		}
	}
	return -1
}
