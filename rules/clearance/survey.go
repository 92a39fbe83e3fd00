package clearance

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
)

// air is the free way before something that moves air.
type air struct {
	thing  int
	free   float64      // mm
	off    float64      // how far that may be off
	hit    int          // thing that ends it, -1 for nothing within reach
	vented bool         // what ends it lets air through: fins, or a panel with an opening there
	box    geometry.Box // the free way itself
}

// airReach is how far the free way before a fan is looked along, in mm.
const airReach = 150.0

// airs surveys the free ways before fans, cards, flat coolers and supplies.
func (s *scene) airs(a *arrangement) (out []air) {
	for i, t := range a.things {
		if t.item < 0 {
			continue
		}
		if f := breathes(s.items[t.item].part, t); f != geometry.NoFace {
			out = append(out, s.airOf(a, i, t.pose.Rotation().Face(f)))
		}
	}
	return out
}

// partOf is the document of a thing, nil for an element of the enclosure.
func (s *scene) partOf(t *thing) *v1.Part {
	if t.item < 0 {
		return nil
	}
	return s.items[t.item].part
}

// breathes is the face of a part, in its own frame, that its fans look out of.
func breathes(part *v1.Part, t *thing) geometry.Face {
	switch {
	case part.GetFan() != nil, t.spins && (part.GetRadiator() != nil || part.GetLiquidLoop() != nil):
		return geometry.MaxZ // into the enclosure; the other side is the panel's
	case part.GetCard() != nil && len(part.GetCard().GetFans()) > 0:
		return geometry.MaxX
	case part.GetAirCooler() != nil && part.GetAirCooler().Tower != nil && !part.GetAirCooler().GetTower():
		return geometry.MaxZ
	case part.GetSupply() != nil && part.GetSupply().GetFan() != nil:
		return geometry.MinZ
	default:
		return geometry.NoFace
	}
}

func (s *scene) airOf(a *arrangement, i int, along geometry.Face) air {
	from := a.hull(i)
	out := air{thing: i, free: airReach, hit: -1}
	var hitPiece *geometry.Piece
	for j := range a.things {
		if j == i || a.things[i].aboard && a.things[j].aboard && !a.things[j].card {
			continue
		}
		for k := range a.pieces[j] {
			p := &a.pieces[j][k]
			if p.Purpose != geometry.PurposeSolid || covers(p.Box, from, along.Axis()) < walled {
				continue
			}
			free, hit, err := geometry.Travel(from, along, out.free, []geometry.Box{p.Box})
			if err == nil && hit == 0 && free < out.free {
				out.free, out.hit, hitPiece = free, j, p
			}
		}
	}
	if way, err := geometry.Sweep(from, along, max(out.free, geometry.MinEdge)); err == nil {
		out.box = face(way, from, along)
	}
	if hitPiece != nil {
		own := &a.pieces[i][0]
		out.off = -own.Deviations[along].Lower() - hitPiece.Deviations[along.Opposite()].Lower()
		out.vented = opensTo(a.things[out.hit].element, out.box, along.Axis()) || !isWall(a.things[out.hit], s.partOf(a.things[out.hit]))
	}
	return out
}

// walled is the share of a fan's face that a thing has to cover to be in its way
// (common practice, no source).
const walled = 0.25

// covers is the share of a face across an axis that a box lies before.
func covers(b, face geometry.Box, axis geometry.Axis) float64 {
	share, low, high, from, to := 1.0, b.Min(), b.Max(), face.Min(), face.Max()
	for k := range low {
		if geometry.Axis(k) == axis {
			continue
		}
		over := min(high[k], to[k]) - max(low[k], from[k])
		if !(over > 0) {
			return 0
		}
		share *= over / (to[k] - from[k])
	}
	return share
}

// isWall reports whether air cannot go through a thing: it can through fins.
func isWall(t *thing, part *v1.Part) bool {
	return t.element != nil || !(t.cooler || part.GetFan() != nil || part.GetRadiator() != nil || part.GetLiquidLoop() != nil)
}

// face is the part of a swept box beyond where it started.
func face(way, from geometry.Box, along geometry.Face) geometry.Box {
	low, high := way.Min(), way.Max()
	if along.Upper() {
		low[along.Axis()] = from.Max()[along.Axis()]
	} else {
		high[along.Axis()] = from.Min()[along.Axis()]
	}
	if box, err := geometry.NewBox(low, high); err == nil {
		return box
	}
	return way
}

// openEnough is the share of a fan's face that openings before it have to cover
// for the panel not to count as a wall (common practice, no source).
const openEnough = 0.5

// opensTo reports whether a panel has openings over most of a free way's end.
func opensTo(e *element, way geometry.Box, axis geometry.Axis) bool {
	if e == nil || e.panel == nil {
		return false
	}
	open := 0.0
	for _, o := range e.panel.GetOpenings() {
		if box, err := solids.BoxOf(o.GetExtent()); err == nil {
			open += covers(box, way, axis)
		}
	}
	return open >= openEnough
}

