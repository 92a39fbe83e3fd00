package clearance

import (
	"slipfit.example/rules/arrange"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/solids"
	"slipfit.example/rules/standards"

	v1 "slipfit.example/proto/slipfit/v1"
)

// cableBend is the least bend of a cable in diameters, where it does not say.
var cableBend = standards.CableBendFactor.Value

// assembly is what moves with the board, in the board's frame.
type assembly struct {
	board int // item
	parts []placed
}

// addBoard adds the board with all that sits on it, in every pose and offset of
// its mounts, and the cards.
func (s *scene) addBoard() {
	board := s.first(func(p *v1.Part) bool { return p.GetBoard() != nil })
	if board < 0 {
		return
	}
	a := assembly{board: board}
	solid, err := s.settings.Board(s.items[board].part)
	if err != nil {
		s.lack(board, "", err)
		return
	}
	a.put(&thing{label: s.label(board, 0, ""), item: board, frame: true, aboard: true}, solid)
	s.addOnBoard(&a)
	cards := s.cards()
	risers := s.rigidRisers(cards)
	ways := s.slotWays(board, cards)
	v := s.begin(0, "board")
	for _, m := range s.shape.mountsOf(v1.MountKind_MOUNT_KIND_BOARD) {
		if !m.takesForm(s.items[board].part.GetBoard().GetFormFactor()) {
			continue
		}
		for p := range m.poses {
			for o, by := range m.shifts {
				seat := seatOf{item: board, mount: m.index, pose: p, offsets: by.offsets, placed: m.at(p, by)}
				if allows(s.pinsOf(board, 0), m.mount, &seat) {
					s.addBoardAt(v, &a, m, seat, cards, risers, ways, optionName(m.index, p, o))
				}
			}
		}
	}
	s.end(v, board, "no mount of the layout takes it")
	s.addMountedCards(cards, v, ways)
}

func (a *assembly) put(t *thing, solid geometry.Solid) {
	if len(solid.Pieces) > 0 {
		a.parts = append(a.parts, placed{t, solid})
	}
}

// first is the first item of some kind, -1 for none.
func (s *scene) first(is func(*v1.Part) bool) int {
	for i := range s.items {
		if is(s.items[i].part) {
			return i
		}
	}
	return -1
}

// addOnBoard adds memory, drives on the back, and cooler or block.
func (s *scene) addOnBoard(a *assembly) {
	board := s.items[a.board].part
	lid, off, known := s.settings.LidFrame(board)
	cooled := false
	for i := range s.items {
		part := s.items[i].part
		var solid geometry.Solid
		var err error
		switch {
		case part.GetMemory() != nil:
			solid, err = s.settings.Memory(board, part)
			a.put(&thing{label: s.label(i, 0, ""), item: i, aboard: true}, solid)
		case part.GetDrive().GetFormFactor() == driveOnBoard:
			s.addBackDrives(a, i)
		case (part.GetAirCooler() != nil || part.GetLiquidLoop() != nil) && !cooled:
			if !known {
				s.lack(i, "the board does not say where its processor socket lies", nil)
				continue
			}
			cooled = true
			of := ""
			if part.GetLiquidLoop() != nil {
				of = "block"
				solid, err = s.settings.Block(part)
			} else {
				solid, err = s.settings.Cooler(part, solids.LidAboveBoard(board), s.isTurned(i))
			}
			a.put(&thing{label: s.label(i, 0, of), item: i, aboard: true, cooler: true, pose: lid}, shifted(lid.Solid(solid), off))
		}
		if err != nil {
			s.lack(i, "", err)
		}
	}
}

// shifted loosens a part by how far the place that it sits on may be off.
func shifted(s geometry.Solid, off float64) geometry.Solid {
	d, err := geometry.Limits(-off, off)
	if err != nil || off == 0 {
		return s
	}
	return s.Shifted(geometry.MaxX, d).Shifted(geometry.MaxY, d)
}

