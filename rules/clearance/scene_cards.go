package clearance

import (
	"fmt"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
	"slipfit.example/rules/geometry"
)

// cardPiece is one card with where it may go.
type cardPiece struct {
	item, piece int
	solid       geometry.Solid
	inSlot      bool
	mounts      []*mountShape
}

// maxWays bounds the ways to deal cards to slots that are tried.
const maxWays = 64

// cards lists the cards that have boxes. A layout without mounts for cards, and a
// mount without a pose, leave them to the board's slots.
func (s *scene) cards() (out []cardPiece) {
	all := s.shape.mountsOf(v1.MountKind_MOUNT_KIND_CARD)
	for i := range s.items {
		if s.items[i].part.GetCard() == nil {
			continue
		}
		solid, err := s.settings.Card(s.items[i].part)
		if err != nil {
			s.lack(i, "", err)
			continue
		}
		for n := range s.items[i].count {
			card := cardPiece{item: i, piece: n, solid: solid, inSlot: len(all) == 0}
			pins := s.pinsOf(i, n)
			for _, m := range all {
				open := len(pins) == 0
				for _, p := range pins {
					open = open || p.choice.Mount == nil || p.choice.GetMount() == m.mount.GetId()
				}
				switch {
				case !open:
				case len(m.poses) == 0:
					card.inSlot = true
				default:
					card.mounts = append(card.mounts, m)
				}
			}
			if !card.inSlot && len(card.mounts) == 0 {
				s.leaveOut(i, "no mount of the layout takes it")
				continue
			}
			out = append(out, card)
		}
	}
	return out
}

// slotMount is the mount of cards that stand in the board's slots, if there is one.
func (s *scene) slotMount() *mountShape {
	for _, m := range s.shape.mountsOf(v1.MountKind_MOUNT_KIND_CARD) {
		if len(m.poses) == 0 {
			return m
		}
	}
	return nil
}

// slotWays lists the ways to deal the cards to the board's slots: for each card
// the position of its slot, 0 for a card on a mount of its own. Equal cards are
// dealt in one order only.
func (s *scene) slotWays(board int, cards []cardPiece) [][]int {
	slots, mount := s.items[board].part.GetBoard().GetCardSlots(), s.slotMount()
	var ways [][]int
	way := make([]int, len(cards))
	used := make([]bool, len(slots))
	var deal func(k int)
	deal = func(k int) {
		if len(ways) == maxWays {
			s.cut = true
			return
		}
		if k == len(cards) {
			ways = append(ways, append([]int(nil), way...))
			return
		}
		card := &cards[k]
		if len(card.mounts) > 0 {
			way[k] = 0
			deal(k + 1)
		}
		for i, slot := range slots {
			position := int(slot.GetPosition())
			before := k > 0 && cards[k-1].item == card.item && way[k-1] > position && s.likePiece(card.item, card.piece) < card.piece
			if !card.inSlot || used[i] || before || slot.Position == nil || !s.allowsSlot(card, mount, position) || !takesCard(slot, s.items[card.item].part.GetCard()) {
				continue
			}
			used[i], way[k] = true, position
			deal(k + 1)
			used[i] = false
		}
	}
	deal(0)
	if len(ways) == 0 { // more cards than slots: the board alone, and say so
		for k := range cards {
			if len(cards[k].mounts) == 0 {
				s.leaveOut(cards[k].item, "no free slot of the board takes it")
			}
		}
		ways = append(ways, make([]int, len(cards)))
	}
	return ways
}

// takesCard reports whether a slot's connector is long enough for a card's edge.
func takesCard(slot *v1.CardSlot, card *v1.Card) bool {
	return slot.WidthLanes == nil || card.WidthLanes == nil || *card.WidthLanes <= *slot.WidthLanes
}

// addMountedCards adds the cards that stand on mounts of their own, where the
// board's option leaves them there.
func (s *scene) addMountedCards(cards []cardPiece, board *variable, ways [][]int) {
	for k := range cards {
		card := &cards[k]
		if len(card.mounts) == 0 {
			continue
		}
		v := s.begin(1, "card "+s.label(card.item, card.piece, ""))
		if card.inSlot {
			v.When = whenOnMount(board, ways, k)
		}
		for _, m := range card.mounts {
			for p := range m.poses {
				for o, by := range m.shifts {
					s.addCardAt(v, card, m, p, o, by)
				}
			}
		}
		s.end(v, card.item, "no place of its mount is left open")
	}
}

func (s *scene) addCardAt(v *variable, card *cardPiece, m *mountShape, pose, offset int, by shift) {
	seat := seatOf{item: card.item, piece: card.piece, mount: m.index, pose: pose, offsets: by.offsets, placed: m.at(pose, by)}
	if !allows(s.pinsOf(card.item, card.piece), m.mount, &seat) {
		return
	}
	t := &thing{label: s.label(card.item, card.piece, ""), item: card.item, piece: card.piece, pose: seat.placed, mount: m.index, card: true}
	solid := seat.placed.Solid(card.solid)
	s.add(v, optionName(m.index, pose, offset), []placed{{t, solid}}, []seatOf{seat}, m.within(&solid), s.uses(m.mount.GetNeeds()))
}

// whenOnMount is the condition that the board's option has left a card out of the
// slots.
func whenOnMount(board *variable, ways [][]int, card int) []arrange.Condition {
	var names []string
	for i := range board.Options {
		if ways[i%len(ways)][card] == 0 {
			names = append(names, board.Options[i].Name)
		}
	}
	return []arrange.Condition{{Variable: board.Name, Options: names}}
}

// addSupplies adds the power supplies.
func (s *scene) addSupplies() {
	for i := range s.items {
		u := s.items[i].part.GetSupply()
		if u == nil {
			continue
		}
		solid, err := s.settings.Supply(s.items[i].part)
		if err != nil {
			s.lack(i, "", err)
			continue
		}
		for n := range s.items[i].count {
			v := s.begin(2, "supply "+s.label(i, n, ""))
			for _, m := range s.shape.mountsOf(v1.MountKind_MOUNT_KIND_SUPPLY) {
				if m.takesForm(u.GetFormFactor()) {
					s.addMounted(v, i, n, m, solid, thing{frame: true})
				}
			}
			s.end(v, i, fmt.Sprintf("no mount of the layout takes the form factor %s", u.GetFormFactor()))
		}
	}
}

// addMounted adds one piece in all poses and settings of a mount.
func (s *scene) addMounted(v *variable, item, piece int, m *mountShape, solid geometry.Solid, as thing) {
	for p := range m.poses {
		for o, by := range m.shifts {
			seat := seatOf{item: item, piece: piece, mount: m.index, pose: p, offsets: by.offsets, placed: m.at(p, by)}
			if !allows(s.pinsOf(item, piece), m.mount, &seat) {
				continue
			}
			t := as
			t.label, t.item, t.piece, t.pose, t.mount = s.label(item, piece, ""), item, piece, seat.placed, m.index
			there := seat.placed.Solid(solid)
			s.add(v, optionName(m.index, p, o), []placed{{&t, there}}, []seatOf{seat}, m.within(&there), s.uses(m.mount.GetNeeds()))
		}
	}
}
