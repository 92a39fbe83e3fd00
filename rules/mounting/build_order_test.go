package mounting

import (
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
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
		{Name: "the build declares another order, which can be kept", Build: build(shell, card, supply) + "order: [{first: card, then: supply, why: the manual says so}]\n",
			Facts: inShell("card|body|0,50,0|100,100,40", "supply|body|0,50,50|100,100,40"), Want: []string{"PASS case"}},
		{Name: "it declares orders that contradict each other", Build: build(shell, card, supply, fan) + "order: [{first: card, then: supply}, {first: supply, then: fan}, {first: fan, then: card}]\n",
			Want: []string{"FAIL card,supply,fan"}},
		{Name: "it declares one against what lies on what", Build: build(shell, "{id: board, part: {board: {form_factor: mini-itx}}}", card) + "order: [{first: card, then: board}]\n",
			Want: []string{"FAIL board,card"}},
		{Name: "it names what is not there", Build: build(shell, card) + "order: [{first: card, then: pond}, {first: case, then: card}]\n",
			Want: []string{"UNKNOWN case missing order[0].then", "UNKNOWN case missing order[1].first", "PASS case"}},
		{Name: "without boxes nothing bars anything", Build: build(shell, card, supply), Facts: []*v1.Fact{arrangement("|")}},
		{Name: "without the arrangement", Build: build(shell, card, supply)},
		{Name: "no enclosure", Build: build(card, supply), Facts: hooks},
	})
}

// A declared order is kept, and a contradiction names the orders by their paths.
func TestDeclaredOrderIsKept(t *testing.T) {
	const card, fan = "{id: card, part: {name: Heron, card: {}}}", "{id: fan, part: {name: Drift, fan: {}}}"
	for _, order := range [][2]string{{"card", "fan"}, {"fan", "card"}} {
		_, a := answer(t, kittest.Build(t, build(shell, card, fan)+"order: [{first: "+order[0]+", then: "+order[1]+"}]\n"), kit.Fact{Name: "none"})
		if first, then := place(a, order[0], ""), place(a, order[1], ""); first < 0 || first > then {
			t.Errorf("%s is step %d, %s is step %d", order[0], first+1, order[1], then+1)
		}
	}
	response, a := answer(t, kittest.Build(t, build(shell, card, fan)+"order: [{first: card, then: fan}, {first: fan, then: card, why: it is nicer.}]\n"), kit.Fact{Name: "none"})
	if a.GetBarred() == "" || len(a.Steps) > 0 {
		t.Errorf("it is barred by %q, and has %d steps", a.GetBarred(), len(a.Steps))
	}
	for _, f := range response.Findings {
		if f.GetRule() != "mounting.build-order" {
			continue
		}
		var paths []string
		for _, in := range f.Inputs {
			paths = append(paths, in.GetPath())
		}
		want := "The orders that the build declares cannot all be kept: Heron goes in before Drift, because the build says so; Drift goes in before Heron, because it is nicer."
		if got := strings.Join(paths, " "); got != "order[0] order[1]" || f.GetSummary().GetText() != want {
			t.Errorf("%q by %q, want %q", f.GetSummary().GetText(), got, want)
		}
		return
	}
	t.Error("nothing is found")
}
