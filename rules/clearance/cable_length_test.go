package clearance

import (
	"fmt"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/standards"
)

// trough is an empty enclosure in space: a supply at its front blows its cables
// to the rear, a board stands at the left wall. The supply's outlet and the
// board's main socket face each other along a line, 200 mm apart, so that lengths
// can be worked out by hand.
func trough(cables, sockets string, more ...string) string {
	const layout = "{id: only, mounts: [" +
		"{id: tray, kind: MOUNT_KIND_BOARD, form_factors: [mini-itx], poses: [{origin: {x_mm: 20, y_mm: 190, z_mm: 200}, x_points: AXIS_Z_MINUS, z_points: AXIS_Y_MINUS}]}, " +
		"{id: shelf, kind: MOUNT_KIND_SUPPLY, form_factors: [sfx], poses: [{origin: {x_mm: 520, y_mm: 20, z_mm: 10}, x_points: AXIS_Y_PLUS, z_points: AXIS_Z_PLUS}]}]}"
	return "items:\n" +
		"- {id: case, part: {name: Reed Bed, chassis: {compartments: [{id: main, extent: {size_x_mm: 540, size_y_mm: 200, size_z_mm: 220}}], layouts: [" + layout + "]}}}\n" +
		"- {id: board, part: {name: Sedge, board: {form_factor: mini-itx, width_mm: 170, depth_mm: 170, power_sockets: [" + sockets + "]}}}\n" +
		"- {id: supply, part: {name: Stillwater, supply: {form_factor: sfx, width_mm: 125, height_mm: 63.5, length_mm: 100, pinout: s, " +
		"outlets: [{socket: main, at: {x_mm: 60, y_mm: 100, z_mm: 30}, faces: AXIS_Y_PLUS}], cables: [" + cables + "]}}}\n" + joined(more)
}

const (
	mainSocket = "{connector: main-24, at: {x_mm: 160, y_mm: 150, z_mm: 14}, faces: AXIS_Z_PLUS}"
	mainCable  = "{from: main, pinout: s, ends: [{connector: main-24, length_mm: 450}], diameter_mm: 8, bend_radius_mm: 10, plug_mm: 20}"
)

func TestCableLength(t *testing.T) {
	cable := func(mm string) string { return strings.Replace(mainCable, "450", mm, 1) }
	kittest.Table(t, Pack(), "clearance.cable-length", []kittest.Row{
		// The outlet lies at x 420, y 80, z 40, the socket at x 170, y 176, z 40:
		// straight stretches of 24 mm end at x 396 and y 152. From there 237.1 mm as
		// the crow flies make 285.2 mm with the plugs. Square it is 250 + 96 mm less
		// (2 - pi/2) x 10 mm at each of three corners. 10 mm of slack come on top.
		{Name: "plenty of cable", Build: trough(cable("450"), mainSocket), Want: []string{"PASS supply,board margin 106.9 mm"}},
		{Name: "just enough for the square way", Build: trough(cable("343.7"), mainSocket), Want: []string{"PASS supply,board margin 0.6 mm"}},
		{Name: "shorter than the crow flies", Build: trough(cable("260"), mainSocket), Want: []string{"FAIL supply,board margin -35.2 mm"}},
		{Name: "a longer slack is asked for", Build: trough(cable("360"), mainSocket), Policy: map[string]float64{"clearance.cable-length.slack_mm": 80},
			Want: []string{"FAIL supply,board margin -5.2 mm"}},
		{Name: "a cable bought on its own goes first", Build: trough(cable("200"), mainSocket,
			"{id: long, part: {cable: {from: main, pinout: s, ends: [{connector: main-24, length_mm: 500}], diameter_mm: 8, bend_radius_mm: 10, plug_mm: 20}}}"),
			Want: []string{"PASS long,supply,board margin 156.9 mm"}},
		{Name: "one of another family is no help", Build: trough(cable("200"), mainSocket,
			"{id: long, part: {cable: {from: main, pinout: g, ends: [{connector: main-24, length_mm: 500}]}}}"),
			Want: []string{"FAIL supply,board margin -95.2 mm"}},
		{Name: "an extension adds its length", Build: trough(cable("200"), mainSocket,
			"{id: more, part: {cable: {from: main-24, ends: [{connector: main-24, length_mm: 300}]}}}"),
			Want: []string{"PASS more,supply,board margin 156.9 mm"}},
		{Name: "no cable is named", Build: trough("", mainSocket), Want: []string{"UNKNOWN supply,board missing items[2].part.supply.cables"}},
		{Name: "its length is not stated", Build: trough("{from: main, pinout: s, ends: [{connector: main-24}]}", mainSocket),
			Want: []string{"UNKNOWN supply,board missing items[2].part.supply.cables[0].ends[0].length_mm"}},
		{Name: "nobody knows where such a socket is", Build: trough(mainCable, "{connector: lamp-2}"),
			Want: []string{"UNKNOWN supply,board missing items[1].part.board.power_sockets[0].at"}},
		{Name: "a socket that may stay empty", Build: trough("", "{connector: main-24, dispensable: true}")},
		{Name: "limits alone", Build: limited("supply_length_mm: 120", "{id: supply, part: {supply: {length_mm: 100, cables: ["+mainCable+"]}}}",
			"{id: board, part: {board: {power_sockets: ["+mainSocket+"]}}}")},
	})
}

