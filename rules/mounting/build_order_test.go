package mounting

import (
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
)

// shell is an enclosure that opens on the right-hand side only.
const shell = "{id: case, part: {name: Reed Bed, chassis: {panels: [" +
	"{id: rear, faces: AXIS_X_MINUS}, {id: front, faces: AXIS_X_PLUS}, {id: top, faces: AXIS_Z_PLUS}, {id: bottom, faces: AXIS_Z_MINUS}, " +
	"{id: left, faces: AXIS_Y_PLUS}, {id: right, faces: AXIS_Y_MINUS, removable: true}]}}}"

// walls are its boxes, 300 mm deep, 200 wide, 300 high.
var walls = []string{
	"case|rear|-2,0,0|2,200,300", "case|front|300,0,0|2,200,300", "case|top|0,0,300|300,200,2", "case|bottom|0,0,-2|300,200,2",
	"case|left|0,200,0|300,2,300", "case|right|0,-2,0|300,2,300",
}

func inShell(list ...string) []*v1.Fact {
	return []*v1.Fact{boxes(boxes(arrangement("|"), walls...), list...)}
}

func TestBuildOrder(t *testing.T) {
	const card, supply, fan = "{id: card, part: {name: Heron, card: {}}}", "{id: supply, part: {name: Millrace, supply: {}}}", "{id: fan, part: {name: Drift, fan: {}}}"
	// Two hooks: each has an arm before the other on the way to the right.
	hooks := inShell("supply|body|20,100,20|60,60,60", "supply|arm|100,40,20|20,20,60", "card|body|90,100,20|40,60,60", "card|arm|40,40,20|20,20,60")
	kittest.Table(t, Pack(), "mounting.build-order", []kittest.Row{
		{Name: "side by side", Build: build(shell, card, supply), Facts: inShell("card|body|0,50,0|100,100,40", "supply|body|0,50,50|100,100,40"), Want: []string{"PASS case"}},
		{Name: "one behind the other", Build: build(shell, card, fan), Facts: inShell("card|body|0,100,0|100,80,40", "fan|frame|0,0,0|100,25,100"), Want: []string{"PASS case"}},
		{Name: "two that hook each other bar each other's way", Build: build(shell, card, supply), Facts: hooks, Want: []string{"FAIL card,supply"}},
		{Name: "a part that no straight way leads to is taken to be tilted in", Build: build(shell, card), Facts: inShell("card|body|50,100,50|100,40,40", "case|rail|50,50,50|100,10,40"), Want: []string{"PASS case"}},
		{Name: "a fan before the board's screws goes in after it", Build: build(shell, "{id: board, part: {board: {form_factor: mini-itx}}}", fan),
			Facts: inShell("board|sheet|20,190,20|170,2,170", "fan|frame|20,0,20|120,25,120"), Want: []string{"PASS case"}},
		{Name: "without boxes nothing bars anything", Build: build(shell, card, supply), Facts: []*v1.Fact{arrangement("|")}},
		{Name: "without the arrangement", Build: build(shell, card, supply)},
		{Name: "no enclosure", Build: build(card, supply), Facts: hooks},
	})
}
