package clearance

import (
	"math"
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/solids"
)

// pin is a fixed choice as it holds for one piece of an item.
type pin struct {
	choice   *v1.Placement
	position int  // in the mount's row, anyPosition where it is free
	onward   bool // the places after the position do as well
}

const anyPosition = -1

func pinTo(choice *v1.Placement, after int) pin {
	if choice.Position == nil {
		return pin{choice: choice, position: anyPosition}
	}
	return pin{choice: choice, position: int(choice.GetPosition()) + after}
}

// pinsOf are the fixed choices of which one piece of an item has to keep one; none
// for a free piece. How the choices of an item share its pieces is told in the
// contract, at Placement.
func (s *scene) pinsOf(item, piece int) (out []pin) {
	var rest []*v1.Placement
	counted := 0
	for _, p := range s.pins {
		switch {
		case p.GetItem() != s.items[item].id:
		case p.Count == nil:
			rest = append(rest, p)
		default:
			if after := piece - counted; after >= 0 && after < int(p.GetCount()) {
				return []pin{pinTo(p, after)}
			}
			counted += int(p.GetCount())
		}
	}
	after, left := piece-counted, s.items[item].count-counted
	switch {
	case len(rest) == 1:
		return []pin{pinTo(rest[0], after)}
	case len(rest) == left && after >= 0:
		return []pin{pinTo(rest[after], 0)}
	}
	for _, p := range rest {
		one := pinTo(p, 0)
		one.onward = len(rest) < left
		out = append(out, one)
	}
	return out
}

// likePiece is the first piece of an item to which the same choices are left as to
// one: the two can change places.
func (s *scene) likePiece(item, piece int) int {
	pins := s.pinsOf(item, piece)
	for first := range piece {
		if slices.Equal(s.pinsOf(item, first), pins) {
			return first
		}
	}
	return piece
}

// mountPinned is the mount that the build sends a piece to, empty for none.
func (s *scene) mountPinned(item, piece int) string {
	for _, p := range s.pinsOf(item, piece) {
		if p.choice.Mount != nil {
			return p.choice.GetMount()
		}
	}
	return ""
}

// allows reports whether the fixed choices leave a seat open.
func allows(pins []pin, mount *v1.Mount, seat *seatOf) bool {
	return len(pins) == 0 || slices.ContainsFunc(pins, func(p pin) bool { return p.fits(mount, seat) })
}

func (p *pin) fits(mount *v1.Mount, seat *seatOf) bool {
	c := p.choice
	switch {
	case c.Mount != nil && c.GetMount() != mount.GetId(),
		c.Pose != nil && int(c.GetPose()) != seat.pose,
		c.Side != nil && c.GetSide() != seat.side,
		!p.takes(seat.position):
		return false
	case seat.outside != nil && !fitsRadiator(c, seat):
		return false
	}
	for i, mm := range c.OffsetsMm {
		if i < len(seat.offsets) && math.Abs(seat.offsets[i]-mm) > 1e-6 {
			return false
		}
	}
	return true
}

// takes reports whether a place of a mount's row is left open.
func (p *pin) takes(position int) bool {
	return p.position == anyPosition || p.position == position || p.onward && position > p.position
}

// slideNear is by how many mm a slide may be told otherwise than it is: a wish need
// not have more digits than a rule on the bench.
const slideNear = 0.05

func fitsRadiator(c *v1.Placement, seat *seatOf) bool {
	return (c.FansOutside == nil || c.GetFansOutside() == *seat.outside) &&
		(c.GetFittings() == v1.Axis_AXIS_UNSPECIFIED || c.GetFittings() == solids.AxisOf(seat.fittings)) &&
		(c.SlideMm == nil || math.Abs(c.GetSlideMm()-seat.slide) <= slideNear)
}

// allowsSlot reports whether the fixed choices leave a card a slot of the board, by
// its position from 1. slots is the mount of such cards, nil where the layout has none.
func (s *scene) allowsSlot(card *cardPiece, slots *mountShape, position int) bool {
	pins := s.pinsOf(card.item, card.piece)
	return len(pins) == 0 || slices.ContainsFunc(pins, func(p pin) bool {
		return p.takes(position-1) && (p.choice.Mount == nil || slots == nil || p.choice.GetMount() == slots.mount.GetId())
	})
}
