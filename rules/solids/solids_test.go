package solids

import (
	"errors"
	"math"
	"slices"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/standards"
)

func mm(v float64) *float64 { return &v }

func word(s string) *string { return &s }

func size(v uint32) *uint32 { return &v }

func point(x, y, z float64) *v1.Point { return &v1.Point{XMm: &x, YMm: &y, ZMm: &z} }

// box finds a piece by its name.
func box(t *testing.T, s geometry.Solid, name string) geometry.Piece {
	t.Helper()
	for _, p := range s.Pieces {
		if p.Name == name {
			return p
		}
	}
	t.Fatalf("no box is called %s", name)
	return geometry.Piece{}
}

func near(t *testing.T, what string, got, want geometry.Vec) {
	t.Helper()
	for k := range got {
		if math.Abs(got[k]-want[k]) > 1e-9 {
			t.Errorf("%s: %v, want %v", what, got, want)
			return
		}
	}
}

func boardOf(form string) *v1.Part {
	return &v1.Part{Kind: &v1.Part_Board{Board: &v1.Board{FormFactor: &form}}}
}

func supplyOf(form string, length *float64) *v1.Part {
	return &v1.Part{Kind: &v1.Part_Supply{Supply: &v1.Supply{FormFactor: &form, LengthMm: length}}}
}

// Envelopes of the form factors.
func TestEnvelopesOfTheStandards(t *testing.T) {
	var s Settings
	for _, c := range []struct {
		source, piece string
		part          *v1.Part
		build         func(*v1.Part) (geometry.Solid, error)
		want          geometry.Vec
	}{
		{"Mini-ITX addendum 1.1 to the microATX specification, table 1", "circuit-board", boardOf("mini-itx"), s.Board, geometry.Vec{170, 170, 1.57}},
		{"microATX specification 1.2, figure 2: 9.6 in square", "circuit-board", boardOf("micro-atx"), s.Board, geometry.Vec{243.84, 243.84, 1.57}},
		{"drawings of ATX boards: 12 x 9.6 in", "circuit-board", boardOf("atx"), s.Board, geometry.Vec{304.8, 243.84, 1.57}},
		{"design guide for desktop supplies, SFX12V envelope", "body", supplyOf("sfx", nil), s.Supply, geometry.Vec{125, 100, 63.5}},
		{"drawing of SFX-L supplies", "body", supplyOf("sfx-l", nil), s.Supply, geometry.Vec{125, 130, 63.5}},
		{"design guide for desktop supplies, ATX12V (PS/2) envelope, as deep as its maker says", "body", supplyOf("atx-ps2", mm(160)), s.Supply, geometry.Vec{150, 160, 86}},
		{"design guide for desktop supplies, TFX12V envelope", "body", supplyOf("tfx", nil), s.Supply, geometry.Vec{85, 175, 65}},
		{"SFF-8201, outline of 2.5-inch drives (from memory)", "body", &v1.Part{Kind: &v1.Part_Drive{Drive: &v1.Drive{FormFactor: word("2.5-inch"), HeightMm: mm(7)}}}, s.Drive, geometry.Vec{100.45, 69.85, 7}},
		{"SFF-8301, outline of 3.5-inch drives (from memory)", "body", &v1.Part{Kind: &v1.Part_Drive{Drive: &v1.Drive{FormFactor: word("3.5-inch"), HeightMm: mm(26.1)}}}, s.Drive, geometry.Vec{147, 101.6, 26.1}},
		{"frame size of fans as the trade names it (common practice, no source)", "frame", &v1.Part{Kind: &v1.Part_Fan{Fan: &v1.Fan{SizeMm: size(120), ThicknessMm: mm(25)}}}, s.Fan, geometry.Vec{120, 120, 25}},
	} {
		t.Run(c.source, func(t *testing.T) {
			got, err := c.build(c.part)
			if err != nil {
				t.Fatal(err)
			}
			b := box(t, got, c.piece).Box
			near(t, "size", b.Size(), c.want)
			near(t, "corner", b.Min(), geometry.Vec{})
		})
	}
}

// The rear connectors stay within the rear aperture of 158.75 x 44.45 mm, whose
// lower edge lies 2.24 mm under the board, and reach 1.14 mm past its edge, short
// of the wall at 2.11 mm (microATX specification 1.2, figures 4 and 5).
func TestRearConnectorsLieInTheAperture(t *testing.T) {
	var s Settings
	got, err := s.Board(boardOf("mini-itx"))
	if err != nil {
		t.Fatal(err)
	}
	b := box(t, got, "rear-connectors").Box
	if b.Size()[0] > 158.75 || b.Max()[2] > 44.45-2.24 || b.Min()[1] != -1.14 || b.Min()[1] < -2.11 || b.Min()[0] < -2.44 || b.Max()[0] > 156.31 {
		t.Errorf("the rear connectors fill %v", b)
	}
}

