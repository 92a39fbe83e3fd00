package clearance

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
)

// generated is an enclosure made up at random with a build for it.
type generated struct {
	chassis *v1.Part
	items   []seatedItem
	room    [3]int64 // inner size in um
}

func um(mm float64) int64 { return int64(math.Round(mm * 1000)) }

// drawEnclosure makes a small enclosure of one chamber: a board on the left wall
// with up to three offsets, a supply behind the front with up to two poses, a row of
// fans at the bottom and another at the top or the rear, and a bay, somewhere near
// where they belong. Some mounts exclude each other, some ask for an accessory.
func drawEnclosure(t testing.TB, r *rand.Rand) generated {
	t.Helper()
	tenths := func(low, high int) float64 { return float64(low*10+r.IntN((high-low)*10+1)) / 10 }
	x, y, z := tenths(260, 330), tenths(130, 190), tenths(205, 275)
	extent := func(size ...float64) *v1.Extent {
		zero := 0.0
		return &v1.Extent{Corner: &v1.Point{XMm: &zero, YMm: &zero, ZMm: &zero}, SizeXMm: &size[0], SizeYMm: &size[1], SizeZMm: &size[2]}
	}
	pose := func(px, py, pz float64, xp, zp v1.Axis) *v1.Pose {
		return &v1.Pose{Origin: &v1.Point{XMm: &px, YMm: &py, ZMm: &pz}, XPoints: &xp, ZPoints: &zp}
	}
	var mounts []*v1.Mount
	mount := func(id string, kind v1.MountKind, poses ...*v1.Pose) *v1.Mount {
		m := &v1.Mount{Id: &id, Kind: &kind, Poses: poses}
		if r.IntN(4) == 0 {
			m.Needs = []string{[]string{"bracket", "rail"}[r.IntN(2)]}
		}
		if len(mounts) > 1 && r.IntN(5) == 0 {
			m.Excludes = []string{mounts[1+r.IntN(len(mounts)-1)].GetId()}
		}
		mounts = append(mounts, m)
		return m
	}
	const xPlus, xMinus, yPlus, yMinus, zPlus, zMinus = v1.Axis_AXIS_X_PLUS, v1.Axis_AXIS_X_MINUS, v1.Axis_AXIS_Y_PLUS, v1.Axis_AXIS_Y_MINUS, v1.Axis_AXIS_Z_PLUS, v1.Axis_AXIS_Z_MINUS
	board := mount("board", v1.MountKind_MOUNT_KIND_BOARD, pose(tenths(2, 4), y-tenths(8, 12), z-tenths(4, 8), zMinus, yMinus))
	down := zMinus
	board.Travels = []*v1.Travel{{Along: &down, OffsetsMm: []float64{0, 20.32, 40.64}[:1+r.IntN(3)]}}
	side := tenths(2, max(3, int(y)-128))
	supply := mount("supply", v1.MountKind_MOUNT_KIND_SUPPLY, pose(x-2, side, z-2, yPlus, xMinus), pose(x-65.5, side+125, z-2, yMinus, xPlus))
	supply.Poses = supply.Poses[:1+r.IntN(2)]
	fans := func(m *v1.Mount) {
		count := uint32(1 + r.IntN(2))
		m.Count, m.SizesMm = &count, []uint32{80, 92}
	}
	fans(mount("bottom", v1.MountKind_MOUNT_KIND_FAN, pose(tenths(10, 70), tenths(8, int(y)-95), 0, xPlus, zPlus)))
	if r.IntN(2) == 0 {
		fans(mount("top", v1.MountKind_MOUNT_KIND_FAN, pose(tenths(10, 70), tenths(94, int(y)-2), z, xPlus, zMinus)))
	} else {
		fans(mount("rear", v1.MountKind_MOUNT_KIND_FAN, pose(0, tenths(4, int(y)-95), tenths(90, int(z)-95), yPlus, xPlus)))
	}
	mount("bay", v1.MountKind_MOUNT_KIND_DRIVE, pose(tenths(100, int(x)-105), tenths(4, int(y)-75), tenths(0, 60), xPlus, zPlus))
	mount("slots", v1.MountKind_MOUNT_KIND_CARD)
	layout, kit, price := "only", "bracket", 12.5
	currency, rail := "EUR", "rail"
	part := &v1.Part{
		Kit: &v1.Kit{Pieces: []*v1.KitPiece{{Provides: &kit}}},
		Kind: &v1.Part_Chassis{Chassis: &v1.Chassis{
			Compartments: []*v1.Compartment{{Id: &layout, Extent: extent(x, y, z)}},
			Layouts:      []*v1.Layout{{Id: &layout, Mounts: mounts}},
			Accessories:  []*v1.AccessoryOffer{{Provides: &rail, Price: &v1.Price{Amount: &price, Currency: &currency}}},
		}},
	}
	d := generated{chassis: part, room: [3]int64{um(x), um(y), um(z)}}
	for i, role := range [][]string{
		{"boards.yaml#aue-b1-itx", "boards.yaml#klamm-b8-itx"},
		{"coolers.yaml#flachland-47", "coolers.yaml#flachland-67", "coolers.yaml#warte-118", ""},
		{"cards.yaml#gischt-220", "cards.yaml#kiesel-50", ""},
		{"supplies.yaml#leiselauf-600", "supplies.yaml#leiselauf-600", ""},
		{"fans.yaml#wren-92-slim", "fans.yaml#wren-80-slim", "fans.yaml#wren-80"},
		{"drives.yaml#schiefer-25-8000", ""},
	} {
		if name := role[r.IntN(len(role))]; name != "" {
			id, count := fmt.Sprintf("item-%d", i), 1
			if strings.HasPrefix(name, "fans") {
				count += r.IntN(3)
			}
			d.items = append(d.items, seatedItem{id: id, name: id, count: count, part: demoPart(t, name)})
		}
	}
	return d
}

// drawProblem draws an enclosure and a build whose arrangements the solver can list
// in no time.
func drawProblem(t testing.TB, r *rand.Rand) (generated, *scene, *arrange.Problem) {
	for {
		d := drawEnclosure(t, r)
		e := readEnclosure(d.chassis)
		if len(e.flaws) > 0 || len(e.layouts[0].flaws) > 0 {
			t.Fatalf("a generated enclosure has flaws: %v %v", e.flaws, e.layouts[0].flaws)
		}
		s := newScene(e, &e.layouts[0], d.items, nil, usual)
		p := s.build()
		space := 1
		for i := range p.Variables {
			space *= len(p.Variables[i].Options)
		}
		if len(p.Variables) > 0 && space <= 2000 {
			return d, s, p
		}
	}
}
