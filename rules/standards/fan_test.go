package standards

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// 4-wire PWM controlled fans specification, section 2.1.3.
func TestTachRPM(t *testing.T) {
	if got, err := TachRPM(60); err != nil || got != 1800 {
		t.Errorf("60 Hz are %v rpm, %v; want 1800", got, err)
	}
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		if got, err := TachRPM(bad); err == nil {
			t.Errorf("%v Hz are %v rpm", bad, got)
		}
	}
}

// Hole pitch times the root of two.
func TestFanDiagonals(t *testing.T) {
	for nominal, want := range map[int]float64{80: 101.12, 92: 116.67, 120: 148.49, 140: 176.07} {
		f, err := FanSizeByNominal(nominal)
		if err != nil || !near(f.DiagonalMM(), want, 0.005) {
			t.Errorf("%d mm: %v, %v; want %v", nominal, f.DiagonalMM(), err, want)
		}
	}
	want := "a fan size of 130 mm is not in the tables; nearest: [120 140] mm; give one of them, or the fan's own hole pitch"
	if _, err := FanSizeByNominal(130); err == nil || err.Error() != want {
		t.Errorf("error is %v, want %s", err, want)
	}
}

// 4-wire PWM controlled fans specification, section 2.1.4.
func TestPWMAccepted(t *testing.T) {
	for hz, want := range map[float64]bool{20000: false, 21000: true, 25000: true, 28000: true, 28001: false, math.NaN(): false} {
		if got := PWMAccepted(hz); got != want {
			t.Errorf("%v Hz accepted = %v", hz, got)
		}
	}
}

func TestFanSizesAreSane(t *testing.T) {
	for _, f := range FanSizes() {
		if f.PitchMM >= float64(f.NominalMM) || !slices.IsSorted(f.ThicknessesMM) || f.ThicknessSource.Firm() {
			t.Errorf("row %+v", f)
		}
		if f.Source.Firm() && len(f.OtherPitchesMM) > 0 {
			t.Errorf("%d mm is firm although drawings disagree", f.NominalMM)
		}
	}
}

func TestFanHeaderDefault(t *testing.T) {
	if h := FanHeaders()[0]; !h.Default || h.Ampere != 1.0 || h.Source.Firm() {
		t.Errorf("the first header is %+v, want the default of 1 A from memory", h)
	}
}

func TestRadiatorFans(t *testing.T) {
	for nominal, want := range map[int][2]int{
		80: {80, 1}, 92: {92, 1}, 120: {120, 1}, 140: {140, 1}, 240: {120, 2}, 280: {140, 2},
		360: {120, 3}, 420: {140, 3}, 480: {120, 4}, 560: {140, 4},
	} {
		size, count, err := RadiatorFans(nominal)
		if err != nil || [2]int{size, count} != want {
			t.Errorf("%d mm: %d x %d, %v; want %v", nominal, count, size, err, want)
		}
	}
	want := "a radiator size of 250 mm is not in the tables; nearest: [240 280] mm; give one of them, or the radiator's own fans"
	if _, _, err := RadiatorFans(250); err == nil || err.Error() != want {
		t.Errorf("error is %v, want %s", err, want)
	}
}

// Holes along the row with fans abutting, by arithmetic from the fan pitch.
func TestRadiatorHoles(t *testing.T) {
	for _, tt := range []struct {
		nominal int
		spacing float64
		x       []float64
	}{
		{360, 0, []float64{0, 105, 120, 225, 240, 345}},
		{420, 0, []float64{0, 124.5, 140, 264.5, 280, 404.5}},
		{240, 5, []float64{0, 105, 125, 230}}, // holes 20 mm apart between fans
	} {
		holes, err := RadiatorHoles(tt.nominal, tt.spacing)
		if err != nil {
			t.Fatal(err)
		}
		var x []float64
		for _, h := range holes {
			if !slices.Contains(x, h.XMM) {
				x = append(x, h.XMM)
			}
		}
		if !slices.Equal(x, tt.x) || len(holes) != 2*len(tt.x) {
			t.Errorf("%d mm: holes at %v, want %v", tt.nominal, x, tt.x)
		}
	}
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := RadiatorHoles(240, bad); err == nil {
			t.Errorf("a spacing of %v is taken", bad)
		}
	}
	if _, err := RadiatorHoles(121, 0); err == nil {
		t.Error("a radiator of 121 mm has holes")
	}
}

// A radiator's name is its fan size times its fan count.
func TestRadiatorNamesAreProducts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom(radiatorSizes).Draw(t, "radiator")
		size, count, err := RadiatorFans(r.NominalMM)
		if err != nil || size*count != r.NominalMM {
			t.Fatalf("%d mm is %d x %d, %v", r.NominalMM, count, size, err)
		}
		fan, err := FanSizeByNominal(size)
		holes, errHoles := RadiatorHoles(r.NominalMM, 0)
		if err := errors.Join(err, errHoles); err != nil || len(holes) != 4*count {
			t.Fatalf("%d mm has %d holes, %v", r.NominalMM, len(holes), err)
		}
		if last := holes[len(holes)-1]; !near(last.XMM, float64((count-1)*size)+fan.PitchMM, 1e-9) {
			t.Fatalf("last hole is at %v", last)
		}
	})
}

// A slim radiator and a usual fan make a stack of 52 mm, 2 mm over a room
// of 50 mm.
func TestRadiatorStack(t *testing.T) {
	fan, err := FanSizeByNominal(120)
	if err != nil || !slices.Contains(fan.ThicknessesMM, 25) {
		t.Fatalf("a fan of 25 mm is not usual: %+v, %v", fan, err)
	}
	if over := RadiatorSlimLow.Value + 25 - 50; over != 2 {
		t.Errorf("the stack is %v mm over, want 2", over)
	}
}
