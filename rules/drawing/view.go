package drawing

import (
	"errors"
	"fmt"
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
)

// solid is a box in the enclosure's frame, in mm.
type solid struct {
	low, high [3]float64
	source    *v1.PlacedBox
	owner     int // part by its place in the list; enclosure where it is the enclosure's own
}

// enclosure stands for the part number of what the enclosure brings.
const enclosure = -1

func (s *solid) isRoom() bool {
	switch s.source.GetPurpose() {
	case v1.Purpose_PURPOSE_PLUG, v1.Purpose_PURPOSE_ACCESS, v1.Purpose_PURPOSE_BREATH:
		return true
	}
	return false
}

// reach is the largest coordinate that a sheet is drawn for, in mm.
const reach = 20000

// solidOf reads one placed box. It returns an error that names the shape where a
// figure is absent, not a number, out of reach or not above zero.
func solidOf(b *v1.PlacedBox) (solid, error) {
	e := b.GetExtent()
	corner := [3]float64{e.GetCorner().GetXMm(), e.GetCorner().GetYMm(), e.GetCorner().GetZMm()}
	size := [3]float64{e.GetSizeXMm(), e.GetSizeYMm(), e.GetSizeZMm()}
	s := solid{low: corner, source: b}
	for k := range corner {
		s.high[k] = corner[k] + size[k]
		if !(size[k] > 0) || !(math.Abs(corner[k]) <= reach) || !(size[k] <= reach) {
			return s, fmt.Errorf("the shape %q cannot be drawn: it needs a place within %d mm and a size above zero along %c; mend its extent",
				Plain(b.GetShape()), reach, "XYZ"[k])
		}
	}
	return s, nil
}

// errNothing is returned where an arrangement has no boxes.
var errNothing = errors.New("the arrangement has no boxes to draw, because the enclosure is described by limits alone; describe its compartments, panels and mounts to get a drawing")

// view is one direction of looking. Each direction is an axis with its sign.
type view struct {
	key, letter, title string
	across, up, away   axis
}

// axis is an axis of the enclosure's frame and which way it counts.
type axis struct {
	index int
	sign  float64
}

func (a axis) of(p [3]float64) float64 { return a.sign * p[a.index] }

// views are the three sections by third-angle projection: what is seen from above
// stands above, what is seen from the front stands beside the front.
var views = [3]view{
	{"side", "A", "seen from the right, front at right", axis{0, 1}, axis{2, 1}, axis{1, 1}},
	{"top", "B", "seen from above, front at right", axis{0, 1}, axis{1, 1}, axis{2, -1}},
	{"front", "C", "seen from the front", axis{1, 1}, axis{2, 1}, axis{0, -1}},
}

// side, top and front are the places of the views in their list.
const (
	side = iota
	top
	front
)

// paper maps a view onto the sheet: where the frame's middle lies, and mm of
// sheet for one mm of the enclosure.
type paper struct {
	*view
	frame  area       // of the enclosure's outline
	middle [3]float64 // of the enclosure, in its own frame
	scale  float64
}

func (p *paper) point(q [3]float64) point {
	m := p.frame.middle()
	return point{
		m.x + (p.across.of(q)-p.across.of(p.middle))*p.scale,
		m.y - (p.up.of(q)-p.up.of(p.middle))*p.scale,
	}
}

func (p *paper) area(s *solid) area {
	a, b := p.point(s.low), p.point(s.high)
	return area{min(a.x, b.x), min(a.y, b.y), math.Abs(a.x - b.x), math.Abs(a.y - b.y)}
}

// near and far are the ends of a box along the direction of looking.
func (v *view) near(s *solid) float64 { return min(v.away.of(s.low), v.away.of(s.high)) }
func (v *view) far(s *solid) float64  { return max(v.away.of(s.low), v.away.of(s.high)) }

// shows reports whether lengths along an axis can be measured in the view.
func (v *view) shows(index int) bool { return index != v.away.index }
