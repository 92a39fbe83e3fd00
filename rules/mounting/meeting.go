package mounting

import (
	"strings"

	"slipfit.example/rules/fastening"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
)

// meeting is a part's pattern over its mount's: which holes take a screw, and why
// the others do not.
type meeting struct {
	used               []bool
	held               int
	alone, under, away int // over no hole; covered; out of reach
	by                 []string
}

// meet tells which holes of a seating take a screw.
func (s *scene) meet(x *seating, match fastening.Match) meeting {
	m := meeting{used: make([]bool, len(x.part.holes)), alone: len(match.Lone)}
	b := s.placed()
	looked := x.posed && b != nil
	var placed []fastening.Hole
	if looked {
		placed = fastening.Place(x.pose, x.part.holes)
		looked = s.gather(x, placed, b)
	}
	for _, pair := range match.Pairs {
		state, by := fastening.Open, ""
		if looked {
			state, by = s.look(x, placed[pair.Part])
		}
		switch state {
		case fastening.Covered:
			m.under++
		case fastening.OutOfReach:
			m.away++
		default:
			m.used[pair.Part] = true
			m.held++
		}
		if by != "" && !contains(m.by, by) {
			m.by = append(m.by, by)
		}
	}
	return m
}

// near is what can be in the way of a seating's screws: fixed matter of the enclosure,
// and boxes of parts.
type near struct {
	fixed []box
	parts []partBox
}

// partBox is a box of a part.
type partBox struct {
	item string
	box  box
}

// gather lists what is near the screws of a seating, in the scene's memory, and reports
// whether there is anything.
func (s *scene) gather(x *seating, holes []fastening.Hole, b *bodies) bool {
	s.near.fixed, s.near.parts = s.near.fixed[:0], s.near.parts[:0]
	all, heads, err := fastening.LongDriver.Room(holes, x.headMM, x.plateMM)
	own := b.of(x.item.ID)
	for i := range b.fixed {
		if (err != nil || all.Overlaps(b.fixed[i])) && x.barredBy(b, i, own) {
			s.near.fixed = append(s.near.fixed, b.fixed[i])
		}
	}
	for i := range b.things {
		t := &b.things[i]
		if t == own || contains(x.beneath[:], t.item) || s.inSocketOf(x.item, t.item) {
			continue
		}
		for k := range t.solid {
			if err != nil || heads.Overlaps(t.solid[k]) {
				s.near.parts = append(s.near.parts, partBox{t.item, t.solid[k]})
			}
		}
	}
	return len(s.near.fixed)+len(s.near.parts) > 0
}

// headMM is the diameter of a screw's head: the widest of the pan heads that are
// used here, 6-32 (6.9 mm). postMM is what must be free over a hole round the
// socket: the heads there stand on posts above the board, beside memory sockets that
// are narrower than their modules (from memory, no source).
const headMM, postMM = 6.9, 2.0

// look tells whether a placed hole takes a screw: nothing may lie where it goes
// through the plate and where its head lies, and nothing that never comes off may
// bar the driver. What else bars it is a matter of the order of assembly. What is near
// has been gathered.
func (s *scene) look(x *seating, hole fastening.Hole) (fastening.Access, string) {
	for _, out := range [...]float64{0, x.plateMM} {
		at := hole
		at.At = at.At.Add(hole.From.Normal().Scale(out))
		state, _, err := fastening.Look(at, x.headMM, fastening.LongDriver, s.near.fixed)
		if err != nil {
			return fastening.Open, ""
		}
		if state != fastening.Open {
			return state, "the enclosure"
		}
		if by := s.coveredBy(x, at); by != "" {
			return fastening.Covered, by
		}
		if x.plateMM == 0 {
			break
		}
	}
	return fastening.Open, ""
}

// coveredBy names the part that lies where a screw's head would, "" for none.
func (s *scene) coveredBy(x *seating, hole fastening.Hole) string {
	if len(s.near.parts) == 0 {
		return ""
	}
	head, err := fastening.HeadRoom(hole, x.headMM)
	if err != nil {
		return ""
	}
	for i := range s.near.parts {
		if head.Overlaps(s.near.parts[i].box) {
			return s.nameOf(s.near.parts[i].item)
		}
	}
	return ""
}

// inSocketOf reports whether an item is memory on a board: its sockets are the board's,
// whose maker keeps them off the holes; where they lie is known roughly only.
func (s *scene) inSocketOf(board *kit.Item, id string) bool {
	it := s.c.ItemByID(id)
	return board.Kind == kit.KindBoard && it != nil && it.Kind == kit.KindMemory
}

// barredBy reports whether a piece of the enclosure's fixed matter can bar a seating's
// screws: all can but the panel that it is screwed to, or, where that has no name, all
// that the part does not touch: what it lies on, and what it reaches through.
func (x *seating) barredBy(b *bodies, fixed int, own *body) bool {
	if x.panel != "" {
		return b.names[fixed] != x.panel
	}
	return own == nil || !touches(own.solid, b.fixed[fixed])
}

func (s *scene) nameOf(id string) string {
	if it := s.c.ItemByID(id); it != nil {
		return it.Name()
	}
	return id
}

// why tells in words why holes take no screw.
func (m *meeting) why() string {
	var parts []string
	add := func(n int, what string) {
		if n > 0 {
			parts = append(parts, kit.FormatNumber(float64(n), "")+" "+what)
		}
	}
	add(m.alone, "over no hole of the mount")
	add(m.under, "covered")
	add(m.away, "out of a driver's reach")
	if len(m.by) > 0 {
		parts = append(parts, "by "+strings.Join(m.by, " and "))
	}
	if len(parts) == 0 {
		return "the others are free"
	}
	return strings.Join(parts, ", ")
}

// lengthways is how far a box reaches along an axis.
func lengthways(b geometry.Box, axis geometry.Axis) float64 { return b.Size()[axis] }
