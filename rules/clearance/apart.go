package clearance

import "slices"

// exclusionDepth is how many pairs of places that exclude each other are settled
// exactly; beyond it the later place of a pair stays empty.
const exclusionDepth = 6

// solveApart seats the pieces and returns what it costs; of two places in use
// that cannot be used at once, it leaves empty the one that is missed less.
func (s *seating) solveApart(places []place, depth int) int64 {
	cost := s.solve()
	a, b := s.clashing(places)
	if a < 0 {
		return cost
	}
	if depth == 0 {
		s.seats[b] = 0
		return s.solveApart(places, 0)
	}
	open := slices.Clone(s.seats)
	s.seats[a] = 0
	withoutA := s.solveApart(places, depth-1)
	copy(s.seats, open)
	s.seats[b] = 0
	if withoutB := s.solveApart(places, depth-1); withoutB <= withoutA {
		return withoutB
	}
	copy(s.seats, open)
	s.seats[a] = 0
	return s.solveApart(places, depth-1)
}

// clashing returns two places in use that cannot be used at once, or -1. The row
// of a radiator lies on the radiator's own mount and clashes with nothing.
func (s *seating) clashing(places []place) (a, b int) {
	for a := range places {
		if s.seats[a] == s.free[a] || places[a].radiator != nil {
			continue
		}
		for b := a + 1; b < len(places); b++ {
			if s.seats[b] > s.free[b] && places[b].radiator == nil && places[a].clashes(&places[b]) {
				return a, b
			}
		}
	}
	return -1, -1
}

// list appends who sits where, party by party.
func (s *seating) list(out []seat, parties []party, places []place) []seat {
	for a := range parties {
		for b := range places {
			if n := s.sent[a*s.places+b]; n > 0 {
				out = append(out, seat{party: &parties[a], place: &places[b], pieces: n})
			}
		}
	}
	return out
}
