package drawing

import (
	"strings"
)

// point is a place on the sheet in mm, x to the right and y downwards.
type point struct{ x, y float64 }

// area is an upright rectangle on the sheet.
type area struct{ x, y, w, h float64 }

func (a area) right() float64  { return a.x + a.w }
func (a area) bottom() float64 { return a.y + a.h }
func (a area) middle() point   { return point{a.x + a.w/2, a.y + a.h/2} }

// overlap is the common rectangle, with no width or height where there is none.
func (a area) overlap(b area) area {
	x, y := max(a.x, b.x), max(a.y, b.y)
	return area{x, y, max(0, min(a.right(), b.right())-x), max(0, min(a.bottom(), b.bottom())-y)}
}

// canvas writes elements. Attribute values are given as they are, so that only
// escaped text may go in.
type canvas struct {
	strings.Builder
	taken map[string]bool
	depth int
}

// attr is one attribute.
type attr struct{ name, value string }

func at(name string, mm float64) attr { return attr{name, number(mm)} }

// open begins an element.
func (c *canvas) open(name string, attrs ...attr) {
	c.start(name, attrs)
	c.WriteString(">\n")
	c.depth++
}

func (c *canvas) start(name string, attrs []attr) {
	c.WriteString(strings.Repeat(" ", c.depth))
	c.WriteByte('<')
	c.WriteString(name)
	for _, a := range attrs {
		c.WriteByte(' ')
		c.WriteString(a.name)
		c.WriteString(`="`)
		c.WriteString(a.value)
		c.WriteByte('"')
	}
}

func (c *canvas) close(name string) {
	c.depth--
	c.WriteString(strings.Repeat(" ", c.depth))
	c.WriteString("</" + name + ">\n")
}

// empty writes an element without content.
func (c *canvas) empty(name string, attrs ...attr) {
	c.start(name, attrs)
	c.WriteString("/>\n")
}

// titled writes an element whose only content is a title for readers of shapes.
func (c *canvas) titled(name, title string, attrs ...attr) {
	c.start(name, attrs)
	c.WriteString("><title>" + escaped(title) + "</title></" + name + ">\n")
}

// text writes text at a point; class says its size and how it is anchored. Its ink
// stands in an attribute too, for pages that keep styles out.
func (c *canvas) text(class string, p point, text string, attrs ...attr) {
	c.start("text", append([]attr{{"class", class}, at("x", p.x), at("y", p.y), {"fill", "currentColor"}, {"stroke", "none"}}, attrs...))
	c.WriteString(">" + escaped(text) + "</text>\n")
}

// line writes a straight line.
func (c *canvas) line(class string, a, b point) {
	c.empty("path", attr{"class", class}, attr{"d", "M" + pair(a) + "L" + pair(b)})
}

func pair(p point) string { return number(p.x) + " " + number(p.y) }

// rect are the attributes of a rectangle.
func rect(a area) []attr {
	return []attr{at("x", a.x), at("y", a.y), at("width", a.w), at("height", a.h)}
}

// id makes a name that is no other shape's. A wish that is no XML name (or a
// name that is taken already) gets a number instead.
func (c *canvas) id(wish string) string {
	if !isName(wish) {
		wish = "shape"
	}
	id := wish
	for n := 2; c.taken[id]; n++ {
		id = wish + "." + number(float64(n))
	}
	c.taken[id] = true
	return id
}

// isName reports whether a word of ASCII letters can be an XML id as it is.
func isName(s string) bool {
	for i, r := range s {
		letter := r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == '_'
		if !letter && (i == 0 || !(r >= '0' && r <= '9' || r == '-' || r == '.')) {
			return false
		}
	}
	return s != ""
}
