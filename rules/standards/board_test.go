package standards

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// near reports whether two numbers differ by no more than a tolerance.
func near(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

func mustBoard(t *testing.T, token string) Board {
	t.Helper()
	b, err := BoardByToken(token)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Distances by arithmetic on the hole drawings of the ATX family.
func TestHoleDistances(t *testing.T) {
	b := mustBoard(t, BoardMiniITX)
	for _, tt := range []struct {
		from, to string
		want     float64
	}{{"C", "F", 159.13}, {"C", "J", 220.92}, {"F", "H", 205.54}} {
		p, okP := b.HoleByLetter(tt.from)
		q, okQ := b.HoleByLetter(tt.to)
		if got := p.At.Distance(q.At); !okP || !okQ || !near(got, tt.want, 0.01) {
			t.Errorf("holes %s and %s are %.3f mm apart, want %.2f", tt.from, tt.to, got, tt.want)
		}
	}
	if _, found := b.HoleByLetter("K"); found {
		t.Error("a Mini-ITX board has hole K")
	}
}

// Coordinates in millimetres as the metric drawings of the ATX family print them.
func TestHoleCoordinates(t *testing.T) {
	want := map[string]Point{
		"A": {288.29, 10.16}, "B": {209.55, 10.16}, "C": {163.83, 10.16}, "F": {6.35, 33.02},
		"G": {288.29, 165.10}, "H": {163.83, 165.10}, "J": {6.35, 165.10}, "K": {288.29, 237.49},
		"L": {163.83, 237.49}, "M": {6.35, 237.49}, "R": {229.87, 165.10}, "S": {209.55, 165.10},
	}
	seen := map[string]bool{}
	for _, token := range []string{BoardATX, BoardMicroATX} {
		for _, h := range mustBoard(t, token).Holes {
			seen[h.Letter] = true
			if p, ok := want[h.Letter]; !ok || !near(h.At.Distance(p), 0, 0.005) {
				t.Errorf("hole %s is at %v, want %v", h.Letter, h.At, p)
			}
		}
	}
	if len(seen) != len(want) {
		t.Errorf("%d holes checked, want %d", len(seen), len(want))
	}
}

// MicroATX specification 1.2, section 2.2, and Mini-ITX addendum 1.1, table 1.
func TestMiniITXOnATXTray(t *testing.T) {
	m, err := TrayTakes(BoardATX, BoardMiniITX)
	if err != nil {
		t.Fatal(err)
	}
	if !m.Takes || !m.Determined || len(m.Unsupported) != 0 || len(m.Stray) != 0 {
		t.Errorf("a Mini-ITX board on an ATX tray: %+v", m)
	}
	if !m.Source.Firm() {
		t.Errorf("the answer rests on %v", m.Source)
	}
	want := "a tray for ATX has standoffs for holes C, F, H, J of a Mini-ITX board"
	if m.Reason != want {
		t.Errorf("reason is %q, want %q", m.Reason, want)
	}
	var atx []Point
	for _, h := range mustBoard(t, BoardATX).Holes {
		atx = append(atx, h.At)
	}
	s, err := MatchStandoffs(BoardMiniITX, atx)
	if err != nil || len(s.Supported) != 4 || len(s.Outside) != 5 {
		t.Errorf("standoffs: %+v, %v; want 4 supported, 5 outside", s, err)
	}
}

// MicroATX specification 1.2, section 2.2, on stray standoffs.
func TestStrayStandoff(t *testing.T) {
	s, err := MatchStandoffs(BoardMicroATX, []Point{{288.29, 165.10}, {120, 100}})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(s.Outside, []Point{{288.29, 165.10}}) {
		t.Errorf("outside the board: %v, want hole G", s.Outside)
	}
	if !slices.Equal(s.Stray, []Point{{120, 100}}) || !s.Source.Firm() {
		t.Errorf("stray: %v by %v, want (120, 100)", s.Stray, s.Source)
	}
	for _, h := range s.Unsupported {
		if h.Letter == "S" {
			t.Error("hole S is optional on microATX and counts as unsupported")
		}
	}
	if len(s.Unsupported) != 8 {
		t.Errorf("%d holes unsupported, want 8", len(s.Unsupported))
	}
}

// ATX family board drawings; the second centreline lies 12.40 mm past the
// edge of the inch drawing and within 0.2 mm of that past the addendum's edge.
func TestDualSlotCardOverMiniITX(t *testing.T) {
	x, err := SlotCentreXMM(2)
	if err != nil {
		t.Fatal(err)
	}
	if got := x - MiniITXDrawnEdge.Value; !near(got, 12.40, 0.005) {
		t.Errorf("second slot is %.3f mm past the drawn edge, want 12.40", got)
	}
	b := mustBoard(t, BoardMiniITX)
	if got := x - b.WidthMM; !near(got, 12.40, outlineToleranceMM) || b.Slots != 1 {
		t.Errorf("second slot is %.3f mm past the edge of a board of %d slots", got, b.Slots)
	}
}

// Centrelines by arithmetic from pitch and first slot.
func TestSlotCentrelines(t *testing.T) {
	for i, want := range []float64{162.26, 182.58, 202.90, 223.22, 243.54, 263.86, 284.18} {
		if got, err := SlotCentreXMM(i + 1); err != nil || !near(got, want, 0.005) {
			t.Errorf("slot %d is at %v, %v; want %v", i+1, got, err, want)
		}
	}
	for _, n := range []int{-1, 0, 8} {
		if _, err := SlotCentreXMM(n); err == nil {
			t.Errorf("slot %d exists", n)
		}
	}
}

func TestTrayTakes(t *testing.T) {
	tests := []struct {
		tray, board       string
		takes, determined bool
		unsupported       string
		firm              bool
	}{
		{BoardMicroATX, BoardMiniITX, true, true, "", true},
		{BoardATX, BoardMicroATX, true, true, "B, R", true},
		{BoardMiniITX, BoardMicroATX, false, true, "", true},
		{BoardMicroATX, BoardATX, false, true, "", true},
		{BoardATX, BoardEATX, false, true, "", false},
		{BoardMiniITX, BoardMiniDTX, false, true, "", false},
		{BoardEATX, BoardATX, true, true, "", false},
		{BoardSSICEB, BoardATX, true, true, "", false},
		{BoardSSIEEB, BoardATX, false, false, "", false},
		{BoardSSIEEB, BoardSSIEEB, true, true, "", false},
		{"house-tray", "house-tray", true, true, "", false},
	}
	for _, tt := range tests {
		m, err := TrayTakes(tt.tray, tt.board)
		if err != nil || m.Takes != tt.takes || m.Determined != tt.determined || letters(m.Unsupported) != tt.unsupported || m.Source.Firm() != tt.firm {
			t.Errorf("%s on %s: %+v, %v", tt.board, tt.tray, m, err)
		}
		if m.Reason == "" {
			t.Errorf("%s on %s: no reason", tt.board, tt.tray)
		}
	}
}

// Figures that are printed in two ways agree: microATX specification 1.2,
// figures 4 and 5, against the hole drawings.
func TestRearWallFiguresAgree(t *testing.T) {
	row := mustBoard(t, BoardATX).Holes[0].At.YMM
	for _, tt := range []struct {
		what      string
		got, want float64
	}{
		{"connector faces past the edge", ConnectorFaceBehindHoles.Value - row, ConnectorFacePastEdge.Value},
		{"aperture under the board", ApertureBelowTop.Value - BoardThickness.Value, ApertureBelowUnderside.Value},
		{"aperture width", ApertureSlotEndX.Value - ApertureFarEndX.Value, ApertureWidth.Value},
		{"rear wall", 12.27 - row, RearWallPastEdge.Value},
		{"pad", 0.4 * millimetresPerInch, MountingPadDiameter.Value},
	} {
		if !near(tt.got, tt.want, 0.011) {
			t.Errorf("%s: %.3f against %.3f mm", tt.what, tt.got, tt.want)
		}
	}
}

func TestHoleSetsLieOnTheirBoards(t *testing.T) {
	for _, b := range Boards() {
		for _, h := range b.Holes {
			if !b.Covers(h.At) {
				t.Errorf("hole %s of %s at %v is off the board", h.Letter, b.Name, h.At)
			}
		}
	}
}

func TestHeightLimits(t *testing.T) {
	for _, tt := range []struct {
		p    Point
		want float64
	}{{Point{80, 10}, 39}, {Point{80, 80}, 57}, {Point{165, 80}, 16}, {Point{80, 160}, 38}, {Point{155, 80}, 16}} {
		if z, ok := HeightLimitAt(BoardMiniITX, tt.p); !ok || z.HeightMM != tt.want {
			t.Errorf("at %v the limit is %v (%v), want %v", tt.p, z.HeightMM, ok, tt.want)
		}
	}
	if z, ok := HeightLimitAt(BoardATX, Point{80, 80}); ok {
		t.Errorf("ATX has a height zone: %v", z)
	}
}

func TestHeightZonesCoverTheBoard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Point{rapid.Float64Range(0, 170).Draw(t, "x"), rapid.Float64Range(0, 170).Draw(t, "y")}
		if _, ok := HeightLimitAt(BoardMiniITX, p); !ok {
			t.Fatalf("no zone at %v", p)
		}
	})
}

