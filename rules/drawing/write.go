package drawing

import (
	"cmp"
	"fmt"
)

// isFinite is in the language of figures: neither infinite nor no number at all.
func isFinite(v float64) bool { return v-v == 0 }

// write draws the sheet.
func (d *drawing) write() {
	s := d.sheet
	for _, id := range [...]string{"slipfit-title", "slipfit-desc", "slipfit-clash", "slipfit-missed"} {
		d.taken[id] = true
	}
	d.nameShapes()
	d.leftOver()
	d.open("svg", attr{"xmlns", "http://www.w3.org/2000/svg"}, attr{"version", "1.1"}, attr{"class", "slipfit-drawing"},
		attr{"width", number(s.width) + "mm"}, attr{"height", number(s.height) + "mm"},
		attr{"viewBox", "0 0 " + number(s.width) + " " + number(s.height)},
		attr{"role", "img"}, attr{"aria-labelledby", "slipfit-title slipfit-desc"},
		attr{"color", "#17212b"}, attr{"stroke-width", "0.25"}, attr{"font-size", "3"})
	d.WriteString("<title id=\"slipfit-title\">" + escaped(d.heading()) + "</title>\n")
	d.WriteString("<desc id=\"slipfit-desc\">" + escaped(d.description()) + "</desc>\n")
	d.WriteString("<style>" + styles + "</style>\n")
	d.writeDefs()
	d.empty("rect", append([]attr{{"class", "paper"}, {"fill", "#ffffff"}}, rect(area{0, 0, s.width, s.height})...)...)
	d.empty("rect", append([]attr{{"class", "frame"}, {"fill", "none"}, {"stroke", "currentColor"}},
		rect(area{marginLeft, margin, s.width - marginLeft - margin, s.height - 2*margin})...)...)
	for _, section := range d.sections {
		d.drawSection(section)
	}
	d.drawList()
	d.drawKey()
	d.drawBlock()
	d.close("svg")
}

func (d *drawing) drawSection(s *section) {
	d.open("g", attr{"id", d.id("section-" + s.key)}, attr{"fill", "none"}, attr{"stroke", "currentColor"})
	d.WriteString(" <title>" + escaped("Section "+s.letter+"-"+s.letter+", "+s.title) + "</title>\n")
	d.drawSolids(s)
	d.drawConflicts(s)
	d.drawRoutes(s)
	d.drawOverall(s)
	d.drawPlanes(s)
	d.label(s)
	heading := point{s.frame.x, s.frame.y - 3}
	if mark := d.markOf(s, d.sections[front]).x; s.key == views[side].key && mark < heading.x+10+float64(columnsOf(s.title))*rowColumn+4 {
		heading.x = max(heading.x-10, mark+3) // beside the mark of the plane
		if heading.x > s.frame.middle().x {
			heading.x = s.frame.x - 26
		}
	}
	d.text("head", heading, s.letter+"-"+s.letter)
	d.text("small", point{heading.x + 10, heading.y}, s.title)
	d.close("g")
}

// drawPlanes marks at the edges of a view where the other sections are cut, with
// arrows the way that they look (ISO 128-3).
func (d *drawing) drawPlanes(s *section) {
	const out, length = 1.5, 4.0
	for _, other := range d.sections {
		// Each plane is marked once: those of top and front beside the side, that of
		// the side beside the top.
		if (other.key == views[side].key) != (s.key == views[top].key) || s.key == views[front].key {
			continue
		}
		p := d.markOf(s, other)
		if other.away.index == s.across.index {
			look := other.away.sign * s.across.sign
			for _, y := range [...]float64{s.frame.y - out - length, s.frame.bottom() + out} {
				d.line("plane", point{p.x, y}, point{p.x, y + length})
			}
			d.arrowTo(point{p.x, s.frame.bottom() + out + length/2}, point{look, 0})
			d.text("label in", point{p.x - look*2.2, s.frame.bottom() + out + length - 0.5}, other.letter)
			continue
		}
		look := -other.away.sign * s.up.sign
		for _, x := range [...]float64{s.frame.x - out - length, s.frame.right() + out} {
			d.line("plane", point{x, p.y}, point{x + length, p.y})
		}
		d.arrowTo(point{s.frame.x - out - length/2, p.y}, point{0, look})
		d.text("label in", point{s.frame.x - out - 0.2, p.y + look*3.4 + 1}, other.letter)
	}
}

// markOf is where the plane of another section meets a view.
func (d *drawing) markOf(s, other *section) point {
	at := d.middle
	at[other.away.index] = other.plane * other.away.sign
	return s.point(at)
}

// arrowTo draws an arrow from a point.
func (d *drawing) arrowTo(from, along point) {
	const length = 4.4
	tip := point{from.x + along.x*length, from.y + along.y*length}
	d.line("fine", from, tip)
	d.tip(tip, point{-along.x, -along.y})
}

func (d *drawing) heading() string {
	return cmp.Or(d.names.Title, "Arrangement") + ": three sections, scale " + d.sheet.ratio
}

// description says in words what the drawing shows.
func (d *drawing) description() string {
	text := fmt.Sprintf("Layout %s, %s.", cmp.Or(d.names.Layout, d.of.GetLayout(), "the only one"), d.state())
	for i := range d.gaps {
		g := &d.gaps[i]
		switch {
		case g.isConflict():
			text += " Conflict: " + d.words(g) + "."
		case i == 0:
			text += " Tightest: " + d.words(g) + "."
		}
	}
	for i := range d.routes {
		if r := &d.routes[i]; r.isShort() {
			text += " Cable " + d.routeWords(r) + "."
		}
	}
	return text
}
