package drawing

import (
	"cmp"
	"fmt"
	"slices"
)

// Lettering in mm of sheet: the font's size, the width of a column of a
// fixed-pitch font, and the height of a line.
const (
	labelSize   = 3.0
	labelColumn = 0.6 * labelSize
)

// note is a text beside a view with a leader line to what it is about.
type note struct {
	text  string
	class string
	to    point
	dot   bool // the leader ends inside a part, not at a dimension

	right   bool    // of the view
	edge, y float64 // where the leader leaves the text
	columns int     // that the text may take
}

// label writes the references of a section: inside a part where there is room,
// else beside the view with a leader line (ISO 128-2), together with the tight
// gaps and the cables.
func (d *drawing) label(s *section) {
	r := d.newRaster(s)
	notes := append(d.gapNotes(s, r), d.cableNotes(s)...)
	free := slices.Clone(r.busy)
	inside := make([]area, len(d.parts))
	for i := range d.parts {
		if a, ok := d.placeInside(r, i); ok {
			inside[i], d.parts[i].told = a, true
		} else if to, seen := r.anchor(int32(i)); seen || !d.parts[i].told && s == d.sections[len(d.sections)-1] {
			if !seen {
				to = d.middleOf(s, i) // hidden in every view, and not to be missed
			}
			d.parts[i].told = true
			notes = append(notes, note{text: d.reference(i), class: "label", to: to, dot: true})
		}
	}
	d.open("g", attr{"class", "labels"})
	// Now that the leaders are known, the labels inside make room for them.
	r.busy = free
	for _, n := range s.layNotes(notes) {
		r.blockLine(point{n.edge, n.y}, n.to)
		d.writeNote(n)
	}
	for i, a := range inside {
		if a.w == 0 {
			continue
		}
		if better, ok := d.placeInside(r, i); ok {
			a = better
		}
		d.text("label in", point{a.middle().x, a.middle().y + labelSize*0.36}, d.reference(i))
	}
	d.close("g")
}

// middleOf is the middle of a part's first box in a view.
func (d *drawing) middleOf(s *section, part int) point {
	for i := range d.solids {
		if b := &d.solids[i]; b.owner == part && !b.isRoom() {
			return s.area(b).middle()
		}
	}
	return s.frame.middle()
}

// reference is an item's number and name on the sheet.
func (d *drawing) reference(part int) string {
	return shortened(fmt.Sprintf("%d %s", d.parts[part].number, d.parts[part].item), 22)
}

func (d *drawing) placeInside(r *raster, part int) (area, bool) {
	return r.place(int32(part), float64(columnsOf(d.reference(part)))*labelColumn+1.5, labelSize+1.2)
}

// gapNotes draws the gaps that a section shows and returns their figures.
func (d *drawing) gapNotes(s *section, r *raster) (notes []note) {
	for i := range d.gaps {
		g := &d.gaps[i]
		if d.viewOf(g) != s {
			continue
		}
		b := g.between()
		a := s.area(&b)
		r.block(area{a.middle().x - 1, a.middle().y - 1, 2, 2})
		notes = append(notes, d.drawGap(s, g, i+1))
	}
	return notes
}

// cableNotes are the references of the cables that a section shows best.
func (d *drawing) cableNotes(s *section) (notes []note) {
	for i := range d.routes {
		r := &d.routes[i]
		if r.isLead() && !r.isShort() {
			continue
		}
		if to, best := d.busiest(r); best == s {
			text := fmt.Sprintf("%d %s", r.number, cmp.Or(r.source.GetCable(), r.source.GetConnector()))
			notes = append(notes, note{text: text, class: "label", to: to, dot: true})
		}
	}
	return notes
}

// busiest is the view that shows most of one stretch of a cable.
func (d *drawing) busiest(r *route) (to point, best *section) {
	most := -1.0
	for _, s := range d.sections {
		if p, length := r.longest(s); length > most {
			to, best, most = p, s, length
		}
	}
	return to, best
}

// layNotes places notes in the columns left and right of a view, no two in the
// same row, and their leaders so that none crosses another on its side.
func (s *section) layNotes(notes []note) []note {
	capacity := int((s.frame.h + 2*rowHeight) / rowHeight)
	slices.SortStableFunc(notes, func(a, b note) int { return cmp.Compare(a.to.x, b.to.x) })
	middle := s.frame.middle().x
	split := 0
	for split < len(notes) && notes[split].to.x < middle {
		split++
	}
	split = min(max(split, len(notes)-capacity), capacity, len(notes))
	for i := range notes {
		notes[i].right, notes[i].edge, notes[i].columns = i >= split, s.frame.x-5, 13
		switch {
		case notes[i].right:
			notes[i].edge = s.frame.right() + 5
		case s.key == views[side].key:
			notes[i].columns = 11 // beside the overall dimension
		}
	}
	for _, column := range [...][]note{notes[:split], notes[split:]} {
		// Where they need more than the view's height, they go on beneath it: above it
		// stands its name.
		top := s.frame.y + 1
		spread(column, top, max(s.frame.bottom()-2, top+float64(len(column)-1)*rowHeight))
		uncross(column)
	}
	return notes
}

// spread gives each note a row near what it is about.
func spread(notes []note, top, bottom float64) {
	slices.SortStableFunc(notes, func(a, b note) int { return cmp.Compare(a.to.y, b.to.y) })
	for i := range notes {
		notes[i].y = max(notes[i].to.y, top)
		if i > 0 {
			notes[i].y = max(notes[i].y, notes[i-1].y+rowHeight)
		}
	}
	for i := len(notes) - 1; i >= 0; i-- {
		notes[i].y = min(notes[i].y, bottom)
		if i < len(notes)-1 {
			notes[i].y = min(notes[i].y, notes[i+1].y-rowHeight)
		}
	}
}

// uncross exchanges the rows of notes whose leaders cross. Each exchange makes
// the leaders shorter together, so that it ends; the bound is for rounding.
func uncross(notes []note) {
	for range len(notes) * len(notes) {
		changed := false
		for i := range notes {
			for j := range i {
				if crosses(point{notes[i].edge, notes[i].y}, notes[i].to, point{notes[j].edge, notes[j].y}, notes[j].to) {
					notes[i].y, notes[j].y = notes[j].y, notes[i].y
					changed = true
				}
			}
		}
		if !changed {
			return
		}
	}
}

// crosses reports whether two stretches cross within both.
func crosses(a, b, c, d point) bool {
	turn := func(p, q, r point) float64 { return (q.x-p.x)*(r.y-p.y) - (q.y-p.y)*(r.x-p.x) }
	return turn(a, b, c)*turn(a, b, d) < 0 && turn(c, d, a)*turn(c, d, b) < 0
}

func (d *drawing) writeNote(n note) {
	anchor, x := "end", n.edge-1
	if n.right {
		anchor, x = "start", n.edge+1
	}
	d.line("leader", point{n.edge, n.y}, n.to)
	if n.dot {
		d.empty("circle", attr{"class", "dot"}, at("cx", n.to.x), at("cy", n.to.y), at("r", 0.5))
	}
	d.text(n.class, point{x, n.y + labelSize*0.36}, shortened(n.text, n.columns), attr{"text-anchor", anchor})
}
