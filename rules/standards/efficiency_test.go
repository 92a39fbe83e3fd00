package standards

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Points of the 80 PLUS programme's tables, and values between them by hand.
func TestEfficiencyAt(t *testing.T) {
	tests := []struct {
		mark        string
		volts, load float64
		want        float64
		clamped     bool
	}{
		{"gold", 115, 0.2, 0.87, false},
		{"gold", 115, 0.5, 0.90, false},
		{"gold", 115, 1, 0.87, false},
		{"gold", 115, 0.35, 0.885, false},
		{"gold", 115, 0.75, 0.885, false},
		{"gold", 230, 1, 0.89, false},
		{"gold", 115, 0.1, 0.87, true},
		{"gold", 115, 1.1, 0.87, true},
		{"titanium", 115, 0.1, 0.90, false},
		{"titanium", 115, 0.15, 0.91, false},
		{"titanium", 230, 1, 0.94, false},
		{"basic", 100, 0.5, 0.80, false},
	}
	for _, tt := range tests {
		got, err := EfficiencyAt(tt.mark, tt.volts, tt.load)
		if err != nil || !near(got.Share, tt.want, 1e-12) || got.Clamped != tt.clamped {
			t.Errorf("%s at %v V and %v: %+v, %v; want %v, %v", tt.mark, tt.volts, tt.load, got, err, tt.want, tt.clamped)
		}
		if got.Source.Firm() != (tt.volts < 136) {
			t.Errorf("%s at %v V rests on %v", tt.mark, tt.volts, got.Source)
		}
	}
}

func TestEfficiencyRefuses(t *testing.T) {
	for _, bad := range []struct {
		mark        string
		volts, load float64
	}{{"golden ticket", 115, 0.5}, {"gold", 150, 0.5}, {"gold", 115, -0.1}, {"gold", 115, math.NaN()}, {"gold", math.NaN(), 0.5}, {"gold", 115, math.Inf(1)}} {
		if e, err := EfficiencyAt(bad.mark, bad.volts, bad.load); err == nil {
			t.Errorf("%+v gives %+v", bad, e)
		}
	}
}

// Between two tested loads the efficiency lies between their values, and it is
// continuous: close loads have close efficiencies.
func TestEfficiencyLiesBetweenItsNeighbours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(efficiencyMarks).Draw(t, "mark")
		load := rapid.Float64Range(0, 2).Draw(t, "load")
		got := m.at(load)
		low, high := m.Points[0].Efficiency, m.Points[0].Efficiency
		for i, p := range m.Points {
			if p.LoadShare <= load {
				low, high = p.Efficiency, p.Efficiency
				if i+1 < len(m.Points) {
					low, high = min(p.Efficiency, m.Points[i+1].Efficiency), max(p.Efficiency, m.Points[i+1].Efficiency)
				}
			}
		}
		if got.Share < low-1e-12 || got.Share > high+1e-12 {
			t.Fatalf("%v at %v is %v, outside %v to %v", m.Mark, load, got.Share, low, high)
		}
		if next := m.at(min(2, load+1e-6)); math.Abs(next.Share-got.Share) > 1e-5 {
			t.Fatalf("jump from %v to %v at %v", got.Share, next.Share, load)
		}
	})
}

// A higher mark never promises less, in either column.
func TestMarksAreOrdered(t *testing.T) {
	order := []string{"basic", "bronze", "silver", "gold", "platinum", "titanium"}
	rapid.Check(t, func(t *rapid.T) {
		load := rapid.Float64Range(0.2, 1).Draw(t, "load")
		volts := rapid.SampledFrom([]float64{115, 230}).Draw(t, "volts")
		i := rapid.IntRange(1, len(order)-1).Draw(t, "mark")
		lower, errA := EfficiencyAt(order[i-1], volts, load)
		higher, errB := EfficiencyAt(order[i], volts, load)
		if errA != nil || errB != nil || higher.Share < lower.Share-1e-12 {
			t.Fatalf("%s promises %v and %s %v (%v, %v)", order[i-1], lower.Share, order[i], higher.Share, errA, errB)
		}
	})
}