// Every standoff of a set is a support, a stray or outside, and no hole is both
// supported and not.
func TestStandoffsArePartitioned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SampledFrom(boards[:7]).Draw(t, "board")
		n := rapid.IntRange(0, 8).Draw(t, "n")
		var standoffs []Point
		for range n {
			standoffs = append(standoffs, Point{rapid.Float64Range(-50, 350).Draw(t, "x"), rapid.Float64Range(-50, 350).Draw(t, "y")})
		}
		for _, h := range b.Holes[:rapid.IntRange(0, len(b.Holes)).Draw(t, "holes")] {
			standoffs = append(standoffs, h.At)
		}
		m, err := MatchStandoffs(b.Token, standoffs)
		if err != nil {
			t.Fatal(err)
		}
		if len(m.Supported)+len(m.Unsupported) > len(b.Holes) || len(m.Stray)+len(m.Outside) > len(standoffs) {
			t.Fatalf("counts do not add up: %+v", m)
		}
		for _, p := range m.Stray {
			if !b.Covers(p) {
				t.Fatalf("stray %v is off the board", p)
			}
		}
	})
}

func TestMatchStandoffsRefuses(t *testing.T) {
	if _, err := MatchStandoffs(BoardSSIEEB, nil); err == nil || err.Error() != `the mounting holes of form factor "ssi-eeb" are not in the tables; give the board's own hole positions` {
		t.Errorf("unknown holes give %v", err)
	}
	if _, err := MatchStandoffs(BoardATX, []Point{{math.NaN(), 0}}); err == nil {
		t.Error("a standoff at NaN is taken")
	}
}
