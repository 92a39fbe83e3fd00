package mating

import "math"

// assignment deals out pieces to places so that the sum of the weights is the
// greatest there is (shortest augmenting paths with potentials, after Kuhn and
// Munkres). A weight of 0 means that the pair is no pair; negative ones are not
// allowed. Weights are whole numbers, so that the result is exact.
type assignment struct {
	from, to, least []int64 // potentials of both sides; least slack of each place
	holder, way     []int   // of each place
	seen            []bool
}

// greatest fills at with the place of each piece, -1 where it gets none, and
// returns the sum of the weights. weight(piece, place) is asked for each pair.
func (a *assignment) greatest(pieces, places int, weight func(piece, place int) int64, at []int) int64 {
	if pieces <= places {
		a.solve(pieces, places, weight)
	} else {
		a.solve(places, pieces, func(place, piece int) int64 { return weight(piece, place) })
	}
	for i := range at[:pieces] {
		at[i] = -1
	}
	sum := int64(0)
	for j := 1; j < len(a.holder); j++ {
		piece, place := a.holder[j]-1, j-1
		if pieces > places {
			piece, place = place, piece
		}
		if piece < 0 || place < 0 {
			continue
		}
		if w := weight(piece, place); w > 0 {
			at[piece] = place
			sum += w
		}
	}
	return sum
}

// solve assigns each of the rows to one of the columns, of which there are no
// fewer. holder[j] is the row of column j, both counted from 1; 0 is none.
func (a *assignment) solve(rows, columns int, weight func(row, column int) int64) {
	a.from, a.to = zeroed(a.from, rows+1), zeroed(a.to, columns+1)
	a.holder, a.way = zeroed(a.holder, columns+1), zeroed(a.way, columns+1)
	for row := 1; row <= rows; row++ {
		a.holder[0] = row
		a.least, a.seen = zeroed(a.least, columns+1), zeroed(a.seen, columns+1)
		for j := range a.least {
			a.least[j] = math.MaxInt64
		}
		column := 0
		for a.holder[column] != 0 {
			column = a.step(column, columns, weight)
		}
		for column != 0 {
			before := a.way[column]
			a.holder[column] = a.holder[before]
			column = before
		}
	}
}

// step adds a column to the tree of shortest paths and returns the nearest one
// that is not in it.
func (a *assignment) step(column, columns int, weight func(row, column int) int64) int {
	a.seen[column] = true
	row, delta, next := a.holder[column], int64(math.MaxInt64), 0
	for j := 1; j <= columns; j++ {
		if a.seen[j] {
			continue
		}
		if slack := -weight(row-1, j-1) - a.from[row] - a.to[j]; slack < a.least[j] {
			a.least[j], a.way[j] = slack, column
		}
		if a.least[j] < delta {
			delta, next = a.least[j], j
		}
	}
	for j := 0; j <= columns; j++ {
		if a.seen[j] {
			a.from[a.holder[j]] += delta
			a.to[j] -= delta
		} else {
			a.least[j] -= delta
		}
	}
	return next
}
