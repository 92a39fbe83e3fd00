package climate

import (
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// extentAt is a box of a size in all directions.
func extentAt(x, y, z, size float64) *v1.Extent {
	return &v1.Extent{Corner: &v1.Point{XMm: &x, YMm: &y, ZMm: &z}, SizeXMm: &size, SizeYMm: &size, SizeZMm: &size}
}

// drawnChassis is an enclosure of one chamber with places for a board and for a fan.
func drawnChassis() *v1.Chassis {
	rear := v1.Axis_AXIS_X_MINUS
	thin := extentAt(-2, 0, 0, 300)
	thin.SizeXMm = proto.Float64(2)
	grille := extentAt(-2, 100, 100, 100)
	grille.SizeXMm = proto.Float64(2)
	return &v1.Chassis{
		Compartments: []*v1.Compartment{{Id: proto.String("main"), Extent: extentAt(0, 0, 0, 300)}},
		Panels: []*v1.Panel{{Id: proto.String("rear"), Extent: thin, Faces: &rear,
			Openings: []*v1.Opening{{Extent: grille, Covering: proto.String("perforated")}}}},
		Layouts: []*v1.Layout{{Id: proto.String("plain"), Mounts: []*v1.Mount{
			{Id: proto.String("board"), Kind: v1.MountKind_MOUNT_KIND_BOARD.Enum(), Poses: []*v1.Pose{{}},
				Travels: []*v1.Travel{{Along: v1.Axis_AXIS_Z_PLUS.Enum(), OffsetsMm: []float64{0, 20}}}},
			{Id: proto.String("fans"), Kind: v1.MountKind_MOUNT_KIND_FAN.Enum(), Poses: []*v1.Pose{{}}, Panel: proto.String("rear"), Excludes: []string{"board"}},
		}}},
	}
}

// An enclosure whose drawing contradicts itself is not arranged in boxes.
func TestWellDrawn(t *testing.T) {
	if !wellDrawn(drawnChassis()) {
		t.Error("a good drawing is none")
	}
	for name, spoil := range map[string]func(c *v1.Chassis, board, fans *v1.Mount){
		"no chamber":             func(c *v1.Chassis, _, _ *v1.Mount) { c.Compartments = nil },
		"a chamber for cables":   func(c *v1.Chassis, _, _ *v1.Mount) { c.Compartments[0].CableChannel = proto.Bool(true) },
		"a chamber of no size":   func(c *v1.Chassis, _, _ *v1.Mount) { c.Compartments[0].Extent.SizeXMm = nil },
		"a panel of no size":     func(c *v1.Chassis, _, _ *v1.Mount) { c.Panels[0].Extent.SizeXMm = nil },
		"an obstruction of none": func(c *v1.Chassis, _, _ *v1.Mount) { c.Obstructions = []*v1.Obstruction{{}} },
		"no layout":              func(c *v1.Chassis, _, _ *v1.Mount) { c.Layouts = nil },
		"no place for a board":   func(_ *v1.Chassis, board, _ *v1.Mount) { board.Poses = nil },
		"a mount far outside":    func(_ *v1.Chassis, _, fans *v1.Mount) { fans.Poses[0].Origin = &v1.Point{XMm: proto.Float64(1500)} },
		"a pose at no angle": func(_ *v1.Chassis, _, fans *v1.Mount) {
			fans.Poses[0].XPoints, fans.Poses[0].ZPoints = v1.Axis_AXIS_X_PLUS.Enum(), v1.Axis_AXIS_X_MINUS.Enum()
		},
		"a space of no size":  func(_ *v1.Chassis, _, fans *v1.Mount) { fans.Space = &v1.Extent{} },
		"a panel of no name":  func(_ *v1.Chassis, _, fans *v1.Mount) { fans.Panel = proto.String("front") },
		"a mount of no name":  func(_ *v1.Chassis, _, fans *v1.Mount) { fans.Excludes = []string{"drive"} },
		"a travel to nowhere": func(_ *v1.Chassis, board, _ *v1.Mount) { board.Travels[0].Along = nil },
		"a travel too far":    func(_ *v1.Chassis, board, _ *v1.Mount) { board.Travels[0].OffsetsMm[0] = 1200 },
	} {
		c := drawnChassis()
		spoil(c, c.Layouts[0].Mounts[0], c.Layouts[0].Mounts[1])
		if wellDrawn(c) {
			t.Errorf("%s: it counts as a good drawing", name)
		}
	}
}

// A covering counts only where a fan has it before it wherever it may sit.
func TestCoveringWhereverAFanSits(t *testing.T) {
	for name, row := range map[string]struct {
		from, to, length, hole0, hole1 float64
		want                           bool
	}{
		"the place is the fan's own":       {0, 120, 120, 10, 110, true},
		"a hole beside it":                 {0, 120, 120, 120, 200, false},
		"a long place, a hole as long":     {0, 280, 120, 0, 280, true},
		"a long place, a hole at its end":  {0, 280, 120, 200, 280, false},
		"a long place, a hole in between":  {0, 280, 120, 110, 170, true},
		"a short hole at a long place":     {0, 280, 120, 125, 155, false},
		"the fan is larger than its place": {0, 100, 120, 90, 120, true},
	} {
		if got := alwaysMeets(row.from, row.to, row.length, row.hole0, row.hole1); got != row.want {
			t.Errorf("%s: %v, want %v", name, got, row.want)
		}
	}
}
