package climate

import (
	"bytes"
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
)

// nearby measures, before there is an arrangement, how far the fans of panels are from
// the processor's cooler: both sit in places that the enclosure and the board fix.
//
// It remembers what it found as long as the same parts come with the same choices: of a
// shortlist's builds only the candidate is another. It holds on to the parts, so that no
// address is used again.
type nearby struct {
	chassis *v1.Chassis // that was read last
	drawn   bool        // every arrangement of it is one of boxes
	pins    []byte      // the build's choices, encoded
	board   seatedPart
	boxed   bool // the board has boxes
	sink    seatedPart
	known   bool             // the cooler's places are
	cooler  []geometry.Solid // at each place of the board
	fans    []fanSeats
}

// seatedPart is a part under the name that choices know it by.
type seatedPart struct {
	part *v1.Part
	id   string
}

// fanSeats is what was found of one item's fans.
type fanSeats struct {
	fan       seatedPart
	count     uint32
	feetMM    float64
	radiators bool
	rows      []row
	covered   bool
	// Free distance before them, to the cooler at its places.
	board, sink seatedPart
	gapMM       float64
	hit         bool
}

// mostFans bounds what is remembered.
const mostFans = 16

// reachMM is how far the free way before a fan is looked along.
const reachMM = 150

// inTheWay is the share of a fan's face that a thing has to cover to be in its way
// (common practice, no source).
const inTheWay = 0.25

// read takes a build. Without choices that can be encoded nothing is known.
func (n *nearby) read(p *Plan) {
	pins, err := p.q.Build.GetArrangement().MarshalVT()
	if err != nil || n.chassis != p.chassis || !bytes.Equal(pins, n.pins) {
		*n = nearby{chassis: p.chassis, drawn: err == nil && wellDrawn(p.chassis), pins: pins, fans: n.fans[:0], cooler: n.cooler[:0]}
	}
	board, sink := p.seated(func(part *v1.Part) bool { return part.GetBoard() != nil }), p.seated(func(part *v1.Part) bool {
		return part.GetAirCooler() != nil || part.GetLiquidLoop() != nil
	})
	if len(p.q.Build.GetItems()) > mostDrawn {
		board = seatedPart{}
	}
	if n.board != board || n.sink != sink {
		n.readCooler(p, board, sink)
	}
}

func (p *Plan) seated(is func(*v1.Part) bool) seatedPart {
	it := p.firstPart(is)
	return seatedPart{it.GetPart(), it.GetId()}
}

// readCooler works out where the cooler may be.
func (n *nearby) readCooler(p *Plan, board, sink seatedPart) {
	settings := solids.Settings{}
	if n.board != board {
		_, err := settings.Board(board.part)
		n.boxed = board.part != nil && err == nil
	}
	n.board, n.sink, n.known, n.cooler = board, sink, false, n.cooler[:0]
	if !n.drawn || !n.boxed || sink.part.GetAirCooler() == nil {
		return
	}
	lid, _, known := settings.LidFrame(board.part)
	solid, err := settings.Cooler(sink.part, solids.LidAboveBoard(board.part), p.turnedCooler(sink.id))
	if !known || err != nil {
		return
	}
	solid = lid.Solid(solid)
	for m := range p.mountsAllowed(v1.MountKind_MOUNT_KIND_BOARD) {
		if form := m.GetFormFactors(); len(form) > 0 && !slices.Contains(form, board.part.GetBoard().GetFormFactor()) {
			continue
		}
		for _, at := range p.placesAt(m, board.id, 0, nil) {
			n.cooler = append(n.cooler, at.Solid(solid))
		}
	}
	n.known = len(n.cooler) > 0 && len(n.cooler) <= mostPlaces
}

// seatsOf is where an item's fans may sit and what stands before them there.
func (n *nearby) seatsOf(p *Plan, it *v1.Item, pin *v1.Placement) *fanSeats {
	fan, radiators := seatedPart{it.GetPart(), it.GetId()}, p.firstPart(hasRadiator) != nil
	at := slices.IndexFunc(n.fans, func(s fanSeats) bool {
		return s.fan == fan && s.count == it.GetCount() && s.feetMM == p.feetMM && s.radiators == radiators
	})
	if at < 0 {
		if len(n.fans) == mostFans {
			clear(n.fans)
			n.fans = n.fans[:0]
		}
		at = len(n.fans)
		s := fanSeats{fan: fan, count: it.GetCount(), feetMM: p.feetMM, radiators: radiators, rows: n.rows(p, it, p.fanMounts(pin), pin.GetMount() != "")}
		s.covered = p.surelyCovered(s.rows, frameMM(it.GetPart().GetFan()))
		n.fans = append(n.fans, s)
	}
	s := &n.fans[at]
	if s.board != n.board || s.sink != n.sink {
		s.board, s.sink, s.hit = n.board, n.sink, false
		if n.known {
			s.gapMM, s.hit = n.gapMM(p, s.rows)
		}
	}
	return s
}

// mostDrawn is how many items a build may have to be arranged in boxes, less one.
const mostDrawn = 60