// Slots: the first one's centreline 162.26 mm from the board's corner, each next
// one 20.32 mm on (two drawings of ATX boards); a card's back lies 2.67 mm above
// the centreline (card electromechanical specification, from memory), its bracket
// at the rear wall 2.11 mm behind the board.
func TestCardsStandWhereSlotsAre(t *testing.T) {
	for position, x := range map[int]float64{1: 159.59, 2: 179.91, 4: 220.55} {
		pose, err := SlotFrame(position)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "slot", pose.Origin(), geometry.Vec{x, -2.11, 1.57 + CardSeatMM})
	}
	if _, err := SlotFrame(9); err == nil {
		t.Error("a board has a ninth slot")
	}
}

// A module of 31.25 mm (JEDEC MO-329) sits 3 mm above the board and is 133.35 mm
// long, beside the socket by the distance that the board states.
func TestMemoryStandsBesideTheSocket(t *testing.T) {
	board := boardOf("mini-itx")
	board.GetBoard().SocketCentre = point(68, 78, 9.2)
	board.GetBoard().Memory = &v1.MemorySockets{Sockets: size(2), DistanceMm: mm(50)}
	memory := &v1.Part{Kind: &v1.Part_Memory{Memory: &v1.Memory{Kind: word("ddr5"), Module: word("udimm"), HeightMm: mm(31.25)}}}
	s := Settings{ToleranceMM: 0.5}
	got, err := s.Memory(board, memory)
	if err != nil {
		t.Fatal(err)
	}
	b := box(t, got, "modules")
	near(t, "lower corner", b.Box.Min(), geometry.Vec{68 - 133.35/2, 78 + 50 - memoryModuleMM/2, 1.57})
	if top := b.Box.Max()[2]; math.Abs(top-(1.57+3+31.25)) > 1e-9 || b.Deviations[geometry.MaxZ].Upper() != 0.5 {
		t.Errorf("the modules end at %v mm, off by %v", top, b.Deviations[geometry.MaxZ].Upper())
	}
	memory.GetMemory().Module = word("sodimm")
	if flat, err := s.Memory(board, memory); err != nil || len(flat.Pieces) != 0 {
		t.Errorf("modules that lie flat have boxes: %v, %v", flat.Pieces, err)
	}
}

func TestCardKeepsRoomForItsPlug(t *testing.T) {
	card := &v1.Part{Kind: &v1.Part_Card{Card: &v1.Card{LengthMm: mm(300), HeightMm: mm(120), ThicknessMm: mm(50)}}}
	socket := &v1.PowerSocket{Connector: word("12v-2x6")}
	card.GetCard().PowerSockets = []*v1.PowerSocket{socket}
	var s Settings
	got, err := s.Card(card)
	if err != nil {
		t.Fatal(err)
	}
	// 25 mm of plug, and the straight 35 mm that makers of 12V-2x6 plugs ask for.
	plug := box(t, got, "plug-1").Box
	bend := box(t, got, "bend-1").Box
	if plug.Min()[2] != 120 || plug.Max()[2] != 145 || math.Abs(plug.Center()[1]-225) > 1e-9 || bend.Min()[2] != 145 || bend.Max()[2] != 180 {
		t.Errorf("the plug in the upper edge fills %v, its cable %v", plug, bend)
	}
	end := v1.Axis_AXIS_Y_PLUS
	socket.At, socket.Faces = point(18, 300, 85), &end
	s.Plug = func(string) (Plug, bool) { return Plug{26, 20}, true }
	if got, err = s.Card(card); err != nil {
		t.Fatal(err)
	}
	if plug = box(t, got, "plug-1").Box; plug.Min()[1] != 300 || plug.Max()[1] != 326 || box(t, got, "bend-1").Box.Max()[1] != 346 {
		t.Errorf("the plug in the end fills %v", plug)
	}
	card.GetCard().ThicknessMm, card.GetCard().Slots = nil, size(3)
	if got, err = s.Card(card); err != nil {
		t.Fatal(err)
	}
	width, err := standards.CardWidthBySlots(3)
	if thick := box(t, got, "body").Box.Size()[0]; err != nil || thick != width.OpeningMM {
		t.Errorf("a card of three slots is %v mm thick, want %v (%v)", thick, width.OpeningMM, err)
	}
}

