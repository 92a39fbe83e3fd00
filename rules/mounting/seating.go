package mounting

import (
	"math"
	"slices"
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
	"slipfit.example/rules/standards"
)

// seating is the holes of one piece over those of what carries it.
type seating struct {
	item, to *kit.Item
	// itemAt and toAt are their places among the items, where it is remembered.
	itemAt, toAt int
	mount        *v1.Mount // nil on a board
	place        string
	part         pattern
	// over is what carries it, in the part's frame; nil: made for the part's pattern.
	over   []fastening.Hole
	overAt func(hole int) kit.Path
	// pose is where the part's frame lies, where posed.
	pose  geometry.Pose
	posed bool
	// panel is what it is screwed to, by name, and plateMM how thick that is.
	panel   string
	plateMM float64
	headMM  float64   // of the screws' heads
	beneath [2]string // items that it lies on
	enough  int       // screws that the mount says hold it; 0: it does not say
	worst   kit.Verdict
	told    bool // another rule speaks of it

	met    meeting
	flaw   kit.Path // a hole that cannot be
	flawOf *kit.Item
	flawed bool
}

// seatings are all patterns of a case over what carries them, worked out once.
func (s *scene) seatings() []seating {
	if s.seated {
		return s.sat
	}
	s.seated, s.sat = true, s.sat[:0]
	if s.chassis == nil || s.layout == nil {
		return nil
	}
	for it := range s.c.AllItems() {
		switch it.Kind {
		case kit.KindBoard:
			s.seatOnHoles(it, s.boardMount(it))
		case kit.KindSupply:
			s.seatOnHoles(it, s.mount(s.sole(it)))
		case kit.KindFan, kit.KindRadiator, kit.KindDrive:
			s.seatOnPlates(it)
		case kit.KindLiquidLoop:
			s.seatOnPlates(it)
			s.seatOnSocket(it, it.Part.GetLiquidLoop().Brackets, "liquid_loop.brackets")
		case kit.KindAirCooler:
			s.seatOnSocket(it, it.Part.GetAirCooler().Brackets, "air_cooler.brackets")
		}
	}
	play := s.c.Parameter(&holePlay).Nominal
	for i := range s.sat {
		s.lay(&s.sat[i], play)
	}
	return s.sat
}

// lay lays a seating's patterns over each other.
func (s *scene) lay(x *seating, playMM float64) {
	if x.flawed {
		return
	}
	if x.over == nil {
		x.met = s.meet(x, whole(len(x.part.holes)))
		return
	}
	if err := fastening.CheckPattern(x.over); err != nil {
		x.flaw, x.flawOf, x.flawed = x.overAt(placeOf(err)), x.to, true
		return
	}
	match, err := fastening.MatchPatterns(x.part.holes, x.over, playMM)
	if err != nil {
		panic(err) // both patterns are in order, and the parameter within its bounds
	}
	x.met = s.meet(x, match)
}

// whole is the match of a pattern with itself.
func whole(holes int) fastening.Match {
	m := fastening.Match{Pairs: make([]fastening.Pair, holes)}
	for i := range m.Pairs {
		m.Pairs[i] = fastening.Pair{Part: i, Mount: i}
	}
	return m
}

// at begins a seating; an item without a pattern, or with one that cannot be, is
// flawed there.
func (s *scene) at(it *kit.Item, mount *v1.Mount) seating {
	x := seating{item: it, to: s.chassis, mount: mount, place: mount.GetId(), headMM: headMM, worst: kit.Fail}
	if d := stated(mount, it.Part, ownPurpose[it.Kind], "screw"); d != nil {
		x.enough = int(d.GetEnough())
	}
	x.overAt = func(hole int) kit.Path { return s.mountPath(mount, hole) }
	var ok bool
	if x.part, ok = patternOf(it); !ok {
		x.flaw, x.flawOf, x.flawed = it.At("holes"), it, true
		if it.Kind == kit.KindBoard {
			x.flaw = it.At("board.holes")
		}
		return x
	}
	if x.flaw, x.flawed = x.part.flawOf(it); x.flawed {
		x.flawOf = it
	}
	return x
}

// seatOnHoles seats a board or a supply on a mount that lists its holes, which lie
// in the part's frame.
func (s *scene) seatOnHoles(it *kit.Item, mount *v1.Mount) {
	if len(mount.GetHoles()) == 0 {
		return
	}
	x := s.at(it, mount)
	x.enough = 0 // every corner of a board and a supply counts
	x.pose, x.posed = s.poseOf(it)
	if !x.flawed {
		x.over = holesFrom(mount.Holes, x.part.holes[0].From)
	}
	s.sat = append(s.sat, x)
}

