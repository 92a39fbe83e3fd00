package drawing

import (
	"math"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

func TestDrawingIsWhatAssistiveProgramsNeed(t *testing.T) {
	all := parsed(t, drawn(t, desk(), deskNames()))
	root := all[0]
	if root.name != "svg" || root.attrs["role"] != "img" || root.attrs["aria-labelledby"] != "slipfit-title slipfit-desc" {
		t.Errorf("the root is %v", root)
	}
	ids := byID(t, all)
	if got, want := ids["slipfit-title"].text, "Cutting desk: three sections, scale 1:5"; got != want {
		t.Errorf("the title is %q, want %q", got, want)
	}
	for _, want := range []string{
		"Layout Card below the board, not feasible, margin -4.",
		"Conflict: Marsh 320, card and Heron 120, frame overlap by 4 mm along Z",
		"too short",
	} {
		if !strings.Contains(ids["slipfit-desc"].text, want) {
			t.Errorf("the description lacks %q:\n%s", want, ids["slipfit-desc"].text)
		}
	}
	for _, n := range all {
		if _, has := n.attrs["id"]; has && n.title == "" && !slices.Contains([]string{"svg", "title", "desc", "pattern"}, n.name) {
			t.Errorf("the shape %q has no title", n.attrs["id"])
		}
	}
}

// What a finding names is in the drawing under that very id.
func TestEveryShapeIsInTheDrawing(t *testing.T) {
	a := desk()
	// One before all three planes and one that no view needs.
	a.Boxes = append(a.Boxes, placed("corner-block", "enclosure", "corner", v1.Purpose_PURPOSE_SOLID, 343, 0, 267, 344, 1, 268))
	ids := byID(t, parsed(t, drawn(t, a, deskNames())))
	for _, b := range a.Boxes {
		if n := ids[b.GetShape()]; n == nil {
			t.Errorf("the shape %q is not in the drawing", b.GetShape())
		} else if n.title == "" {
			t.Errorf("the shape %q has no title", b.GetShape())
		}
	}
	for _, g := range a.Gaps {
		if ids[g.GetFirst()] == nil || ids[g.GetSecond()] == nil {
			t.Errorf("the gap of %q and %q has no shapes", g.GetFirst(), g.GetSecond())
		}
	}
}

// Views are to scale and stand where third-angle projection has them: the view
// from above over the side, in line with it; the front beside it, in line with it.
func TestViewsAreToScaleAndInLine(t *testing.T) {
	ids := byID(t, parsed(t, drawn(t, desk(), deskNames())))
	side, top, front := ids["card-0"], ids["card-0.top"], ids["card-0.front"]
	// The card is 304 mm long, 137 high and 61 thick; the scale is 1:5.
	for _, c := range []struct {
		n    *node
		w, h float64
	}{{side, 60.8, 12.2}, {top, 60.8, 27.4}, {front, 27.4, 12.2}} {
		if w, h := c.n.number(t, "width"), c.n.number(t, "height"); w != c.w || h != c.h {
			t.Errorf("%s is %v x %v mm on the sheet, want %v x %v", c.n.attrs["id"], w, h, c.w, c.h)
		}
	}
	if side.attrs["x"] != top.attrs["x"] || side.attrs["y"] != front.attrs["y"] {
		t.Errorf("the views are not in line: side %v, top %v, front %v", side.attrs, top.attrs, front.attrs)
	}
	if top.number(t, "y") >= side.number(t, "y") || front.number(t, "x") <= side.number(t, "x") {
		t.Errorf("the views are not placed by the third angle: side %v, top %v, front %v", side.attrs, top.attrs, front.attrs)
	}
	// Seen from the front, the right-hand side (seen from the rear) is at the left.
	if right, left := ids["enclosure-right.front"], ids["enclosure-left.front"]; right.number(t, "x") >= left.number(t, "x") {
		t.Errorf("the front is mirrored: right wall at %v, left wall at %v", right.attrs["x"], left.attrs["x"])
	}
}

// A conflict is told by its hatch and by words, not by its colour alone.
func TestConflictsAreHatchedAndDimensioned(t *testing.T) {
	all := parsed(t, drawn(t, desk(), deskNames()))
	hatched, texts := 0, map[string]bool{}
	for _, n := range all {
		if strings.HasPrefix(n.attrs["fill"], "url(#slipfit-clash") && strings.HasPrefix(n.title, "Conflict: ") {
			hatched++
		}
		if n.name == "text" {
			texts[n.text] = true
		}
	}
	if hatched == 0 {
		t.Error("no overlap is hatched")
	}
	for _, want := range []string{"overlap 4", "49 (≥60)", "10 (≥1)", "10 air", "348", "272", "190"} {
		if !texts[want] {
			t.Errorf("the figure %q is not on the sheet", want)
		}
	}
}

// Programs are told of every dimension that is drawn: which element it is, between
// which items, and the length that its figure has.
func TestDimensionsAreToldAsDrawn(t *testing.T) {
	picture, err := Draw(desk(), deskNames())
	if err != nil {
		t.Fatal(err)
	}
	drawn := map[string]string{} // titles by id
	for _, n := range parsed(t, picture.GetSvg()) {
		if strings.HasPrefix(n.attrs["id"], "gap-") {
			drawn[n.attrs["id"]] = n.title
		}
	}
	told := map[string]bool{}
	for _, d := range picture.Dimensions {
		title, ok := drawn[d.GetElement()]
		length := strings.TrimPrefix(number(d.GetLengthMm()), "-") + " mm"
		if !ok || !strings.Contains(title, length) {
			t.Errorf("%v is drawn as %q", d, title)
		}
		delete(drawn, d.GetElement())
		told[d.GetFirstItem()+" "+d.GetSecondItem()+" "+number(d.GetLengthMm())] = true
	}
	if len(drawn) > 0 {
		t.Errorf("nobody is told of %v", drawn)
	}
	for _, want := range []string{"card bottom-fans -4", "cooler rear-fan 10", "cooler enclosure 13", "cooler memory 6", "card  10"} {
		if !told[want] {
			t.Errorf("%q is not among %v", want, told)
		}
	}
}

// No label lies over another one, in any view.
func TestLabelsDoNotOverlap(t *testing.T) {
	a := desk()
	for i := range 14 { // a crowd in one corner
		x := float64(20 * i)
		a.Boxes = append(a.Boxes, placed("", "extra-"+number(float64(i)), "", v1.Purpose_PURPOSE_SOLID, x, 2, 84, x+6, 9, 90))
	}
	type label struct {
		area
		text string
	}
	var labels []label
	for _, n := range parsed(t, drawn(t, a, deskNames())) {
		class := n.attrs["class"]
		if n.name != "text" || !slices.Contains(n.in, "labels") || !strings.HasPrefix(class, "label") && !strings.HasPrefix(class, "dimension") {
			continue
		}
		w := float64(columnsOf(n.text)) * labelColumn
		x := n.number(t, "x")
		switch {
		case class == "label in":
			x -= w / 2
		case n.attrs["text-anchor"] == "end":
			x -= w
		}
		labels = append(labels, label{area{x, n.number(t, "y") - labelSize*0.75, w, labelSize}, n.text})
	}
	if len(labels) < 30 {
		t.Fatalf("only %d labels", len(labels))
	}
	for i, l := range labels {
		for _, m := range labels[:i] {
			if o := l.overlap(m.area); o.w > 0 && o.h > 0 {
				t.Errorf("%q lies over %q", l.text, m.text)
			}
		}
	}
}

func TestLeadersBesideAViewDoNotCross(t *testing.T) {
	notes := []note{{to: point{50, 10}}, {to: point{20, 12}}, {to: point{60, 13}}, {to: point{30, 40}}, {to: point{55, 39}}}
	spread(notes, 0, 60)
	uncross(notes)
	for i := range notes {
		for j := range i {
			if crosses(point{0, notes[i].y}, notes[i].to, point{0, notes[j].y}, notes[j].to) {
				t.Errorf("leaders %d and %d cross: %v", i, j, notes)
			}
			if math.Abs(notes[i].y-notes[j].y) < rowHeight-1e-9 {
				t.Errorf("rows %d and %d are %v mm apart", i, j, math.Abs(notes[i].y-notes[j].y))
			}
		}
	}
}

func TestSameArrangementGivesTheSameBytes(t *testing.T) {
	first := drawn(t, desk(), deskNames())
	for range 5 {
		if drawn(t, desk(), deskNames()) != first {
			t.Fatal("the same arrangement gave another drawing")
		}
	}
}

func TestSheetAndScaleGrowWithTheEnclosure(t *testing.T) {
	for _, c := range []struct {
		size         [3]float64
		rows         int
		sheet, scale string
	}{
		{[3]float64{100, 60, 80}, 4, "A4", "1:2"},
		{[3]float64{348, 190, 272}, 14, "A4", "1:5"},
		{[3]float64{355, 200, 340}, 23, "A4", "1:5"},
		{[3]float64{500, 230, 480}, 14, "A3", "1:5"},
		{[3]float64{900, 500, 900}, 14, "A3", "1:10"},
		{[3]float64{348, 190, 272}, 50, "A3", "1:5"},
		{[3]float64{20000, 20000, 20000}, 64, "A2", "1:200"},
	} {
		s, err := newSheet(c.size, c.rows)
		if err != nil {
			t.Errorf("%v: %v", c.size, err)
			continue
		}
		if s.name != c.sheet || s.ratio != c.scale {
			t.Errorf("%v with %d rows goes on %s at %s, want %s at %s", c.size, c.rows, s.name, s.ratio, c.sheet, c.scale)
		}
	}
	if _, err := newSheet([3]float64{1e5, 1e5, 1e5}, 4); err == nil {
		t.Error("100 m went on a sheet")
	}
}

func TestWhatCannotBeDrawnIsSaid(t *testing.T) {
	boxed := func(x, w float64) *v1.Arrangement {
		return &v1.Arrangement{Boxes: []*v1.PlacedBox{placed("fin", "cooler", "fins", v1.Purpose_PURPOSE_SOLID, x, 0, 0, x+w, 10, 10)}}
	}
	far := desk()
	far.Routes[0].Points[1].ZMm = proto.Float64(math.Inf(1))
	for _, c := range []struct {
		name string
		a    *v1.Arrangement
		want string
	}{
		{"limits alone", &v1.Arrangement{}, "the arrangement has no boxes to draw, because the enclosure is described by limits alone; describe its compartments, panels and mounts to get a drawing"},
		{"nothing at all", nil, "the arrangement has no boxes to draw, because the enclosure is described by limits alone; describe its compartments, panels and mounts to get a drawing"},
		{"no size", boxed(0, 0), `the shape "fin" cannot be drawn: it needs a place within 20000 mm and a size above zero along X; mend its extent`},
		{"no number", boxed(math.NaN(), 10), `the shape "fin" cannot be drawn: it needs a place within 20000 mm and a size above zero along X; mend its extent`},
		{"endless", boxed(0, math.Inf(1)), `the shape "fin" cannot be drawn: it needs a place within 20000 mm and a size above zero along X; mend its extent`},
		{"a cable to infinity", far, `the cable to "board" cannot be drawn: a corner of its way lies beyond 20000 mm; mend the places of outlets and sockets`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Draw(c.a, Names{})
			if err == nil || err.Error() != c.want {
				t.Errorf("it says %v\nwant    %s", err, c.want)
			}
		})
	}
}

