package climate

import "testing"

// The least noise is that of a search over a grid of speeds, and meets the limits.
func TestQuietestAgainstAGrid(t *testing.T) {
	q := machine(t, "archive-editor")
	draw(&q, "processor", 200)
	draw(&q, "card", 260)
	p, s := solved(t, q)
	const margin = 5
	set, ok := p.Quietest(Places{}, margin)
	if !ok || !set.Reachable {
		t.Fatalf("no setting was found: %+v", set)
	}
	limits := func(speeds []float64) bool {
		if err := p.Solve(Places{}, speeds, s); err != nil {
			t.Fatal(err)
		}
		for i := range p.chips {
			if s.ChipRiseK[i] > *p.chips[i].limitC-margin-p.Room.TemperatureC+0.01 {
				return false
			}
		}
		return true
	}
	if !limits(set.RPM) {
		t.Error("the speeds that were found miss a limit")
	}
	var n Noise
	p.Sounds(set.RPM, 0, &n)
	found := n.Machine.Nominal
	best := 1e9
	shares := []float64{0.25, 0.4, 0.55, 0.7, 0.85, 1}
	var steered []int
	for i, s := range set.Steered {
		if s {
			steered = append(steered, i)
		}
	}
	speeds := append([]float64(nil), set.RPM...)
	var walk func(k int)
	walk = func(k int) {
		if k == len(steered) {
			p.Sounds(speeds, 0, &n)
			if n.Machine.Nominal < best && limits(speeds) {
				best = n.Machine.Nominal
			}
			return
		}
		m := &p.motors[steered[k]]
		for _, share := range shares {
			speeds[steered[k]] = max(share*m.maxRPM, m.minRPM)
			walk(k + 1)
		}
	}
	walk(0)
	if found > best+0.1 {
		t.Errorf("the search finds %.2f dB(A), a coarse grid %.2f", found, best)
	}
	if found < best-6 {
		t.Errorf("the search finds %.2f dB(A), far below the grid's %.2f: does it keep the limits?", found, best)
	}
}
