package drawing

import (
	"fmt"
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
)

// route is the way of a cable through the drawing.
type route struct {
	source *v1.Route
	number int // item reference, after those of the parts
	points [][3]float64
}

// readRoutes takes the ways that have at least two corners.
func (d *drawing) readRoutes(list []*v1.Route) error {
	for _, source := range list {
		if len(source.GetPoints()) < 2 {
			continue
		}
		r := route{source: source, number: len(d.parts) + len(d.routes) + 1}
		for _, p := range source.GetPoints() {
			q := [3]float64{p.GetXMm(), p.GetYMm(), p.GetZMm()}
			for _, v := range q {
				if !(math.Abs(v) <= reach) {
					return fmt.Errorf("the cable to %q cannot be drawn: a corner of its way lies beyond %d mm; mend the places of outlets and sockets",
						Plain(source.GetTo()), reach)
				}
			}
			r.points = append(r.points, q)
		}
		d.routes = append(d.routes, r)
	}
	return nil
}

// kind names the cable in the parts list.
func (d *drawing) kind(r *route) string {
	if cable := r.source.GetCable(); cable != "" {
		return d.called(cable)
	}
	return "cable " + r.source.GetConnector()
}

// lengths says how long the cable must be and how long it is.
func (r *route) lengths() (text string) {
	add := func(word string, mm *float64) {
		if mm == nil || !isFinite(*mm) {
			return
		}
		if text != "" {
			text += ", "
		}
		text += word + " " + number(math.Round(*mm))
	}
	add("needs", r.source.NeededMm)
	add("order", r.source.OrderMm)
	add("has", r.source.HaveMm)
	return text
}

// isShort reports whether the cable at hand does not reach.
func (r *route) isShort() bool {
	return r.source.HaveMm != nil && r.source.NeededMm != nil && *r.source.HaveMm < *r.source.NeededMm
}

// words says what a cable is, for readers of shapes.
func (d *drawing) routeWords(r *route) string {
	text := fmt.Sprintf("%d, %s from %s to %s", r.number, d.kind(r), d.called(r.source.GetFrom()), d.called(r.source.GetTo()))
	if l := r.lengths(); l != "" {
		text += ": " + l + " mm"
	}
	if r.isShort() {
		text += "; too short"
	}
	return text
}

// drawRoutes draws the ways over everything else, with a casing that keeps them
// apart from what they cross.
func (d *drawing) drawRoutes(s *section) {
	for i := range d.routes {
		r := &d.routes[i]
		path := "M"
		for k, q := range r.points {
			if k > 0 {
				path += "L"
			}
			path += pair(s.point(q))
		}
		class := "cable"
		if r.isLead() {
			class = "cable lead"
		}
		if r.isShort() {
			class += " short"
		}
		d.open("g", attr{"id", d.id(fmt.Sprintf("cable-%d%s", i+1, s.suffix()))}, attr{"class", class})
		d.WriteString(" <title>" + escaped(d.routeWords(r)) + "</title>\n")
		d.empty("path", attr{"class", "casing"}, attr{"d", path})
		d.empty("path", attr{"d", path})
		for _, end := range [...]int{0, len(r.points) - 1} {
			p := s.point(r.points[end])
			d.empty("circle", at("cx", p.x), at("cy", p.y), at("r", r.endSize()))
		}
		d.close("g")
	}
}

// isLead reports whether the cable carries signals or the little power of a fan:
// those are drawn narrower, and named beside a view only where they do not reach.
func (r *route) isLead() bool {
	switch r.source.GetConnector() {
	case "fan-4", "fan-3", "pump-4", "front-panel", "hd-audio", "usb2-header", "usb3-19", "usb-c-key-a", "sata-data":
		return true
	}
	return false
}

// endSize is the radius of the dots at a cable's ends, in mm of sheet.
func (r *route) endSize() float64 {
	if r.isLead() {
		return 0.5
	}
	return 0.8
}

// longest is the middle of the longest stretch of a way in a view, and how long
// it is on the sheet.
func (r *route) longest(s *section) (middle point, length float64) {
	for k := 1; k < len(r.points); k++ {
		a, b := s.point(r.points[k-1]), s.point(r.points[k])
		if l := math.Hypot(a.x-b.x, a.y-b.y); l > length {
			middle, length = point{(a.x + b.x) / 2, (a.y + b.y) / 2}, l
		}
	}
	return middle, length
}