func BenchmarkDraw(b *testing.B) {
	a, names := desk(), deskNames()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Draw(a, names); err != nil {
			b.Fatal(err)
		}
	}
}

// Every part bears its reference in one view at least, however thin it is on paper.
func TestEveryPartIsReferredTo(t *testing.T) {
	a := desk()
	a.Boxes = append(a.Boxes, placed("slip-0", "slip", "", v1.Purpose_PURPOSE_SOLID, 120, 90, 90, 121, 91, 91),
		placed("hidden-0", "hidden", "", v1.Purpose_PURPOSE_SOLID, 120, 90, 89, 120.2, 90.2, 89.2))
	said := ""
	for _, n := range parsed(t, drawn(t, a, deskNames())) {
		if n.name == "text" && slices.Contains(n.in, "labels") {
			said += n.text + "\n"
		}
	}
	seen := map[string]bool{}
	for _, b := range a.Boxes {
		if item := b.GetItem(); item != "" && item != deskNames().Enclosure && !seen[item] {
			seen[item] = true
			if short := item[:min(len(item), 4)]; !strings.Contains(said, " "+short) {
				t.Errorf("nothing refers to %s:\n%s", item, said)
			}
		}
	}
	if len(seen) < 6 {
		t.Errorf("only %d parts", len(seen))
	}
}
