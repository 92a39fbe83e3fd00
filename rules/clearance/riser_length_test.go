package clearance

import (
	"testing"

	"slipfit.example/rules/kit/kittest"
)

// upright is an empty enclosure with a board on its left wall and a card upright
// beside it, on a riser.
func upright(riser string) string {
	return "items:\n" +
		"- {id: case, part: {name: Reed Bed, chassis: {compartments: [{id: main, extent: {size_x_mm: 340, size_y_mm: 300, size_z_mm: 300}}], layouts: [{id: only, mounts: [" +
		"{id: tray, kind: MOUNT_KIND_BOARD, form_factors: [mini-itx], poses: [{origin: {x_mm: 2.1, y_mm: 290, z_mm: 290}, x_points: AXIS_Z_MINUS, z_points: AXIS_Y_MINUS}]}, " +
		"{id: stand, kind: MOUNT_KIND_CARD, count: 1, needs: [riser-x16], poses: [{origin: {x_mm: 0, y_mm: 100, z_mm: 60}, x_points: AXIS_Y_MINUS, z_points: AXIS_Z_PLUS}]}]}]}}}\n" +
		"- {id: board, part: {name: Sedge, board: {form_factor: mini-itx, card_slots: [{id: first, position: 1}]}}}\n" +
		"- {id: card, part: {name: Marsh, card: {length_mm: 200, height_mm: 110, thickness_mm: 40, slots: 2}}}\n" +
		"- {id: ribbon, part: {name: Step, riser: {" + riser + "}}}\n"
}

func TestRiserLength(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.riser-length", []kittest.Row{
		// The slot lies at x 104.3, y 285.4, z 127.7, the card's contacts at y 97.3,
		// z 60; connectors of 15 mm end at y 270.4 and z 45. From there 191.9 mm as the
		// crow flies; square, and 8 mm deeper for the last bend, 271.8 mm less three
		// corners of 0.43 x 8 mm. 10 mm of slack come on top.
		{Name: "it reaches", Build: upright("length_mm: 400, bend_radius_mm: 8"), Want: []string{"PASS ribbon,card margin 128.5 mm"}},
		{Name: "it does not", Build: upright("length_mm: 150, bend_radius_mm: 8"), Want: []string{"FAIL ribbon,card margin -51.9 mm"}},
		{Name: "its length is not stated", Build: upright("bend_radius_mm: 8"), Want: []string{"UNKNOWN ribbon,card missing items[3].part.riser.length_mm"}},
		{Name: "a rigid one keeps its shape, and is no ribbon", Build: upright("length_mm: 150, rigid: true")},
		{Name: "the card sits in the board's slot", Build: limited("card_length_mm: 300", "{id: ribbon, part: {riser: {length_mm: 200}}}")},
	})
}
