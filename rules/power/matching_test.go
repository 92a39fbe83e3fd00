package power

import (
	"testing"

	"pgregory.net/rapid"
)

// The standards' plugs hardly ever have to move for another, so the assignment is
// tried on relations that no connector has, against trying everything.
func TestMatchingIsTheGreatestThereIs(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		lefts, rights := rapid.IntRange(1, 4).Draw(rt, "lefts"), rapid.IntRange(1, 4).Draw(rt, "rights")
		var m matching
		m.reset(lefts, rights)
		relation := rapid.SliceOfN(rapid.Bool(), lefts*rights, lefts*rights).Draw(rt, "relation")
		m.fits = make([]fit, lefts*rights)
		for i, yes := range relation {
			if yes {
				m.fits[i] = fullFit
			}
		}
		have := rapid.SliceOfN(rapid.IntRange(0, 2), lefts, lefts).Draw(rt, "plugs")
		want := rapid.SliceOfN(rapid.IntRange(0, 2), rights, rights).Draw(rt, "sockets")
		copy(m.have, have)
		filled := 0
		for right, n := range want {
			got := m.fill(right, n, anyPrice)
			filled += got
			// What was filled before stays filled.
			total := 0
			for left := range lefts {
				total += m.flow[left*rights+right]
			}
			if total != got {
				rt.Fatalf("sockets %d say %d are filled and hold %d plugs", right, got, total)
			}
		}
		if most := mostFilled(relation, rights, have, want); filled != most {
			rt.Fatalf("filled %d sockets, %d can be", filled, most)
		}
		for left := range lefts {
			if m.free(left) < 0 {
				rt.Fatalf("more plugs of kind %d are used than there are", left)
			}
		}
	})
}

// mostFilled tries each plug in each socket.
func mostFilled(relation []bool, rights int, have, want []int) int {
	for right := range want {
		if want[right] == 0 {
			continue
		}
		want[right]--
		best := mostFilled(relation, rights, have, want)
		for left := range have {
			if have[left] > 0 && relation[left*rights+right] {
				have[left]--
				best = max(best, 1+mostFilled(relation, rights, have, want))
				have[left]++
			}
		}
		want[right]++
		return best
	}
	return 0
}
