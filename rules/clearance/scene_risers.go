package clearance

import (
	"fmt"
	"math"
	"slices"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
)

// rigidRiser is a riser that keeps its shape, in the frame of a card in its slot.
type rigidRiser struct {
	item, piece int
	solid       geometry.Solid
	socket      geometry.Pose // where the frame of the card goes
	card        int           // that it serves, by its place among the cards
}

// rigidRisers lists the rigid risers whose shape is known, each with the card that
// it serves: the first that can stand on a mount with a riser and has none yet.
// Flexible ones have ways, not places.
func (s *scene) rigidRisers(cards []cardPiece) (out []rigidRiser) {
	next := 0
	for i := range s.items {
		riser := s.items[i].part.GetRiser()
		if riser == nil {
			continue
		}
		for n := range s.items[i].count {
			for next < len(cards) && !slices.ContainsFunc(cards[next].mounts, func(m *mountShape) bool { return needsRiser(m.mount) }) {
				next++
			}
			if next == len(cards) {
				return out
			}
			next++
			if !riser.GetRigid() {
				continue
			}
			r := rigidRiser{item: i, piece: n, card: next - 1}
			if err := s.shapeRiser(&r); err != nil {
				s.lack(i, "", err)
				continue
			}
			out = append(out, r)
		}
	}
	return out
}

// shapeRiser reads a rigid riser's boxes and where its socket puts the card.
func (s *scene) shapeRiser(r *rigidRiser) (err error) {
	part := s.items[r.item].part
	var missing []string
	if len(part.GetBodies()) == 0 {
		missing = append(missing, "bodies")
	}
	if part.GetRiser().SlotAt == nil {
		missing = append(missing, "riser.slot_at")
	}
	if len(missing) > 0 {
		return &solids.MissingError{Fields: missing}
	}
	if r.solid, err = s.settings.Own(part); err != nil {
		return err
	}
	r.socket, err = solids.PoseOf(&v1.Pose{Origin: part.GetRiser().SlotAt, XPoints: part.GetRiser().SlotXPoints, ZPoints: part.GetRiser().SlotZPoints})
	return err
}

// addRisersTo adds to the parts of a board's option the risers of those cards that
// stand on their mounts: each in the free slot nearest the processor.
func (s *scene) addRisersTo(parts []placed, board int, at geometry.Pose, cards []cardPiece, risers []rigidRiser, way []int) []placed {
	used := map[int]bool{}
	for _, position := range way {
		used[position] = true
	}
	for i := range risers {
		r := &risers[i]
		if way[r.card] != 0 {
			continue // the card stands in the slot itself
		}
		for _, slot := range s.items[board].part.GetBoard().GetCardSlots() {
			position := int(slot.GetPosition())
			frame, err := solids.SlotFrame(position)
			if slot.Position == nil || used[position] || err != nil || !takesCard(slot, s.items[cards[r.card].item].part.GetCard()) {
				continue
			}
			used[position] = true
			pose := at.After(frame)
			t := &thing{label: s.label(r.item, r.piece, ""), item: r.item, piece: r.piece, pose: pose, mount: -1, aboard: true, riser: true,
				socket: pose.After(r.socket), serves: [2]int{cards[r.card].item, cards[r.card].piece}}
			parts = append(parts, placed{t, pose.Solid(r.solid)})
			break
		}
	}
	return parts
}

// serving reports whether a thing is a rigid riser and the other one the card that
// goes into its socket.
func (t *thing) serving(u *thing) bool {
	return t != nil && u != nil && t.riser && u.card && !u.aboard && t.serves == [2]int{u.item, u.piece}
}

// inSocket is the gap of a rigid riser and its card: none where the card stands
// where the socket has it, and one that nothing has where it does not.
func (s *scene) inSocket(t, u *thing) (mm float64, reason why, ok bool) {
	if u.riser {
		t, u = u, t
	}
	if off, turned := t.offSocket(u); !turned && off <= s.keep.play+1e-3 {
		return 0, toTouch, false
	}
	return apart, toTouch, true
}

// offSocket is how far a card lies from where a rigid riser's socket has it, along
// the axis on which it is most, in mm; turned where it stands another way round.
func (t *thing) offSocket(card *thing) (off float64, turned bool) {
	by := card.pose.Origin().Sub(t.socket.Origin())
	for k := range by {
		off = max(off, math.Abs(by[k]))
	}
	return off, card.pose.Rotation() != t.socket.Rotation()
}

// otherRiser says which riser would do instead.
func (s *scene) otherRiser(a *arrangement, riser, card *thing) (string, []int) {
	if card.riser {
		riser, card = card, riser
	}
	items := []int{riser.item, card.item}
	for _, t := range a.things {
		for _, u := range a.things {
			if t.label == riser.label && u.label == card.label && t.riser && u.card {
				return fmt.Sprintf("a riser that brings %s to its mount instead of %s, whose socket would have to lie %s",
					s.titleOf(u), s.titleOf(t), t.wordsTo(u)), items
			}
		}
	}
	return fmt.Sprintf("another riser than %s for %s", s.titleOf(riser), s.titleOf(card)), items
}

// wordsTo tells which way a card lies from where a rigid riser's socket has it.
func (t *thing) wordsTo(card *thing) string {
	if _, turned := t.offSocket(card); turned {
		return "another way round"
	}
	by := card.pose.Origin().Sub(t.socket.Origin())
	var parts []string
	for k, words := range [3][2]string{{"to the rear", "to the front"}, {"to the right", "to the left"}, {"lower", "higher"}} {
		word := words[0]
		if by[k] > 0 {
			word = words[1]
		}
		if math.Abs(by[k]) > 0.05 {
			parts = append(parts, kit.FormatNumber(math.Abs(by[k]), "mm")+" "+word)
		}
	}
	if len(parts) == 0 {
		return "where it is"
	}
	return strings.Join(parts, ", ")
}
