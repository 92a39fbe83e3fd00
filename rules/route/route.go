package route

import (
	"fmt"

	"slipfit.example/rules/geometry"
)

// MaxObstacles is the largest number of obstacles of one room.
const MaxObstacles = 128

// Obstacle is a box that the cable has to go round.
type Obstacle struct {
	Name string
	Box  geometry.Box
}

// Room is where cables may run.
type Room struct {
	// Within bounds the whole cable.
	Within    geometry.Box
	Obstacles []Obstacle
	// Channels are volumes where cables are wanted, such as the space behind a board's tray. They may be left out.
	Channels []geometry.Box
	// Preference tells how strongly: a millimetre outside the channels counts as 1+Preference millimetres when ways are
	// compared. It never changes a reported length. 0 ignores the channels.
	Preference float64
}

// Cable is what is laid.
type Cable struct {
	// Diameter in mm, above zero.
	Diameter float64
	// MinBendRadius of the centreline in mm; 0 lets the cable turn on the spot.
	MinBendRadius float64
}

// Terminal is an end of a cable.
type Terminal struct {
	At geometry.Vec
	// Exit is the direction in which the cable leaves, geometry.NoFace for any.
	Exit geometry.Face
	// Straight is how far, in mm, the cable runs along Exit before it may bend. Half the diameter is the least.
	Straight float64
}

// Route is a cable's way.
type Route struct {
	// Points is the tight way from terminal to terminal, without roundings. Empty if there is none.
	Points []geometry.Vec
	// Length is that of the tight way, in mm.
	Length float64
	// InChannel is the part of Length inside the channels.
	InChannel float64
	// Rounded is the length with every bend rounded at the minimum radius, in mm: the cable swings out round the edges,
	// so this is the longer figure for wide radii and the one to order by.
	Rounded float64
	// Bends are the roundings in order.
	Bends []Bend
	// Blockage tells why there is no way; nil if there is one.
	Blockage *Blockage
}

// Bend is a rounded turn.
type Bend struct {
	// At is the point of the tight way that the bend goes round.
	At geometry.Vec
	// Angle is the turn in degrees.
	Angle float64
	// Fits tells that the straight stretches on both sides leave room for the radius and that nothing is in the way of
	// the swing.
	Fits bool
	// Obstacles are the indices of what is in the way of the swing.
	Obstacles []int
}

// Blockage tells what closes the way.
type Blockage struct {
	// Terminal is the end that the cable cannot leave: 0 the first, 1 the second; -1 if both can be left but do not meet.
	Terminal int
	// Obstacles are the indices of boxes that close the way together: without any one of them there would be one, were
	// they alone in the room. Empty if the room itself is too narrow.
	Obstacles []int
	// Passable is the largest diameter in mm, to a tenth, that would get through; 0 if none above a tenth would.
	Passable float64
}

// Find returns the shortest way of a cable between two terminals. It returns an error if a figure is not a number, out
// of range, or a terminal lies outside the room; that there is no way is no error but a Blockage.
func Find(room Room, cable Cable, from, to Terminal) (*Route, error) {
	return lay(nil, &room, cable, from, to)
}

func lay(m *Memory, room *Room, cable Cable, from, to Terminal) (*Route, error) {
	if err := check(room, cable, from, to); err != nil {
		return nil, err
	}
	s := scenes.Get().(*scene)
	defer s.leave()
	s.begin(room, cable.Diameter/2)
	e := &ends{cable, from, to, s.leadOut(from), s.leadOut(to)}
	block := s.blocked(e.a, e.b)
	if block == nil {
		if r := s.find(m, e); r != nil {
			return r, nil
		}
		block = &Blockage{Terminal: -1, Obstacles: s.closing(e.a.end, e.b.end)}
	}
	block.Passable = passable(room, cable.Diameter, from, to, block.Obstacles)
	return &Route{Blockage: block}, nil
}

// find looks for the way among what is near, then in the whole room; nil where there is none. Where channels are
// preferred, far ones may draw a way, so that nothing is left out.
func (s *scene) find(m *Memory, e *ends) *Route {
	var space [MaxObstacles]int32
	for _, times := range reaches {
		if s.weight > 1 {
			break
		}
		n := s.nearby(e, times, space[:0])
		if times == 1 && len(n.indices) > 0 {
			continue // only the line itself is no longer
		}
		if f := m.among(s, e, &n); f != nil {
			return f.whole(s, &n)
		}
	}
	middle := s.shortest(e.a.end, e.b.end, unlimited)
	if middle == nil {
		return nil
	}
	r := s.way(e, middle)
	s.round(r, e.cable.MinBendRadius, e.a, e.b)
	return r
}

// way is the tight way by the points between the straight stretches.
func (s *scene) way(e *ends, middle []geometry.Vec) *Route {
	r := &Route{Points: join(e.a, middle, e.b)}
	for i := 1; i < len(r.Points); i++ {
		r.Length += r.Points[i].Dist(r.Points[i-1])
		r.InChannel += s.inChannel(r.Points[i-1], r.Points[i])
	}
	return r
}

// join puts the lead-outs to both ends of the way between them.
func join(a lead, middle []geometry.Vec, b lead) []geometry.Vec {
	var pts []geometry.Vec
	for _, p := range append(append([]geometry.Vec{a.at}, middle...), b.at) {
		if len(pts) == 0 || pts[len(pts)-1].Dist(p) > tolerance {
			pts = append(pts, p)
		}
	}
	return pts
}

func check(room *Room, cable Cable, from, to Terminal) error {
	switch {
	case len(room.Obstacles) > MaxObstacles:
		return fmt.Errorf("route: the room has %d obstacles, merge some: at most %d can be gone round", len(room.Obstacles), MaxObstacles)
	case !(cable.Diameter > 0 && cable.Diameter <= 1000):
		return fmt.Errorf("route: the cable's diameter is %v mm, give one above 0 and up to 1000 mm", cable.Diameter)
	case !(cable.MinBendRadius >= 0 && cable.MinBendRadius <= 10000):
		return fmt.Errorf("route: the cable's minimum bend radius is %v mm, give one from 0 to 10000 mm", cable.MinBendRadius)
	case !(room.Preference >= 0 && room.Preference <= 100):
		return fmt.Errorf("route: the preference for the channels is %v, give one from 0 to 100", room.Preference)
	case room.Within.Volume() <= 0:
		return fmt.Errorf("route: the room has no volume, give the box that bounds the cables")
	}
	for i := range room.Obstacles {
		if room.Obstacles[i].Box.Volume() <= 0 {
			return fmt.Errorf("route: obstacle %d (%q) has no volume, give it a size above zero along every axis", i, room.Obstacles[i].Name)
		}
	}
	for i, t := range []Terminal{from, to} {
		if err := t.At.Check(); err != nil {
			return fmt.Errorf("route: terminal %d cannot be used: %w", i, err)
		}
		if !room.Within.Contains(t.At) {
			return fmt.Errorf("route: terminal %d at %v lies outside the room %v, correct its place", i, t.At, room.Within)
		}
		if !(t.Straight >= 0 && t.Straight <= geometry.Reach) || t.Exit > geometry.NoFace {
			return fmt.Errorf("route: terminal %d leaves straight for %v mm, give a direction and a distance of at least 0", i, t.Straight)
		}
	}
	return nil
}
