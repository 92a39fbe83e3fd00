package mating

import (
	"slices"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// risers lends the build's risers to the cards that stand on one. Which cards do
// is told by the arrangement: the mount they sit on, or the layout, needs a riser.
// Without an arrangement the first cards take the risers there are.
type risers struct {
	c       *kit.Case
	left    []*kit.Item
	layout  *v1.Layout
	seats   []*v1.Seat
	chassis *v1.Chassis
}

func risersOf(h *hookup) risers {
	r := risers{c: h.c, chassis: chassisOf(h.chassis)}
	for it := range h.c.Items(kit.KindRiser) {
		for range min(it.Count, mostPieces) {
			r.left = append(r.left, it)
		}
	}
	if h.c.First(kit.KindCard) == nil || !mentionsRiser(r.chassis) {
		return r
	}
	if layout, seats, ok := seatedIn(h.c); ok {
		r.seats = seats
		for _, l := range r.chassis.GetLayouts() {
			if l.GetId() == layout {
				r.layout = l
			}
		}
	}
	return r
}

// mentionsRiser reports whether any layout of an enclosure asks for a riser, so
// that it matters where a card stands.
func mentionsRiser(chassis *v1.Chassis) bool {
	return slices.ContainsFunc(chassis.GetLayouts(), layoutMentionsRiser)
}

func layoutMentionsRiser(l *v1.Layout) bool {
	return asksForRiser(l.Needs) || slices.ContainsFunc(l.Mounts, func(m *v1.Mount) bool { return asksForRiser(m.Needs) })
}

func asksForRiser(needs []string) bool {
	for _, token := range needs {
		if strings.HasPrefix(token, "riser") {
			return true
		}
	}
	return false
}

// lend gives a card its riser where it stands on one.
func (r *risers) lend(p *piece) {
	stands, told := r.standsOnRiser(p.item)
	if !stands && (told || len(r.left) == 0) {
		return
	}
	p.risen, p.between = true, link{}
	if len(r.left) > 0 {
		p.riser, r.left = r.left[0], r.left[1:]
		riser := p.riser.Part.GetRiser()
		p.between = link{int(riser.GetGeneration()), int(riser.GetLanes())}
	}
}

// standsOnRiser tells by the arrangement whether a card stands on a riser; told is
// false where the arrangement does not say.
func (r *risers) standsOnRiser(card *kit.Item) (stands, told bool) {
	if r.layout == nil {
		return false, false
	}
	if asksForRiser(r.layout.Needs) {
		return true, true
	}
	for _, seat := range r.seats {
		if seat.GetItem() != card.ID {
			continue
		}
		for _, m := range r.layout.Mounts {
			if m.GetId() == seat.GetMount() {
				return asksForRiser(m.Needs), true
			}
		}
	}
	return false, false
}

func chassisOf(it *kit.Item) *v1.Chassis {
	if it == nil {
		return nil
	}
	return it.Part.GetChassis()
}
