package drawing

import (
	"fmt"
	"math"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
)

// suffix tells the shapes of the other views from those of the side.
func (s *section) suffix() string {
	if s.key == views[side].key {
		return ""
	}
	return "." + s.key
}

// shapeID is the id of a box in a view: where it is drawn first, the name that
// findings use; in the other views the same with the view's name.
func (d *drawing) shapeID(i int, s *section) string {
	if d.drawn[i] {
		return d.id(d.ids[i] + "." + s.key)
	}
	d.drawn[i] = true
	return d.ids[i]
}

// nameShapes gives every box its id before anything is drawn, so that no cable
// and no other view takes the name that findings use.
func (d *drawing) nameShapes() {
	d.ids, d.drawn = make([]string, len(d.solids)), make([]bool, len(d.solids))
	for i := range d.solids {
		d.ids[i] = d.id(d.solids[i].source.GetShape())
	}
}

// leftOver adds to the side's section what no view would show, so that every
// shape of a finding can be found.
func (d *drawing) leftOver() {
	shown := make([]bool, len(d.solids))
	for _, s := range d.sections {
		for _, list := range [...][]int{s.behind, s.cut, s.before, s.rooms} {
			for _, i := range list {
				shown[i] = true
			}
		}
	}
	for i := range shown {
		if !shown[i] {
			d.sections[side].before = append(d.sections[side].before, i)
		}
	}
}

// drawSolids draws the boxes of a section from the farthest to the nearest.
func (d *drawing) drawSolids(s *section) {
	for _, layer := range [...]struct {
		class string
		boxes []int
	}{{"far", s.behind}, {"cut", s.cut}, {"near", s.before}, {"room", s.rooms}} {
		if len(layer.boxes) == 0 {
			continue
		}
		d.open("g", attr{"class", layer.class})
		for _, i := range layer.boxes {
			d.drawSolid(s, i, layer.class)
		}
		d.close("g")
	}
}

func (d *drawing) drawSolid(s *section, i int, layer string) {
	b := &d.solids[i]
	a := s.area(b)
	class := ""
	switch {
	case b.owner == enclosure && b.source.OpenShare != nil:
		class = "opening"
	case b.owner == enclosure && layer == "cut" && min(a.w, a.h) < 4:
		class = "wall" // thin cut walls are filled (ISO 128-3)
	case b.owner == enclosure && layer == "far":
		class = "back"
	}
	attrs := []attr{{"id", d.shapeID(i, s)}}
	if class != "" {
		attrs = append(attrs, attr{"class", class})
	}
	wheel, isWheel := wheelOf(s, b, a)
	if layer != "far" && layer != "cut" || !isWheel {
		d.titled("rect", d.solidWords(b), append(attrs, rect(a)...)...)
		return
	}
	d.open("g", attrs...)
	d.WriteString(" <title>" + escaped(d.solidWords(b)) + "</title>\n")
	d.empty("rect", rect(a)...)
	d.empty("path", attr{"class", "fine"}, attr{"d", wheel})
	d.close("g")
}

// wheelOf is the circle and the hub of a fan that is seen from its front: square,
// thin and open to air.
func wheelOf(s *section, b *solid, a area) (path string, ok bool) {
	depth := b.high[s.away.index] - b.low[s.away.index]
	if b.owner == enclosure || b.source.OpenShare == nil || math.Abs(a.w-a.h) > 0.02*a.w || depth*s.scale > a.w/2 {
		return "", false
	}
	m := a.middle()
	var out strings.Builder
	for _, r := range [...]float64{0.46 * a.w, 0.17 * a.w} {
		fmt.Fprintf(&out, "M%s %sa%[3]s %[3]s 0 1 0 %[4]s 0a%[3]s %[3]s 0 1 0 %[5]s 0z",
			number(m.x-r), number(m.y), number(r), number(2*r), number(-2*r))
	}
	return out.String(), true
}

// purposes in words, for what is no material.
var purposes = map[v1.Purpose]string{
	v1.Purpose_PURPOSE_PLUG:   "room for the plug of ",
	v1.Purpose_PURPOSE_ACCESS: "room for hands and tools at ",
	v1.Purpose_PURPOSE_BREATH: "room for the air of ",
}

// solidWords says what a box is, for readers of shapes.
func (d *drawing) solidWords(b *solid) string {
	text := purposes[b.source.GetPurpose()] + d.name(b)
	if b.owner != enclosure {
		text = fmt.Sprintf("%d, %s", d.parts[b.owner].number, text)
	}
	if b.source.GetPiece() > 0 {
		text += fmt.Sprintf(", piece %d", b.source.GetPiece()+1)
	}
	return text + ": " + number(b.high[0]-b.low[0]) + " x " + number(b.high[1]-b.low[1]) + " x " + number(b.high[2]-b.low[2]) + " mm"
}

// drawConflicts hatches where things overlap, and where less is free than must
// be. Off the plane of the section their outlines are dashed, as what is hidden is
// (ISO 128-2).
func (d *drawing) drawConflicts(s *section) {
	for i := range d.gaps {
		g := &d.gaps[i]
		if !g.isConflict() {
			continue
		}
		b := g.between()
		a := s.area(&b)
		class := "missed"
		if g.isOverlap() {
			class = "clash"
		}
		fill := "url(#slipfit-" + class + ")"
		if !s.cuts(&b, s.plane) {
			class, fill = class+" hidden", "none"
		}
		// A strip that is thinner than a line would not be seen.
		if a.w < 0.8 {
			a.x, a.w = a.x+a.w/2-0.4, 0.8
		}
		if a.h < 0.8 {
			a.y, a.h = a.y+a.h/2-0.4, 0.8
		}
		d.titled("rect", "Conflict: "+d.words(g), append([]attr{
			{"id", d.id(fmt.Sprintf("conflict-%d%s", i+1, s.suffix()))}, {"class", class}, {"fill", fill}}, rect(a)...)...)
	}
}
