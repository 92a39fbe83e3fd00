package geometry

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func box(t testing.TB, min, max Vec) Box {
	t.Helper()
	b, err := NewBox(min, max)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func dev(t testing.TB, lower, upper float64) Deviation {
	t.Helper()
	d, err := Limits(lower, upper)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// drawBox draws a box with whole coordinates, so that faces often meet.
func drawBox(t *rapid.T, name string) Box {
	var lo, size Vec
	for k := range lo {
		lo[k] = float64(rapid.IntRange(-20, 20).Draw(t, name))
		size[k] = float64(rapid.IntRange(1, 15).Draw(t, name))
	}
	b, err := NewBoxAt(lo, size)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func drawPose(t *rapid.T, name string) Pose {
	at := Vec{}
	for k := range at {
		at[k] = float64(rapid.IntRange(-50, 50).Draw(t, name))
	}
	p, err := NewPose(Rotations()[rapid.IntRange(0, 23).Draw(t, name)], at)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func drawPiece(t *rapid.T, name string) Piece {
	p := Piece{Box: drawBox(t, name)}
	for f := range p.Deviations {
		if rapid.Bool().Draw(t, name) {
			continue
		}
		d, err := NewDeviation(-float64(rapid.IntRange(0, 3).Draw(t, name)), float64(rapid.IntRange(0, 3).Draw(t, name)), float64(rapid.IntRange(0, 2).Draw(t, name)))
		if err != nil {
			t.Fatal(err)
		}
		p.Deviations[f] = d
	}
	return p
}

func TestRotationsAreTheGroupOfTwentyFour(t *testing.T) {
	all := Rotations()
	seen := map[string]bool{}
	for _, a := range all {
		seen[a.String()] = true
		if back, err := ParseRotation(a.String()); err != nil || back != a {
			t.Errorf("%v reads back as %v, %v", a, back, err)
		}
		if a.After(a.Inverse()) != (Rotation{}) || a.Inverse().After(a) != (Rotation{}) {
			t.Errorf("%v and its inverse do not cancel", a)
		}
		x, y, z := a.Vec(Vec{1, 0, 0}), a.Vec(Vec{0, 1, 0}), a.Vec(Vec{0, 0, 1})
		cross := Vec{x[1]*y[2] - x[2]*y[1], x[2]*y[0] - x[0]*y[2], x[0]*y[1] - x[1]*y[0]}
		if cross != z {
			t.Errorf("%v is a reflection: X x Y = %v, Z = %v", a, cross, z)
		}
		for _, b := range all {
			v := Vec{1, 2, 3}
			if a.After(b).Vec(v) != a.Vec(b.Vec(v)) {
				t.Errorf("%v after %v does not turn as the two in turn", a, b)
			}
		}
	}
	if len(seen) != 24 {
		t.Errorf("%d different rotations, want 24", len(seen))
	}
	if got := Turn(Z, 1).Vec(Vec{1, 0, 0}); got != (Vec{0, 1, 0}) {
		t.Errorf("a quarter turn about Z takes X to %v, want Y", got)
	}
	if Turn(X, 5) != Turn(X, 1) || Turn(Y, -1) != Turn(Y, 3) || Turn(Z, 4) != (Rotation{}) {
		t.Error("quarter turns do not wrap round")
	}
}

func TestPosesComposeAndInvertExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q, b := drawPose(t, "p"), drawPose(t, "q"), drawBox(t, "b")
		if got, want := p.After(q).Box(b), p.Box(q.Box(b)); got != want {
			t.Fatalf("composed %v, in turn %v", got, want)
		}
		if got := p.Inverse().Box(p.Box(b)); got != b {
			t.Fatalf("%v comes back as %v", b, got)
		}
		if p.Box(b).Volume() != b.Volume() {
			t.Fatalf("placing changes the volume")
		}
	})
}

func TestSeparationNamesFacesAndAxis(t *testing.T) {
	card := box(t, Vec{0, 0, 0}, Vec{300, 40, 120})
	fan := box(t, Vec{303, 0, 0}, Vec{328, 120, 120})
	want := Separation{3, X, MaxX, MinX}
	if got := Separate(card, fan); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
	deep := box(t, Vec{290, -50, -10}, Vec{315, 170, 130})
	if got := Separate(deep, card); got != (Separation{-10, X, MinX, MaxX}) {
		t.Errorf("got %+v, want a penetration of 10 mm along X", got)
	}
	diagonal := box(t, Vec{303, 44, 0}, Vec{310, 50, 10})
	if got := Distance(card, diagonal); got != 5 {
		t.Errorf("3 and 4 mm apart diagonally: %v mm, want 5 (Pythagoras)", got)
	}
	if got := Separate(card, diagonal); got != (Separation{4, Y, MaxY, MinY}) {
		t.Errorf("got %+v, want 4 mm along Y", got)
	}
}

// The ranges of a gap are held against every combination of faces at their limits.
func TestWorstCaseRangeIsAttained(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawPiece(t, "a"), drawPiece(t, "b")
		low, high := math.Inf(1), math.Inf(-1)
		for m := range 1 << 12 {
			va, vb := a.Box, b.Box
			atLimit(&va, &a, m)
			atLimit(&vb, &b, m>>6)
			// A face can pass its opposite in this sample; the formula is monotone there too.
			d := SignedDistance(&va, &vb)
			low, high = math.Min(low, d), math.Max(high, d)
		}
		g := Between(&a, &b)
		if g.Worst.Low != low || g.Worst.High != high {
			t.Fatalf("worst case %+v, all combinations give %v..%v", g.Worst, low, high)
		}
		if g.RSS.Low < low || g.RSS.High > high || g.RSS.Low > g.RSS.High {
			t.Fatalf("root-sum-square range %+v leaves the worst case %+v", g.RSS, g.Worst)
		}
		if g.Separation != Separate(a.Box, b.Box) {
			t.Fatalf("nominal %+v, want %+v", g.Separation, Separate(a.Box, b.Box))
		}
		h := Between(&b, &a)
		if h.Distance != g.Distance || h.Worst != g.Worst || h.RSS != g.RSS {
			t.Fatalf("the gap is not symmetric: %+v and %+v", g, h)
		}
	})
}

