package fastening

import (
	"math"
	"slices"

	"slipfit.example/rules/geometry"
)

// Holding says how well the holes that are left hold a part.
type Holding int

// From best to worst.
const (
	// HeldByAll: every hole of the pattern has its screw.
	HeldByAll Holding = iota
	// HeldByEnough: some are missing, and the part is held all the same.
	HeldByEnough
	// HeldIfLight: only a light part is held.
	HeldIfLight
	// NotHeld: a part would swing or come off.
	NotHeld
)

// String says it in words.
func (h Holding) String() string {
	switch h {
	case HeldByAll:
		return "held by all of its screws"
	case HeldByEnough:
		return "held by enough of its screws"
	case HeldIfLight:
		return "held if it is light"
	default:
		return "not held"
	}
}

// Judge tells how well the screws in some holes of a pattern hold a part. used
// tells which holes have a screw. The pattern may hold more holes than the part
// needs; needed is how many make it whole, 0 for all.
//
// Three screws that span an area hold any part (common practice, no source). Two
// at opposite corners, or any two round a light part, hold a light one: the heavy
// part tilts about the line between them. One screw, or several in one spot, hold
// none: the part swings.
func Judge(pattern []Hole, used []bool, needed int) Holding {
	var at []geometry.Vec
	for i := range pattern {
		if i < len(used) && used[i] {
			at = append(at, pattern[i].At)
		}
	}
	if needed == 0 {
		needed = len(pattern)
	}
	switch {
	case len(at) >= needed && len(at) > 0:
		return HeldByAll
	case spansArea(at):
		return HeldByEnough
	case spansLine(at):
		return HeldIfLight
	default:
		return NotHeld
	}
}

// OneSide reports whether all screws that are in lie on one side of the pattern's
// middle, seen along either of its axes: the other side stands free.
func OneSide(pattern []Hole, used []bool) bool {
	if len(pattern) == 0 {
		return false
	}
	var middle geometry.Vec
	for _, h := range pattern {
		middle = middle.Add(h.At.Scale(1 / float64(len(pattern))))
	}
	for a := range middle {
		below, above, wide := true, true, false
		for i, h := range pattern {
			wide = wide || math.Abs(h.At[a]-middle[a]) > sameSpotMM
			if i < len(used) && used[i] {
				below = below && h.At[a] < middle[a]-sameSpotMM
				above = above && h.At[a] > middle[a]+sameSpotMM
			}
		}
		if wide && (below || above) && slices.Contains(used, true) {
			return true
		}
	}
	return false
}

func spansLine(at []geometry.Vec) bool {
	for i := range at {
		for k := range i {
			if at[i].Dist(at[k]) > sameSpotMM {
				return true
			}
		}
	}
	return false
}

// spansArea reports whether three of the points make a triangle worth the name:
// its height is more than a tenth of its longest side.
func spansArea(at []geometry.Vec) bool {
	for i := range at {
		for k := range i {
			for m := range k {
				a, b := at[k].Sub(at[i]), at[m].Sub(at[i])
				longest := math.Max(at[i].Dist(at[k]), math.Max(at[i].Dist(at[m]), at[k].Dist(at[m])))
				if longest > sameSpotMM && cross(a, b).Norm() > 0.1*longest*longest {
					return true
				}
			}
		}
	}
	return false
}

func cross(a, b geometry.Vec) geometry.Vec {
	return geometry.Vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// LeverMM is how far a load's point lies outside of the screws that hold it: 0
// where it lies between them, seen along the screws. It is infinite nowhere: with
// no screw at all it is reported false.
func LeverMM(pattern []Hole, used []bool, load geometry.Vec) (mm float64, ok bool) {
	if len(pattern) == 0 || !pattern[0].From.Valid() {
		return 0, false
	}
	axis := int(pattern[0].From.Axis())
	u, v := (axis+1)%3, (axis+2)%3
	var at [][2]float64
	for i, h := range pattern {
		if i < len(used) && used[i] {
			at = append(at, [2]float64{h.At[u], h.At[v]})
		}
	}
	if len(at) == 0 {
		return 0, false
	}
	return outsideHull(at, [2]float64{load[u], load[v]}), true
}

// outsideHull is the distance of a point from the convex hull of some others: the
// greatest, over all directions from the point, of how far all others lie ahead.
// The direction that decides is one from the point to the nearest of the hull, so
// that points and sides between pairs suffice.
func outsideHull(hull [][2]float64, p [2]float64) float64 {
	if within(hull, p) {
		return 0
	}
	best := math.Inf(1)
	for i := range hull {
		for k := range i + 1 {
			best = math.Min(best, toSegment(hull[i], hull[k], p))
		}
	}
	return best
}

// within reports whether a point lies in a triangle of the others.
func within(hull [][2]float64, p [2]float64) bool {
	for i := range hull {
		for k := range i {
			for m := range k {
				a, b, c := turn(hull[i], hull[k], p), turn(hull[k], hull[m], p), turn(hull[m], hull[i], p)
				if turn(hull[i], hull[k], hull[m]) != 0 && (a >= 0 && b >= 0 && c >= 0 || a <= 0 && b <= 0 && c <= 0) {
					return true
				}
			}
		}
	}
	return false
}

func turn(a, b, c [2]float64) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}

func toSegment(a, b, p [2]float64) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	t := 0.0
	if length := dx*dx + dy*dy; length > 0 {
		t = min(1, max(0, ((p[0]-a[0])*dx+(p[1]-a[1])*dy)/length))
	}
	return math.Hypot(p[0]-a[0]-t*dx, p[1]-a[1]-t*dy)
}
