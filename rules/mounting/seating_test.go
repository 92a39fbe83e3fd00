package mounting

import (
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
)

// lying says where the frames of seats lie, each "item x,y,z", with their axes along
// the enclosure's, or "item x,y,z x_points z_points".
func lying(fact *v1.Fact, list ...string) *v1.Fact {
	for _, line := range list {
		f := strings.Fields(line)
		at := boxes(arrangement("|"), f[0]+"|b|"+f[1]+"|1,1,1").GetArrangement().Boxes[0].Extent.Corner
		pose := &v1.Pose{Origin: at}
		if len(f) == 4 {
			x, z := v1.Axis(v1.Axis_value["AXIS_"+f[2]]), v1.Axis(v1.Axis_value["AXIS_"+f[3]])
			pose.XPoints, pose.ZPoints = &x, &z
		}
		for _, seat := range fact.GetArrangement().Seats {
			if seat.GetItem() == f[0] {
				seat.Placed = pose
			}
		}
	}
	return fact
}

// plate is an enclosure with one plate at z = 0, 1 mm thick, and a mount on it.
func plate(mount string, more ...string) string {
	panels := append([]string{"{id: floor, faces: AXIS_Z_MINUS, extent: {corner: {z_mm: -1}, size_x_mm: 400, size_y_mm: 200, size_z_mm: 1}}"}, more...)
	return "{id: case, part: {name: Reed Bed, chassis: {panels: [" + strings.Join(panels, ", ") + "], layouts: [{id: a, mounts: [{id: low, panel: floor, poses: [{}], " + mount + "}]}]}}}"
}

const floorBox = "case|floor|0,0,-1|400,200,1"

// The pattern of a 120 mm fan is 105 mm (fan drawings, two agreeing), first hole
// 7.5 mm from the corner.
func TestFanOnItsPlate(t *testing.T) {
	const mount = "kind: MOUNT_KIND_FAN, sizes_mm: [120, 140], count: 2"
	fan := func(mass string, more string) string {
		return "{id: fan, count: 2, part: {name: Drift, " + mass + "fan: {size_mm: 120, thickness_mm: 25" + more + "}}}"
	}
	fact := func(seat string, list ...string) []*v1.Fact {
		list = append([]string{floorBox}, list...)
		return []*v1.Fact{lying(boxes(arrangement("a|", seat), list...), "fan 0,0,0")}
	}
	one := build(plate(mount), strings.Replace(fan("mass_g: 190, ", ""), "count: 2", "count: 1", 1))
	frame := "fan|frame|0,0,0|120,120,25"
	kittest.Table(t, Pack(), "mounting.hole-pattern", []kittest.Row{
		{Name: "all four are free", Build: one, Facts: fact("fan low 1", frame), Want: []string{"PASS fan,case"}},
		{Name: "the card's frame covers the fourth: three are enough (common practice, no source)",
			Build: one, Facts: fact("fan low 1", frame, "case|card-frame|105,105,-3|20,20,2"), Want: []string{"MARGINAL fan,case"}},
		{Name: "a frame that lies on the plate and reaches over the hole",
			Build: one, Facts: fact("fan low 1", frame, "case|card-frame|105,105,-1|20,20,1"), Want: []string{"MARGINAL fan,case"}},
		{Name: "a bar far out bars the driver", Build: one, Facts: fact("fan low 1", frame, "case|bar|105,105,-90|20,20,20"), Want: []string{"MARGINAL fan,case"}},
		{Name: "two on one side hold a light one", Policy: map[string]float64{"mounting.hole-pattern.heavy_g": 400},
			Build: one, Facts: fact("fan low 1", frame, "case|card-frame|105,0,-3|20,120,2"), Want: []string{"MARGINAL fan,case"}},
		{Name: "and not a heavy one", Build: one, Facts: fact("fan low 1", frame, "case|card-frame|105,0,-3|20,120,2"), Want: []string{"FAIL fan,case"}},
		{Name: "nobody tells whether it is heavy", Build: build(plate(mount), strings.Replace(fan("", ""), "count: 2", "count: 1", 1)),
			Facts: fact("fan low 1", frame, "case|card-frame|105,0,-3|20,120,2"), Want: []string{"UNKNOWN fan,case missing items[1].part.mass_g"}},
		{Name: "each of two in the row is judged where it lies", Build: build(plate(mount), fan("mass_g: 190, ", "")),
			Facts: []*v1.Fact{withPieces(fact("fan low 2", "fan|frame|0,0,0|120,120,25", "fan|frame|120,0,0|120,120,25", "case|bar|225,105,-3|20,20,2")[0])},
			Want:  []string{"PASS fan,case", "MARGINAL fan,case"}},
		{Name: "another hole distance goes over none of the plate's", Build: build(plate(mount), strings.Replace(fan("mass_g: 190, ", ", hole_pitch_mm: 100"), "count: 2", "count: 1", 1)),
			Facts: fact("fan low 1", frame), Want: []string{"FAIL fan,case"}},
		{Name: "the plate's own holes for 140 mm only", Build: build(plate(mount+", holes: [{centre: {x_mm: 7.75, y_mm: 7.75}}, {centre: {x_mm: 132.25, y_mm: 7.75}}, {centre: {x_mm: 7.75, y_mm: 132.25}}, {centre: {x_mm: 132.25, y_mm: 132.25}}]"),
			strings.Replace(fan("mass_g: 190, ", ""), "count: 2", "count: 1", 1)), Facts: fact("fan low 1", frame), Want: []string{"FAIL fan,case"}},
		{Name: "a hole of the fan that is there twice, by its path", Build: build(plate(mount),
			"{id: fan, part: {holes: [{centre: {x_mm: 7.5, y_mm: 7.5}}, {centre: {x_mm: 7.5, y_mm: 7.5}}], fan: {size_mm: 120}}}"),
			Facts: fact("fan low 1", frame), Want: []string{"UNKNOWN fan,case missing items[1].part.holes[1].centre"}},
		{Name: "a hole off the fan, by its path", Build: build(plate(mount),
			"{id: fan, part: {holes: [{centre: {x_mm: 7.5, y_mm: 7.5}}, {centre: {x_mm: 125, y_mm: 7.5}}], fan: {size_mm: 120}}}"),
			Facts: fact("fan low 1", frame), Want: []string{"UNKNOWN fan,case missing items[1].part.holes[1].centre"}},
		{Name: "where the enclosure counts them itself the other rule speaks",
			Build: strings.Replace(one, "count: 2}", "count: 2, joints: [{purpose: fan, count: 4, covered: 1}]}", 1), Facts: fact("fan low 1", frame)},
		{Name: "nothing is known of where it lies", Build: one, Facts: []*v1.Fact{arrangement("a|", "fan low 1")}},
	})
}

