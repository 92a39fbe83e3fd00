package clearance

import (
	"cmp"
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/solids"
)

// seatMessages writes where items sit. The pieces of an item on one mount come
// together, in the order of their places; those that sit alike in places that follow
// each other are one seat.
func (s *scene) seatMessages(a *arrangement) (out []*v1.Seat) {
	var last *seatOf
	for _, seat := range together(a.seats) {
		if last != nil && seat.follows(last) {
			*out[len(out)-1].Count++
		} else {
			out = append(out, s.seatMessage(seat))
		}
		last = seat
	}
	return out
}

// together orders seats on mounts: each item's on one mount at the first of them.
func together(seats []seatOf) (out []*seatOf) {
	type group struct{ item, mount int }
	first := map[group]int{}
	for i := range seats {
		seat := &seats[i]
		if seat.mount < 0 {
			continue
		}
		if p := (group{seat.item, seat.mount}); first[p] == 0 {
			first[p] = i + 1
		}
		out = append(out, seat)
	}
	slices.SortStableFunc(out, func(a, b *seatOf) int {
		return cmp.Or(cmp.Compare(first[group{a.item, a.mount}], first[group{b.item, b.mount}]), cmp.Compare(a.side, b.side),
			cmp.Compare(a.pose, b.pose), slices.Compare(a.offsets, b.offsets), cmp.Compare(a.position, b.position))
	})
	return out
}

// follows reports whether a piece sits as another of its item does, in the next place.
func (s *seatOf) follows(o *seatOf) bool {
	return s.item == o.item && s.mount == o.mount && s.position == o.position+1 && s.pose == o.pose && s.side == o.side &&
		s.flow == o.flow && s.guard == o.guard && slices.Equal(s.offsets, o.offsets)
}

func (s *scene) seatMessage(seat *seatOf) *v1.Seat {
	mount := s.shape.mounts[seat.mount].mount
	n := uint32(1)
	m := &v1.Seat{Item: &s.items[seat.item].id, Mount: mount.Id, Count: &n, OffsetsMm: seat.offsets, Placed: solids.PoseMessage(seat.placed)}
	if len(s.shape.mounts[seat.mount].poses) > 0 {
		pose := uint32(seat.pose)
		m.Pose = &pose
	}
	kind := mount.GetKind()
	if kind == v1.MountKind_MOUNT_KIND_FAN || kind == v1.MountKind_MOUNT_KIND_RADIATOR {
		m.Panel = mount.Panel
		if seat.flow != v1.Flow_FLOW_UNSPECIFIED {
			flow := seat.flow
			m.Flow = &flow
		}
		if guard := seat.guard; guard != "" {
			m.Guard = &guard
		}
	}
	if kind == v1.MountKind_MOUNT_KIND_RADIATOR && seat.outside != nil {
		outside, fittings := *seat.outside, solids.AxisOf(seat.fittings)
		m.FansOutside, m.Fittings = &outside, &fittings
		if seat.slides {
			m.SlideMm = number(seat.slide)
		}
	}
	if seat.side != "" {
		side := seat.side
		m.Side = &side
	}
	if kind == v1.MountKind_MOUNT_KIND_FAN || kind == v1.MountKind_MOUNT_KIND_DRIVE || kind == v1.MountKind_MOUNT_KIND_CARD {
		position := uint32(seat.position)
		m.Position = &position
	}
	return m
}