// seatOnPlates seats fans, radiators and drives on the plates of their mounts,
// where the arrangement says where they lie.
func (s *scene) seatOnPlates(it *kit.Item) {
	if it.Kind == kit.KindDrive && it.Part.GetDrive().GetFormFactor() == "m2" {
		return
	}
	for _, seat := range s.fact.Seats {
		mount := s.mount(seat.GetMount())
		if seat.GetItem() != it.ID || mount == nil || seat.Placed == nil || it.Kind == kit.KindFan && s.onRadiator(seat.GetMount()) {
			continue
		}
		first, err := solids.PoseOf(seat.Placed)
		if err != nil || s.placed() == nil && len(mount.Holes) == 0 {
			continue // nothing is known that could be judged
		}
		for _, pose := range s.piecesAt(it, seat, first) {
			x := s.at(it, mount)
			x.pose, x.posed = pose, true
			x.told = it.Kind == kit.KindFan && s.coveredHoles(mount.GetId()) > 0
			s.plateOf(&x, seat)
			if hole, off := s.offPlate(&x, seat); off && !x.flawed {
				x.flaw, x.flawOf, x.flawed = s.mountPath(mount, hole), s.chassis, true
			}
			if !x.flawed {
				x.over = s.plateHoles(&x, seat)
			}
			s.sat = append(s.sat, x)
		}
	}
}

// plateOf finds the panel that a part is screwed to, and from which side: a part on
// its far side is screwed from within.
func (s *scene) plateOf(x *seating, seat *v1.Seat) {
	x.panel = x.mount.GetPanel()
	for _, p := range s.chassis.Part.GetChassis().GetPanels() {
		if extent, err := solids.BoxOf(p.GetExtent()); err == nil && p.GetId() == x.panel && len(x.part.holes) > 0 {
			x.plateMM = lengthways(extent, x.pose.Rotation().Face(geometry.MaxZ).Axis())
		}
	}
	if seat.GetSide() == "outer" && x.item.Kind == kit.KindFan {
		holes := slices.Clone(x.part.holes)
		for i := range holes {
			holes[i].From = geometry.MaxZ
			holes[i].At[geometry.Z] += x.item.Part.GetFan().GetThicknessMm()
		}
		x.part.holes = holes
	}
}

// offPlate is a hole of the mount that lies off the panel that it is said to be in.
func (s *scene) offPlate(x *seating, seat *v1.Seat) (hole int, off bool) {
	pose, ok := mountPose(x.mount, seat)
	if !ok || x.panel == "" || len(x.mount.Holes) == 0 {
		return 0, false
	}
	for _, p := range s.chassis.Part.GetChassis().GetPanels() {
		extent, err := solids.BoxOf(p.GetExtent())
		if p.GetId() != x.panel || err != nil {
			continue
		}
		if outside := fastening.Outside(fastening.Place(pose, holesFrom(x.mount.Holes, geometry.MinZ)), extent); len(outside) > 0 {
			return outside[0], true
		}
	}
	return 0, false
}

// plateHoles are the holes of a plate in the part's frame: the mount's own, else
// those of the size that it is made for; nil for the part's pattern.
func (s *scene) plateHoles(x *seating, seat *v1.Seat) []fastening.Hole {
	if len(x.mount.GetHoles()) > 0 {
		pose, ok := mountPose(x.mount, seat)
		if !ok {
			return nil
		}
		over := holesFrom(x.mount.Holes, x.part.holes[0].From)
		back := x.pose.Inverse().After(pose)
		for i := range over {
			over[i].At = back.Point(over[i].At)
			over[i].At[geometry.X] += seat.GetSlideMm() // brackets for radiators have long holes
		}
		return over
	}
	if x.part.field == "" && x.item.Part.GetFan().GetHolePitchMm() == 0 {
		return nil
	}
	switch x.item.Kind {
	case kit.KindFan:
		return fanPatterns[int(x.item.Part.GetFan().GetSizeMm())]
	case kit.KindDrive:
		return drivePatterns[x.item.Part.GetDrive().GetFormFactor()]
	}
	return nil
}

// mountPose is where a mount's frame lies, set to a seat's offsets.
func mountPose(m *v1.Mount, seat *v1.Seat) (pose geometry.Pose, ok bool) {
	if int(seat.GetPose()) >= len(m.Poses) {
		return pose, false
	}
	pose, err := solids.PoseOf(m.Poses[seat.GetPose()])
	if err != nil {
		return pose, false
	}
	at := pose.Origin()
	for i, t := range m.Travels {
		if f := solids.FaceOf(t.GetAlong()); f.Valid() && i < len(seat.OffsetsMm) {
			at = at.Add(f.Normal().Scale(seat.OffsetsMm[i]))
		}
	}
	pose, err = geometry.NewPose(pose.Rotation(), at)
	return pose, err == nil
}