// isTurned reports whether a build turns its cooler so that its air runs along the
// board's rear edge.
func (s *scene) isTurned(item int) bool {
	for _, p := range s.pinsOf(item, 0) {
		if f := solids.FaceOf(p.choice.GetFaces()); f != geometry.NoFace && f.Axis() != geometry.X {
			return true
		}
	}
	return false
}

// addBackDrives adds the M.2 drives that find no socket on the board's face: those
// on the face lie beneath everything else and need no box.
func (s *scene) addBackDrives(a *assembly, item int) {
	if item != s.first(func(p *v1.Part) bool { return p.GetDrive().GetFormFactor() == driveOnBoard }) {
		return // all are dealt out with the first
	}
	slots := s.items[a.board].part.GetBoard().GetM2Slots()
	used := make([]bool, len(slots))
	for i := item; i < len(s.items); i++ {
		d := s.items[i].part.GetDrive()
		if d.GetFormFactor() != driveOnBoard {
			continue
		}
		for n := range s.items[i].count {
			slot := freeSlot(slots, used, d)
			if slot < 0 {
				break
			}
			used[slot] = true
			if !slots[slot].GetBack() {
				continue
			}
			solid, err := s.settings.BackDrive(s.items[a.board].part, s.items[i].part)
			if err != nil {
				s.lack(i, "", err)
				continue
			}
			a.put(&thing{label: s.label(i, n, ""), item: i, piece: n, aboard: true}, solid)
		}
	}
}

// freeSlot is the first free M.2 socket for a drive, those on the face first.
func freeSlot(slots []*v1.M2Slot, used []bool, d *v1.Drive) int {
	for _, back := range [2]bool{false, true} {
		for i, slot := range slots {
			if used[i] || slot.GetBack() != back || len(slot.Sizes) > 0 && !contains(slot.Sizes, d.GetM2Size()) || slot.GetKey() == "E" ||
				slot.HeightMm != nil && d.HeightMm != nil && *d.HeightMm > *slot.HeightMm {
				continue
			}
			return i
		}
	}
	return -1
}

// addBoardAt adds the board at one place, once for each way to put cards into its
// slots.
func (s *scene) addBoardAt(v *variable, a *assembly, m *mountShape, seat seatOf, cards []cardPiece, risers []rigidRiser, ways [][]int, name string) {
	for w, way := range ways {
		parts := make([]placed, 0, len(a.parts)+len(cards))
		seats := []seatOf{seat}
		needs := [][]string{s.shape.layout.GetNeeds(), m.mount.GetNeeds()}
		var limits []arrange.Limit
		for _, p := range a.parts {
			t := *p.thing
			t.pose, t.mount = seat.placed.After(t.pose), m.index
			parts = append(parts, placed{&t, seat.placed.Solid(p.solid)})
		}
		limits = append(limits, m.within(&parts[0].solid)...)
		for k, position := range way {
			if position == 0 {
				continue
			}
			card := &cards[k]
			frame, err := solids.SlotFrame(position)
			if err != nil {
				s.lack(card.item, "", err)
				continue
			}
			at := seat.placed.After(frame)
			t := &thing{label: s.label(card.item, card.piece, ""), item: card.item, piece: card.piece, pose: at, mount: -1, card: true, aboard: true}
			solid := at.Solid(card.solid)
			cardSeat := seatOf{item: card.item, piece: card.piece, mount: -1, placed: at, position: position - 1}
			if slots := s.slotMount(); slots != nil {
				t.mount, cardSeat.mount = slots.index, slots.index
				needs = append(needs, slots.mount.GetNeeds())
				limits = append(limits, named(slots.within(&solid), t.label)...)
			}
			parts, seats = append(parts, placed{t, solid}), append(seats, cardSeat)
		}
		parts = s.addRisersTo(parts, a.board, seat.placed, cards, risers, way)
		s.add(v, name+optionName(w), parts, seats, limits, s.uses(needs...))
	}
}

// named tells whom a limit on an option of several parts is about.
func named(limits []arrange.Limit, label string) []arrange.Limit {
	for i := range limits {
		limits[i].Name += " for " + label
	}
	return limits
}
