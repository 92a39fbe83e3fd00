package mating

import (
	"slipfit.example/rules/kit"
)

// seating deals out cards to slots and M.2 drives to sockets so that as many as
// can be are in, then as many as can be for sure, then with room to spare, and
// then with the greatest sum of rates.
//
// What a place gives depends on which others are in use, where they share lanes
// or a thick card hides its neighbours. So each set of such places that may be in
// use is tried in turn, with the others of them closed: within one set the rates
// are fixed, and an assignment settles it. Using fewer never gives less, so that
// the best over all sets is the best there is.
type seating struct {
	places    []place
	pieces    []piece
	processor int   // generation of the processor's own lanes, 0 where not known
	fits      []fit // [piece*len(places) + place]
	cards     int   // the first pieces are cards, the others drives
	slots     int   // the first places are card slots, the others M.2 sockets
	used      places

	dealer     assignment
	at, bestAt []int
}

// piece is one card or one M.2 drive.
type piece struct {
	item    *kit.Item
	at      int // its place, -1 where it finds none
	risen   bool
	riser   *kit.Item          // nil where risen and the build does not name one
	hides   [mostPlaces]places // by its place
	end     link               // its own generation and lanes
	quote   float64            // the rate it is sold for in GB/s, 0 where it does not say
	sata    bool
	between link // what lies between: the riser, else no limit
}

// noLimit is a link that limits no other.
var noLimit = link{99, 99}

// mostPieces bounds the search. More pieces than that find no place anyway.
const mostPieces = 64

// mostTried bounds the sets that are tried: of more places that depend on each
// other than that, the others are taken to be in use, which gives them no more
// lanes than they have.
const mostTried = 10

// open finds the best seating of the build.
func (s *seating) open(h *hookup) {
	s.places = listPlaces(s.places, h.theBoard())
	s.slots = min(len(h.theBoard().GetCardSlots()), len(s.places))
	if s.processor = 0; h.sameSocket() {
		s.processor = int(h.processor.Part.GetProcessor().GetGeneration())
	}
	s.listPieces(h)
	s.grade(h)
	s.search()
}

func (s *seating) listPieces(h *hookup) {
	s.pieces = s.pieces[:0]
	risers := risersOf(h)
	for it := range h.c.Items(kit.KindCard) {
		for range it.Count {
			if len(s.pieces) < mostPieces {
				p := cardPiece(it)
				risers.lend(&p)
				s.pieces = append(s.pieces, p)
			}
		}
	}
	s.cards = len(s.pieces)
	for it := range h.c.Items(kit.KindDrive) {
		for range it.Count {
			if isM2(it.Part.GetDrive()) && len(s.pieces) < 2*mostPieces {
				s.pieces = append(s.pieces, drivePiece(it))
			}
		}
	}
}

func cardPiece(it *kit.Item) piece {
	card := it.Part.GetCard()
	lanes := card.GetLanes()
	if card.Lanes == nil {
		lanes = card.GetWidthLanes()
	}
	return piece{item: it, at: -1, end: link{int(card.GetGeneration()), int(lanes)}, between: noLimit}
}

func drivePiece(it *kit.Item) piece {
	drive := it.Part.GetDrive()
	return piece{item: it, at: -1, end: link{int(drive.GetGeneration()), int(drive.GetLanes())}, between: noLimit,
		quote: drive.GetReadGbs(), sata: busOf(drive) == "sata"}
}

// grade tells for each pair how the piece goes in.
func (s *seating) grade(h *hookup) {
	s.fits = zeroed(s.fits, len(s.pieces)*len(s.places))
	for i := range s.pieces {
		p := &s.pieces[i]
		for j := range s.places {
			to := &s.places[j]
			switch {
			case i < s.cards && to.card != nil:
				s.fits[i*len(s.places)+j] = h.cardFit(p, to)
				if n := int(p.item.Part.GetCard().GetSlots()); n > 1 && !p.risen && s.cards > 1 {
					p.hides[to.number] = to.covers(s.places, n)
				}
			case i >= s.cards && to.m2 != nil:
				s.fits[i*len(s.places)+j] = h.m2Fit(p.item, to.number)
			}
		}
	}
}

