package clearance

import (
	"testing"

	"pgregory.net/rapid"
)

// Against trying all ways to give columns to rows.
func TestAssignmentIsTheCheapest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.IntRange(1, 5).Draw(t, "rows")
		columns := rapid.IntRange(rows, 6).Draw(t, "columns")
		cost := make([][]int64, rows)
		for i := range cost {
			for range columns {
				c := rapid.Int64Range(-50, 50).Draw(t, "cost")
				if rapid.IntRange(0, 4).Draw(t, "barred") == 0 {
					c = forbidden
				}
				cost[i] = append(cost[i], c)
			}
		}
		taken := make([]bool, columns)
		var cheapest func(row int) int64
		cheapest = func(row int) int64 {
			if row == rows {
				return 0
			}
			best := int64(1) << 60
			for j := range columns {
				if !taken[j] {
					taken[j] = true
					best = min(best, cost[row][j]+cheapest(row+1))
					taken[j] = false
				}
			}
			return best
		}
		sum, seen := int64(0), map[int]bool{}
		for i, j := range assign(cost) {
			if seen[j] {
				t.Fatalf("column %d is given twice", j)
			}
			seen[j] = true
			sum += cost[i][j]
		}
		if want := cheapest(0); sum != want {
			t.Fatalf("%v costs %d, %d is the least", cost, sum, want)
		}
	})
}