// atLimit moves every face of a piece's box to one of its limits, chosen by a bit each.
func atLimit(b *Box, p *Piece, bits int) {
	for f := MinX; f < NoFace; f++ {
		d := p.Deviations[f].lower
		if bits>>f&1 == 1 {
			d = p.Deviations[f].upper
		}
		if f.Upper() {
			b.max[f.Axis()] += d
		} else {
			b.min[f.Axis()] -= d
		}
	}
}

// Two faces of +-0.3 mm and +-0.4 mm: worst case 0.7 mm, root sum square 0.5 mm (3, 4, 5).
func TestRootSumSquareOfTwoFaces(t *testing.T) {
	a := Piece{Box: box(t, Vec{0, 0, 0}, Vec{10, 10, 10})}
	b := Piece{Box: box(t, Vec{12, 0, 0}, Vec{20, 10, 10})}
	a.Deviations[MaxX], b.Deviations[MinX] = dev(t, -0.3, 0.3), dev(t, -0.4, 0.4)
	g := Between(&a, &b)
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"nominal", g.At(Nominal), 2}, {"worst low", g.At(WorstCase), 1.3}, {"worst high", g.Worst.High, 2.7},
		{"statistical low", g.At(RootSumSquare), 1.5}, {"statistical high", g.RSS.High, 2.5},
	} {
		if math.Abs(c.got-c.want) > 1e-12 {
			t.Errorf("%s: %v mm, want %v mm", c.what, c.got, c.want)
		}
	}
}

func TestDeviationsTurnWithTheirFaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, a, b := drawPose(t, "pose"), drawPiece(t, "a"), drawPiece(t, "b")
		pa, pb := p.Piece(a), p.Piece(b)
		g, h := Between(&a, &b), Between(&pa, &pb)
		if g.Distance != h.Distance || g.Worst != h.Worst || math.Abs(g.RSS.Low-h.RSS.Low) > 1e-9 {
			t.Fatalf("the gap changes with the pose: %+v, %+v", g, h)
		}
	})
}

func TestShiftLoosensBothEnds(t *testing.T) {
	s := Solid{"board", []Piece{{Box: box(t, Vec{0, 0, 0}, Vec{10, 10, 10})}}}.Shifted(MaxX, dev(t, -1, 2))
	got := s.Pieces[0].Deviations
	if got[MaxX].Upper() != 2 || got[MaxX].Lower() != -1 || got[MinX].Upper() != 1 || got[MinX].Lower() != -2 || got[MinY] != (Deviation{}) {
		t.Errorf("deviations %+v", got)
	}
}

func TestSetsTakeTheSmallestGapOfExcludingPurposes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := make([]Piece, rapid.IntRange(0, 4).Draw(t, "na")), make([]Piece, rapid.IntRange(0, 4).Draw(t, "nb"))
		for _, s := range [][]Piece{a, b} {
			for i := range s {
				s[i] = drawPiece(t, "piece")
				s[i].Purpose = Purpose(rapid.IntRange(0, 3).Draw(t, "purpose"))
			}
		}
		want, low, any := math.Inf(1), math.Inf(1), false
		for i := range a {
			for j := range b {
				if a[i].Purpose.Excludes(b[j].Purpose) {
					any = true
					g := Between(&a[i], &b[j])
					want, low = math.Min(want, g.Distance), math.Min(low, g.Worst.Low)
				}
			}
		}
		g, ok := BetweenSets(a, b)
		if ok != any || (ok && (g.Distance != want || g.Worst.Low != low || Between(&a[g.A], &b[g.B]).Separation != g.Separation)) {
			t.Fatalf("got %+v %v, want %v, low %v, %v", g, ok, want, low, any)
		}
	})
}

func TestVolumesAddUp(t *testing.T) {
	var w Workspace
	rapid.Check(t, func(t *rapid.T) {
		region := drawBox(t, "region")
		boxes := make([]Box, rapid.IntRange(0, 8).Draw(t, "n"))
		for i := range boxes {
			boxes[i] = drawBox(t, "box")
		}
		free := FreeBoxes(nil, region, boxes)
		sum := 0.0
		for i, f := range free {
			sum += f.Volume()
			if !region.ContainsBox(f) {
				t.Fatalf("free box %v leaves the region", f)
			}
			for _, b := range boxes {
				if f.Overlaps(b) {
					t.Fatalf("free box %v overlaps the obstacle %v", f, b)
				}
			}
			for _, g := range free[:i] {
				if f.Overlaps(g) {
					t.Fatalf("free boxes %v and %v overlap", f, g)
				}
			}
		}
		if got := w.FreeVolume(region, boxes); got != sum {
			t.Fatalf("free volume %v mm3, the free boxes hold %v mm3", got, sum)
		}
		// The section summed over unit slices is the volume, as all faces lie on whole millimetres.
		sections := 0.0
		for x := region.Min()[0] + 0.5; x < region.Max()[0]; x++ {
			sections += w.FreeArea(region, X, x, boxes)
		}
		if sections != sum {
			t.Fatalf("sections add up to %v mm3, want %v mm3", sections, sum)
		}
	})
}

