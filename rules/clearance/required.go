package clearance

import (
	"slipfit.example/rules/arrange"
	"slipfit.example/rules/geometry"
)

// why is the reason for a gap.
type why uint8

// Reasons for a gap.
const (
	toTouch why = iota
	toRattle
	toPlug
	toReach
)

// String is the reason as Gap.reason of the contract has it.
func (w why) String() string { return [...]string{"touch", "vibration", "plug", "hand"}[w] }

// apart is the gap that no enclosure has: mounts that exclude each other keep it.
const apart = 1000.0

// required is the gap that two bodies have to keep; see arrange.Problem.
func (s *scene) required(a, b *arrange.Body) (float64, bool) {
	mm, _, ok := s.keeps(s.of[a.Piece], s.of[b.Piece], a.Piece, b.Piece)
	return mm, ok
}

// keeps is the gap that two pieces have to keep, and why. It is symmetric.
func (s *scene) keeps(t, u *thing, a, b *geometry.Piece) (mm float64, reason why, ok bool) {
	switch {
	case t.element != nil && u.element != nil:
		return 0, toTouch, false
	case t.element != nil:
		return s.fromElement(u, t, b, a)
	case u.element != nil:
		return s.fromElement(t, u, a, b)
	case t.mount >= 0 && u.mount >= 0 && s.shape.excludes[t.mount][u.mount]:
		return apart, toTouch, true
	case t.serving(u) || u.serving(t):
		return s.inSocket(t, u)
	case !a.Purpose.Excludes(b.Purpose) || settled(t, u):
		return 0, toTouch, false
	case t.spins && u.spins && t.mount == u.mount:
		return s.onlyOverlap(a, b) // fans of one row, drives of one cage
	case a.Purpose == geometry.PurposePlug || b.Purpose == geometry.PurposePlug:
		return s.keep.plug, toPlug, true
	case a.Purpose == geometry.PurposeAccess || b.Purpose == geometry.PurposeAccess:
		return s.keep.hand, toReach, true
	case a.Purpose == geometry.PurposeBreath || b.Purpose == geometry.PurposeBreath:
		return 0, toTouch, true
	case t.spins || u.spins:
		return s.keep.vibration, toRattle, true
	default:
		return s.keep.touch, toTouch, true
	}
}

// settled reports whether the board's and the cooler's makers have seen to it that
// two things go together: what sits on the board beside each other, other than a
// card and what it may meet.
func settled(t, u *thing) bool {
	if !t.aboard || !u.aboard {
		return false
	}
	inSlot, other := t.card || t.riser, u.card || u.riser
	if inSlot != other {
		return !(t.cooler || u.cooler)
	}
	return !inSlot
}

// fromElement is the gap of a part from the enclosure.
func (s *scene) fromElement(t, e *thing, a, b *geometry.Piece) (mm float64, reason why, ok bool) {
	switch {
	case !a.Purpose.Excludes(geometry.PurposeSolid), t.outward:
		return 0, toTouch, false
	case t.frame && a.Purpose == geometry.PurposeSolid, t.card && behind(t, a, b):
		// A frame of standard size lies where its mount brings it, against walls and
		// rails, and a card's bracket stands in the wall.
		return s.onlyOverlap(a, b)
	case a.Purpose == geometry.PurposePlug:
		return s.keep.plug, toPlug, true
	case a.Purpose == geometry.PurposeAccess:
		return s.keep.hand, toReach, true
	default:
		return s.keep.touch, toTouch, true
	}
}

// behind reports whether an element lies where a card's bracket is.
func behind(t *thing, a, b *geometry.Piece) bool {
	return geometry.Separate(a.Box, b.Box).FaceA == t.pose.Rotation().Face(geometry.MinY)
}

// onlyOverlap counts a pair only where it overlaps by more than its coordinates
// are known to.
func (s *scene) onlyOverlap(a, b *geometry.Piece) (mm float64, reason why, ok bool) {
	return 0, toTouch, geometry.SignedDistance(&a.Box, &b.Box) < -1e-3
}