func TestCoolerStandsOnAFootOverTheMemory(t *testing.T) {
	c := &v1.AirCooler{HeightMm: mm(158), WidthMm: mm(140), DepthMm: mm(135), MemoryClearanceMm: mm(40)}
	part := &v1.Part{Kind: &v1.Part_AirCooler{AirCooler: c}}
	part.Figures = []*v1.Figure{{Fields: []string{"air_cooler.height_mm"}, Minus: mm(0.3), Plus: mm(0.2)}}
	s := Settings{ToleranceMM: 0.5}
	got, err := s.Cooler(part, 7.63, false)
	if err != nil {
		t.Fatal(err)
	}
	fins := box(t, got, "fins")
	near(t, "fins from", fins.Box.Min(), geometry.Vec{-70, -67.5, 40 - 7.63})
	near(t, "fins to", fins.Box.Max(), geometry.Vec{70, 67.5, 158})
	if d := fins.Deviations[geometry.MaxZ]; d.Lower() != -0.3 || d.Upper() != 0.2 {
		t.Errorf("the top may lie between %v and %v mm", d.Lower(), d.Upper())
	}
	if d := fins.Deviations[geometry.MinX]; d.Upper() != 0.25 {
		t.Errorf("half the width's tolerance is %v mm", d.Upper())
	}
	turned, err := s.Cooler(part, 7.63, true)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "turned", box(t, turned, "fins").Box.Max(), geometry.Vec{67.5, 70, 158})
	if c.HeightMm = nil; true {
		_, err = s.Cooler(part, 7.63, false)
	}
	var missing *MissingError
	if !errors.As(err, &missing) || !slices.Equal(missing.Fields, []string{"air_cooler.height_mm"}) {
		t.Errorf("without a height: %v", err)
	}
}

func TestSupplyKeepsRoomForItsPlugs(t *testing.T) {
	p := supplyOf("sfx", mm(100))
	var s Settings
	got, err := s.Supply(p)
	if err != nil {
		t.Fatal(err)
	}
	if strip := box(t, got, "cables"); strip.Box.Max()[1] != 130 || strip.Purpose != geometry.PurposePlug {
		t.Errorf("captive cables keep %v free", strip.Box)
	}
	p.GetSupply().Outlets = []*v1.SupplyOutlet{{Socket: word("main"), At: point(30, 100, 14)}}
	p.GetSupply().Cables = []*v1.Cable{{From: word("main"), PlugMm: mm(28)}, {From: word("main"), PlugMm: mm(24)}}
	if got, err = s.Supply(p); err != nil {
		t.Fatal(err)
	}
	if plug := box(t, got, "plug-1").Box; plug.Min()[1] != 100 || plug.Max()[1] != 128 {
		t.Errorf("the longest plug fills %v", plug)
	}
}

func TestRadiatorStacksWithItsFans(t *testing.T) {
	r := &v1.Radiator{NominalMm: size(240), LengthMm: mm(276), WidthMm: mm(121), ThicknessMm: mm(28), FittingMm: mm(40)}
	part := &v1.Part{Kind: &v1.Part_Radiator{Radiator: r}}
	row := []Row{{Fans: 2, SizeMM: 120, ThicknessMM: 25}}
	var s Settings
	inside, err := s.Radiator(part, row, Stack{})
	if err != nil {
		t.Fatal(err)
	}
	outside, err := s.Radiator(part, row, Stack{FansOutside: true, FittingsFirst: true})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "core on the plate", box(t, inside, "core").Box.Max(), geometry.Vec{276, 121, 28})
	near(t, "fans behind it", box(t, inside, "fans-1").Box.Min(), geometry.Vec{18, 0.5, 28})
	near(t, "fans on the plate", box(t, outside, "fans-1").Box.Max(), geometry.Vec{258, 120.5, 25})
	near(t, "core behind them", box(t, outside, "core").Box.Min(), geometry.Vec{0, 0, 25})
	if far, first := box(t, inside, "fittings").Box, box(t, outside, "fittings").Box; far.Max()[0] != 316 || first.Min()[0] != -40 {
		t.Errorf("fittings fill %v and %v", far, first)
	}
	// Where a radiator says nothing, its fittings take 40 mm (from memory).
	r.FittingMm = nil
	if plain, err := s.Radiator(part, nil, Stack{}); err != nil || box(t, plain, "fittings").Box.Size()[0] != 40 || len(plain.Pieces) != 2 {
		t.Errorf("a bare radiator: %v, %v", plain.Pieces, err)
	}
}

