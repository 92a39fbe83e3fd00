package fastening

import (
	"fmt"

	"slipfit.example/rules/geometry"
)

// Driver is the room that a screwdriver takes along a screw's axis.
type Driver struct {
	// ShaftMM is the thickness of its shaft, HandleMM that of its handle with the
	// hand round it.
	ShaftMM, HandleMM float64
	// ReachMM is the length of the shaft, HandMM that of handle and hand.
	ReachMM, HandMM float64
}

// CommonDriver is a cross-head driver as workshops have it: 6 mm of shaft, 100 mm
// long, and a hand of 60 mm that needs 100 mm (common practice, no source).
var CommonDriver = Driver{ShaftMM: 6, HandleMM: 60, ReachMM: 100, HandMM: 100}

// LongDriver is one whose handle stays outside of a small enclosure: 250 mm of shaft
// (common practice, no source). What bars it bars every driver.
var LongDriver = Driver{ShaftMM: 6, HandleMM: 30, ReachMM: 250, HandMM: 100}

// Access are the two boxes that the driver and the hand take over a hole.
func (d Driver) Access(h Hole) (shaft, hand geometry.Box, err error) {
	if !h.From.Valid() {
		return shaft, hand, fmt.Errorf("from which side hole %q is screwed is not given", h.ID)
	}
	if shaft, err = column(h, d.ShaftMM, 0, d.ReachMM); err != nil {
		return shaft, hand, fmt.Errorf("the driver's shaft: %w", err)
	}
	if hand, err = column(h, d.HandleMM, d.ReachMM, d.ReachMM+d.HandMM); err != nil {
		return shaft, hand, fmt.Errorf("the driver's handle: %w", err)
	}
	return shaft, hand, nil
}

// column is a square column over a hole, from one height to another.
func column(h Hole, edge, from, to float64) (geometry.Box, error) {
	return geometry.NewBox(span(h, edge, from, to))
}

// span are the corners of such a column.
func span(h Hole, edge, from, to float64) (lo, hi geometry.Vec) {
	normal, half := h.From.Normal(), edge/2
	low, high := h.At.Add(normal.Scale(from)), h.At.Add(normal.Scale(to))
	axis := h.From.Axis()
	for a := range lo {
		lo[a], hi[a] = min(low[a], high[a]), max(low[a], high[a])
		if geometry.Axis(a) != axis {
			lo[a], hi[a] = lo[a]-half, hi[a]+half
		}
	}
	return lo, hi
}

// Room is a box round all that screws and driver take over some holes, and one round
// the heads alone, with the heads up to so far above the holes: what lies outside of it
// is in nobody's way. The error says what is no hole.
func (d Driver) Room(holes []Hole, headMM, upToMM float64) (all, heads geometry.Box, err error) {
	for i, h := range holes {
		if !h.From.Valid() {
			return all, heads, fmt.Errorf("from which side hole %q is screwed is not given", h.ID)
		}
		head, err := column(h, headMM, 0, upToMM+headRoomMM)
		if err != nil {
			return all, heads, fmt.Errorf("the room over hole %q: %w", h.ID, err)
		}
		tool, err := column(h, max(d.ShaftMM, d.HandleMM, headMM), 0, upToMM+d.ReachMM+d.HandMM)
		if err != nil {
			return all, heads, fmt.Errorf("the room over hole %q: %w", h.ID, err)
		}
		if i > 0 {
			head, tool = head.Hull(heads), tool.Hull(all)
		}
		all, heads = tool, head
	}
	return all, heads, nil
}

// Access says whether a screw gets into a hole.
type Access int

// What can be said of a hole.
const (
	// Open holes take a screw and a driver.
	Open Access = iota
	// Covered holes have matter where the screw's head would lie.
	Covered
	// OutOfReach holes take a head and no driver along the screw's axis.
	OutOfReach
)

// String names the state for a sentence.
func (a Access) String() string {
	switch a {
	case Covered:
		return "covered"
	case OutOfReach:
		return "out of a driver's reach"
	default:
		return "open"
	}
}

// headRoomMM is how much room a screw's head takes over the face that it lies on:
// 2.5 mm for the pan head of 6-32, the tallest among the small ones.
const headRoomMM = 2.5

// HeadRoom is the room of a screw's head of a diameter over a hole. The error says
// what is no hole.
func HeadRoom(h Hole, headMM float64) (geometry.Box, error) {
	if !h.From.Valid() {
		return geometry.Box{}, fmt.Errorf("from which side hole %q is screwed is not given", h.ID)
	}
	head, err := column(h, headMM, 0, headRoomMM)
	if err != nil {
		return head, fmt.Errorf("the head over hole %q: %w", h.ID, err)
	}
	return head, nil
}

// Look tells whether a hole is open, and if not, by which of the solids: its place
// in the list. headMM is the diameter of the screw's head. The part itself and
// what it is screwed to must not be among the solids.
func Look(h Hole, headMM float64, d Driver, solids []geometry.Box) (Access, int, error) {
	head, err := HeadRoom(h, headMM)
	if err != nil {
		return Open, -1, err
	}
	shaft, hand, err := d.Access(h)
	if err != nil {
		return Open, -1, err
	}
	for i := range solids {
		if head.Overlaps(solids[i]) {
			return Covered, i, nil
		}
	}
	for i := range solids {
		if shaft.Overlaps(solids[i]) || hand.Overlaps(solids[i]) {
			return OutOfReach, i, nil
		}
	}
	return Open, -1, nil
}
