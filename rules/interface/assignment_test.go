package mating

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Every way of dealing out, tried one by one, finds nothing better.
func TestAssignmentIsTheBestThereIs(t *testing.T) {
	var a assignment
	rapid.Check(t, func(t *rapid.T) {
		pieces, places := rapid.IntRange(0, 5).Draw(t, "pieces"), rapid.IntRange(0, 5).Draw(t, "places")
		weights := make([]int64, pieces*places)
		for i := range weights {
			if rapid.IntRange(0, 2).Draw(t, "fits") > 0 {
				weights[i] = rapid.Int64Range(1, weightIn*2).Draw(t, "weight")
			}
		}
		weight := func(i, j int) int64 { return weights[i*places+j] }
		at := make([]int, pieces)
		sum := a.greatest(pieces, places, weight, at)
		if want := tryAll(pieces, places, weight); sum != want {
			t.Fatalf("the sum is %d, and %d can be had", sum, want)
		}
		told := int64(0)
		var taken []int
		for i, j := range at {
			if j < 0 {
				continue
			}
			if slices.Contains(taken, j) || weight(i, j) == 0 {
				t.Fatalf("piece %d sits in place %d, which is taken or does not take it: %v", i, j, at)
			}
			taken = append(taken, j)
			told += weight(i, j)
		}
		if told != sum {
			t.Fatalf("the places come to %d, the sum told is %d", told, sum)
		}
	})
}

// tryAll is the greatest sum by trying every way.
func tryAll(pieces, places int, weight func(i, j int) int64) int64 {
	taken := make([]bool, places)
	var from func(i int) int64
	from = func(i int) int64 {
		if i == pieces {
			return 0
		}
		best := from(i + 1) // this one finds no place
		for j := range places {
			if w := weight(i, j); !taken[j] && w > 0 {
				taken[j] = true
				best = max(best, w+from(i+1))
				taken[j] = false
			}
		}
		return best
	}
	return from(0)
}
