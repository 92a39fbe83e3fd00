package clearance

import "math"

// forbidden is the cost of a pair that must not be made.
const forbidden = int64(1) << 40

// assign gives every row a column of its own at the least cost of all pairs
// together: the Hungarian method with potentials (Kuhn 1955, Munkres 1957), in
// rows x rows x columns steps. There are at least as many columns as rows, all rows
// of one length. A pair at the forbidden cost is made only where nothing else is
// left; the caller drops it.
func assign(cost [][]int64) []int {
	rows := len(cost)
	if rows == 0 {
		return nil
	}
	columns := len(cost[0])
	u, v := make([]int64, rows+1), make([]int64, columns+1)
	match, way := make([]int, columns+1), make([]int, columns+1) // row of a column, 1 first
	least, used := make([]int64, columns+1), make([]bool, columns+1)
	for row := 1; row <= rows; row++ {
		match[0] = row
		for j := range least {
			least[j], used[j] = math.MaxInt64, false
		}
		at := 0
		for match[at] != 0 {
			used[at] = true
			step, next := int64(math.MaxInt64), 0
			for j := 1; j <= columns; j++ {
				if used[j] {
					continue
				}
				if c := cost[match[at]-1][j-1] - u[match[at]] - v[j]; c < least[j] {
					least[j], way[j] = c, at
				}
				if least[j] < step {
					step, next = least[j], j
				}
			}
			for j := range used {
				if used[j] {
					u[match[j]] += step
					v[j] -= step
				} else {
					least[j] -= step
				}
			}
			at = next
		}
		for at != 0 {
			match[at] = match[way[at]]
			at = way[at]
		}
	}
	out := make([]int, rows)
	for j := 1; j <= columns; j++ {
		if match[j] > 0 {
			out[match[j]-1] = j - 1
		}
	}
	return out
}