// withPieces numbers the boxes of each item.
func withPieces(f *v1.Fact) *v1.Fact {
	next := map[string]uint32{}
	for _, b := range f.GetArrangement().Boxes {
		n := next[b.GetItem()]
		b.Piece = &n
		next[b.GetItem()]++
	}
	return f
}

// A hole that is covered takes no screw, and none is asked for.
func TestCoveredHolesTakeNoScrew(t *testing.T) {
	fact := lying(boxes(arrangement("a|", "fan low 1"), floorBox, "fan|frame|0,0,0|120,120,25", "case|card-frame|105,105,-3|20,20,2"), "fan 0,0,0")
	kittest.Table(t, Pack(), "mounting.fan-screws", []kittest.Row{{Name: "three for three",
		Build: build(plate("kind: MOUNT_KIND_FAN, sizes_mm: [120]"), "{id: fan, part: {fan: {size_mm: 120}, kit: {fasteners: [{kind: screw, count: 3, purpose: fan}]}}}"),
		Facts: []*v1.Fact{fact}, Want: []string{"PASS fan,case margin 0"}}})
}

// A fan on the far side of its plate is screwed from within.
func TestFanOutsideIsScrewedFromWithin(t *testing.T) {
	fact := lying(boxes(arrangement("a|", "fan low 1"), floorBox, "fan|frame|0,0,-26|120,120,25", "pump|body|0,0,0|20,20,20"), "fan 0,0,-26")
	side := "outer"
	fact.GetArrangement().Seats[0].Side = &side
	kittest.Table(t, Pack(), "mounting.hole-pattern", []kittest.Row{{Name: "a part inside lies over one of its holes",
		Build: build(plate("kind: MOUNT_KIND_FAN, sizes_mm: [120]"), "{id: fan, part: {fan: {size_mm: 120, thickness_mm: 25}}}", "{id: pump, part: {accessory: {}}}"),
		Facts: []*v1.Fact{fact}, Want: []string{"MARGINAL fan,case"}}})
}