// entangled are the places of which the use of one matters to another.
func (s *seating) entangled() (set places) {
	for j := range s.places {
		if mates := s.places[j].mates; mates != 0 {
			set |= mates.with(j)
		}
	}
	for i := range s.pieces[:s.cards] {
		for _, hidden := range s.pieces[i].hides {
			set |= hidden
		}
	}
	return set
}

// search tries each set of entangled places in use, and keeps the best seating.
func (s *seating) search() {
	set := s.entangled()
	free := places(0)
	for j := range s.places {
		if set.has(j) && free.count() < mostTried {
			free = free.with(j)
		}
	}
	always := set &^ free
	s.at, s.bestAt = zeroed(s.at, len(s.pieces)), zeroed(s.bestAt, len(s.pieces))
	best := int64(-1)
	for use := free; ; use = (use - 1) & free {
		if sum := s.deal(set, use|always); sum > best {
			best = sum
			copy(s.bestAt, s.at)
		}
		if use == 0 {
			break
		}
	}
	s.used = 0
	for i, at := range s.bestAt {
		s.pieces[i].at = at
		if at >= 0 {
			s.used = s.used.with(at)
		}
	}
}

// deal finds the best seating with these of the entangled places open and taken
// to be in use.
func (s *seating) deal(entangled, open places) int64 {
	closed := entangled &^ open
	cards := s.dealer.greatest(s.cards, s.slots, func(i, j int) int64 {
		if closed.has(j) || s.pieces[i].hides[j]&open != 0 {
			return 0
		}
		return s.weight(i, j, open)
	}, s.at)
	drives := s.dealer.greatest(len(s.pieces)-s.cards, len(s.places)-s.slots, func(i, j int) int64 {
		if closed.has(s.slots + j) {
			return 0
		}
		return s.weight(s.cards+i, s.slots+j, open)
	}, s.at[s.cards:])
	for i := s.cards; i < len(s.at); i++ {
		if s.at[i] >= 0 {
			s.at[i] += s.slots
		}
	}
	return cards + drives
}

// Steps of the weight, each above all that the lower ones can sum to: that a
// piece is in, that it is for sure, that it has room to spare, its rate in MB/s, and its
// lanes, for links of which the rate is not known.
const (
	weightIn   = 1 << 54
	weightSure = 1 << 48
	weightRoom = 1 << 42
	weightRate = 1 << 18
	weightLane = 1 << 6
)

// weight is the worth of a piece in a place beside the places in use. Where all
// else is equal a card takes the shortest slot, so that long ones stay free, and
// a drive the front of the board, where it is got at.
func (s *seating) weight(i, j int, used places) int64 {
	fit, to, p := s.fits[i*len(s.places)+j], &s.places[j], &s.pieces[i]
	if fit.grade == noFit || to.off(used) {
		return 0
	}
	w := int64(weightIn)
	if fit.grade > maybe {
		w += weightSure
	}
	if fit.grade > tight {
		w += weightRoom
	}
	w += int64(s.served(p, to, used)*1000) * weightRate
	w += int64(min(max(s.link(p, to, used).lanes, 0), 32)) * weightLane
	if to.card != nil {
		return w + 2*int64(33-min(to.card.GetWidthLanes(), 32))
	}
	if !to.m2.GetBack() {
		w += 32
	}
	return w + int64(16-to.number)
}

// served is the rate in GB/s that a piece has of a place: its link's, but no more
// than it is sold for.
func (s *seating) served(p *piece, to *place, used places) float64 {
	rate := s.rate(p, to, used)
	if p.quote > 0 {
		return min(rate, p.quote)
	}
	return rate
}

// rate is that of the link of a piece in a place in GB/s, 0 where it is not known.
func (s *seating) rate(p *piece, to *place, used places) float64 {
	if p.sata {
		return sataRate
	}
	return s.link(p, to, used).rate()
}

// link is the link of a piece in a place, with 0 for what is not known.
func (s *seating) link(p *piece, to *place, used places) link {
	return s.offered(to, used).through(p.between).through(p.end)
}

// offered is the link that a place offers.
func (s *seating) offered(to *place, used places) link {
	lanes, _ := to.lanes(used)
	own := link{0, lanes}
	if g := to.generation(); g != nil {
		own.generation = int(*g)
	}
	if s.processor > 0 && to.first() {
		own.generation = min(own.generation, s.processor)
	}
	return own
}