// mostPlaces bounds how many places of a part are looked at.
const mostPlaces = 64

// row is where at one mount an item's fans may sit.
type row struct {
	mount  *v1.Mount
	places []placed
	hull   box // of them all
}

// placed is a fan in one of its places, and the way that its air leaves its row.
type placed struct {
	frame geometry.Box
	along geometry.Face
}

// rows are where an item's fans may sit, at each of some mounts that takes them; none
// where that is not told, or are too many places to look at.
func (n *nearby) rows(p *Plan, it *v1.Item, mounts []*v1.Mount, fixed bool) (rows []row) {
	settings := solids.Settings{}
	solid, err := settings.Fan(it.GetPart())
	if err != nil {
		return nil
	}
	size, count := it.GetPart().GetFan().GetSizeMm(), 0
	for _, m := range mounts {
		r := row{mount: m}
		if len(m.GetSizesMm()) > 0 && !slices.Contains(m.GetSizesMm(), size) {
			if fixed { // it has no box, and counts as in the mount's space
				rows = append(rows, r)
			}
			continue
		}
		for _, at := range p.placesAt(m, it.GetId(), size, nil) {
			frame := hullOf(at.Solid(solid))
			r.places = append(r.places, placed{frame, at.Rotation().Face(geometry.MaxZ)})
			b, _ := boxOf(solids.ExtentMessage(frame))
			if len(r.places) == 1 {
				r.hull = b
			}
			r.hull = r.hull.hull(b)
		}
		if count += len(r.places); len(r.places) == 0 || len(m.GetSides()) > 0 {
			return nil // it may sit on the plate's other side
		}
		rows = append(rows, r)
	}
	if count > mostPlaces {
		return nil
	}
	return rows
}

// gapMM is the free distance before a fan on the side of the enclosure, at most; ok is
// false where nothing is known to be in its way.
func (n *nearby) gapMM(p *Plan, rows []row) (gap float64, ok bool) {
	for i := range rows {
		facing, _, faces := axisOf(p.panelOf(rows[i].mount.GetPanel()).GetFaces())
		if len(rows[i].places) == 0 || rows[i].mount.GetKind() != v1.MountKind_MOUNT_KIND_FAN {
			return 0, false
		}
		for _, at := range rows[i].places {
			if !faces || int(at.along.Axis()) != facing {
				return 0, false // its breath is measured along the panel's axis
			}
			for k := range n.cooler {
				free, hit := freeWay(at.frame, at.along, &n.cooler[k])
				if !hit {
					return 0, false
				}
				gap = max(gap, free)
			}
		}
	}
	return gap, len(rows) > 0
}

func hullOf(s geometry.Solid) geometry.Box {
	box := s.Pieces[0].Box
	for i := range s.Pieces {
		if s.Pieces[i].Purpose == geometry.PurposeSolid {
			box = box.Hull(s.Pieces[i].Box)
		}
	}
	return box
}

// freeWay is how far it is from a box along a direction to a solid, as long as a box of
// that way in an arrangement is.
func freeWay(from geometry.Box, along geometry.Face, to *geometry.Solid) (mm float64, hit bool) {
	mm = reachMM
	for i := range to.Pieces {
		piece := &to.Pieces[i]
		if piece.Purpose != geometry.PurposeSolid || coveredShare(piece.Box, from, int(along.Axis())) < inTheWay {
			continue
		}
		if free, which, err := geometry.Travel(from, along, mm, []geometry.Box{piece.Box}); err == nil && which == 0 && free < mm {
			mm, hit = free, true
		}
	}
	way, err := geometry.Sweep(from, along, max(mm, geometry.MinEdge))
	if !hit || err != nil {
		return mm, false
	}
	low, high, axis := way.Min(), way.Max(), along.Axis()
	if along.Upper() {
		low[axis] = from.Max()[axis]
	} else {
		high[axis] = from.Min()[axis]
	}
	if beyond, err := geometry.NewBox(low, high); err == nil {
		way = beyond
	}
	b, ok := boxOf(solids.ExtentMessage(way))
	return b.size(int(axis)), ok
}

func coveredShare(b, face geometry.Box, axis int) float64 {
	share := 1.0
	for k := range face.Size() {
		if k != axis {
			share *= max(0, min(b.Max()[k], face.Max()[k])-max(b.Min()[k], face.Min()[k])) / face.Size()[k]
		}
	}
	return share
}

// firstPart is the first item of some kind, or nil.
func (p *Plan) firstPart(is func(*v1.Part) bool) *v1.Item {
	for _, it := range p.q.Build.GetItems() {
		if is(it.GetPart()) {
			return it
		}
	}
	return nil
}

// turnedCooler tells whether the build lets a cooler's air run along the board's rear
// edge.
func (p *Plan) turnedCooler(item string) bool {
	for _, pl := range p.q.Build.GetArrangement().GetPlacements() {
		if f := solids.FaceOf(pl.GetFaces()); pl.GetItem() == item && f != geometry.NoFace && f.Axis() != geometry.X {
			return true
		}
	}
	return false
}