// Holes of a 240 mm radiator lie 0, 105, 120 and 225 mm along (fan pitch, fans
// abutting, common practice), its row of fans in the middle of it.
func TestRadiatorOnItsPlate(t *testing.T) {
	const mount = "kind: MOUNT_KIND_RADIATOR, sizes_mm: [240]"
	radiator := "{id: loop, part: {mass_g: 1400, liquid_loop: {radiator: {nominal_mm: 240, length_mm: 272, width_mm: 120, thickness_mm: 27}}}}"
	fact := func(list ...string) []*v1.Fact {
		return []*v1.Fact{lying(boxes(arrangement("a|", "loop low 1"), append([]string{floorBox, "loop|core|0,0,0|272,120,27"}, list...)...), "loop 0,0,0")}
	}
	kittest.Table(t, Pack(), "mounting.hole-pattern", []kittest.Row{
		{Name: "all eight", Build: build(plate(mount), radiator), Facts: fact(), Want: []string{"PASS loop,case"}},
		{Name: "a bar before the last two, at 16 + 232.5 mm", Build: build(plate(mount), radiator), Facts: fact("case|bar|244,0,-4|10,120,3"), Want: []string{"MARGINAL loop,case"}},
		{Name: "a bar before all but the first two", Build: build(plate(mount), radiator), Facts: fact("case|bar|100,0,-4|200,120,3"), Want: []string{"FAIL loop,case"}},
		{Name: "a plate with the four outer holes", Build: build(plate(mount+", holes: ["+holesAt("23.5,7.5 248.5,7.5 23.5,112.5 248.5,112.5")+"]"), radiator), Facts: fact(), Want: []string{"MARGINAL loop,case"}},
		{Name: "a plate for wider ones", Build: build(plate(mount+", holes: ["+holesAt("23.5,0 248.5,0 23.5,124.5 248.5,124.5")+"]"), radiator), Facts: fact(), Want: []string{"FAIL loop,case"}},
	})
}

// holesAt lists holes by their places, "x,y x,y".
func holesAt(places string) string {
	var out []string
	for place := range strings.FieldsSeq(places) {
		x, y, _ := strings.Cut(place, ",")
		out = append(out, "{centre: {x_mm: "+x+", y_mm: "+y+"}}")
	}
	return strings.Join(out, ", ")
}

// SFF-8201 (from memory): 76.6 by 61.72 mm, from 14.00 and 4.07 mm.
func TestDriveOnItsPlate(t *testing.T) {
	const mount = "kind: MOUNT_KIND_DRIVE, form_factors: [2.5-inch, 3.5-inch]"
	drive := func(form string) string {
		return "{id: drive, part: {mass_g: 60, drive: {form_factor: " + form + ", height_mm: 7}}}"
	}
	fact := func(list ...string) []*v1.Fact {
		return []*v1.Fact{lying(boxes(arrangement("a|", "drive low 1"), append([]string{floorBox, "drive|body|0,0,0|100,70,7"}, list...)...), "drive 0,0,0")}
	}
	small := ", holes: [" + holesAt("14,4.07 14,65.79 90.6,4.07 90.6,65.79") + "]"
	kittest.Table(t, Pack(), "mounting.hole-pattern", []kittest.Row{
		{Name: "all four", Build: build(plate(mount+small), drive("2.5-inch")), Facts: fact(), Want: []string{"PASS drive,case"}},
		{Name: "a hole of the tray that lies off its panel, by its path", Build: build(plate(mount+", holes: ["+holesAt("14,4.07 14,65.79 90.6,-3 90.6,65.79")+"]"), drive("2.5-inch")), Facts: fact(),
			Want: []string{"UNKNOWN case,drive missing items[0].part.chassis.layouts[0].mounts[0].holes[2].centre"}},
		{Name: "two opposite corners hold a light drive", Build: build(plate(mount+", holes: ["+holesAt("14,4.07 90.6,65.79")+"]"), drive("2.5-inch")), Facts: fact(), Want: []string{"MARGINAL drive,case"}},
		{Name: "the mount says that two hold it", Build: build(plate(mount+", joints: [{purpose: drive, count: 4, enough: 2}], holes: ["+holesAt("14,4.07 90.6,4.07")+"]"), drive("2.5-inch")), Facts: fact(), Want: []string{"MARGINAL drive,case"}},
		{Name: "a large drive on a tray for small ones", Build: build(plate(mount+small), drive("3.5-inch")), Facts: fact(), Want: []string{"FAIL drive,case"}},
	})
}

