package drawing

import (
	"cmp"
	"fmt"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// drawGap marks a gap with two arrows from outside, as ISO 129-1 has it for
// lengths that are too short for arrows within, and returns its note.
func (d *drawing) drawGap(s *section, g *gap, place int) note {
	b := g.between()
	a := s.area(&b)
	m := a.middle()
	class := "dimension"
	if g.isConflict() {
		class = "dimension missed"
	}
	from, to, out := point{a.x, m.y}, point{a.right(), m.y}, point{1, 0}
	if g.axis == s.up.index {
		from, to, out = point{m.x, a.y}, point{m.x, a.bottom()}, point{0, 1}
	}
	id := d.id(fmt.Sprintf("gap-%d", place))
	d.dimensions = append(d.dimensions, d.dimensionOf(g, id))
	d.open("g", attr{"id", id}, attr{"class", class})
	d.WriteString(" <title>" + escaped(d.words(g)) + "</title>\n")
	d.line("fine", from, to)
	d.arrow(from, point{-out.x, -out.y})
	d.arrow(to, out)
	d.close("g")
	return note{text: g.figure(), class: class, to: m}
}

// dimensionOf tells programs what the element of a gap measures.
func (d *drawing) dimensionOf(g *gap, id string) *v1.Dimension {
	out := &v1.Dimension{Element: &id, FirstItem: proto.String(d.itemOf(g.first)), LengthMm: g.source.NominalMm}
	if !g.isAir {
		out.SecondItem = proto.String(d.itemOf(g.second))
	}
	return out
}

// itemOf is the item whose box it is.
func (d *drawing) itemOf(s *solid) string {
	if s.owner == enclosure {
		return cmp.Or(d.names.Enclosure, s.source.GetItem())
	}
	return s.source.GetItem()
}

// arrow draws an arrow from outside to its tip.
func (d *drawing) arrow(tip, away point) {
	d.tip(tip, away)
	d.line("fine", tip, point{tip.x + away.x*4.4, tip.y + away.y*4.4})
}

// drawOverall dimensions the outside of the enclosure, each length once (ISO
// 129-1): its depth and height at the side, its width at the front.
func (d *drawing) drawOverall(s *section) {
	f := s.frame
	d.open("g", attr{"class", "dimension"})
	switch s.key {
	case "side":
		d.across(f.x, f.right(), f.bottom(), f.bottom()+5.5, s.frame.w/s.scale)
		d.upright(f.y, f.bottom(), f.x, f.x-labelWidth+3, f.h/s.scale)
	case "front":
		d.across(f.x, f.right(), f.bottom(), f.bottom()+5.5, f.w/s.scale)
	}
	d.close("g")
}

func (d *drawing) across(x0, x1, from, y, mm float64) {
	for _, x := range [...]float64{x0, x1} {
		d.line("fine", point{x, from + 1}, point{x, y + 1.5})
	}
	d.line("fine", point{x0, y}, point{x1, y})
	d.tip(point{x0, y}, point{1, 0})
	d.tip(point{x1, y}, point{-1, 0})
	d.text("figure", point{(x0 + x1) / 2, y - 0.9}, tenths(mm), attr{"text-anchor", "middle"})
}

func (d *drawing) upright(y0, y1, from, x, mm float64) {
	for _, y := range [...]float64{y0, y1} {
		d.line("fine", point{from - 1, y}, point{x - 1.5, y})
	}
	d.line("fine", point{x, y0}, point{x, y1})
	d.tip(point{x, y0}, point{0, 1})
	d.tip(point{x, y1}, point{0, -1})
	m := point{x - 0.5, (y0 + y1) / 2}
	d.text("figure", m, tenths(mm), attr{"text-anchor", "middle"}, attr{"transform", "rotate(-90 " + pair(m) + ")"})
}

// tip draws an arrowhead with its tip at a point, the rest of it towards away.
func (d *drawing) tip(tip, away point) {
	const length, half = 2.4, 0.45
	base := point{tip.x + away.x*length, tip.y + away.y*length}
	left, right := point{base.x - away.y*half, base.y + away.x*half}, point{base.x + away.y*half, base.y - away.x*half}
	d.empty("path", attr{"class", "arrow"}, attr{"d", "M" + pair(tip) + "L" + pair(left) + "L" + pair(right) + "Z"})
}
