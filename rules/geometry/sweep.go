package geometry

import (
	"fmt"
	"math"
)

// Sweep returns the box that a box passes over when it moves along a direction by a distance in mm. It returns an error
// if the direction is not given or the distance is negative, not a number, or beyond Reach.
func Sweep(b Box, along Face, distance float64) (Box, error) {
	if err := checkTravel(along, distance); err != nil {
		return Box{}, err
	}
	return sweep(b, along, distance), nil
}

func sweep(b Box, along Face, distance float64) Box {
	if along.Upper() {
		b.max[along.Axis()] += distance
	} else {
		b.min[along.Axis()] -= distance
	}
	return b
}

func checkTravel(along Face, distance float64) error {
	if !along.Valid() {
		return fmt.Errorf("geometry: a travel has no direction, name one of the six faces")
	}
	if !(distance >= 0 && distance <= Reach) {
		return fmt.Errorf("geometry: a travel of %v mm cannot be checked, give a distance from 0 to %v mm", distance, Reach)
	}
	return nil
}

// Travel returns how far, in mm, a box can move along a direction before it meets one of the obstacles, at most the
// limit, and the index of that obstacle, -1 if the limit comes first. An obstacle that the box overlaps at the start
// stops it at 0; one that it only touches sideways does not stop it. It returns the errors of Sweep.
func Travel(b Box, along Face, limit float64, obstacles []Box) (free float64, hit int, err error) {
	if err := checkTravel(along, limit); err != nil {
		return 0, -1, err
	}
	free, hit = limit, -1
	for i := range obstacles {
		if d, ok := approach(&b, along, &obstacles[i]); ok && d < free {
			free, hit = d, i
		}
	}
	return free, hit, nil
}

// approach returns the free way of b along a direction to one obstacle, and false if the obstacle is not in the way.
func approach(b *Box, along Face, o *Box) (float64, bool) {
	axis := along.Axis()
	for k := range b.min {
		if Axis(k) != axis && (b.min[k] >= o.max[k] || o.min[k] >= b.max[k]) {
			return 0, false
		}
	}
	var ahead float64
	if along.Upper() {
		if o.max[axis] <= b.min[axis] {
			return 0, false
		}
		ahead = o.min[axis] - b.max[axis]
	} else {
		if o.min[axis] >= b.max[axis] {
			return 0, false
		}
		ahead = b.min[axis] - o.max[axis]
	}
	return max(0, ahead), true
}

// Insertion is what a straight way of putting a part in meets.
type Insertion struct {
	// Clear tells that nothing is in the way.
	Clear bool
	// Free is the distance in mm from the seat outwards that is clear, at most the travel.
	Free float64
	// Piece and Obstacle are the indices of what meets first, -1 if the way is clear.
	Piece, Obstacle int
	// Beside is the smallest gap along the whole way, negative where something is in it; Of and To name its pieces, -1
	// if there is no obstacle.
	Beside Gap
	Of, To int
}

// Insert checks the straight way by which a part reaches its seat: the part's solid pieces, placed at the seat, are moved
// outwards along a direction by a travel in mm, and everything that they pass over is held against the obstacles' solid
// pieces. It returns the errors of Sweep.
func Insert(part []Piece, outwards Face, travel float64, obstacles []Piece) (Insertion, error) {
	if err := checkTravel(outwards, travel); err != nil {
		return Insertion{Piece: -1, Obstacle: -1, Of: -1, To: -1}, err
	}
	in := Insertion{Clear: true, Free: travel, Piece: -1, Obstacle: -1, Of: -1, To: -1}
	nearest := math.MaxFloat64
	for i := range part {
		if part[i].Purpose != PurposeSolid {
			continue
		}
		swept := part[i]
		swept.Box = sweep(swept.Box, outwards, travel)
		for j := range obstacles {
			if obstacles[j].Purpose != PurposeSolid {
				continue
			}
			if d, ok := approach(&part[i].Box, outwards, &obstacles[j].Box); ok && d < in.Free {
				in.Clear, in.Free, in.Piece, in.Obstacle = false, d, i, j
			}
			if g := Between(&swept, &obstacles[j]); g.Distance < nearest {
				nearest, in.Beside, in.Of, in.To = g.Distance, g, i, j
			}
		}
	}
	return in, nil
}
