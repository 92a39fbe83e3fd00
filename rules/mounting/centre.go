package mounting

import (
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
)

// centre is the centre of mass of the whole: x and y from the middle of the
// enclosure's inside, z from its floor, in mm. Items lie where their boxes do, the
// enclosure in its middle. known is false without boxes, or where a heavy item has
// no mass.
func (s *scene) centre() (at geometry.Vec, known bool) {
	b := s.placed()
	if b == nil || !b.hasRoom {
		return at, false
	}
	middle, sum := b.room.Center(), 0.0
	middle[2] = b.room.Min()[2]
	for it := range s.c.AllItems() {
		m := s.mass(it)
		if it.Kind == kit.KindFastenerKit {
			continue
		}
		if !m.Known() {
			return at, false
		}
		where, ok := b.middleOf(it.ID)
		if !ok {
			where = b.room.Center()
		}
		at = at.Add(where.Sub(middle).Scale(m.Nominal))
		sum += m.Nominal
	}
	if sum <= 0 {
		return at, false
	}
	return at.Scale(1 / sum), true
}

// middleOf is the middle of an item's matter, by volume.
func (b *bodies) middleOf(id string) (at geometry.Vec, ok bool) {
	volume := 0.0
	for i := range b.things {
		if b.things[i].item != id {
			continue
		}
		for _, box := range b.things[i].solid {
			at = at.Add(box.Center().Scale(box.Volume()))
			volume += box.Volume()
		}
	}
	if volume == 0 {
		return at, false
	}
	return at.Scale(1 / volume), true
}