// Where a socket's place is only what is customary, the length may be off by the
// policy's figure.
func TestCustomaryPlacesWidenTheRange(t *testing.T) {
	for mm, want := range map[string]string{"430": "PASS", "325": "MARGINAL", "150": "FAIL"} {
		build := trough(strings.Replace(mainCable, "450", mm, 1), "{connector: main-24}")
		f := findingOf(t, build, "clearance.cable-length")
		if got := strings.TrimPrefix(f.GetVerdict().String(), "VERDICT_"); got != want {
			t.Errorf("a cable of %s mm is %s, want %s: %s", mm, got, want, f.GetSummary().GetText())
		}
	}
}

// A wall across the enclosure leaves no way, and the finding names it.
func TestClosedWayIsToldByWhatClosesIt(t *testing.T) {
	build := strings.Replace(trough(mainCable, mainSocket), "layouts: [",
		"panels: [{id: bulkhead, extent: {corner: {x_mm: 300}, size_x_mm: 2, size_y_mm: 200, size_z_mm: 220}}], layouts: [", 1)
	f := findingOf(t, build, "clearance.cable-length")
	if f.GetVerdict() != kit.Fail || !strings.Contains(f.GetSummary().GetText(), "panel-bulkhead in the way") {
		t.Errorf("%v: %s", f.GetVerdict(), f.GetSummary().GetText())
	}
	opened := strings.Replace(build, "size_z_mm: 220}}], layouts",
		"size_z_mm: 220}, openings: [{id: gap, extent: {corner: {x_mm: 300, y_mm: 60, z_mm: 20}, size_x_mm: 2, size_y_mm: 60, size_z_mm: 60}, covering: none}]}], layouts", 1)
	if f := findingOf(t, opened, "clearance.cable-length"); f.GetVerdict() != kit.Pass {
		t.Errorf("through an opening: %v: %s", f.GetVerdict(), f.GetSummary().GetText())
	}
}

// More things than a way can be found among are told, and never pass.
func TestTooManyThingsInTheWayAreTold(t *testing.T) {
	pegs := func(name string, z int) string {
		var list []string
		for i := range 64 {
			list = append(list, fmt.Sprintf("{id: %s-%d, extent: {corner: {x_mm: %d, y_mm: 1, z_mm: %d}, size_x_mm: 2, size_y_mm: 160, size_z_mm: 2}}", name, i, 200+3*i, z))
		}
		return "obstructions: [" + strings.Join(list, ", ") + "]"
	}
	// 320 mm: between the bounds, so that the way itself is looked for.
	cable := strings.Replace(mainCable, "450", "320", 1)
	build := strings.Replace(trough(cable, mainSocket), "layouts: [{id: only, ", pegs("low", 120)+", layouts: [{id: only, "+pegs("high", 140)+", ", 1)
	f := findingOf(t, build, "clearance.cable-length")
	if f.GetVerdict() != kit.Unknown || !strings.Contains(f.GetSummary().GetText(), "at most 128 can be gone round") {
		t.Errorf("%v: %s", f.GetVerdict(), f.GetSummary().GetText())
	}
}

// What the demo says of its cables: the supply's own processor cable ends 400 mm
// away and does not reach, the one bought for it does; the front desk's riser
// comes over the spine and down behind the card.
func TestDemoCables(t *testing.T) {
	without := proto.Clone(demoBuild(t, "fans-under-card")).(*v1.Build)
	for i, item := range without.Items {
		if item.GetId() == "processor-cable" {
			without.Items = append(without.Items[:i], without.Items[i+1:]...)
			break
		}
	}
	for _, c := range []struct {
		name  string
		build *v1.Build
		rule  string
		about string
		want  kit.Verdict
	}{
		{"with the longer cable", demoBuild(t, "fans-under-card"), "clearance.cable-length", "processor-cable", kit.Pass},
		{"with the supply's own", without, "clearance.cable-length", "cpu-8", kit.Fail},
		{"riser of 260 mm", demoBuild(t, "front-desk"), "clearance.riser-length", "riser", kit.Pass},
	} {
		t.Run(c.name, func(t *testing.T) {
			findings, _ := checked(t, c.build)
			for _, f := range findings {
				if f.GetRule() == c.rule && (f.Subjects[0] == c.about || strings.Contains(f.GetSummary().GetText(), c.about)) {
					if f.GetVerdict() != c.want {
						t.Errorf("it is %v: %s", f.GetVerdict(), f.GetSummary().GetText())
					}
					return
				}
			}
			t.Error("there is no such finding")
		})
	}
}

