package route

import (
	"fmt"

	"slipfit.example/rules/geometry"
)

// Fit is how a chain of boxes sits among obstacles.
type Fit struct {
	// Gap is the smallest gap in mm to an obstacle or to the room's walls, negative for a clash.
	Gap float64
	// Link is the index of the box with the smallest gap, Obstacle that of the obstacle, -1 for the room's wall.
	Link, Obstacle int
	// Wall is the wall of the room, NoFace where an obstacle is nearer.
	Wall geometry.Face
	// Separation tells the faces towards the obstacle; unset for a wall.
	Separation geometry.Separation
}

// CheckChain tells whether a connector of fixed shape, such as a rigid riser, fits: a chain of placed boxes of which each
// touches or overlaps the next. The first box has to hold the point from, the last one the point to, within the given
// play in mm. It returns an error that names the broken link if the chain does not hold together or does not reach, or
// if a figure is not a number.
func CheckChain(room Room, chain []geometry.Box, from, to geometry.Vec, play float64) (Fit, error) {
	if len(chain) == 0 {
		return Fit{}, fmt.Errorf("route: the connector has no boxes, give its shape")
	}
	if !(play >= 0 && play <= geometry.Reach) {
		return Fit{}, fmt.Errorf("route: a play of %v mm cannot be used, give one of at least 0 mm", play)
	}
	for i, end := range []struct {
		at  geometry.Vec
		box geometry.Box
	}{{from, chain[0]}, {to, chain[len(chain)-1]}} {
		if err := end.at.Check(); err != nil {
			return Fit{}, fmt.Errorf("route: end %d of the connector cannot be used: %w", i, err)
		}
		if off := outside(end.box, end.at); off > play {
			return Fit{}, fmt.Errorf("route: end %d of the connector misses its place by %.1f mm, choose another length or place", i, off)
		}
	}
	for i := 1; i < len(chain); i++ {
		if d := geometry.Distance(chain[i-1], chain[i]); d > tolerance {
			return Fit{}, fmt.Errorf("route: boxes %d and %d of the connector lie %.1f mm apart, make them touch", i-1, i, d)
		}
	}
	return tightestLink(room, chain), nil
}

// outside returns how far along an axis a point lies outside a box, 0 inside.
func outside(b geometry.Box, p geometry.Vec) float64 {
	off := 0.0
	for k := range p {
		off = max(off, b.Min()[k]-p[k], p[k]-b.Max()[k])
	}
	return off
}

func tightestLink(room Room, chain []geometry.Box) Fit {
	best := Fit{Gap: 2 * geometry.Reach, Link: -1, Obstacle: -1, Wall: geometry.NoFace}
	for i, link := range chain {
		for f := geometry.MinX; f < geometry.NoFace; f++ {
			if d := f.Sign() * (room.Within.At(f) - link.At(f)); d < best.Gap {
				best = Fit{Gap: d, Link: i, Obstacle: -1, Wall: f}
			}
		}
		for j := range room.Obstacles {
			if s := geometry.Separate(link, room.Obstacles[j].Box); s.Distance < best.Gap {
				best = Fit{s.Distance, i, j, geometry.NoFace, s}
			}
		}
	}
	return best
}
