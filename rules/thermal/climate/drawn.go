package climate

import (
	"math"
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
)

// wellDrawn tells that an enclosure can be arranged in boxes: nothing in its drawing
// contradicts itself, and some layout has a place for a board.
func wellDrawn(c *v1.Chassis) bool {
	var room *geometry.Box
	for _, k := range c.GetCompartments() {
		b, err := solids.BoxOf(k.GetExtent())
		switch {
		case err != nil:
			return false
		case k.GetCableChannel():
		case room == nil:
			room = &b
		default:
			b = room.Hull(b)
			room = &b
		}
	}
	if room == nil {
		return false
	}
	reach, err := room.Inflated(100)
	_, errBeyond := room.Inflated(500)
	good := err == nil && errBeyond == nil
	for _, pn := range c.GetPanels() {
		good = good && goodBox(pn.GetExtent())
	}
	for _, o := range c.GetObstructions() {
		good = good && goodBox(o.GetExtent())
	}
	for _, l := range c.GetLayouts() {
		good = good && wellLaid(c, l, reach)
	}
	return good && len(c.GetLayouts()) > 0
}

func goodBox(e *v1.Extent) bool {
	_, err := solids.BoxOf(e)
	return err == nil
}

func wellLaid(c *v1.Chassis, l *v1.Layout, reach geometry.Box) bool {
	board := false
	for _, o := range l.GetObstructions() {
		if !goodBox(o.GetExtent()) {
			return false
		}
	}
	for _, m := range l.GetMounts() {
		if m.Space != nil && !goodBox(m.Space) || m.GetPanel() != "" && !hasPanel(c, m.GetPanel()) {
			return false
		}
		for _, pose := range m.GetPoses() {
			at, err := solids.PoseOf(pose)
			if err != nil || !reach.Contains(at.Origin()) {
				return false
			}
			board = board || m.GetKind() == v1.MountKind_MOUNT_KIND_BOARD
		}
		settings := 1
		for _, t := range m.GetTravels() {
			settings *= max(1, len(t.GetOffsetsMm()))
			if solids.FaceOf(t.GetAlong()) == geometry.NoFace || settings > mostPlaces {
				return false
			}
			for _, mm := range t.GetOffsetsMm() {
				if !(math.Abs(mm) <= 1000) {
					return false
				}
			}
		}
		for _, name := range m.GetExcludes() {
			if !slices.ContainsFunc(l.GetMounts(), func(o *v1.Mount) bool { return o.GetId() == name }) {
				return false
			}
		}
	}
	return board
}

func hasPanel(c *v1.Chassis, id string) bool {
	return slices.ContainsFunc(c.GetPanels(), func(pn *v1.Panel) bool { return pn.GetId() == id })
}
