package clearance

import (
	"strings"
	"testing"

	"slipfit.example/rules/kit/kittest"
)

// reedHut is an enclosure in space: a board flat on the floor, its components up,
// the processor's lid 29.57 mm above the floor, and under the lid of the enclosure,
// at 300 mm, a row of fans.
const reedHut = `
- id: hut
  part:
    name: Reed Hut
    chassis:
      compartments: [{id: main, extent: {size_x_mm: 320, size_y_mm: 200, size_z_mm: 300}}]
      panels:
      - {id: top, faces: AXIS_Z_PLUS, extent: {corner: {z_mm: 300}, size_x_mm: 320, size_y_mm: 200, size_z_mm: 2}}
      - {id: front, faces: AXIS_X_PLUS, extent: {corner: {x_mm: 320}, size_x_mm: 2, size_y_mm: 200, size_z_mm: 300}, openings: OPENINGS}
      layouts:
      - id: flat
        title: Board on the floor
        mounts:
        - {id: tray, kind: MOUNT_KIND_BOARD, poses: [{origin: {x_mm: 2.11, y_mm: 190, z_mm: 20}, x_points: AXIS_Y_MINUS}]}
        - {id: lid-fans, kind: MOUNT_KIND_FAN, sizes_mm: [120], count: 2, panel: top, poses: [{origin: {x_mm: 20, y_mm: 170, z_mm: 300}, z_points: AXIS_Z_MINUS}]}
        - {id: front-fan, kind: MOUNT_KIND_FAN, sizes_mm: [92], panel: front, poses: [{origin: {x_mm: 320, y_mm: 50, z_mm: 150}, x_points: AXIS_Y_PLUS, z_points: AXIS_X_MINUS}]}
- {id: board, part: {name: Sedge, board: {form_factor: mini-itx, socket_centre: {x_mm: 85, y_mm: 85, z_mm: 9.57}}, figures: [{fields: [board.socket_centre], minus: 0, plus: 0}]}}
`

// hut is a build in the reed hut.
func hut(items ...string) string {
	return "items:" + strings.Replace(reedHut, "OPENINGS", "[]", 1) + joined(items)
}

// cooler is a tower of some height.
func tower(height, more string) string {
	return "{id: cooler, part: {name: Rush, air_cooler: {height_mm: " + height + ", width_mm: 100, depth_mm: 100, tower: true}" + more + "}}"
}

// fixed sends the fan to the place over the cooler; free, it would go beside it.
const fixed = "arrangement: {placements: [{item: fan, mount: lid-fans, position: 0}]}\n"

const lidFan = "{id: fan, part: {name: Tern, fan: {size_mm: 120, thickness_mm: 25}}}"

func TestGap(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.gap", []kittest.Row{
		{Name: "room enough: 5.4 mm, of which 1 mm is kept against rattling", Build: hut(tower("240", ""), lidFan) + fixed, Policy: near(6),
			Want: []string{"PASS cooler,fan margin 4.4 mm"}},
		{Name: "more room than is worth telling", Build: hut(tower("200", ""), lidFan) + fixed},
		{Name: "tight: both figures may be off by half a millimetre", Build: hut(tower("243.6", ""), lidFan) + fixed, Want: []string{"MARGINAL cooler,fan margin 0.8 mm"}},
		{Name: "the same where the cooler was measured", Build: hut(tower("243.6", ", figures: [{fields: [air_cooler.height_mm], minus: 0.1, plus: 0.1}]"), lidFan) + fixed,
			Want: []string{"PASS cooler,fan margin 0.8 mm"}},
		{Name: "too little against rattling", Build: hut(tower("245", ""), lidFan) + fixed, Want: []string{"FAIL cooler,fan margin -0.6 mm"}},
		{Name: "a policy that lets fans touch", Build: hut(tower("245", ""), lidFan) + fixed, Policy: map[string]float64{"clearance.gap.vibration_mm": 0},
			Want: []string{"MARGINAL cooler,fan margin 0.4 mm"}},
		{Name: "in each other's way", Build: hut(tower("250", ""), lidFan) + fixed, Want: []string{"FAIL cooler,fan margin -5.6 mm"}},
		{Name: "no height, no box, no finding", Build: hut("{id: cooler, part: {name: Rush, air_cooler: {width_mm: 100, depth_mm: 100}}}", lidFan) + fixed},
		{Name: "published limits only", Build: limited("cooler_height_mm: 100", tower("120", ""), lidFan) + fixed},
	})
}

func near(mm float64) map[string]float64 { return map[string]float64{"clearance.gap.near_mm": mm} }

