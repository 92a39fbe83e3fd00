package mounting

import (
	"fmt"
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
)

// boxes adds boxes to an arrangement, each "item|body|corner|size"; a body that
// begins with "plug" is the room of a plug.
func boxes(fact *v1.Fact, list ...string) *v1.Fact {
	for _, line := range list {
		f := strings.Split(line, "|")
		var at, size [3]float64
		for i, text := range [...]string{f[2], f[3]} {
			to := [...]*[3]float64{&at, &size}[i]
			if _, err := fmt.Sscanf(text, "%g,%g,%g", &to[0], &to[1], &to[2]); err != nil {
				panic(line + ": " + err.Error())
			}
		}
		purpose := v1.Purpose_PURPOSE_SOLID
		if strings.HasPrefix(f[1], "plug") {
			purpose = v1.Purpose_PURPOSE_PLUG
		}
		a := fact.GetArrangement()
		a.Boxes = append(a.Boxes, &v1.PlacedBox{Item: &f[0], Body: &f[1], Purpose: &purpose, Extent: &v1.Extent{
			Corner: &v1.Point{XMm: &at[0], YMm: &at[1], ZMm: &at[2]}, SizeXMm: &size[0], SizeYMm: &size[1], SizeZMm: &size[2],
		}})
	}
	return fact
}

// tray is an enclosure with one mount for a board whose holes are given.
func tray(holes string) string {
	return "{id: case, part: {name: Reed Bed, chassis: {layouts: [{id: a, mounts: [{id: tray, kind: MOUNT_KIND_BOARD, poses: [{}], holes: [" + holes + "]}]}]}}}"
}