// A module 2280 is 22 mm wide and 80 mm long (PCI Express M.2 specification).
func TestDriveOnTheBackHangsUnderTheBoard(t *testing.T) {
	drive := &v1.Part{Kind: &v1.Part_Drive{Drive: &v1.Drive{FormFactor: word("m2"), M2Size: word("2280"), HeightMm: mm(3.5)}}}
	var s Settings
	got, err := s.BackDrive(boardOf("mini-itx"), drive)
	if err != nil {
		t.Fatal(err)
	}
	b := box(t, got, "module").Box
	near(t, "size", b.Size(), geometry.Vec{22, 80, 3.5})
	if b.Max()[2] != 0 {
		t.Errorf("the drive's top is at %v mm", b.Max()[2])
	}
	drive.GetDrive().M2Size = word("22x80")
	if _, err := s.BackDrive(boardOf("mini-itx"), drive); err == nil {
		t.Error("a size that is no size code has a box")
	}
}

func TestOwnBoxesReplaceThoseFromFigures(t *testing.T) {
	part := &v1.Part{Kind: &v1.Part_Fan{Fan: &v1.Fan{}}}
	part.Bodies = []*v1.Body{{Id: word("ring"), Extent: &v1.Extent{SizeXMm: mm(100), SizeYMm: mm(90), SizeZMm: mm(20)}}}
	var s Settings
	got, err := s.Fan(part)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "own box", box(t, got, "ring").Box.Size(), geometry.Vec{100, 90, 20})
	for _, bad := range []float64{0, -5, math.NaN(), math.Inf(1)} {
		part.Bodies[0].Extent.SizeZMm = mm(bad)
		if _, err := s.Fan(part); err == nil {
			t.Errorf("a box of %v mm was taken", bad)
		}
	}
}

// Every pose that the contract can write becomes the rotation whose Y is Z x X,
// here by the cross product, and comes back as it was written.
func TestPosesCompleteTheRightHand(t *testing.T) {
	axes := []v1.Axis{v1.Axis_AXIS_X_PLUS, v1.Axis_AXIS_X_MINUS, v1.Axis_AXIS_Y_PLUS, v1.Axis_AXIS_Y_MINUS, v1.Axis_AXIS_Z_PLUS, v1.Axis_AXIS_Z_MINUS}
	good := 0
	for _, x := range axes {
		for _, z := range axes {
			pose, err := PoseOf(&v1.Pose{Origin: point(1, 2, 3), XPoints: &x, ZPoints: &z})
			a, b := FaceOf(x), FaceOf(z)
			if (a.Axis() == b.Axis()) != (err != nil) {
				t.Errorf("x %v, z %v: %v", x, z, err)
			}
			if err != nil {
				continue
			}
			good++
			u, w := b.Normal(), a.Normal()
			cross := geometry.Vec{u[1]*w[2] - u[2]*w[1], u[2]*w[0] - u[0]*w[2], u[0]*w[1] - u[1]*w[0]}
			if got := pose.Rotation().Face(geometry.MaxY).Normal(); got != cross {
				t.Errorf("x %v, z %v: y points %v, want %v", x, z, got, cross)
			}
			if back := PoseMessage(pose); back.GetXPoints() != x || back.GetZPoints() != z || back.GetOrigin().GetYMm() != 2 {
				t.Errorf("x %v, z %v came back as %v", x, z, back)
			}
		}
	}
	if good != 24 {
		t.Errorf("%d poses are at right angles, want 24", good)
	}
}

func TestPurposesAndExtentsComeBack(t *testing.T) {
	for _, p := range []geometry.Purpose{geometry.PurposeSolid, geometry.PurposePlug, geometry.PurposeAccess, geometry.PurposeBreath} {
		if got := PurposeOf(PurposeMessage(p)); got != p {
			t.Errorf("%v came back as %v", p, got)
		}
	}
	b, err := BoxOf(&v1.Extent{Corner: point(-1, 2, 3), SizeXMm: mm(4), SizeYMm: mm(5), SizeZMm: mm(6)})
	if err != nil {
		t.Fatal(err)
	}
	if again, err := BoxOf(ExtentMessage(b)); err != nil || again != b {
		t.Errorf("%v came back as %v (%v)", b, again, err)
	}
}
