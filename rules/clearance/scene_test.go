package clearance

import (
	"math"
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
)

// planIn searches the only layout of a build, as the build fixes it.
func planIn(t *testing.T, text string) *plan {
	t.Helper()
	build := kittest.Build(t, text)
	p := makePlan(readEnclosure(chassisOf(build)), 0, seatedOf(build), build.GetArrangement().GetPlacements(), usual)
	if !p.seen {
		t.Fatalf("the layout has no geometry: %v", p.flaws)
	}
	return p
}

// with adds mounts to the reed hut.
func with(mounts, build string) string {
	return strings.Replace(build, "        mounts:\n", "        mounts:\n        - "+mounts+"\n", 1)
}

// boxOf is a thing's piece in the arrangement that was chosen.
func (p *plan) extent(t *testing.T, label, piece string) (low, high [3]float64) {
	t.Helper()
	for i, thing := range p.chosen.things {
		for k := range p.chosen.pieces[i] {
			if b := &p.chosen.pieces[i][k]; thing.label == label && b.Name == piece {
				return b.Box.Min(), b.Box.Max()
			}
		}
	}
	t.Fatalf("there is no %s of %s", piece, label)
	return
}

// A card that can stand in the slot or on a mount of its own is tried in both, and
// goes where more is to spare.
func TestCardStandsInTheSlotOrUpright(t *testing.T) {
	slot := "{id: slots, kind: MOUNT_KIND_CARD}"
	upright := "{id: upright, kind: MOUNT_KIND_CARD, poses: [{origin: {x_mm: 0, y_mm: 100, z_mm: 180}, x_points: AXIS_Y_MINUS}], needs: [riser-x16]}"
	card := "{id: card, part: {name: Bittern, card: {length_mm: 240, height_mm: 100, thickness_mm: 29, slots: 1}}}"
	free := with(slot, with(upright, hutWithSlot(card)))
	p := planIn(t, free)
	if !p.found || p.chosen.seatOf(3-1, 0) == nil || p.scene.shape.mounts[p.chosen.seatOf(2, 0).mount].mount.GetId() != "upright" {
		t.Fatalf("1.4 mm beside the wall were taken before the mount: %+v", p.chosen.seats)
	}
	if len(p.chosen.purchases) != 1 || p.chosen.purchases[0].Resource != "riser-x16" {
		t.Errorf("to buy: %v", p.chosen.purchases)
	}
	p = planIn(t, free+"arrangement: {placements: [{item: card, mount: slots}]}\n")
	if !p.found || len(p.chosen.purchases) != 0 || math.Abs(p.chosen.margin-1.41) > 1e-6 {
		t.Errorf("in the slot: found %v, %v mm to spare, to buy %v", p.found, p.chosen.margin, p.chosen.purchases)
	}
	want := enumerate(problemOf(p.scene.enclosure, 0, p.scene.items))
	if want.feasible != 2 || want.combinations != 2 {
		t.Errorf("%d of %d ways fit, want both of two", want.feasible, want.combinations)
	}
}

func TestCoolerIsTurnedWhereTheBuildSays(t *testing.T) {
	cooler := "{id: cooler, part: {name: Rush, air_cooler: {height_mm: 150, width_mm: 120, depth_mm: 80, tower: true}}}"
	low, high := planIn(t, hut(cooler)).extent(t, "cooler", "fins")
	if math.Abs(high[0]-low[0]-80) > 1e-9 || math.Abs(high[1]-low[1]-120) > 1e-9 {
		t.Errorf("as usual its fins fill %v to %v", low, high)
	}
	low, high = planIn(t, hut(cooler)+"arrangement: {placements: [{item: cooler, faces: AXIS_Y_PLUS}]}\n").extent(t, "cooler", "fins")
	if math.Abs(high[0]-low[0]-120) > 1e-9 || math.Abs(high[1]-low[1]-80) > 1e-9 {
		t.Errorf("turned its fins fill %v to %v", low, high)
	}
}

// A drive too tall for the back, or a second one, goes to the board's face, where
// nothing meets it; one on the back hangs under the board.
func TestDrivesOnTheBackHangUnderTheBoard(t *testing.T) {
	slots := "m2_slots: [{id: back, key: M, sizes: [\"2280\"], height_mm: 4, back: true}, {id: face, key: M, sizes: [\"2280\"]}],"
	build := func(count int, height string) string {
		return strings.Replace(hut("{id: drive, count: "+string(rune('0'+count))+", part: {name: Silt, drive: {form_factor: m2, m2_size: \"2280\", height_mm: "+height+"}}}"),
			"form_factor: mini-itx,", "form_factor: mini-itx, "+slots, 1)
	}
	p := planIn(t, build(2, "3"))
	low, high := p.extent(t, "drive 2", "module")
	if high[2] != 20 || low[2] != 17 {
		t.Errorf("the second drive hangs from %v to %v", high[2], low[2])
	}
	for i := range planIn(t, build(1, "8")).chosen.things {
		if label := p.chosen.things[i].label; label == "drive" {
			t.Error("a drive on the face has a box")
		}
	}
}