// Holes of lga1700 are 78 mm apart, of am5 54 by 90 mm (from memory, so no more than
// doubtful).
func TestCoolerOnTheSocket(t *testing.T) {
	board := func(socket string) string {
		return "{id: board, part: {name: Marsh, board: {form_factor: mini-itx, socket: " + socket + ", socket_centre: {x_mm: 85, y_mm: 70, z_mm: 9}}}}"
	}
	cooler := func(socket, holes string) string {
		return "{id: cooler, part: {name: Dusk, mass_g: 700, air_cooler: {brackets: [{sockets: [" + socket + "], holes: [" + holes + "]}]}}}"
	}
	tray := "{id: case, part: {name: Reed Bed, chassis: {layouts: [{id: a, mounts: [{id: tray, kind: MOUNT_KIND_BOARD, poses: [{}]}]}]}}}"
	fact := func(list ...string) []*v1.Fact {
		return []*v1.Fact{boxes(arrangement("a|", "board tray 1"), append([]string{"board|sheet|0,0,0|170,170,1.57", "cooler|fins|20,10,30|130,120,120"}, list...)...)}
	}
	kittest.Table(t, Pack(), "mounting.hole-pattern", []kittest.Row{
		{Name: "the socket's own distance", Build: build(tray, board("lga1700"), cooler("lga1700", holesAt("-39,-39 39,-39 -39,39 39,39"))), Facts: fact(), Want: []string{"PASS cooler,board"}},
		{Name: "that of the socket before it", Build: build(tray, board("lga1700"), cooler("lga1700", holesAt("-37.5,-37.5 37.5,-37.5 -37.5,37.5 37.5,37.5"))), Facts: fact(), Want: []string{"MARGINAL cooler,board"}},
		{Name: "the longer distance may lie either way", Build: build(tray, board("am5"), cooler("am5", holesAt("-45,-27 45,-27 -45,27 45,27"))), Facts: fact(), Want: []string{"PASS cooler,board"}},
		{Name: "a bracket that lists no holes, on a square pattern", Build: build(tray, board("lga1700"), cooler("lga1700", "")), Facts: fact(), Want: []string{"PASS cooler,board"}},
		{Name: "which way a longer distance lies is not known", Build: build(tray, board("am5"), cooler("am5", "")), Facts: fact()},
		{Name: "a drive's heatsink covers a hole", Build: build(tray, board("lga1700"), cooler("lga1700", ""), "{id: sink, part: {accessory: {}}}"),
			Facts: fact("sink|body|120,100,1.57|20,20,10"), Want: []string{"MARGINAL cooler,board"}},
		{Name: "a hole that is there twice, by its path", Build: build(tray, board("lga1700"), cooler("lga1700", holesAt("39,39 39,39"))), Facts: fact(),
			Want: []string{"UNKNOWN cooler,board missing items[2].part.air_cooler.brackets[0].holes[1].centre"}},
		{Name: "no bracket for the socket", Build: build(tray, board("lga1700"), cooler("am4", "")), Facts: fact()},
	})
}

// A part's holes are in the same places whichever way the arrangement turns it.
func TestPosesTurnThePattern(t *testing.T) {
	const mount = "kind: MOUNT_KIND_FAN, sizes_mm: [120]"
	wall := "{id: case, part: {chassis: {panels: [{id: rear, faces: AXIS_X_MINUS, extent: {corner: {x_mm: -1}, size_x_mm: 1, size_y_mm: 200, size_z_mm: 200}}], layouts: [{id: a, mounts: [{id: low, panel: rear, poses: [{origin: {x_mm: 0, y_mm: 8, z_mm: 40}, x_points: AXIS_Y_PLUS, z_points: AXIS_X_PLUS}], " + mount + "}]}]}}}"
	for bar, want := range map[string]string{
		"case|frame|-4,8,40|3,20,20":    "MARGINAL fan,case", // over the corner at y 15.5, z 47.5
		"case|frame|-4,30,60|3,60,60":   "PASS fan,case",     // in the middle
		"case|frame|-4,110,140|3,20,20": "MARGINAL fan,case", // over the corner at y 120.5, z 152.5
	} {
		fact := lying(boxes(arrangement("a|", "fan low 1"), "case|rear|-1,0,0|1,200,200", "fan|frame|0,8,40|25,120,120", bar), "fan 0,8,40 Y_PLUS X_PLUS")
		kittest.Table(t, Pack(), "mounting.hole-pattern", []kittest.Row{{Name: bar,
			Build: build(wall, "{id: fan, part: {mass_g: 150, fan: {size_mm: 120, thickness_mm: 25}}}"), Facts: []*v1.Fact{fact}, Want: []string{want}}})
	}
}
