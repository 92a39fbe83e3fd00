package mating

import (
	"math"
	"testing"
)

// Rates after line coding (PCI Express base specification, rate and coding by
// generation; generation 6 less the 242/256 of its flits).
func TestLinkRates(t *testing.T) {
	for _, row := range []struct {
		name string
		link link
		want float64
	}{
		{"generation 1 x1, 2.5 GT/s with 8b/10b", link{1, 1}, 2.5 * 8 / 10 / 8},
		{"generation 2 x16, 5 GT/s with 8b/10b", link{2, 16}, 8.000},
		{"generation 3 x1, 8 GT/s with 128b/130b", link{3, 1}, 0.9846},
		{"generation 3 x16", link{3, 16}, 15.754},
		{"generation 4 x4", link{4, 4}, 7.877},
		{"generation 5 x4, about 15.75 GB/s before protocol overhead", link{5, 4}, 15.754},
		{"generation 5 x16", link{5, 16}, 63.015},
		{"generation 6 x4", link{6, 4}, 30.250},
		{"generation 4 x4 in a slot of generation 3 x16", link{4, 4}.through(link{3, 16}), 3.938},
		{"three lanes: there is no such link", link{4, 3}, 0},
		{"generation 0", link{0, 4}, 0},
		{"a generation beyond the tables", link{7, 4}, 0},
		{"no lanes", link{4, 0}, 0},
		{"more lanes than there are", link{4, 99}, 0},
		{"less than nothing", link{-1, -4}, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			if got := row.link.rate(); math.Abs(got-row.want) > 0.0006 {
				t.Errorf("rate is %g GB/s, want %g", got, row.want)
			}
		})
	}
	// 6 Gb/s with 8b/10b (Serial ATA revision 3).
	if math.Abs(sataRate-0.6) > 1e-9 {
		t.Errorf("SATA carries %g GB/s, want 0.6", sataRate)
	}
}