// What cooler and card leave to the enclosure is told by their own rules, from the
// boxes and not from a published limit.
func TestCoolerHeightInSpace(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.cooler-height", []kittest.Row{
		{Name: "270.43 mm from the lid to the top", Build: hut(tower("260", "")), Want: []string{"PASS cooler,hut margin 10.4 mm"}},
		{Name: "tight", Build: hut(tower("270", "")), Want: []string{"MARGINAL cooler,hut margin 0.4 mm"}},
		{Name: "too tall", Build: hut(tower("271", "")), Want: []string{"FAIL cooler,hut margin -0.6 mm"}},
		{Name: "the enclosure's own figure is exact by policy", Build: hut(tower("270", ", figures: [{fields: [air_cooler.height_mm], minus: 0, plus: 0}]")),
			Policy: map[string]float64{"tolerance.length_mm": 0}, Want: []string{"PASS cooler,hut margin 0.4 mm"}},
	})
}

func TestBreath(t *testing.T) {
	open := func(items ...string) string {
		return "items:" + strings.Replace(reedHut, "OPENINGS", "[{id: field, extent: {corner: {x_mm: 320}, size_x_mm: 2, size_y_mm: 200, size_z_mm: 300}, open_share: 0.5}]", 1) + joined(items)
	}
	card := func(thickness string) string {
		return "{id: card, part: {name: Bittern, card: {length_mm: 240, height_mm: 111, thickness_mm: " + thickness + ", slots: 1, fans: [{fan: {size_mm: 80}}]}}}"
	}
	kittest.Table(t, Pack(), "clearance.breath", []kittest.Row{
		{Name: "what moves no air has no breath", Build: hut(tower("100", ""))},
		{Name: "nothing within reach", Build: hut(lidFan)},
		{Name: "a card 15.4 mm before the wall", Build: hutWithSlot(card("15")), Want: []string{"PASS card,hut margin 5.4 mm"}},
		{Name: "tight: card and wall may be off by half a millimetre each", Build: hutWithSlot(card("20")), Want: []string{"MARGINAL card,hut margin 0.4 mm"}},
		{Name: "5.4 mm are doubtful, not impossible", Build: hutWithSlot(card("25")), Want: []string{"MARGINAL card,hut margin -4.6 mm"}},
		{Name: "a policy that is content with less", Build: hutWithSlot(card("25")), Policy: map[string]float64{"clearance.breath.free_mm": 4},
			Want: []string{"PASS card,hut margin 1.4 mm"}},
		{Name: "a card that blows nothing", Build: hutWithSlot("{id: card, part: {card: {length_mm: 240, height_mm: 111, thickness_mm: 25}}}")},
		{Name: "openings are no wall", Build: open("{id: fan, part: {name: Tern, fan: {size_mm: 92, thickness_mm: 25}}}")},
	})
}

// hutWithSlot is a build in the reed hut whose board has a slot: the back of a card
// there is 30.4 mm from the enclosure's side.
func hutWithSlot(items ...string) string {
	return strings.Replace(hut(items...), "form_factor: mini-itx,", "form_factor: mini-itx, card_slots: [{id: s, position: 1}],", 1)
}

func TestTogether(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.together", []kittest.Row{
		{Name: "all in place", Build: hut(tower("200", ""), lidFan), Want: []string{"PASS hut"}},
		{Name: "the fan finds its place beside the cooler", Want: []string{"PASS hut"},
			Build: hut("{id: cooler, part: {name: Rush, air_cooler: {height_mm: 250, width_mm: 100, depth_mm: 60, tower: true}}}", lidFan)},
		{Name: "not where the fan is sent", Want: []string{"FAIL cooler,fan,hut"},
			Build: hut(tower("250", ""), lidFan) + fixed},
		{Name: "a part that has no boxes is told and does not fail", Want: []string{"PASS hut"},
			Build: hut("{id: cooler, part: {name: Rush, air_cooler: {width_mm: 100, depth_mm: 100}}}", lidFan)},
		{Name: "no mount of a kind that the layout describes", Want: []string{"FAIL fan,hut"}, Build: hut("{id: fan, part: {name: Crake, fan: {size_mm: 140, thickness_mm: 25}}}")},
		{Name: "a kind of mount that the layout does not describe", Want: []string{"PASS hut"}, Build: hut("{id: drive, part: {name: Silt, drive: {form_factor: 2.5-inch, height_mm: 7}}}")},
		{Name: "published limits only", Build: limited("cooler_height_mm: 100", tower("90", ""))},
		{Name: "no enclosure", Build: "items: [" + lidFan + "]"},
	})
}

func TestTogetherSaysWhatToDo(t *testing.T) {
	f := findingOf(t, hut(tower("250", ""), lidFan)+fixed, "clearance.together")
	var said []string
	for _, r := range f.Remedies {
		said = append(said, r.GetAction().GetText())
	}
	text := strings.Join(said, "\n")
	for _, want := range []string{"Rush lower by 5.6 mm", "Tern thinner by 5.6 mm, such as a fan of 15 mm", "Everything fits with"} {
		if !strings.Contains(text, want) {
			t.Errorf("it does not say %q but\n%s", want, text)
		}
	}
	if f.Remedies[len(f.Remedies)-1].GetChange().GetNominal() != 5.57 {
		t.Errorf("the change is %v", f.Remedies[len(f.Remedies)-1].GetChange())
	}
}
