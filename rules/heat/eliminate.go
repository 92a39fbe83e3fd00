package heat

import "math"

// eliminate solves the linear network for found, which holds the right-hand
// side by Ref on entry. It returns the Ref of a thing whose heat has no way
// out, or -1. Things that no heat enters and none leaves take the room's
// temperature.
//
// Every row is dominated by its diagonal, which heat that leaves a thing always
// enters, so that no pivoting is needed. Panels, bodies and liquids, which
// touch few others, come first, and empty multipliers are skipped: the work is
// far below that of a full matrix.
func (s *Solver) eliminate() (stuck int) {
	n, a, x := s.size, s.matrix, s.found
	for i := range n {
		s.diagonal[i] = a[i*n+i]
	}
	for k := range n {
		pivotRow := a[k*n : k*n+n]
		if !(pivotRow[k] > 1e-12*s.diagonal[k]) {
			if !s.isolated(pivotRow[k+1:], x[n-1-k], s.diagonal[k]) {
				return n - 1 - k
			}
			pivotRow[k], x[n-1-k] = 1, s.model.Air.Room.TemperatureC
		}
		inverse := 1 / pivotRow[k]
		right := x[n-1-k]
		for i := k + 1; i < n; i++ {
			row := a[i*n : i*n+n]
			if row[k] == 0 {
				continue
			}
			f := row[k] * inverse
			tail := row[k+1:]
			for j, v := range pivotRow[k+1:] {
				tail[j] -= f * v
			}
			x[n-1-i] -= f * right
		}
	}
	s.substituteBack()
	return -1
}

// isolated tells whether a row without pivot belongs to things that exchange
// heat with each other only, and set none free.
func (s *Solver) isolated(rest []float64, right, diagonal float64) bool {
	for _, v := range rest {
		if math.Abs(v) > 1e-9*diagonal {
			return false
		}
	}
	return math.Abs(right) <= 1e-9*(1+diagonal*math.Abs(s.model.Air.Room.TemperatureC))
}

func (s *Solver) substituteBack() {
	n, a, x := s.size, s.matrix, s.found
	for k := n - 1; k >= 0; k-- {
		row := a[k*n : k*n+n]
		sum := x[n-1-k]
		for j := k + 1; j < n; j++ {
			sum -= row[j] * x[n-1-j]
		}
		x[n-1-k] = sum / row[k]
	}
}
