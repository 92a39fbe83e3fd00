package climate

import "testing"

// What parts leave free in a plane, against counting the cells of a grid.
func TestFreeAreaAgainstAGrid(t *testing.T) {
	face := rect{0, 100, 0, 60}
	for _, covers := range [][]rect{
		nil,
		{{10, 30, 10, 30}},
		{{10, 30, 10, 30}, {20, 40, 20, 50}},
		{{-50, 50, -50, 20}, {40, 200, 10, 40}, {45, 55, 0, 60}, {10, 30, 10, 30}},
		{{0, 100, 0, 60}},
		{{-10, 110, 5, 10}, {-10, 110, 7, 20}, {50, 51, -5, 70}},
	} {
		var a areas
		for _, c := range covers {
			a.cover(c)
		}
		free := 0
		for u := range 1000 {
			for v := range 600 {
				x, y := float64(u)/10+0.05, float64(v)/10+0.05
				covered := false
				for _, c := range covers {
					covered = covered || c.u0 < x && x < c.u1 && c.v0 < y && y < c.v1
				}
				if !covered {
					free++
				}
			}
		}
		if got, want := a.free(face), float64(free)/100; got < want-0.5 || got > want+0.5 {
			t.Errorf("%v leave %.2f mm2 free, the grid counts %.2f", covers, got, want)
		}
		if len(a.covers) != 0 {
			t.Error("the covers of one face stay for the next")
		}
	}
}