// hull is the box round the matter of a thing.
func (a *arrangement) hull(i int) geometry.Box {
	box := a.pieces[i][0].Box
	for k := range a.pieces[i] {
		if a.pieces[i][k].Purpose == geometry.PurposeSolid {
			box = box.Hull(a.pieces[i][k].Box)
		}
	}
	return box
}

// way is what lies straight on from a plug.
type way struct {
	gap        geometry.Gap
	bend       float64 // what the cable wants, mm
	hit, piece int
}

// wayOn looks straight on from a plug that has the bend of its cable behind it;
// ok is false for any other piece, and where nothing lies there.
func (s *scene) wayOn(a *arrangement, i, k int) (w way, ok bool) {
	if k+1 >= len(a.pieces[i]) || a.pieces[i][k].Purpose != geometry.PurposePlug || !strings.HasPrefix(a.pieces[i][k+1].Name, "bend-") {
		return way{}, false
	}
	plug, bend := &a.pieces[i][k], &a.pieces[i][k+1]
	along := geometry.Separate(plug.Box, bend.Box).FaceA
	w.bend = bend.Box.Size()[along.Axis()]
	free := roomReach
	for j := range a.things {
		for n := range a.pieces[j] {
			p := &a.pieces[j][n]
			if j == i || p.Purpose != geometry.PurposeSolid {
				continue
			}
			far, hit, err := geometry.Travel(plug.Box, along, free, []geometry.Box{p.Box})
			if err == nil && hit == 0 && far < free {
				free, w.hit, w.piece, ok = far, j, n, true
			}
		}
	}
	if ok {
		w.gap = geometry.Between(plug, &a.pieces[w.hit][w.piece])
	}
	return w, ok
}

// room is how far a part may reach in a direction before it meets the enclosure.
type room struct {
	figure figure
	item   int
	mm     float64
	off    float64
	hit    int // thing that ends it, -1 for the space of its mount
}

// roomReach is how far room is looked for, in mm: beyond it nothing limits a part.
const roomReach = 2000.0

// rooms surveys the room for cooler and cards.
func (s *scene) rooms(a *arrangement) (out []room) {
	for i, t := range a.things {
		switch {
		case t.cooler:
			out = append(out, s.roomOf(a, i, coolerHeight, geometry.MaxZ))
		case t.card:
			out = append(out, s.roomOf(a, i, cardThickness, geometry.MaxX), s.roomOf(a, i, cardLength, geometry.MaxY),
				s.roomOf(a, i, cardHeight, geometry.MaxZ))
		}
	}
	return out
}

// roomOf measures from the face where a part's frame begins to what it would meet:
// the enclosure, for a cooler also a card that stands before it, and the space of
// its mount.
func (s *scene) roomOf(a *arrangement, i int, f figure, own geometry.Face) room {
	t := a.things[i]
	along := t.pose.Rotation().Face(own)
	from := slab(a.hull(i), along)
	// The frame may begin before the matter does: a card's at its bracket.
	before := slabMM + (from.At(along.Opposite())-t.pose.Origin()[along.Axis()])*along.Sign()
	out := room{figure: f, item: t.item, mm: roomReach, hit: -1, off: s.keep.tolerance}
	for j, u := range a.things {
		if u.element == nil && !(t.cooler && u.card && !u.aboard) {
			continue
		}
		for k := range a.pieces[j] {
			p := &a.pieces[j][k]
			if p.Purpose != geometry.PurposeSolid {
				continue
			}
			free, hit, err := geometry.Travel(from, along, out.mm, []geometry.Box{p.Box})
			if err == nil && hit == 0 && free+before < out.mm {
				out.mm, out.hit, out.off = free+before, j, -p.Deviations[along.Opposite()].Lower()
			}
		}
	}
	if t.card && t.mount >= 0 && s.shape.mounts[t.mount].bound {
		limit := s.shape.mounts[t.mount].space.At(along)
		if free := (limit - t.pose.Origin()[along.Axis()]) * along.Sign(); free < out.mm {
			out.mm, out.hit, out.off = free, -1, s.keep.tolerance
		}
	}
	return out
}

// slabMM is the thickness of the slice of a part from which room is measured.
const slabMM = 1e-3

// slab is the slice of a box at the face away from a direction.
func slab(b geometry.Box, along geometry.Face) geometry.Box {
	low, high := b.Min(), b.Max()
	axis := along.Axis()
	if along.Upper() {
		high[axis] = low[axis] + slabMM
	} else {
		low[axis] = high[axis] - slabMM
	}
	out, err := geometry.NewBox(low, high)
	if err != nil {
		return b
	}
	return out
}
