package assembly

import (
	"fmt"

	"slipfit.example/rules/geometry"
)

// Thing is what one step puts in, where it lies when it is in.
type Thing struct {
	// Step is its place in the plan.
	Step int
	// Boxes are its matter.
	Boxes []geometry.Box
}

// Exit is a side through which things go in and come out.
type Exit struct {
	// Name is for sentences: "through the left side".
	Name string
	// Out is the direction outwards, and TravelMM how far a thing goes until it is
	// out.
	Out      geometry.Face
	TravelMM float64
}

// SkinMM is how much smaller than itself a thing is taken on its way: parts slide
// along what they touch.
const SkinMM = 0.5

// StraightWays finds the straight ways by which a thing gets to its place, and
// what bars each of them: every other thing that it would pass through. Matter
// that stays where it is (fixed) closes a way for good. What overlaps the thing at
// its place is no obstacle: a tab in a slot is meant to. ok is false where fixed
// matter closes every way: then it is put in by turning and tilting, of which
// nothing can be told here. The error is that of a travel that is no length.
func StraightWays(thing Thing, exits []Exit, others []Thing, fixed []geometry.Box) (ways []Way, ok bool, err error) {
	own := make([]geometry.Box, len(thing.Boxes))
	for i, b := range thing.Boxes {
		own[i] = slim(b)
	}
	sweeps := make([]geometry.Box, len(own))
	for _, exit := range exits {
		for i, b := range own {
			if sweeps[i], err = geometry.Sweep(b, exit.Out, exit.TravelMM); err != nil {
				return nil, false, fmt.Errorf("the way %s: %w", exit.Name, err)
			}
		}
		if anyBars(own, sweeps, fixed) {
			continue
		}
		way := Way{Name: exit.Name}
		for _, o := range others {
			if o.Step != thing.Step && anyBars(own, sweeps, o.Boxes) {
				way.Barred = append(way.Barred, o.Step)
			}
		}
		ways = append(ways, way)
	}
	return ways, len(ways) > 0, nil
}

func slim(b geometry.Box) geometry.Box {
	if s, err := b.Inflated(-SkinMM); err == nil {
		return s
	}
	return b // a sheet is not thick enough to lose its skin
}

// anyBars reports whether one of some boxes lies on the way and not already in the
// thing's place.
func anyBars(own, sweeps, boxes []geometry.Box) bool {
	for i := range boxes {
		for k := range sweeps {
			if sweeps[k].Overlaps(boxes[i]) && !overlapsAny(own, boxes[i]) {
				return true
			}
		}
	}
	return false
}

func overlapsAny(own []geometry.Box, b geometry.Box) bool {
	for i := range own {
		if own[i].Overlaps(b) {
			return true
		}
	}
	return false
}

// BarredBy lists the steps whose things reach into room that a tool or a hand
// needs.
func BarredBy(room []geometry.Box, things []Thing) (steps []int) {
	for _, t := range things {
		for i := range t.Boxes {
			if overlapsAny(room, t.Boxes[i]) {
				steps = append(steps, t.Step)
				break
			}
		}
	}
	return steps
}