// What is wanted besides does not change what is found.
func TestWantsChangeNoFinding(t *testing.T) {
	for _, id := range demoBuilds(t) {
		build := demoBuild(t, id)
		plain, _ := checked(t, build)
		more, facts := checked(t, build, FactArrangement, FactDrawing)
		if len(plain) != len(more) {
			t.Fatalf("%s: %d findings and %d", id, len(plain), len(more))
		}
		for i := range plain {
			if !proto.Equal(plain[i], more[i]) {
				t.Errorf("%s: %v\nbecame %v", id, plain[i], more[i])
			}
		}
		a := facts[FactArrangement].GetArrangement()
		if drawn := facts[FactDrawing].GetPicture().GetSvg(); (len(a.GetBoxes()) > 0) != (drawn != "") {
			t.Errorf("%s: %d boxes, a drawing of %d bytes", id, len(a.GetBoxes()), len(drawn))
		}
		for _, g := range a.GetGaps() {
			for _, shape := range []string{g.GetFirst(), g.GetSecond()} {
				if !strings.Contains(facts[FactDrawing].GetPicture().GetSvg(), `id="`+shape+`"`) {
					t.Errorf("%s: the drawing lacks the shape %q of a gap", id, shape)
				}
			}
		}
		for _, r := range a.GetRoutes() {
			if r.NeededMm != nil && (len(r.Points) < 2 || r.GetOrderMm() < r.GetNeededMm()) {
				t.Errorf("%s: way %v", id, r)
			}
		}
	}
}

func TestDrawingOnlyWhenWanted(t *testing.T) {
	if _, facts := checked(t, demoBuild(t, "archive-editor")); facts[FactDrawing] != nil {
		t.Error("a drawing was made although nobody asked")
	}
}

// The first of the ranking may lie in another layout than the one that the build
// is judged in; its ways are its own, and those of the other stay what they are.
func TestRankingHasWaysOfItsOwn(t *testing.T) {
	build := demoBuild(t, "archive-editor")
	_, facts := checked(t, build, FactArrangement)
	alone := facts[FactArrangement].GetArrangement()
	_, facts = checked(t, build, FactRanking, FactArrangement)
	if both := facts[FactArrangement].GetArrangement(); !proto.Equal(alone, both) {
		t.Errorf("the arrangement is another one beside the ranking:\n%v\n%v", alone.GetRoutes(), both.GetRoutes())
	}
	first := facts[FactRanking].GetRanking().GetArrangements()[0]
	supply := map[string]*v1.PlacedBox{}
	for _, b := range first.Boxes {
		supply[b.GetItem()+"/"+b.GetBody()] = b
	}
	for _, r := range first.Routes {
		box := supply[r.GetFrom()+"/body"].GetExtent()
		if box == nil || len(r.Points) == 0 {
			continue
		}
		p := r.Points[0]
		for _, c := range [][3]float64{
			{p.GetXMm(), box.GetCorner().GetXMm(), box.GetSizeXMm()}, {p.GetYMm(), box.GetCorner().GetYMm(), box.GetSizeYMm()}, {p.GetZMm(), box.GetCorner().GetZMm(), box.GetSizeZMm()},
		} {
			if c[0] < c[1]-1 || c[0] > c[1]+c[2]+1 {
				t.Errorf("the cable to %s starts at %v, away from the supply %v", r.GetConnector(), p, box)
			}
		}
	}
	if len(first.Routes) == 0 {
		t.Error("the first arrangement has no ways")
	}
}

// A plug fills a socket exactly where the standards' table has both mate whole, tokens
// that nobody knows included.
func TestPlugsFillSocketsAsTheTableSays(t *testing.T) {
	tokens := append(standards.Tokens(standards.VocabConnector), "", "no-such-plug")
	for _, plug := range tokens {
		for _, socket := range tokens {
			m, err := standards.MatingOf(plug, socket)
			if want := plug == socket || err == nil && m.Fits && !m.Partial; fillsSocket(plug, socket) != want {
				t.Errorf("a plug %q fills a socket %q: %v, want %v", plug, socket, !want, want)
			}
		}
	}
}
