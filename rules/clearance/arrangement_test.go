package clearance

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

const (
	threeLayouts = "{id: below, title: Card below, limits: {card_length_mm: 320}}, {id: above, limits: {card_length_mm: 330}}, {id: upright, limits: {card_length_mm: 200}}"
	longCard     = "{id: card, part: {card: {length_mm: 304}}}"
)

func TestArrangement(t *testing.T) {
	kittest.Table(t, Pack(), "clearance.arrangement", []kittest.Row{
		{Name: "limits alone", Build: limited("card_length_mm: 320", longCard), Want: []string{"PASS case"}},
		{Name: "the best of three", Build: laidOut("", threeLayouts, longCard), Want: []string{"PASS case"}},
		{Name: "a pinned layout that does not do", Want: []string{"FAIL case"},
			Build: laidOut("", threeLayouts, longCard) + "arrangement: {layout: upright}\n"},
		{Name: "none does", Build: laidOut("card_height_mm: 1", threeLayouts, "{id: card, part: {card: {length_mm: 304, height_mm: 100}}}"),
			Want: []string{"FAIL case"}},
		{Name: "no enclosure", Build: "items: [" + longCard + "]", Want: []string{"UNKNOWN missing items"}},
	})
}

// findingOf is the one finding of a rule.
func findingOf(t *testing.T, build, rule string) *v1.Finding {
	t.Helper()
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range kittest.Evaluate(t, e, kittest.Row{Build: build}).Findings {
		if f.GetRule() == rule {
			return f
		}
	}
	t.Fatalf("no finding of %s", rule)
	return nil
}

func TestArrangementSaysWhichLayoutAndWhichOthers(t *testing.T) {
	for _, c := range []struct{ name, build, want string }{
		{"limits alone", limited("card_length_mm: 320", longCard), "Reed Bed has room for every part that could be judged, by its published limits."},
		{"pinned", laidOut("", threeLayouts, longCard) + "arrangement: {layout: below}\n",
			"Reed Bed has room for every part that could be judged in the layout Card below, the only one that is open."},
		{"best of three", laidOut("", threeLayouts, longCard),
			"Reed Bed is judged in the layout above, the best of 3: every part that could be judged has room. Also without a failure: Card below."},
		{"one is left", laidOut("", threeLayouts, strings.Replace(longCard, "304", "325", 1)),
			"Reed Bed is judged in the layout above, the best of 3: every part that could be judged has room, and in no other."},
		{"none is left", laidOut("", threeLayouts, strings.Replace(longCard, "304", "400", 1)),
			"Reed Bed has no room for all parts in any of its 3 layouts; the best is above; requirements missed there: 1."},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := findingOf(t, c.build, "clearance.arrangement").GetSummary().GetText()
			if want := c.want + unseen; got != want {
				t.Errorf("it says\n%s\nwant\n%s", got, want)
			}
		})
	}
}

// An enclosure of 366 x 192 x 270 mm outside is called 19 litres (common practice,
// no source).
func TestOutsideVolumeInLitres(t *testing.T) {
	size := func(mm float64) *float64 { return &mm }
	litres, known := outsideVolume(&v1.Chassis{DepthMm: size(366), WidthMm: size(192), HeightMm: size(270)})
	if !known || kit.FormatNumber(litres, "l") != "19 l" {
		t.Errorf("366 x 192 x 270 mm come to %v l", litres)
	}
	if _, known := outsideVolume(&v1.Chassis{DepthMm: size(366), WidthMm: size(192)}); known {
		t.Error("a volume came out of two dimensions")
	}
	build := strings.Replace(limited("card_length_mm: 320", longCard), "chassis: {", "chassis: {depth_mm: 366, width_mm: 192, height_mm: 270, ", 1)
	if got := findingOf(t, build, "clearance.arrangement").GetSummary().GetText(); !strings.HasPrefix(got, "Reed Bed (19 l by its outside) has room") {
		t.Errorf("it says %s", got)
	}
}

// factOf is what the pack hands on.
func factOf(t *testing.T, build string) *v1.Arrangement {
	t.Helper()
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: kittest.Build(t, build)})
	if err != nil {
		t.Fatal(err)
	}
	var out kit.Outcome
	if err := e.Evaluate(check, nil, &out); err != nil {
		t.Fatal(err)
	}
	fact := new(v1.Fact)
	for _, f := range out.Facts {
		if f.Name != FactArrangement {
			t.Fatalf("fact %s", f.Name)
		}
		if err := proto.Unmarshal(f.Value, fact); err != nil {
			t.Fatal(err)
		}
	}
	return fact.GetArrangement()
}

func TestFactSaysWhoSitsWhereAndWhatIsNeeded(t *testing.T) {
	seat := func(item, mount string, n uint32) *v1.Seat {
		return &v1.Seat{Item: &item, Mount: &mount, Count: &n}
	}
	yes, no := true, false
	for _, c := range []struct {
		name, build string
		want        *v1.Arrangement
	}{
		{"each used place asks for its own accessory, a row of fans once",
			laidOut("radiators: [{mount: a, nominal_mm: [280], needs: [radiator-bracket]}, {mount: b, nominal_mm: [280], needs: [radiator-bracket]}, {mount: c, nominal_mm: [280], needs: [radiator-bracket]}], fans: [{mount: d, sizes_mm: [120], count: 2, needs: [fan-plate]}]",
				"{id: low, needs: [riser-low]}", "{id: r, count: 2, part: {radiator: {nominal_mm: 280}}}", "{id: f, count: 2, part: {fan: {size_mm: 120}}}"),
			&v1.Arrangement{Layout: proto.String("low"), Seats: []*v1.Seat{seat("r", "a", 1), seat("r", "b", 1), seat("f", "d", 2)},
				Needs: []string{"riser-low", "radiator-bracket", "radiator-bracket", "fan-plate"}}},
		{"mounts of the geometry seat board, supply and card",
			laidOut("board_form_factors: [mini-itx], supply_form_factors: [sfx], supply_length_mm: 200, card_length_mm: 300, card_height_mm: 150, card_thickness_mm: 60, card_slots: 3",
				"{id: low, mounts: [{id: tray, kind: MOUNT_KIND_BOARD}, {id: shelf, kind: MOUNT_KIND_SUPPLY, form_factors: [sfx], needs: [supply-bracket]}, {id: slot, kind: MOUNT_KIND_CARD}]}",
				"{id: board, part: {board: {form_factor: mini-itx}}}", "{id: supply, part: {supply: {form_factor: sfx, length_mm: 100}}}",
				"{id: card, part: {card: {length_mm: 200, height_mm: 100, thickness_mm: 40, slots: 2}}}"),
			&v1.Arrangement{Layout: proto.String("low"), Feasible: &yes, Needs: []string{"supply-bracket"},
				Seats: []*v1.Seat{seat("board", "tray", 1), seat("supply", "shelf", 1), seat("card", "slot", 1)}}},
		{"a failure is not feasible", limited("cooler_height_mm: 100", "{id: cooler, part: {air_cooler: {height_mm: 120}}}"),
			&v1.Arrangement{Feasible: &no}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := factOf(t, c.build); !proto.Equal(got, c.want) {
				t.Errorf("fact\n%v\nwant\n%v", got, c.want)
			}
		})
	}
}
