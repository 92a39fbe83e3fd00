package fastening

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"slipfit.example/rules/geometry"
)

func pattern(t testing.TB, of func() ([]Hole, error)) []Hole {
	t.Helper()
	holes, err := of()
	if err != nil {
		t.Fatal(err)
	}
	return holes
}

func board(t testing.TB, form string) []Hole {
	return pattern(t, func() ([]Hole, error) { return BoardPattern(form) })
}

// Distances of board holes: C-F 159.13, C-J 220.92, F-H 205.54 mm (microATX
// specification 1.2, figure 2, by inch coordinates of two drawings).
func TestBoardHolesLieWhereTheStandardPutsThem(t *testing.T) {
	at := map[string]geometry.Vec{}
	for _, h := range board(t, "mini-itx") {
		at[h.ID] = h.At
	}
	for pair, want := range map[string]float64{"CF": 159.13, "CJ": 220.92, "FH": 205.54} {
		if got := at[pair[:1]].Dist(at[pair[1:]]); math.Abs(got-want) > 0.01 {
			t.Errorf("%s is %.3f mm, want %.2f", pair, got, want)
		}
	}
}

// A Mini-ITX board on a tray for ATX: four of four holes meet, the five others of
// the tray lie outside of the board (microATX specification 1.2, figure 2).
func TestSmallBoardOnALargeTray(t *testing.T) {
	m, err := MatchPatterns(board(t, "mini-itx"), board(t, "atx"), 0.5)
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Pairs) != 4 || len(m.Lone) != 0 || len(m.Spare) != 5 {
		t.Errorf("%d meet, %d alone, %d spare; want 4, 0, 5", len(m.Pairs), len(m.Lone), len(m.Spare))
	}
}

// Diagonals of fan holes: 148.49 mm for 120, 176.07 mm for 140 mm frames (fan
// drawings, pitches 105 and 124.5 mm).
func TestFanHoles(t *testing.T) {
	for size, want := range map[int]float64{80: 101.12, 92: 116.67, 120: 148.49, 140: 176.07} {
		h := pattern(t, func() ([]Hole, error) { return FanPattern(size, 0) })
		if got := h[0].At.Dist(h[3].At); math.Abs(got-want) > 0.01 {
			t.Errorf("%d mm: %.2f, want %.2f", size, got, want)
		}
	}
	if _, err := FanPattern(120, 130); err == nil || err.Error() != "holes 130 mm apart do not lie on a frame of 120 mm; mend the hole pitch" {
		t.Error(err)
	}
	if _, err := FanPattern(121, 0); err == nil {
		t.Error("a frame of 121 mm has no pattern")
	}
}

// Two fans of 140 mm lie on a radiator of 280 mm hole on hole.
func TestRadiatorHolesAreThoseOfItsFans(t *testing.T) {
	radiator := pattern(t, func() ([]Hole, error) { return RadiatorPattern(280) })
	var fans []Hole
	for i := range 2 {
		fan := pattern(t, func() ([]Hole, error) { return FanPattern(140, 0) })
		pose, err := geometry.NewPose(geometry.Rotation{}, geometry.Vec{140 * float64(i), 0, 0})
		if err != nil {
			t.Fatal(err)
		}
		fans = append(fans, Place(pose, fan)...)
	}
	m, err := MatchPatterns(fans, radiator, 0.1)
	if err != nil || len(m.Pairs) != 8 {
		t.Errorf("%d of 8 meet, %v", len(m.Pairs), err)
	}
}

// SFX: four corner holes 113 mm apart across, 51.5 mm upwards (power supply
// drawings, three agreeing).
func TestSupplyHoles(t *testing.T) {
	h := pattern(t, func() ([]Hole, error) { return SupplyPattern("sfx") })
	if got := h[0].At.Dist(h[2].At); math.Abs(got-113) > 1e-9 {
		t.Errorf("%g mm across", got)
	}
	if got := h[0].At.Dist(h[1].At); math.Abs(got-51.5) > 1e-9 {
		t.Errorf("%g mm upwards", got)
	}
	for _, form := range []string{"tfx", "pond-1"} {
		if _, err := SupplyPattern(form); err == nil {
			t.Errorf("%s has holes", form)
		}
	}
}

func TestDuplicateHolesAreNamed(t *testing.T) {
	holes := append(board(t, "mini-itx"), Hole{At: geometry.Vec{163.83, 10.2, 1.57}, From: geometry.MaxZ})
	var twice *DuplicateError
	if _, err := MatchPatterns(holes, nil, 1); !errors.As(err, &twice) || twice.First != 0 || twice.Second != 4 {
		t.Errorf("%v", err)
	}
	if got := twice.Error(); got != "holes 1 and 5 of the pattern lie at one place (163.83, 10.2, 1.57) mm; take one of them out or mend its place" {
		t.Error(got)
	}
	if err := CheckPattern([]Hole{{At: geometry.Vec{math.NaN(), 0, 0}}}); err == nil {
		t.Error("a hole that is nowhere passed")
	}
	for _, bad := range []float64{-1, 51, math.NaN()} {
		if _, err := MatchPatterns(nil, nil, bad); err == nil {
			t.Errorf("tolerance %g passed", bad)
		}
	}
}

func TestHolesOffThePanel(t *testing.T) {
	panel, err := geometry.NewBoxAt(geometry.Vec{}, geometry.Vec{170, 170, 1.57})
	if err != nil {
		t.Fatal(err)
	}
	holes := append(board(t, "mini-itx"), Hole{At: geometry.Vec{171, 20, 0}, From: geometry.MaxZ})
	if off := Outside(holes, panel); len(off) != 1 || off[0] != 4 {
		t.Errorf("off the panel: %v", off)
	}
}

// Wherever a part is put with its mount, and however both are turned, the same
// holes meet.
func TestMatchGoesWithThePose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.Float64Range(-500, 500)
		pose, err := geometry.NewPose(geometry.Rotations()[rapid.IntRange(0, 23).Draw(t, "turn")],
			geometry.Vec{coordinate.Draw(t, "x"), coordinate.Draw(t, "y"), coordinate.Draw(t, "z")})
		if err != nil {
			t.Fatal(err)
		}
		part, mount := boardOf("mini-itx"), boardOf("micro-atx")
		shift := rapid.Float64Range(0, 1).Draw(t, "shift")
		for i := range part {
			part[i].At[0] += shift
		}
		before, err := MatchPatterns(part, mount, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		after, err := MatchPatterns(Place(pose, part), Place(pose, mount), 0.5)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(shift-0.5) > 1e-6 && len(before.Pairs) != len(after.Pairs) {
			t.Fatalf("%d pairs before, %d after %v", len(before.Pairs), len(after.Pairs), pose)
		}
	})
}

func boardOf(form string) []Hole {
	h, err := BoardPattern(form)
	if err != nil {
		panic(err)
	}
	return h
}

// AM5: 54 by 90 mm (from memory).
func TestSocketHoles(t *testing.T) {
	h := pattern(t, func() ([]Hole, error) { return SocketPattern("am5") })
	if got := h[0].At.Sub(h[3].At); math.Abs(got[0]) != 54 || math.Abs(got[1]) != 90 {
		t.Errorf("%v", got)
	}
	for _, s := range []string{"sp5", "pond-1"} {
		if _, err := SocketPattern(s); err == nil {
			t.Errorf("%s has holes", s)
		}
	}
}