// A fan on the outer side lies beyond the panel and meets nothing inside.
func TestFanOnTheOuterSide(t *testing.T) {
	build := strings.Replace(hut(tower("260", ""), lidFan), "count: 2, panel: top,", "count: 2, panel: top, sides: [inner, outer],", 1)
	p := planIn(t, build+"arrangement: {placements: [{item: fan, side: outer, position: 0}]}\n")
	low, high := p.extent(t, "fan", "frame")
	if !p.found || low[2] != 302 || high[2] != 327 {
		t.Errorf("found %v: the fan lies between %v and %v mm", p.found, low[2], high[2])
	}
	if p = planIn(t, build); !p.found || p.chosen.margin < 5 {
		t.Errorf("left free it finds %v mm", p.chosen.margin)
	}
}

func TestAccessoryWithBoxesGoesOnItsMount(t *testing.T) {
	pump := "{id: pump, part: {name: Spring, accessory: {provides: [pump]}, bodies: [{id: body, extent: {size_x_mm: 60, size_y_mm: 60, size_z_mm: 90}}]}}"
	if p := planIn(t, hut(pump)); !p.found || len(p.scene.lacks) != 0 || p.chosen.seatOf(2, 0) != nil {
		t.Errorf("a layout without mounts for accessories says %v about one", p.scene.lacks)
	}
	shelf := "{id: shelf, kind: MOUNT_KIND_ACCESSORY, poses: [{origin: {x_mm: 220, y_mm: 100, z_mm: 0}}]}"
	p := planIn(t, with(shelf, hut(pump)))
	if low, _ := p.extent(t, "pump", "body"); !p.found || low != [3]float64{220, 100, 0} {
		t.Errorf("found %v, the pump stands at %v", p.found, low)
	}
	block := "{id: shelf, kind: MOUNT_KIND_ACCESSORY, poses: [{origin: {x_mm: 50, y_mm: 100, z_mm: 10}}]}"
	if p := planIn(t, with(block, hut(pump))); p.found || len(p.reasons) != 1 || !strings.Contains(p.reasons[0].text, "Spring") {
		t.Errorf("through the board it fits: %v, %v", p.found, p.reasons)
	}
}

// Two mounts that exclude each other are never used at once, and where that is why
// nothing fits, it is said.
func TestMountsThatExcludeEachOther(t *testing.T) {
	fans := "{id: lid, part: {name: Tern, fan: {size_mm: 120, thickness_mm: 25}}}"
	front := "{id: front, part: {name: Wren, fan: {size_mm: 92, thickness_mm: 25}}}"
	build := hut(fans, front)
	if p := planIn(t, build); !p.found {
		t.Fatalf("both fans alone do not fit: %v", p.reasons)
	}
	p := planIn(t, strings.Replace(build, "count: 2, panel: top,", "count: 2, panel: top, excludes: [front-fan],", 1))
	if p.found || len(p.changes) == 0 || !strings.Contains(p.changes[0].text, "exclude each other") || p.changes[0].mm != 0 {
		t.Errorf("found %v, changes %v", p.found, p.changes)
	}
}

// A bay for two drives takes two, and says what it lacks for a third.
func TestDrivesStackInTheirBay(t *testing.T) {
	bay := "{id: bay, kind: MOUNT_KIND_DRIVE, form_factors: [2.5-inch], count: 2, poses: [{origin: {x_mm: 200, y_mm: 100, z_mm: 0}}], space: {corner: {x_mm: 200, y_mm: 100}, size_x_mm: 101, size_y_mm: 70, size_z_mm: 20}}"
	drives := func(n string) string {
		return with(bay, hut("{id: drive, count: "+n+", part: {name: Silt, drive: {form_factor: 2.5-inch, height_mm: 7}}}"))
	}
	p := planIn(t, drives("2"))
	first, _ := p.extent(t, "drive 1", "body")
	second, _ := p.extent(t, "drive 2", "body")
	if !p.found || math.Abs(second[2]-first[2]) != 10 {
		t.Errorf("found %v, the drives lie at %v and %v", p.found, first, second)
	}
	if p = planIn(t, drives("3")); p.found {
		t.Error("three drives lie in a bay for two")
	}
	if seat := planIn(t, drives("2")).chosen.seatOf(2, 1); seat == nil || seat.flow != v1.Flow_FLOW_UNSPECIFIED {
		t.Errorf("the second drive sits at %+v", seat)
	}
}