func TestTravelStopsAtTheFirstContact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBox(t, "b")
		obstacles := make([]Box, rapid.IntRange(0, 6).Draw(t, "n"))
		for i := range obstacles {
			obstacles[i] = drawBox(t, "obstacle")
		}
		along := Face(rapid.IntRange(0, 5).Draw(t, "along"))
		const limit = 30
		free, hit, err := Travel(b, along, limit, obstacles)
		if err != nil {
			t.Fatal(err)
		}
		clear := func(d float64) bool {
			s, err := Sweep(b, along, d)
			if err != nil {
				t.Fatal(err)
			}
			for _, o := range obstacles {
				if s.Overlaps(o) {
					return false
				}
			}
			return true
		}
		if (hit < 0) != clear(limit) || (free > 0 && !clear(free)) || (free < limit && clear(free+0.5)) {
			t.Fatalf("free %v mm, hit %d", free, hit)
		}
	})
}

func TestInsertionNamesWhatIsInTheWay(t *testing.T) {
	card := []Piece{{Box: box(t, Vec{0, 0, 0}, Vec{300, 40, 120}), Name: "board"}, {Box: box(t, Vec{0, 0, 120}, Vec{50, 40, 130}), Purpose: PurposePlug}}
	rail := []Piece{
		{Box: box(t, Vec{0, 42, 0}, Vec{300, 60, 400}), Name: "rail"},
		{Box: box(t, Vec{280, 10, 200}, Vec{330, 30, 210}), Name: "lip"},
	}
	in, err := Insert(card, MaxZ, 300, rail)
	if err != nil {
		t.Fatal(err)
	}
	if in.Clear || in.Free != 80 || in.Piece != 0 || in.Obstacle != 1 || in.To != 1 || in.Beside.Distance >= 0 {
		t.Errorf("got %+v, want a stop at the lip after 80 mm", in)
	}
	in, err = Insert(card, MaxZ, 300, rail[:1])
	if err != nil {
		t.Fatal(err)
	}
	if !in.Clear || in.Free != 300 || in.Obstacle != -1 || in.Beside.Distance != 2 || in.Beside.FaceA != MaxY {
		t.Errorf("got %+v, want a clear way 2 mm beside the rail", in)
	}
}

func TestBadInputIsRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		what string
		err  func() error
		want string
	}{
		{"flat box", func() error { _, err := NewBox(Vec{0, 0, 0}, Vec{1, 0, 1}); return err }, "along Y is 0 mm, give a size above zero"},
		{"negative box", func() error { _, err := NewBox(Vec{0, 0, 0}, Vec{-1, 1, 1}); return err }, "along X is -1 mm"},
		{"NaN box", func() error { _, err := NewBox(Vec{0, 0, nan}, Vec{1, 1, 1}); return err }, "Z coordinate is NaN mm"},
		{"infinite box", func() error { _, err := NewBox(Vec{0, 0, 0}, Vec{inf, 1, 1}); return err }, "X coordinate is +Inf mm"},
		{"NaN size", func() error { _, err := NewBoxAt(Vec{}, Vec{1, nan, 1}); return err }, "Y coordinate is NaN mm"},
		{"NaN pose", func() error { _, err := NewPose(Rotation{}, Vec{nan, 0, 0}); return err }, "a pose cannot be made"},
		{"far pose", func() error { _, err := NewPose(Rotation{}, Vec{0, 2e6, 0}); return err }, "Y coordinate is 2e+06 mm"},
		{"parallel axes", func() error { _, err := NewRotation(MaxX, MinX); return err }, "give two perpendicular directions"},
		{"no axis", func() error { _, err := NewRotation(NoFace, MinX); return err }, "give two perpendicular directions"},
		{"left-handed", func() error { _, err := ParseRotation("+X +Y -Z"); return err }, "is no rotation"},
		{"positive lower limit", func() error { _, err := NewDeviation(1, 2, 0); return err }, "give a lower limit of at most 0"},
		{"NaN limit", func() error { _, err := Limits(nan, 0); return err }, "cannot deviate"},
		{"inflated by NaN", func() error { _, err := box(t, Vec{}, Vec{1, 1, 1}).Inflated(nan); return err }, "NaN"},
		{"deflated to nothing", func() error { _, err := box(t, Vec{}, Vec{1, 1, 1}).Inflated(-1); return err }, "give a size above zero"},
		{"sweep nowhere", func() error { _, err := Sweep(Box{}, NoFace, 1); return err }, "name one of the six faces"},
		{"sweep back", func() error { _, err := Sweep(Box{}, MaxX, -1); return err }, "give a distance from 0"},
		{"NaN travel", func() error { _, _, err := Travel(Box{}, MaxX, nan, nil); return err }, "a travel of NaN mm"},
		{"NaN insertion", func() error { _, err := Insert(nil, MaxX, nan, nil); return err }, "a travel of NaN mm"},
	} {
		if err := c.err(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.what, err, c.want)
		}
	}
}