func TestHolePattern(t *testing.T) {
	const (
		c, f, h, j = "{id: C, centre: {x_mm: 163.83, y_mm: 10.16}, thread: M3}", "{id: F, centre: {x_mm: 6.35, y_mm: 33.02}, thread: M3}",
			"{id: H, centre: {x_mm: 163.83, y_mm: 165.1}, thread: M3}", "{id: J, centre: {x_mm: 6.35, y_mm: 165.1}, thread: M3}"
		all   = c + ", " + f + ", " + h + ", " + j
		board = "{id: board, part: {name: Marsh, mass_g: 600, board: {form_factor: mini-itx, width_mm: 170, depth_mm: 170}}}"
	)
	seated := func(list ...string) []*v1.Fact { return []*v1.Fact{boxes(arrangement("a|", "board tray 1"), list...)} }
	own := func(holes string) string {
		return "{id: board, part: {mass_g: 600, board: {form_factor: mini-itx, width_mm: 170, depth_mm: 170, holes: [" + holes + "]}}}"
	}
	kittest.Table(t, Pack(), "mounting.hole-pattern", []kittest.Row{
		{Name: "four of four, C F H J (Mini-ITX addendum 1.1, table 1; microATX specification 1.2, figure 2)", Build: build(tray(all), board), Want: []string{"PASS board,case"}},
		{Name: "a Mini-ITX board on the nine standoffs of ATX (microATX specification 1.2, figure 2)",
			Build: build(tray(all+", {centre: {x_mm: 288.29, y_mm: 10.16}}, {centre: {x_mm: 288.29, y_mm: 165.1}}, {centre: {x_mm: 288.29, y_mm: 237.49}}, {centre: {x_mm: 163.83, y_mm: 237.49}}, {centre: {x_mm: 6.35, y_mm: 237.49}}"), board),
			Want:  []string{"PASS board,case"}},
		{Name: "three that span an area hold it", Build: build(tray(c+", "+f+", "+h), board), Want: []string{"MARGINAL board,case"}},
		{Name: "two on one side do not hold a heavy part", Build: build(tray(h+", "+j), board), Want: []string{"FAIL board,case"}},
		{Name: "they hold a light one", Build: build(tray(c+", "+j), "{id: board, part: {mass_g: 150, board: {form_factor: mini-itx}}}"), Want: []string{"MARGINAL board,case"}},
		{Name: "not even a light one from one side, if it is not very light", Build: build(tray(h+", "+j), "{id: board, part: {mass_g: 150, board: {form_factor: mini-itx}}}"), Want: []string{"FAIL board,case"}},
		{Name: "who tells whether it is light", Build: build(tray(c+", "+j), "{id: board, part: {board: {form_factor: mini-itx}}}"), Want: []string{"UNKNOWN board,case missing items[1].part.mass_g"}},
		{Name: "one holds nothing", Build: build(tray(c), board), Want: []string{"FAIL board,case"}},
		{Name: "0.9 mm off is within a screw's play, 1.1 mm is not", Build: build(tray(strings.Replace(all, "163.83, y_mm: 10.16", "164.93, y_mm: 10.16", 1)), board), Want: []string{"MARGINAL board,case"}},
		{Name: "the policy's play", Policy: map[string]float64{"mounting.hole-pattern.play_mm": 1.2}, Build: build(tray(strings.Replace(all, "163.83, y_mm: 10.16", "164.93, y_mm: 10.16", 1)), board), Want: []string{"PASS board,case"}},
		{Name: "a heatsink lies on hole C", Build: build(tray(all), board, "{id: sink, part: {air_cooler: {}}}"), Facts: seated("board|sheet|0,0,0|170,170,1.5", "sink|foot|155,0,1.6|20,20,40"), Want: []string{"MARGINAL board,case"}},
		{Name: "memory stands in the board's own sockets", Build: build(tray(all), board, "{id: memory, part: {memory: {}}}"), Facts: seated("board|sheet|0,0,0|170,170,1.5", "memory|modules|155,0,1.6|20,130,40"), Want: []string{"PASS board,case"}},
		{Name: "a bar of the enclosure stands before it", Build: build(tray(all), board), Facts: seated("board|sheet|0,0,0|170,170,1.5", "case|bar|155,0,60|20,20,10"), Want: []string{"MARGINAL board,case"}},
		{Name: "a card that comes later bars no driver", Build: build(tray(all), board, "{id: card, part: {card: {}}}"), Facts: seated("board|sheet|0,0,0|170,170,1.5", "card|body|0,0,60|170,170,40"), Want: []string{"PASS board,case"}},
		{Name: "holes of an unknown form factor", Build: build(tray(all), "{id: board, part: {board: {form_factor: pond-1}}}"), Want: []string{"UNKNOWN board,case missing items[1].part.board.holes"}},
		{Name: "a hole that is there twice, by its path", Build: build(tray(all), own(c+", "+f+", "+h+", "+c)), Want: []string{"UNKNOWN board,case missing items[1].part.board.holes[3].centre"}},
		{Name: "a hole off the board, by its path", Build: build(tray(all), own(c+", "+f+", {centre: {x_mm: 190, y_mm: 10}}")), Want: []string{"UNKNOWN board,case missing items[1].part.board.holes[2].centre"}},
		{Name: "a hole of the mount that is there twice, by its path", Build: build(tray(all+", "+j), board), Want: []string{"UNKNOWN case,board missing items[0].part.chassis.layouts[0].mounts[0].holes[4].centre"}},
		{Name: "a supply on its bracket: SFX corners (supply drawings, three agreeing)",
			Build: build("{id: case, part: {chassis: {layouts: [{id: a, mounts: [{id: shelf, kind: MOUNT_KIND_SUPPLY, holes: [{centre: {x_mm: 6, z_mm: 6}}, {centre: {x_mm: 6, z_mm: 57.5}}, {centre: {x_mm: 119, z_mm: 6}}, {centre: {x_mm: 119, z_mm: 57.5}}]}]}]}}}", "{id: supply, part: {supply: {form_factor: sfx}}}"),
			Facts: []*v1.Fact{arrangement("a|", "supply shelf 1")}, Want: []string{"PASS supply,case"}},
		{Name: "an ATX supply on the bracket of SFX",
			Build: build("{id: case, part: {chassis: {layouts: [{id: a, mounts: [{id: shelf, kind: MOUNT_KIND_SUPPLY, holes: [{centre: {x_mm: 6, z_mm: 6}}, {centre: {x_mm: 6, z_mm: 57.5}}, {centre: {x_mm: 119, z_mm: 6}}, {centre: {x_mm: 119, z_mm: 57.5}}]}]}]}}}", "{id: supply, part: {supply: {form_factor: atx-ps2}}}"),
			Facts: []*v1.Fact{arrangement("a|", "supply shelf 1")}, Want: []string{"FAIL supply,case"}},
		{Name: "a mount without holes", Build: build(tray(""), board)},
		{Name: "no enclosure", Build: build(board)},
	})
}
