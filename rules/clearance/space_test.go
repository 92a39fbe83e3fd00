package clearance

import (
	"slices"
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/standards"
)

// inSpace are the rules that boxes decide.
var inSpace = []string{"clearance.gap", "clearance.breath", "clearance.together", "clearance.cooler-height", "clearance.card-length"}

// What the demo's README promises of each build, as far as boxes decide it.
func TestDemoBuildsComeToWhatTheyShow(t *testing.T) {
	for id, want := range map[string][]string{
		"archive-editor": {
			"card-length PASS card,enclosure margin 63 mm",
			"cooler-height MARGINAL cooler,enclosure margin 0 mm", // 168.0 mm under 168.0 mm
			"gap PASS cooler,rear-fan margin 3.1 mm",
			"breath PASS bottom-fans,card margin 27.4 mm", // 37.4 mm of breath
			"together PASS enclosure",
		},
		"archive-overreach": {
			"card-length FAIL card,enclosure margin -10 mm",
			"cooler-height PASS cooler,enclosure margin 4 mm",
			"breath PASS top-fans,card margin 1.4 mm",
			"together FAIL card,enclosure",
		},
		"fans-under-card": {
			"card-length PASS card,enclosure margin 26 mm",
			"cooler-height PASS cooler,enclosure margin 13 mm",
			"breath PASS bottom-fans,card margin 7.4 mm", // 17.4 mm of breath
			"together PASS enclosure",
		},
		"long-supply": {
			"card-length PASS card,enclosure margin 26 mm",
			"cooler-height PASS cooler,enclosure margin 13 mm",
			"together PASS enclosure",
		},
		"upright-card": {
			"card-length PASS card,enclosure margin 8 mm",
			"cooler-height FAIL cooler,enclosure margin -4 mm", // 118 mm, 114 mm to the card's back
			"gap FAIL cooler,card margin -2 mm",
			"together FAIL card,cooler,enclosure",
		},
		"no-arrangement": {
			"card-length PASS card,enclosure margin 26 mm",
			"cooler-height PASS cooler,enclosure margin 13 mm",
			"gap FAIL card,bottom-fans margin -3.9 mm",
			"together FAIL bottom-fans,card,supply,enclosure",
		},
		"second-radiator": {
			"card-length PASS card,enclosure margin 63 mm",
			"cooler-height PASS loop,enclosure margin 116 mm",
			"gap PASS supply,loop margin 3.5 mm",
			"breath MARGINAL second-radiator,card margin -0.6 mm", // 9.4 mm
			"together PASS enclosure",
		},
		"front-desk": {
			"card-length PASS card,enclosure margin 154.4 mm",
			"cooler-height PASS cooler,enclosure margin 2.1 mm",
			"gap PASS board,top-fans margin 2 mm",
			"together PASS enclosure",
		},
		"transfer-bench": {
			"card-length PASS card,enclosure margin 58 mm",
			"card-length PASS tape-inputs,enclosure margin 157.4 mm",
			"cooler-height PASS cooler,enclosure margin 4.8 mm", // 162.8 mm by geometry
			"gap PASS card,tape-inputs margin 0.6 mm",
			"gap PASS front-fans,tape-drives margin 0.9 mm",
			"breath MARGINAL card,tape-inputs margin -9.4 mm",
			"together PASS enclosure",
		},
		"listening-room": { // published limits only: nothing of boxes
			"card-length PASS tape-inputs,enclosure margin 117.4 mm",
			"cooler-height PASS cooler,enclosure margin 4 mm",
		},
	} {
		t.Run(id, func(t *testing.T) {
			findings, _ := checked(t, demoBuild(t, id))
			var got []string
			for _, f := range findings {
				if slices.Contains(inSpace, f.GetRule()) {
					got = append(got, strings.TrimPrefix(f.GetRule(), "clearance.")+" "+kittest.Line(f))
				}
			}
			if id == "upright-card" { // whether the gap of cooler and card is told twice is the other rule's matter
				want = slices.DeleteFunc(want, func(s string) bool { return strings.HasPrefix(s, "gap") })
			}
			if !slices.Equal(got, want) {
				t.Errorf("findings\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
			}
		})
	}
}

// What limits say of fans is said of the places where geometry puts them, though
// others would do as well by the limits.
func TestLimitsFollowGeometry(t *testing.T) {
	build := demoBuild(t, "transfer-bench")
	_, facts := checked(t, build, FactArrangement)
	for item, rule := range map[string]string{"front-fans": "clearance.fan-place", "rear-fan": "clearance.fan-thickness", "tape-drives": "clearance.drive-bays"} {
		mount := seatIn(facts[FactArrangement].GetArrangement(), item).GetMount()
		if got := summaries(t, build, rule, item); len(got) != 1 || mount == "" || !strings.Contains(got[0], mount) {
			t.Errorf("%s sits at %q, and %s says %q", item, mount, rule, got)
		}
	}
}

// seatIn is where an item sits by the fact.
func seatIn(a *v1.Arrangement, item string) *v1.Seat {
	for _, s := range a.GetSeats() {
		if s.GetItem() == item {
			return s
		}
	}
	return nil
}

func TestBoardMovesToWhereThePartsFit(t *testing.T) {
	for id, want := range map[string]float64{"fans-under-card": 0, "long-supply": 20.32} {
		build := demoBuild(t, id)
		_, facts := checked(t, build)
		a := facts[FactArrangement].GetArrangement()
		if got := seatIn(a, "board").GetOffsetsMm(); !slices.Equal(got, []float64{want}) {
			t.Errorf("%s: the board is at %v, want %v mm", id, got, want)
		}
		// In no other position: with the board fixed elsewhere nothing fits.
		e := readEnclosure(chassisOf(build))
		for _, offset := range []float64{0, 20.32, 40.64} {
			board := "board"
			pins := append(slices.Clone(build.Arrangement.Placements), &v1.Placement{Item: &board, OffsetsMm: []float64{offset}})
			if p := makePlan(e, 0, seatedOf(build), pins, usual); p.found != (offset == want) {
				t.Errorf("%s: with the board at %v mm it fits: %v", id, offset, p.found)
			}
		}
	}
}

// cardOf is a card of a thickness that follows from its slots.
func cardOf(t *testing.T, slots int) *v1.Part {
	t.Helper()
	part := demoPart(t, "cards.yaml#gischt-320")
	thick := float64(slots) * standards.SlotPitch.Value
	n := uint32(slots)
	part.GetCard().ThicknessMm, part.GetCard().Slots = &thick, &n
	return part
}

// Facts of the trade (common practice, no source).
func TestFactsOfTheTrade(t *testing.T) {
	e := readEnclosure(demoPart(t, "chassis.yaml#lichtung-18")) // 272 mm tall
	base := []seatedItem{
		{id: "enclosure", count: 1, part: e.part},
		{id: "board", count: 1, part: demoPart(t, "boards.yaml#aue-b1-itx")},
	}
	zero, board := []float64{0}, "board"
	highest := []*v1.Placement{{Item: &board, OffsetsMm: zero}}
	fans, bottom := "fans", "fans-bottom"
	below := append(slices.Clone(highest), &v1.Placement{Item: &fans, Mount: &bottom})

	t.Run("with the board at its highest, fans of 25 mm go under a card of two slots and not under one of four", func(t *testing.T) {
		for slots, fits := range map[int]bool{2: true, 4: false} {
			items := append(slices.Clone(base), seatedItem{id: "card", count: 1, part: cardOf(t, slots)},
				seatedItem{id: "fans", count: 2, part: demoPart(t, "fans.yaml#heron-120")})
			if p := makePlan(e, 0, items, below, usual); !p.seen || p.found != fits {
				t.Errorf("card of %d slots over fans of 25 mm: fits %v", slots, p.found)
			}
		}
	})
	t.Run("a supply of the larger form factor goes in with its own bracket only", func(t *testing.T) {
		items := append(slices.Clone(base), seatedItem{id: "supply", count: 1, part: demoPart(t, "supplies.yaml#glutbecken-850")})
		p := makePlan(e, 0, items, nil, usual)
		if !p.found || len(p.chosen.purchases) != 1 || p.chosen.purchases[0].Resource != "supply-bracket-atx" {
			t.Errorf("fits %v, to buy %v", p.found, p.chosen.purchases)
		}
		items = append(items, seatedItem{id: "bracket", count: 1, part: demoPart(t, "accessories.yaml#supply-bracket-atx")})
		if p := makePlan(e, 0, items, nil, usual); !p.found || len(p.chosen.purchases) != 0 {
			t.Errorf("with the bracket: fits %v, to buy %v", p.found, p.chosen.purchases)
		}
	})
	t.Run("a kit of one bracket serves the first of three radiator mounts", func(t *testing.T) {
		three := readEnclosure(kittest.Build(t, threeMounts).Items[0].Part)
		for n, buy := range map[int]int64{1: 0, 2: 1, 3: 2} {
			items := []seatedItem{{id: "case", count: 1, part: three.part}, base[1],
				{id: "radiator", count: n, part: kittest.Build(t, deepRadiator).Items[0].Part}}
			p := makePlan(three, 0, items, nil, usual)
			var pieces int64
			for _, b := range p.chosen.purchases {
				pieces += b.Pieces
			}
			if !p.found || pieces != buy {
				t.Errorf("%d radiators of 280 mm: fits %v, %d brackets to buy, want %d (%v)", n, p.found, pieces, buy, p.scene.lacks)
			}
		}
	})
}

// threeMounts is a wide enclosure that lists a radiator of 280 mm in three places.
const threeMounts = `items:
- id: case
  part:
    chassis:
      compartments: [{id: main, extent: {size_x_mm: 400, size_y_mm: 400, size_z_mm: 400}}]
      layouts:
      - id: only
        mounts:
        - {id: board, kind: MOUNT_KIND_BOARD, poses: [{origin: {x_mm: 2.11, y_mm: 110, z_mm: 200}}]}
        - {id: bottom, kind: MOUNT_KIND_RADIATOR, sizes_mm: [280], poses: [{origin: {x_mm: 40, y_mm: 20, z_mm: 0}}], needs: [radiator-bracket]}
        - {id: top, kind: MOUNT_KIND_RADIATOR, sizes_mm: [280], poses: [{origin: {x_mm: 40, y_mm: 200, z_mm: 400}, z_points: AXIS_Z_MINUS}], needs: [radiator-bracket]}
        - {id: side, kind: MOUNT_KIND_RADIATOR, sizes_mm: [280], poses: [{origin: {x_mm: 40, y_mm: 400, z_mm: 40}, z_points: AXIS_Y_MINUS}], needs: [radiator-bracket]}
    kit: {pieces: [{provides: radiator-bracket}]}
`

const deepRadiator = `items:
- id: radiator
  part: {radiator: {nominal_mm: 280, length_mm: 315, width_mm: 140, thickness_mm: 30, fitting_mm: 0}}
`

// A chassis that geometry cannot be read from is told by its path, and the
// published limits still answer.
func TestBadGeometryIsToldByItsPath(t *testing.T) {
	for _, c := range []struct{ name, chassis, path string }{
		{"a compartment without depth", "compartments: [{id: main, extent: {size_x_mm: 300, size_y_mm: 200}}, {id: more, extent: {size_x_mm: 1, size_y_mm: 1, size_z_mm: 1}}]",
			"compartments[0].extent"},
		{"a panel without thickness", bareRoom + ", panels: [{id: left, extent: {size_x_mm: 300, size_z_mm: 200}}]", "panels[0].extent"},
		{"a mount far outside", bareRoom + ", layouts: [{id: a, mounts: [{id: board, kind: MOUNT_KIND_BOARD, poses: [{origin: {x_mm: 4000}}]}]}]",
			"layouts[0].mounts[0].poses[0].origin"},
		{"a pose that is not at right angles", bareRoom + ", layouts: [{id: a, mounts: [{id: board, kind: MOUNT_KIND_BOARD, poses: [{x_points: AXIS_Z_PLUS}]}]}]",
			"layouts[0].mounts[0].poses[0]"},
		{"an exclusion of nothing", bareRoom + ", layouts: [{id: a, mounts: [{id: board, kind: MOUNT_KIND_BOARD, poses: [{}], excludes: [shelf]}]}]",
			"layouts[0].mounts[0].excludes[0]"},
		{"a panel that is not there", bareRoom + ", layouts: [{id: a, mounts: [{id: board, kind: MOUNT_KIND_BOARD, poses: [{}], panel: top}]}]",
			"layouts[0].mounts[0].panel"},
		{"millions of offsets", bareRoom + ", layouts: [{id: a, mounts: [{id: board, kind: MOUNT_KIND_BOARD, poses: [{}], travels: [" + travel + travel + travel + "]}]}]",
			"layouts[0].mounts[0].travels[1].offsets_mm"},
	} {
		t.Run(c.name, func(t *testing.T) {
			chassis := c.chassis
			if !strings.Contains(chassis, "layouts") {
				chassis += ", layouts: [{id: a, mounts: [{id: board, kind: MOUNT_KIND_BOARD, poses: [{}]}]}]"
			}
			build := "items:\n- {id: case, part: {chassis: {" + chassis + "}}}\n- {id: board, part: {board: {form_factor: mini-itx}}}\n"
			f := findingOf(t, build, "clearance.together")
			if f.GetVerdict() != v1.Verdict_VERDICT_UNKNOWN || !slices.Equal(f.Missing, []string{"items[0].part.chassis." + c.path}) {
				t.Errorf("%v, missing %v: %s", f.GetVerdict(), f.Missing, f.GetSummary().GetText())
			}
		})
	}
}

const bareRoom = "compartments: [{id: main, extent: {size_x_mm: 300, size_y_mm: 200, size_z_mm: 250}}]"

var travel = "{along: AXIS_X_PLUS, offsets_mm: [0" + strings.Repeat(", 1", 60) + "]}, "

// A chassis with more places than a search takes ends in bounded time and says
// that it has not looked at all of them.
func TestTooManyPlacesAreSaid(t *testing.T) {
	var mounts strings.Builder
	for i := range 60 {
		mounts.WriteString(", {id: fans-" + string(rune('a'+i%26)) + string(rune('a'+i/26)) +
			", kind: MOUNT_KIND_FAN, count: 4, poses: [{origin: {z_mm: 100}}, {origin: {z_mm: 150}}]}")
	}
	build := "items:\n- {id: case, part: {chassis: {compartments: [{id: main, extent: {size_x_mm: 1000, size_y_mm: 1000, size_z_mm: 1000}}], layouts: [{id: a, mounts: [" +
		"{id: board, kind: MOUNT_KIND_BOARD, poses: [{origin: {x_mm: 3, y_mm: 700, z_mm: 700}}]}" + mounts.String() + "]}]}}}\n" +
		"- {id: board, part: {board: {form_factor: mini-itx}}}\n- {id: fans, count: 6, part: {fan: {size_mm: 120, thickness_mm: 25}}}\n"
	f := findingOf(t, build, "clearance.together")
	if !strings.Contains(f.GetSummary().GetText(), "too many ways") {
		t.Errorf("it says %q", f.GetSummary().GetText())
	}
}

// The search passes over nearly everything: of the arrangements that the demo's
// larger enclosures allow a full set of fans, radiator and drives, it visits fewer
// than one in twenty.
func TestSearchVisitsFewArrangements(t *testing.T) {
	type several struct {
		name  string
		count int
	}
	for chassis, list := range map[string][]several{
		"lichtung-18": {
			{"boards.yaml#aue-b1-itx", 1}, {"loops.yaml#springborn-240", 1}, {"memory.yaml#rinnsal-48-2", 1}, {"cards.yaml#gischt-220", 1},
			{"supplies.yaml#leiselauf-750", 1}, {"drives.yaml#schiefer-25-8000", 1}, {"fans.yaml#heron-120-slim", 1}, {"fans.yaml#heron-120", 2}, {"fans.yaml#wren-92-slim", 1},
		},
		"haldenkasten-24": {
			{"boards.yaml#aue-b2-matx", 1}, {"coolers.yaml#zinne-158", 1}, {"memory.yaml#rinnsal-48-2", 1}, {"cards.yaml#gischt-220", 1}, {"cards.yaml#echolot-8", 1},
			{"supplies.yaml#leiselauf-750", 1}, {"drives.yaml#schiefer-25-8000", 1}, {"drives.yaml#walze-35-20000", 1}, {"fans.yaml#heron-120-slim", 1}, {"fans.yaml#heron-120", 2},
		},
	} {
		e := readEnclosure(demoPart(t, "chassis.yaml#"+chassis))
		items := []seatedItem{{id: "enclosure", count: 1, part: e.part}}
		for _, it := range list {
			items = append(items, seatedItem{id: it.name, count: it.count, part: demoPart(t, it.name)})
		}
		var visited, space uint64
		for layout := range e.layouts {
			p := makePlan(e, layout, items, nil, usual)
			if !p.exhaustive {
				t.Errorf("%s: layout %d was not searched to the end", chassis, layout)
			}
			visited, space = visited+uint64(p.visited), space+p.space
		}
		if space < 5000 || visited*20 > space {
			t.Errorf("%s: %d steps for %d arrangements", chassis, visited, space)
		}
		t.Logf("%s: %d steps for %d arrangements, %.2f %%", chassis, visited, space, 100*float64(visited)/float64(space))
	}
}

// The fact carries what drawings and forecasts need: names that are XML ids, each
// once, gaps that refer to them, tightest first.
func TestFactCarriesBoxesAndGaps(t *testing.T) {
	_, facts := checked(t, demoBuild(t, "archive-editor"))
	a := facts[FactArrangement].GetArrangement()
	shapes := map[string]bool{}
	for _, b := range a.Boxes {
		name := b.GetShape()
		if shapes[name] || name == "" || name[0] < 'A' || strings.ContainsAny(name, " #.:") {
			t.Errorf("shape %q is no id of its own", name)
		}
		shapes[name] = true
		if e := b.Extent; e.GetSizeXMm() <= 0 || e.GetSizeYMm() <= 0 || e.GetSizeZMm() <= 0 {
			t.Errorf("%s has no extent: %v", name, e)
		}
	}
	for _, want := range []string{"board", "cooler", "card", "supply", "bottom-fans-1", "bottom-fans-2", "panel-left", "part-bar-right-upper", "card-plug-1"} {
		if !shapes[want] {
			t.Errorf("no shape is called %s", want)
		}
	}
	if len(a.Gaps) < 10 {
		t.Fatalf("only %d gaps", len(a.Gaps))
	}
	before := -1e9
	for _, g := range a.Gaps {
		if !shapes[g.GetFirst()] || !shapes[g.GetSecond()] {
			t.Errorf("gap between %s and %s, which are not drawn", g.GetFirst(), g.GetSecond())
		}
		margin := g.GetNominalMm() - g.GetRequiredMm()
		if margin < before-1e-9 || g.GetLowMm() > g.GetRssLowMm()+1e-9 || g.GetRssLowMm() > g.GetNominalMm()+1e-9 || g.GetHighMm() < g.GetRssHighMm()-1e-9 {
			t.Errorf("gap %v after one of %v mm", g, before)
		}
		before = margin
	}
	if seat := seatIn(a, "rear-fan"); seat.GetMount() != "fans-rear" || seat.GetFlow() != v1.Flow_FLOW_EXHAUST || seat.GetPanel() != "rear" || seat.Placed == nil {
		t.Errorf("the rear fan sits at %v", seat)
	}
	if seat := seatIn(a, "bottom-fans"); seat.GetCount() != 2 || seat.GetFlow() != v1.Flow_FLOW_INTAKE {
		t.Errorf("the bottom fans sit at %v", seat)
	}
}

func TestRankingListsArrangementsInOrder(t *testing.T) {
	_, plain := checked(t, demoBuild(t, "long-supply"))
	if plain[FactRanking] != nil {
		t.Error("a ranking came unasked")
	}
	build := demoBuild(t, "long-supply")
	build.Arrangement = nil
	_, facts := checked(t, build, FactRanking)
	r := facts[FactRanking].GetRanking()
	if len(r.GetArrangements()) == 0 || r.GetFeasibleCount() == 0 || !r.GetExhaustive() || len(r.Unbeaten) == 0 || r.Unbeaten[0] != 0 {
		t.Fatalf("ranking of %d, %d feasible, exhaustive %v, unbeaten %v", len(r.GetArrangements()), r.GetFeasibleCount(), r.GetExhaustive(), r.GetUnbeaten())
	}
	for i, a := range r.Arrangements {
		if i > 0 && a.GetMarginMm() > r.Arrangements[i-1].GetMarginMm()+1e-3 {
			t.Errorf("arrangement %d has %v mm, the one before %v mm", i, a.GetMarginMm(), r.Arrangements[i-1].GetMarginMm())
		}
		// The enclosure lists the bracket for 19 EUR.
		if (len(a.Boxes) > 0) != (i == 0) || a.GetAddedCost() != 19 || a.GetCurrency() != "EUR" || !slices.Contains(a.Buy, "supply-bracket-atx") {
			t.Errorf("arrangement %d has %d boxes and costs %v %s more for %v", i, len(a.Boxes), a.GetAddedCost(), a.GetCurrency(), a.Buy)
		}
	}
	_, facts = checked(t, demoBuild(t, "no-arrangement"), FactRanking)
	r = facts[FactRanking].GetRanking()
	if r.GetFeasibleCount() != 0 || len(r.Arrangements) != 0 || len(r.Conflict) != 2 || len(r.Changes) != 2 || r.Changes[0].GetSizeMm() != 3.91 {
		t.Errorf("ranking of what does not fit: %d arrangements, conflict %v, changes %v", len(r.Arrangements), r.Conflict, r.Changes)
	}
}

// A board that is fixed one step too low is told by how far to move it and what
// that gives.
func TestGapNamesTheBetterOffset(t *testing.T) {
	build := demoBuild(t, "fans-under-card")
	board := "board"
	build.Arrangement.Placements = append(build.Arrangement.Placements, &v1.Placement{Item: &board, OffsetsMm: []float64{20.32}})
	findings, _ := checked(t, build)
	for _, f := range findings {
		if f.GetRule() != "clearance.gap" || f.GetVerdict() != v1.Verdict_VERDICT_FAIL {
			continue
		}
		first := f.Remedies[0]
		if want := "Put Aue B1 Mini on board at 0 mm: then 5.1 mm are to spare in the tightest place."; first.GetAction().GetText() != want {
			t.Errorf("it says %q, want %q", first.GetAction().GetText(), want)
		}
		if got := first.GetChange().GetNominal(); got != -20.32 {
			t.Errorf("the offset changes by %v mm", got)
		}
		return
	}
	t.Error("nothing is in the way")
}