// onRowMM is how far a piece may lie off the row of its seat.
const onRowMM = 0.6

// piecesAt is where the frames of an item's pieces at a seat lie: the seat tells
// that of the first, the boxes those of the others.
func (s *scene) piecesAt(it *kit.Item, seat *v1.Seat, first geometry.Pose) (poses []geometry.Pose) {
	if seat.GetCount() <= 1 {
		return []geometry.Pose{first}
	}
	type piece struct {
		number uint32
		hull   geometry.Box
	}
	var pieces []piece
	for i := range s.extents {
		p := &s.extents[i]
		if p.item != it.ID || !p.solid() || !p.sound {
			continue
		}
		local := first.Inverse().Box(p.extent)
		if i := slices.IndexFunc(pieces, func(q piece) bool { return q.number == p.piece }); i >= 0 {
			pieces[i].hull = pieces[i].hull.Hull(local)
		} else {
			pieces = append(pieces, piece{p.piece, local})
		}
	}
	for _, q := range pieces {
		corner := q.hull.Min()
		if math.Abs(corner[geometry.Y]) > onRowMM || math.Abs(corner[geometry.Z]) > onRowMM {
			continue // at another mount, or above the first
		}
		if at, err := geometry.NewPose(first.Rotation(), first.Point(geometry.Vec{corner[geometry.X], 0, 0})); err == nil {
			poses = append(poses, at)
		}
	}
	return poses
}

// seatOnSocket seats a cooler on the holes round the board's socket. Their
// distances are known from memory, and which way the longer one lies is not: a
// pattern that is not square is judged only against the bracket's own holes.
func (s *scene) seatOnSocket(it *kit.Item, brackets []*v1.CoolerBracket, field string) {
	board := s.c.First(kit.KindBoard)
	if board == nil {
		return
	}
	socket := board.Part.GetBoard().GetSocket()
	around, err := fastening.SocketPattern(socket)
	bracket, _ := s.bracketFor(brackets, socket)
	if err != nil || bracket == nil {
		return
	}
	centre := board.Part.GetBoard().GetSocketCentre()
	x := seating{item: it, to: board, place: board.Name(), headMM: postMM, worst: kit.Marginal, beneath: [2]string{board.ID, processorOf(s.c)}}
	x.pose, x.posed = s.boardPose(board)
	x.posed = x.posed && centre != nil
	at := geometry.Vec{centre.GetXMm(), centre.GetYMm(), standards.BoardThickness.Value}
	x.over = moved(around, at)
	switch own := holesFrom(bracket.Holes, geometry.MaxZ); {
	case len(own) > 0:
		for i := range own {
			own[i].At[geometry.Z] = 0
		}
		x.part.holes = moved(own, at)
		if err := fastening.CheckPattern(own); err != nil {
			path := field + "[" + strconv.Itoa(slices.Index(brackets, bracket)) + "].holes[" + strconv.Itoa(placeOf(err)) + "].centre"
			x.flaw, x.flawOf, x.flawed = it.At(path), it, true
		}
		if turned := moved(quarterTurned(around), at); !x.flawed && pairs(x.part.holes, turned) > pairs(x.part.holes, x.over) {
			x.over = turned
		}
	case square(around) && x.posed && s.placed() != nil:
		x.part.holes = x.over
	default:
		return
	}
	s.sat = append(s.sat, x)
}

// processorOf is the id of the build's processor, "" without one.
func processorOf(c *kit.Case) string {
	if it := c.First(kit.KindProcessor); it != nil {
		return it.ID
	}
	return ""
}

func moved(holes []fastening.Hole, by geometry.Vec) []fastening.Hole {
	out := slices.Clone(holes)
	for i := range out {
		out[i].At = out[i].At.Add(by)
	}
	return out
}

func quarterTurned(holes []fastening.Hole) []fastening.Hole {
	out := slices.Clone(holes)
	for i := range out {
		out[i].At[geometry.X], out[i].At[geometry.Y] = out[i].At[geometry.Y], out[i].At[geometry.X]
	}
	return out
}

// square reports whether a pattern is the same after a quarter turn.
func square(holes []fastening.Hole) bool {
	return pairs(holes, quarterTurned(holes)) == len(holes)
}

// pairs is how many holes of two patterns meet within the usual play.
func pairs(a, b []fastening.Hole) int {
	m, err := fastening.MatchPatterns(a, b, holePlay.Default)
	if err != nil {
		return 0
	}
	return len(m.Pairs)
}
