package drawing

import (
	"cmp"
	"math"
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
)

// gap is one separation that the drawing shows.
type gap struct {
	first, second *solid
	axis          int
	source        *v1.Gap
	isAir         bool // free way before a fan: first and second are its box
}

// mostGaps is how many gaps are dimensioned: more would hide what they measure.
const mostGaps = 10

// isOverlap reports whether both things are in the same place.
func (g *gap) isOverlap() bool { return g.source.GetNominalMm() < 0 }

// isConflict reports whether the gap is smaller than it must be.
func (g *gap) isConflict() bool {
	return g.isOverlap() || g.source.GetNominalMm() < g.source.GetRequiredMm()
}

// spare is what a gap has beyond what it must be.
func (g *gap) spare() float64 { return g.source.GetNominalMm() - g.source.GetRequiredMm() }

// readGaps takes the gaps whose things are both in the drawing: of each two
// things the tightest, conflicts always, of the rest the tightest.
func (d *drawing) readGaps(list []*v1.Gap) {
	for _, source := range list {
		a, b := d.byShape[source.GetFirst()], d.byShape[source.GetSecond()]
		if a == nil || b == nil || source.NominalMm == nil || !isFinite(source.GetNominalMm()) || !isFinite(source.GetRequiredMm()) || source.GetAxis() < v1.Axis_AXIS_X_PLUS || source.GetAxis() > v1.Axis_AXIS_Z_MINUS {
			continue
		}
		d.gaps = append(d.gaps, gap{first: a, second: b, axis: int(source.GetAxis()-v1.Axis_AXIS_X_PLUS) / 2, source: source})
	}
	slices.SortStableFunc(d.gaps, func(a, b gap) int { return cmp.Compare(a.spare(), b.spare()) })
	seen := map[[2]string]bool{}
	kept := d.gaps[:0]
	for _, g := range d.gaps {
		key := [2]string{thing(g.first), thing(g.second)}
		slices.Sort(key[:])
		if !seen[key] && (len(kept) < mostGaps || g.isConflict()) {
			seen[key] = true
			kept = append(kept, g)
		}
	}
	d.gaps = kept
	d.readAir()
}

// tightAir is the longest free way before a fan that is dimensioned, in mm.
const tightAir = 40

// readAir takes the short free ways before fans as gaps, one for each item.
func (d *drawing) readAir() {
	seen := map[int]bool{}
	for i := range d.solids {
		b := &d.solids[i]
		if b.source.GetPurpose() != v1.Purpose_PURPOSE_BREATH || b.owner == enclosure || seen[b.owner] {
			continue
		}
		axis, along := d.airOf(b)
		if axis < 0 || b.high[axis]-b.low[axis] > tightAir {
			continue
		}
		if seen[b.owner] = true; d.isMeasured(b, axis) {
			continue
		}
		mm := b.high[axis] - b.low[axis]
		d.gaps = append(d.gaps, gap{first: b, second: b, axis: axis, isAir: true, source: &v1.Gap{NominalMm: &mm, Axis: &along}})
	}
}

// isMeasured reports whether a gap from face to face of a box is there already.
func (d *drawing) isMeasured(b *solid, axis int) bool {
	return slices.ContainsFunc(d.gaps, func(g gap) bool {
		s := g.between()
		return g.axis == axis && math.Abs(s.low[axis]-b.low[axis]) < 0.05 && math.Abs(s.high[axis]-b.high[axis]) < 0.05
	})
}

// airOf is the axis along which a box of air leads away from its part, -1 where
// it does not touch it.
func (d *drawing) airOf(air *solid) (index int, along v1.Axis) {
	for i := range d.solids {
		b := &d.solids[i]
		if b.owner != air.owner || b.isRoom() {
			continue
		}
		for k := range b.low {
			if math.Abs(air.low[k]-b.high[k]) < 0.01 || math.Abs(air.high[k]-b.low[k]) < 0.01 {
				return k, v1.Axis(2*k + int(v1.Axis_AXIS_X_PLUS))
			}
		}
	}
	return -1, v1.Axis_AXIS_UNSPECIFIED
}

// thing is what a person calls one thing: a part with all its boxes, or one piece
// of the enclosure.
func thing(s *solid) string {
	if s.owner == enclosure {
		return "enclosure " + s.source.GetBody()
	}
	return "part " + s.source.GetItem()
}

// between is the box in which the two things overlap, or that lies between them:
// along the gap's axis from face to face, across it where they lie side by side.
func (g *gap) between() solid {
	var s solid
	for k := range s.low {
		a, b := max(g.first.low[k], g.second.low[k]), min(g.first.high[k], g.second.high[k])
		s.low[k], s.high[k] = min(a, b), max(a, b)
	}
	return s
}

// words says what a gap is, for readers of shapes.
func (d *drawing) words(g *gap) string {
	mm := g.source.GetNominalMm()
	if g.isAir {
		return number(mm) + " mm are free for the air of " + d.name(g.first)
	}
	text := d.name(g.first) + " and " + d.name(g.second)
	if g.isOverlap() {
		text += " overlap by " + number(-mm) + " mm"
	} else {
		text += " are " + number(mm) + " mm apart"
	}
	text += " along " + "XYZ"[g.axis:g.axis+1]
	if low, high := g.source.LowMm, g.source.HighMm; low != nil && high != nil && isFinite(*low) && isFinite(*high) {
		text += ", " + number(*low) + " to " + number(*high) + " mm in the worst case"
	}
	if g.source.GetRequiredMm() > 0 {
		text += "; at least " + number(g.source.GetRequiredMm()) + " mm are required"
		if reason := g.source.GetReason(); reason != "" {
			text += " (" + reason + ")"
		}
	}
	return text
}

// figure is the dimension as written on the sheet.
func (g *gap) figure() string {
	mm := g.source.GetNominalMm()
	switch {
	case g.isAir:
		return tenths(mm) + " air"
	case g.isOverlap():
		return "overlap " + tenths(-mm)
	case g.source.GetRequiredMm() > 0:
		return tenths(mm) + " (≥" + tenths(g.source.GetRequiredMm()) + ")"
	}
	return tenths(mm)
}

// viewOf is the view that shows a gap's length, of several the one whose plane
// meets most of it.
func (d *drawing) viewOf(g *gap) *section {
	var best *section
	most := -1
	for _, s := range d.sections {
		if !s.shows(g.axis) {
			continue
		}
		worth := 0
		for _, b := range [...]*solid{g.first, g.second} {
			switch {
			case s.cuts(b, s.plane):
				worth += 3
			case s.near(b) >= s.plane:
				worth++
			}
		}
		if worth > most {
			best, most = s, worth
		}
	}
	return best
}
