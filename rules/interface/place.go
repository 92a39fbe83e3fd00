package mating

import (
	"math/bits"

	v1 "slipfit.example/proto/slipfit/v1"
)

// place is a slot for a card or a socket for an M.2 drive. One of the two is set.
type place struct {
	id     string
	number int // in the board's list
	card   *v1.CardSlot
	m2     *v1.M2Slot
	mates  places // places whose use takes lanes from this one
}

// places is a set of places, by their number among all of the board's.
type places uint64

func (p places) has(i int) bool { return p>>i&1 == 1 }

func (p places) with(i int) places { return p | 1<<i }

func (p places) count() int { return bits.OnesCount64(uint64(p)) }

// mostPlaces is how many places the contract allows: 16 of each kind.
const mostPlaces = 32

// listPlaces reads the board's slots and sockets, cards' first.
func listPlaces(list []place, board *v1.Board) []place {
	list = list[:0]
	for i, s := range board.GetCardSlots() {
		list = append(list, place{id: s.GetId(), number: i, card: s})
	}
	for i, s := range board.GetM2Slots() {
		list = append(list, place{id: s.GetId(), number: i, m2: s})
	}
	list = list[:min(len(list), mostPlaces)]
	for i := range list {
		list[i].mates = matesOf(list, list[i].sharesWith()) &^ places(0).with(i)
	}
	return list
}

// matesOf are the places of these names. Names that are no slot or socket of the
// board, such as that of a SATA port, are left out: who uses it is not known.
func matesOf(list []place, names []string) (mates places) {
	for _, name := range names {
		for j := range list {
			if list[j].id == name {
				mates = mates.with(j)
			}
		}
	}
	return mates
}

func (p *place) sharesWith() []string {
	if p.card != nil {
		return p.card.SharesWith
	}
	return p.m2.SharesWith
}

// lanes are the lanes that are left beside the places in use; ok is false where
// the board does not say.
func (p *place) lanes(used places) (n int, ok bool) {
	wired, shared := p.laneFields()
	field := wired
	if p.shares(used) {
		field = shared
	}
	if field == nil {
		return 0, false
	}
	if wired != nil {
		return int(min(*field, *wired)), true
	}
	return int(*field), true
}

// shares reports whether another place in use takes lanes from this one.
func (p *place) shares(used places) bool { return p.mates&used != 0 }

func (p *place) laneFields() (wired, shared *uint32) {
	if p.card != nil {
		return p.card.Lanes, p.card.LanesShared
	}
	return p.m2.Lanes, p.m2.LanesShared
}

func (p *place) generation() *uint32 {
	if p.card != nil {
		return p.card.Generation
	}
	return p.m2.Generation
}

// first reports whether the place is the card slot beside the processor, whose
// lanes are the processor's own (common practice, no source).
func (p *place) first() bool { return p.card != nil && p.card.GetPosition() == 1 }

// off reports whether the place is dead beside the places in use.
func (p *place) off(used places) bool {
	n, ok := p.lanes(used)
	return ok && n == 0
}

// covers are the card slots that a card of some openings hides when it sits here.
// Slots whose position is not stated are taken to stay free.
func (p *place) covers(list []place, openings int) (hidden places) {
	if p.card == nil || p.card.Position == nil {
		return 0
	}
	first := int(p.card.GetPosition())
	for j := range list {
		if s := list[j].card; s != nil && s.Position != nil &&
			int(s.GetPosition()) > first && int(s.GetPosition()) < first+openings {
			hidden = hidden.with(j)
		}
	}
	return hidden
}
