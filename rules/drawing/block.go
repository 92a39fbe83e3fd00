package drawing

import (
	"cmp"
	"fmt"
	"strconv"
)

// listWidth is the least width of a parts list in mm.
const listWidth = 126.0

// rowColumn is the width of a column of the parts list's lettering.
const rowColumn = 0.6 * 2.6

// drawList writes the parts list (ISO 7573): reference, item, name, and where it
// goes; for a cable its lengths.
func (d *drawing) drawList() {
	var rows [][4]string
	for _, p := range d.parts {
		rows = append(rows, [4]string{strconv.Itoa(p.number), p.item, d.names.Parts[p.item], d.placeOf(p.item)})
	}
	for i := range d.routes {
		r := &d.routes[i]
		rows = append(rows, [4]string{strconv.Itoa(r.number), cmp.Or(r.source.GetCable(), r.source.GetConnector()+" cable"),
			"to " + d.called(r.source.GetTo()), r.lengths()})
	}
	d.open("g", attr{"class", "list"})
	for _, a := range d.sheet.lists {
		n := min(len(rows), max(0, int(a.h/listRow)-1))
		if n > 0 {
			d.drawRows(a, rows[:n])
			rows = rows[n:]
		}
	}
	d.close("g")
}

// drawRows writes rows of the parts list under a heading.
func (d *drawing) drawRows(a area, rows [][4]string) {
	y := a.y
	for i, cells := range append([][4]string{{"No.", "Item", "Part", "Place, or length in mm"}}, rows...) {
		class := "row"
		if i == 0 {
			class = "small"
		}
		y += listRow
		x := a.x
		for k, cell := range cells {
			width := [...]float64{7, 31, 0, 53}[k]
			if k == 2 {
				width = a.w - 91
			}
			if cell != "" {
				d.text(class, point{x + 1, y - 1.1}, shortened(cell, int((width-1)/rowColumn)))
			}
			x += width
		}
		d.line("rule", point{a.x, y}, point{a.right(), y})
	}
}

// placeOf lists the mounts that an item sits on.
func (d *drawing) placeOf(item string) (text string) {
	for _, seat := range d.of.GetSeats() {
		if seat.GetItem() != item || seat.GetMount() == "" {
			continue
		}
		if text != "" {
			text += ", "
		}
		text += seat.GetMount()
		if n := seat.GetCount(); n > 1 {
			text += fmt.Sprintf(" x %d", n)
		}
		for _, mm := range seat.GetOffsetsMm() {
			if mm != 0 && isFinite(mm) {
				text += " at " + number(mm)
			}
		}
	}
	return text
}

// drawKey explains the lines, above the title block.
func (d *drawing) drawKey() {
	a := d.sheet.key
	entries := [...]struct {
		class, text string
	}{
		{"cut", "cut by the plane of the section"}, {"far", "behind the plane"},
		{"near", "before the plane"}, {"room", "room for plugs, hands or air"},
		{"cable", "cable"}, {"cable short", "cable that is too short"},
		{"clash", "conflict: overlap"}, {"missed", "conflict: less free than required"},
	}
	d.open("g", attr{"class", "key"})
	for i, e := range entries {
		x, line := a.x+float64(i%4)*a.w/4, a.y+2+float64(i/4)*rowHeight
		box := area{x, line - 1.3, 8, 2.6}
		d.open("g", attr{"class", e.class})
		switch e.class {
		case "cable", "cable short":
			d.empty("path", attr{"d", "M" + pair(point{box.x, line}) + "L" + pair(point{box.right(), line})})
		case "clash", "missed":
			d.empty("rect", append([]attr{{"class", e.class}, {"fill", "url(#slipfit-" + e.class + ")"}}, rect(box)...)...)
		default:
			d.empty("rect", rect(box)...)
		}
		d.close("g")
		d.text("row", point{x + 10, line + 0.9}, e.text)
	}
	d.close("g")
}

// drawBlock writes the title block (ISO 7200) in the corner where it belongs.
func (d *drawing) drawBlock() {
	b := d.sheet.block
	d.open("g", attr{"class", "block"})
	d.empty("rect", append([]attr{{"class", "frame"}}, rect(b)...)...)
	half := b.y + b.h/2
	cells := [...]struct {
		a           area
		label, text string
	}{
		{area{b.x, b.y, 110, 8}, "Title", cmp.Or(d.names.Title, "Arrangement")},
		{area{b.x, half, 60, 8}, "Layout", cmp.Or(d.names.Layout, d.of.GetLayout(), "the only one")},
		{area{b.x + 60, half, 50, 8}, "Arrangement", d.state()},
		{area{b.x + 110, b.y, 22, 8}, "Scale", d.sheet.ratio},
		{area{b.x + 110, half, 22, 8}, "Size", d.sheet.name},
		{area{b.x + 132, b.y, 24, 16}, "Projection", ""},
		{area{b.x + 156, b.y, 24, 8}, "Dimensions", "mm"},
		{area{b.x + 156, half, 24, 8}, "Kind", "sections"},
	}
	for _, c := range cells {
		d.empty("rect", append([]attr{{"class", "rule"}}, rect(c.a)...)...)
		d.text("small", point{c.a.x + 1, c.a.y + 2.7}, c.label)
		d.text("row", point{c.a.x + 1, c.a.y + 6.6}, shortened(c.text, int((c.a.w-2)/rowColumn)))
	}
	d.drawProjection(area{b.x + 132, b.y + 3, 24, 13})
	d.close("g")
}

// state says whether the arrangement goes, and with how much to spare.
func (d *drawing) state() string {
	text := "feasible"
	switch {
	case d.of.Feasible == nil:
		text = "not wholly known"
	case !*d.of.Feasible:
		text = "not feasible"
	}
	if mm := d.of.MarginMm; mm != nil && isFinite(*mm) {
		text += ", margin " + number(*mm)
	}
	return text
}

// drawProjection draws the symbol of third-angle projection: a cone's frustum
// with its small end towards the view of that end (ISO 5456-2).
func (d *drawing) drawProjection(a area) {
	m := a.middle()
	d.open("g", attr{"class", "rule"}, attr{"id", d.id("third-angle")})
	d.WriteString(" <title>Third-angle projection</title>\n")
	left := point{m.x - 5, m.y}
	d.empty("circle", at("cx", left.x), at("cy", left.y), at("r", 3.2))
	d.empty("circle", at("cx", left.x), at("cy", left.y), at("r", 1.6))
	d.empty("path", attr{"d", "M" + pair(point{m.x + 2, m.y - 1.6}) + "L" + pair(point{m.x + 8, m.y - 3.2}) +
		"L" + pair(point{m.x + 8, m.y + 3.2}) + "L" + pair(point{m.x + 2, m.y + 1.6}) + "Z"})
	d.line("axis", point{m.x - 9.5, m.y}, point{m.x + 9.5, m.y})
	d.line("axis", point{left.x, m.y - 4.5}, point{left.x, m.y + 4.5})
	d.close("g")
}
