package clearance

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
)

// berth is a place that an enclosure leaves open to a part by itself, in the part's own
// frame: what other parts take away is not looked at, so that nothing has more room in
// any arrangement.
type berth struct {
	solid []geometry.Box // of the enclosure
	space geometry.Box   // of the mount
	bound bool           // it has one
}

// berthKey is all that the berths of an item depend on.
type berthKey struct {
	chassis, board *v1.Part
	layout         int
	pins           string // encoded
	item           string
	count          int
	card           bool
	boardItem      string
}

// berthsOf are the berths of a cooler, or of a loop's block, on the processor's lid, or
// of a card in the slots of the board and on mounts of its own, in one layout.
func (d *desk) berthsOf(layout int, it *kit.Item, pins string) []berth {
	board := d.c.First(kit.KindBoard)
	if board == nil {
		return nil
	}
	k := berthKey{chassis: d.chassis.Part, board: board.Part, layout: layout, pins: pins, item: it.ID, count: it.Count,
		card: it.Kind == kit.KindCard, boardItem: board.ID}
	if d.c.Sought(d.chassis) || d.c.Sought(board) {
		return findBerths(&k, kept.enclosureOf(k.chassis), d.c.Build.GetArrangement().GetPlacements())
	}
	return kept.berthsOf(&k, d.c.Build.GetArrangement().GetPlacements())
}

// berthsOf finds berths, or remembers them.
func (s *store) berthsOf(k *berthKey, pins []*v1.Placement) []berth {
	s.mu.Lock()
	list, ok := s.berths.get(k)
	s.mu.Unlock()
	if ok {
		return list
	}
	list = findBerths(k, s.enclosureOf(k.chassis), pins)
	own := *k // names of a case live no longer than it
	own.item, own.boardItem = strings.Clone(k.item), strings.Clone(k.boardItem)
	s.mu.Lock()
	s.berths.put(&own, list)
	s.mu.Unlock()
	return list
}

func findBerths(k *berthKey, e *enclosure, pins []*v1.Placement) (out []berth) {
	if k.layout < 0 || k.layout >= len(e.layouts) {
		return nil
	}
	shape := &e.layouts[k.layout]
	s := &scene{enclosure: e, shape: shape, pins: pins, items: []seatedItem{
		{id: k.boardItem, count: 1, part: k.board}, {id: k.item, count: k.count}}}
	add := func(at geometry.Pose, m *mountShape) {
		out = append(out, berthAt(e, shape, at, m))
	}
	lid, _, hasLid := s.settings.LidFrame(k.board)
	for _, m := range shape.mountsOf(v1.MountKind_MOUNT_KIND_BOARD) {
		if !m.takesForm(k.board.GetBoard().GetFormFactor()) {
			continue
		}
		s.openPlaces(0, 0, m, func(seat *seatOf) {
			switch {
			case k.card:
				s.slotBerths(k, seat.placed, add)
			case hasLid:
				add(seat.placed.After(lid), nil)
			}
		})
	}
	if !k.card {
		return out
	}
	for _, m := range shape.mountsOf(v1.MountKind_MOUNT_KIND_CARD) {
		for piece := range k.count {
			s.openPlaces(1, piece, m, func(seat *seatOf) { add(seat.placed, m) })
		}
	}
	return out
}

// openPlaces yields the places of a mount that the build leaves open to an item.
func (s *scene) openPlaces(item, piece int, m *mountShape, yield func(*seatOf)) {
	pins := s.pinsOf(item, piece)
	for p := range m.poses {
		for _, by := range m.shifts {
			seat := seatOf{item: item, piece: piece, mount: m.index, pose: p, offsets: by.offsets, placed: m.at(p, by)}
			if allows(pins, m.mount, &seat) {
				yield(&seat)
			}
		}
	}
}

// slotBerths adds the berths of a card in the slots of a board that is in its place.
func (s *scene) slotBerths(k *berthKey, board geometry.Pose, add func(geometry.Pose, *mountShape)) {
	mount := s.slotMount()
	for _, slot := range k.board.GetBoard().GetCardSlots() {
		frame, err := solids.SlotFrame(int(slot.GetPosition()))
		if slot.Position == nil || err != nil {
			continue
		}
		for piece := range k.count {
			if s.allowsSlot(&cardPiece{item: 1, piece: piece}, mount, int(slot.GetPosition())) {
				add(board.After(frame), mount)
				break
			}
		}
	}
}

func berthAt(e *enclosure, shape *layoutShape, at geometry.Pose, m *mountShape) berth {
	into := at.Inverse()
	b := berth{solid: make([]geometry.Box, 0, len(e.solid)+len(shape.solid))}
	for _, list := range [2][]element{e.solid, shape.solid} {
		for i := range list {
			b.solid = append(b.solid, into.Box(list[i].box))
		}
	}
	if m != nil && m.bound {
		b.space, b.bound = into.Box(m.space), true
	}
	return b
}

// dust is what lengths in mm may differ by for the order in which they were added up.
const dust = 1e-6

// reach is no less than how far a part of a hull may reach along an axis of its own
// before it meets the enclosure or leaves its mount's space; see scene.roomOf.
func (b *berth) reach(hull *geometry.Box, axis geometry.Axis) float64 {
	low, high := hull.Min(), hull.Max()
	u, v := (axis+1)%3, (axis+2)%3
	most := roomReach
	for i := range b.solid {
		o := &b.solid[i]
		from, to := o.Min(), o.Max()
		if from[axis] >= most || from[axis] < low[axis] || to[u] <= low[u]+dust || from[u] >= high[u]-dust ||
			to[v] <= low[v]+dust || from[v] >= high[v]-dust {
			continue
		}
		most = from[axis]
	}
	if b.bound {
		most = min(most, b.space.Max()[axis])
	}
	return most + slabMM + dust
}
