package clearance

import "slices"

// A seating sends parties of like pieces to places with a number of seats. It
// finds, exactly, a seating of the most pieces, and among those one that costs
// least: a flow of least cost along shortest augmenting paths (Bellman and Ford).
// The memory is used again.
type seating struct {
	pieces []int   // of each party
	seats  []int   // of each place
	price  []int64 // party by party: cost of one piece at a place, or barred
	sent   []int   // party by party: pieces at a place
	free   []int   // seats left at each place
	left   []int   // pieces of each party without a seat

	reach  []int64 // least cost to reach a party (first) or a place (after)
	from   []int   // the node before it on that path
	nodes  int
	places int
}

// Costs of one piece. Each is worth more than all cheaper ones of a build
// together; the place's number is added, so that earlier places are preferred.
const (
	costMarginal int64 = 1 << 16
	costUnknown  int64 = 1 << 27
	costFail     int64 = 1 << 40
	costUnseated int64 = 3 << 40
	barred       int64 = -1
	unreached    int64 = 1 << 62
)

// begin makes room for so many parties and places; every seat is barred.
func (s *seating) begin(parties, places int) {
	s.pieces = resized(s.pieces, parties)
	s.seats = resized(s.seats, places)
	s.price = resized(s.price, parties*places)
	s.sent = resized(s.sent, parties*places)
	s.free = resized(s.free, places)
	s.left = resized(s.left, parties)
	s.nodes, s.places = parties+places, places
	s.reach = resized(s.reach, s.nodes)
	s.from = resized(s.from, s.nodes)
	for i := range s.price {
		s.price[i] = barred
	}
}

func resized[T int | int64](list []T, n int) []T {
	list = slices.Grow(list[:0], n)[:n]
	clear(list)
	return list
}

// solve seats the pieces and returns what it costs, pieces without a seat
// included.
func (s *seating) solve() (cost int64) {
	copy(s.free, s.seats)
	copy(s.left, s.pieces)
	clear(s.sent)
	for {
		end := s.shortest()
		if end < 0 {
			break
		}
		cost += s.augment(end)
	}
	for _, n := range s.left {
		cost += int64(n) * costUnseated
	}
	return cost
}

// shortest finds the cheapest way from a party with pieces left to a place with
// a seat free, over pieces that change their place. It returns the place's node,
// or -1.
func (s *seating) shortest() int {
	parties := s.nodes - s.places
	for i := range s.reach {
		s.reach[i], s.from[i] = unreached, -1
		if i < parties && s.left[i] > 0 {
			s.reach[i] = 0
		}
	}
	for changed := true; changed; {
		changed = false
		for a := range parties {
			for b := range s.places {
				price := s.price[a*s.places+b]
				if price == barred {
					continue
				}
				changed = s.relax(a, parties+b, price) || changed
				if s.sent[a*s.places+b] > 0 {
					changed = s.relax(parties+b, a, -price) || changed
				}
			}
		}
	}
	best := -1
	for b := range s.places {
		node := parties + b
		if s.free[b] > 0 && s.reach[node] < unreached && (best < 0 || s.reach[node] < s.reach[best]) {
			best = node
		}
	}
	return best
}

func (s *seating) relax(from, to int, price int64) bool {
	if s.reach[from] == unreached || s.reach[from]+price >= s.reach[to] {
		return false
	}
	s.reach[to], s.from[to] = s.reach[from]+price, from
	return true
}

// augment moves as many pieces as the way to the place allows and returns what
// that costs.
func (s *seating) augment(end int) int64 {
	parties := s.nodes - s.places
	n, start := s.free[end-parties], end
	for s.from[start] >= 0 {
		if start < parties { // came from a place: pieces leave it
			n = min(n, s.sent[start*s.places+s.from[start]-parties])
		}
		start = s.from[start]
	}
	n = min(n, s.left[start])
	for node := end; s.from[node] >= 0; node = s.from[node] {
		if before := s.from[node]; node >= parties {
			s.sent[before*s.places+node-parties] += n
		} else {
			s.sent[node*s.places+before-parties] -= n
		}
	}
	s.left[start] -= n
	s.free[end-parties] -= n
	return int64(n) * s.reach[end]
}
