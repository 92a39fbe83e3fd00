package mating

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// outcome is how the pieces of one item came off in the seating.
type outcome struct {
	seated, sure, roomy int
	worst               *piece  // the seated one that is least sure, nil where none is
	slowest             *piece  // the seated one with the least rate
	flaw                flaw    // what keeps the others out
	flawed              int     // the place that came nearest, by its number on the board
	height              float64 // that an M.2 socket which came nearest leaves, in mm
}

// outcomeOf sums up one item.
func (s *seating) outcomeOf(it *kit.Item) (o outcome) {
	worst, least := goodFit+1, 0.0
	for i := range s.pieces {
		p := &s.pieces[i]
		if p.item != it {
			continue
		}
		if p.at < 0 {
			s.blame(i, &o)
			continue
		}
		grade := s.fits[i*len(s.places)+p.at].grade
		o.seated++
		if grade > maybe {
			o.sure++
		}
		if grade > tight {
			o.roomy++
		}
		if grade < worst {
			worst, o.worst = grade, p
		}
		if rate := s.rate(p, &s.places[p.at], s.used); o.slowest == nil || rate < least {
			least, o.slowest = rate, p
		}
	}
	return o
}

// blame finds what keeps a piece out where it comes nearest to going in.
func (s *seating) blame(i int, o *outcome) {
	for j := range s.places {
		to := &s.places[j]
		if (i < s.cards) != (to.card != nil) {
			continue
		}
		f := s.fits[i*len(s.places)+j]
		if f.grade != noFit {
			f.flaw = flawTaken
		}
		if f.flaw > o.flaw || f.flaw == flawHeight && o.flaw == flawHeight && to.m2.GetHeightMm() > o.height {
			o.flaw, o.flawed, o.height = f.flaw, to.number, to.m2.GetHeightMm()
		}
	}
}

// verdict is that of an item of which all pieces must be in.
func (o outcome) verdict(count int) kit.Verdict {
	switch {
	case o.seated < count:
		return kit.Fail
	case o.sure < count:
		return kit.Unknown
	case o.roomy < count:
		return kit.Marginal
	}
	return kit.Pass
}

// placesOf names the places that an item's pieces have found.
func (s *seating) placesOf(it *kit.Item) string {
	var name string
	var names []string
	for i := range s.pieces {
		if p := &s.pieces[i]; p.item == it && p.at >= 0 {
			if name != "" {
				names = append(names, name)
			}
			name = s.places[p.at].id
		}
	}
	if len(names) == 0 {
		return name
	}
	return strings.Join(names, ", ") + " and " + name
}

// sharer is the name of the place in use that takes lanes from another one, empty
// where none does.
func (s *seating) sharer(to *place) string {
	for j := range s.places {
		if to.mates.has(j) && s.used.has(j) {
			return s.places[j].id
		}
	}
	return ""
}

// linkValues are what the link of a seated piece is worked out from.
func (h *hookup) linkValues(p *piece) []kit.Value {
	s := &h.seats
	to := &s.places[p.at]
	out := append(h.scratch[:0], h.generationOf(to), h.lanesOf(to, to.shares(s.used)))
	if s.processor > 0 && to.first() {
		out = append(out, h.number(h.processor, "processor.generation", h.processor.Part.GetProcessor().Generation, ""))
	}
	if p.risen {
		out = h.riserValues(out, p)
	}
	if card := p.item.Part.GetCard(); card != nil {
		out = h.cardEnd(out, p.item, card)
	} else {
		drive := p.item.Part.GetDrive()
		out = append(out, h.number(p.item, "drive.generation", drive.Generation, ""), h.number(p.item, "drive.lanes", drive.Lanes, ""))
	}
	h.scratch = out
	return out
}

func (h *hookup) cardEnd(out []kit.Value, it *kit.Item, card *v1.Card) []kit.Value {
	out = append(out, h.number(it, "card.generation", card.Generation, ""))
	if card.Lanes == nil && card.WidthLanes != nil {
		return append(out, h.number(it, "card.width_lanes", card.WidthLanes, ""))
	}
	return append(out, h.number(it, "card.lanes", card.Lanes, ""))
}

func (h *hookup) riserValues(out []kit.Value, p *piece) []kit.Value {
	if p.riser == nil {
		return append(out, h.c.Absent(noItem, ""))
	}
	riser := p.riser.Part.GetRiser()
	return append(out, h.number(p.riser, "riser.generation", riser.Generation, ""), h.number(p.riser, "riser.lanes", riser.Lanes, ""))
}

func (h *hookup) generationOf(to *place) kit.Value {
	at := m2Generation
	if to.card != nil {
		at = slotGeneration
	}
	return h.number(h.board, at.at(to.number), to.generation(), "")
}

func (h *hookup) lanesOf(to *place, shared bool) kit.Value {
	wired, left := to.laneFields()
	at, field := m2Lanes, wired
	switch {
	case to.card != nil && shared:
		at, field = slotLanesShared, left
	case to.card != nil:
		at = slotLanes
	case shared:
		at, field = m2LanesShared, left
	}
	return h.number(h.board, at.at(to.number), field, "")
}