func TestHotCallsDoNotAllocate(t *testing.T) {
	solids := enclosure(t)
	gaps := make([]SolidGap, 0, len(solids)*len(solids))
	boxes := make([]Box, len(solids))
	for i := range solids {
		boxes[i] = solids[i].Pieces[0].Box
	}
	region := box(t, Vec{0, 0, 0}, Vec{400, 400, 400})
	var w Workspace
	w.FreeVolume(region, boxes)
	free := make([]Box, 0, 4096)
	for what, call := range map[string]func(){
		"gaps":        func() { gaps = Gaps(gaps[:0], solids) },
		"free volume": func() { w.FreeVolume(region, boxes) },
		"free area":   func() { w.FreeArea(region, X, 200, boxes) },
		"free boxes":  func() { free = FreeBoxes(free[:0], region, boxes[:10]) },
		"travel":      func() { _, _, _ = Travel(boxes[0], MaxX, 100, boxes[1:]) },
		"insertion":   func() { _, _ = Insert(solids[0].Pieces, MaxX, 100, solids[1].Pieces) },
	} {
		if n := testing.AllocsPerRun(20, call); n != 0 {
			t.Errorf("%s: %v allocations", what, n)
		}
	}
}

// enclosure returns 40 parts of one box each with tolerances on every face, in a grid with slits between them.
func enclosure(t testing.TB) []Solid {
	t.Helper()
	tight := dev(t, -0.5, 0.5)
	solids := make([]Solid, 40)
	for i := range solids {
		at := Vec{float64(i%4) * 90, float64(i/4%4) * 60, float64(i/16) * 50}
		p := Piece{Box: box(t, at, at.Add(Vec{85, 57, 45}))}
		for f := range p.Deviations {
			p.Deviations[f] = tight
		}
		solids[i].Pieces = []Piece{p}
	}
	return solids
}

func BenchmarkGapsOfForty(b *testing.B) {
	solids := enclosure(b)
	gaps := make([]SolidGap, 0, len(solids)*len(solids))
	b.ReportAllocs()
	for b.Loop() {
		gaps = Gaps(gaps[:0], solids)
	}
	b.ReportMetric(float64(len(gaps)), "pairs")
}

func BenchmarkNominalOfForty(b *testing.B) {
	solids := enclosure(b)
	sum := 0.0
	for b.Loop() {
		for i := range solids {
			for j := i + 1; j < len(solids); j++ {
				sum += SignedDistance(&solids[i].Pieces[0].Box, &solids[j].Pieces[0].Box)
			}
		}
	}
	if sum == 0 {
		b.Fatal("nothing was measured")
	}
}

func BenchmarkUnionVolumeOfHundred(b *testing.B) {
	var boxes []Box
	for i := range 100 {
		at := Vec{float64(i * 37 % 350), float64(i * 53 % 300), float64(i * 71 % 400)}
		boxes = append(boxes, box(b, at, at.Add(Vec{60, 50, 40})))
	}
	var w Workspace
	b.ReportAllocs()
	for b.Loop() {
		w.UnionVolume(boxes)
	}
}
