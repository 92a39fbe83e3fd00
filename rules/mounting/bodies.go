package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
)

// bodies are the boxes of an arrangement, sorted by what they belong to.
type bodies struct {
	things []body
	// fixed is matter of the enclosure that does not come off.
	fixed []geometry.Box
	// names of it, in the same order.
	names []string
	// room is the box round everything that is inside.
	room    geometry.Box
	hasRoom bool
	// open tells for each face whether something can pass there: its panel comes
	// off, or there is none.
	open [6]bool
}

// body is one item with its boxes.
type body struct {
	item  string
	solid []geometry.Box
	plugs []plug
}

// plug is the room of one mated plug.
type plug struct {
	name string
	box  geometry.Box
}

// placed sorts the boxes of the arrangement once for all rules of a case; nil
// without any.
func (s *scene) placed() *bodies {
	if !s.sorted {
		s.sorted, s.boxes = true, nil
		if len(s.extents) > 0 && s.chassis != nil {
			s.boxes = s.sortBoxes()
		}
	}
	return s.boxes
}

func (s *scene) sortBoxes() *bodies {
	b := &bodies{open: s.openFaces()}
	removable := s.removable()
	for i := range s.extents {
		p := &s.extents[i]
		if !p.sound {
			continue
		}
		if it := s.c.ItemByID(p.item); it == nil || it == s.chassis {
			if p.solid() && !removable[p.body] {
				b.fixed, b.names = append(b.fixed, p.extent), append(b.names, p.body)
			}
			continue
		}
		t := b.thing(p.item)
		switch {
		case p.solid():
			t.solid = append(t.solid, p.extent)
			b.grow(p.extent)
		case p.purpose == v1.Purpose_PURPOSE_PLUG:
			t.plugs = append(t.plugs, plug{p.body, p.extent})
		}
	}
	for _, c := range s.chassis.Part.GetChassis().GetCompartments() {
		if box, err := solids.BoxOf(c.GetExtent()); err == nil {
			b.grow(box)
		}
	}
	return b
}

func (b *bodies) grow(box geometry.Box) {
	if !b.hasRoom {
		b.room, b.hasRoom = box, true
		return
	}
	b.room = b.room.Hull(box)
}

// thing is the entry of an item, made where there is none.
func (b *bodies) thing(id string) *body {
	for i := range b.things {
		if b.things[i].item == id {
			return &b.things[i]
		}
	}
	b.things = append(b.things, body{item: id})
	return &b.things[len(b.things)-1]
}

// of is the entry of an item; nil where it has no boxes.
func (b *bodies) of(id string) *body {
	if b == nil {
		return nil
	}
	for i := range b.things {
		if b.things[i].item == id {
			return &b.things[i]
		}
	}
	return nil
}

// matter is what of it is solid; nothing of a body that is not there.
func (t *body) matter() []geometry.Box {
	if t == nil {
		return nil
	}
	return t.solid
}

// openFaces tells which sides of the enclosure something can pass through.
func (s *scene) openFaces() (open [6]bool) {
	var walled [6]bool
	for _, p := range s.chassis.Part.GetChassis().GetPanels() {
		if f := solids.FaceOf(p.GetFaces()); f.Valid() {
			walled[f] = true
			open[f] = open[f] || p.GetRemovable()
		}
	}
	for f := range open {
		open[f] = open[f] || !walled[f]
	}
	return open
}

// removable are the panels and obstructions that come off, by name.
func (s *scene) removable() map[string]bool {
	out := map[string]bool{}
	of := s.chassis.Part.GetChassis()
	for _, p := range of.GetPanels() {
		out[p.GetId()] = p.GetRemovable()
	}
	for _, list := range [...][]*v1.Obstruction{of.GetObstructions(), s.layout.GetObstructions()} {
		for _, o := range list {
			out[o.GetId()] = o.GetRemovable()
		}
	}
	return out
}

// box is short for what everything here is made of.
type box = geometry.Box

// nearMM is how near two things lie to touch.
const nearMM = 0.5

// touches reports whether a box lies against one of some others.
func touches(list []box, b box) bool {
	for i := range list {
		if geometry.SignedDistance(&list[i], &b) <= nearMM {
			return true
		}
	}
	return false
}
