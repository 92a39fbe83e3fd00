package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/route"
	"slipfit.example/rules/solids"
)

// channelPreference is how much dearer a millimetre outside the channels counts
// where the enclosure has some, when ways are compared. Lengths stay as they are.
const channelPreference = 0.5

// roomOf is the free space of an arrangement: the compartments of the enclosure
// round everything of matter in it. Rooms for plugs and air do not stop a cable.
func roomOf(chassis *kit.Item, a *v1.Arrangement) (room route.Room, ok bool) {
	part := chassis.Part.GetChassis()
	for _, compartment := range part.Compartments {
		inside, err := solids.BoxOf(compartment.GetExtent())
		if err != nil {
			continue
		}
		if !ok {
			room.Within, ok = inside, true
		}
		room.Within = room.Within.Hull(inside)
		if compartment.GetCableChannel() {
			room.Channels = append(room.Channels, inside)
			room.Preference = channelPreference
		}
	}
	if !ok {
		return room, false
	}
	walls := map[string]*v1.Panel{}
	for _, panel := range part.Panels {
		walls[panel.GetId()] = panel
	}
	for _, b := range a.GetBoxes() {
		own := b.GetItem() == "" || b.GetItem() == chassis.ID
		if b.GetPurpose() > v1.Purpose_PURPOSE_SOLID || b.OpenShare != nil && own {
			continue
		}
		box, err := solids.BoxOf(b.GetExtent())
		if err != nil || !box.Overlaps(room.Within) {
			continue
		}
		if wall := walls[b.GetBody()]; wall != nil && own {
			room.Obstacles = appendWall(room.Obstacles, b.GetShape(), box, wall)
			continue
		}
		room.Obstacles = append(room.Obstacles, route.Obstacle{Name: b.GetShape(), Box: box})
	}
	return room, true
}

// appendWall adds an inner wall, less the openings that a cable can pass: those
// without a covering.
func appendWall(out []route.Obstacle, name string, box geometry.Box, wall *v1.Panel) []route.Obstacle {
	for _, rest := range geometry.FreeBoxes(nil, box, passages(wall)) {
		out = append(out, route.Obstacle{Name: name, Box: rest})
	}
	return out
}

// leave lengthens the straight start of a cable until it is clear of the part
// that its socket sits on, as far as 60 mm: sockets lie deep in some parts.
func leave(room *route.Room, t *route.Terminal, radius float64) {
	const farthest = 60
	for t.Straight < farthest {
		end := t.At.Add(t.Exit.Normal().Scale(t.Straight))
		inside := false
		for i := range room.Obstacles {
			b := &room.Obstacles[i].Box
			inside = inside || b.Holds(&t.At, radius) && b.Holds(&end, radius)
		}
		if !inside {
			return
		}
		t.Straight += 5
	}
}

// sidestep moves the start of a cable out from beneath what covers its socket,
// such as the fins of a cooler whose box reaches down to the board: the plug is
// bent aside and the cable comes out at the nearest free side. It returns how much
// cable that takes, 0 where the socket is free or no side within reach is.
func sidestep(room *route.Room, t *route.Terminal, radius float64) (extra float64) {
	const farthest = 150 // mm, half a large board
	over, ok := cover(room, t, radius)
	if !ok {
		return 0
	}
	best := *t
	for side := geometry.MinX; side < geometry.NoFace; side++ {
		if side.Axis() == t.Exit.Axis() {
			continue
		}
		way := 0.0
		for _, b := range over {
			way = max(way, (b.At(side)-t.At[side.Axis()])*side.Sign())
		}
		out := route.Terminal{At: t.At.Add(side.Normal().Scale(way + hair)), Exit: side, Straight: radius}
		if way > farthest || extra > 0 && way+t.Straight >= extra || !isFree(room, &out, radius) {
			continue
		}
		best, extra = out, way+t.Straight
	}
	*t = best
	return extra
}

// hair keeps a cable that touches a face out of it, in mm.
const hair = 1e-3

// cover lists the boxes, grown by the cable's radius, that the socket or the end
// of its straight stretch lies in; ok is false where the stretch is free.
func cover(room *route.Room, t *route.Terminal, radius float64) (over []geometry.Box, ok bool) {
	end := leadEnd(*t, radius, 0)
	for i := range room.Obstacles {
		b := &room.Obstacles[i].Box
		covers := b.Holds(&end, radius-hair)
		if !covers && !b.Holds(&t.At, radius-hair) {
			continue
		}
		if grown, err := b.Inflated(radius - hair); err == nil {
			over, ok = append(over, grown), ok || covers
		}
	}
	return over, ok
}

// isFree reports whether a cable can start at a place and leave it.
func isFree(room *route.Room, t *route.Terminal, radius float64) bool {
	end := leadEnd(*t, radius, 0)
	inside, err := room.Within.Inflated(-radius)
	if err != nil || !inside.Contains(end) {
		return false
	}
	for i := range room.Obstacles {
		if b := &room.Obstacles[i].Box; b.Holds(&end, radius-hair) || b.Holds(&t.At, radius-hair) {
			return false
		}
	}
	return true
}
