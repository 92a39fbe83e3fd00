package drawing

import (
	"slices"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
)

// hostile are names that have broken pages before.
var hostile = []string{
	`<script>alert(1)</script>`, `"><svg onload=alert(1)>`, `' onmouseover='x`, `]]><!--`, `-->`, `<![CDATA[`, `&lt;&#x41;&amp;`,
	"fan\u202egnp.exe", "\u2066a\u2069", "a\x00b\x1b[31m\u0085", "\ufeff\ufffe\uffff", "line\nbreak\ttab", "\xff\xfe", "\u061cص",
	strings.Repeat("W", 200), strings.Repeat("蛙", 200), "e" + strings.Repeat("\u0301", 150), "", "%s%d", "url(#slipfit-clash)", "javascript:alert(1)",
}

var elements = []string{"svg", "title", "desc", "style", "defs", "pattern", "path", "rect", "g", "text", "circle"}

// Whatever things are called, their names stay text: the drawing is XML of the
// same elements, and the names come back as they went in, harmless characters and
// all.
func TestNamesStayText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.OneOf(rapid.SampledFrom(hostile), rapid.String(), rapid.StringN(0, 200, -1))
		a, n := desk(), deskNames()
		n.Title, n.Layout = name.Draw(t, "title"), name.Draw(t, "layout")
		part, body := name.Draw(t, "part"), name.Draw(t, "body")
		n.Parts["card"] = part
		a.Boxes[13].Body = &body
		shape, connector, mount := name.Draw(t, "shape"), name.Draw(t, "connector"), name.Draw(t, "mount")
		a.Boxes[9].Shape = &shape
		a.Routes[0].Connector = &connector
		a.Seats[2].Mount = &mount
		a.Gaps[0].Reason = &body
		svg := drawn(t, a, n)
		all := parsed(t, svg)
		same(t, all, svg)
		if part == "" {
			part = "card"
		}
		want := "4, " + Plain(part)
		if body != "" && body != "body" {
			want += ", " + Plain(body)
		}
		want += ": 304 x 137 x 61 mm"
		if !slices.ContainsFunc(all, func(n *node) bool { return n.attrs["id"] == "card-0" && n.title == want }) {
			t.Fatalf("the card's title is not %q", want)
		}
	})
}

// same reports elements, attributes and characters that no drawing has.
func same(t *rapid.T, all []*node, svg string) {
	for _, n := range all {
		if !slices.Contains(elements, n.name) {
			t.Fatalf("there is an element %s", n.name)
		}
		for attribute, value := range n.attrs {
			if strings.HasPrefix(attribute, "on") || attribute == "href" || attribute == "style" {
				t.Fatalf("there is an attribute %s=%q", attribute, value)
			}
			if strings.Contains(value, "url(") && value != "url(#slipfit-clash)" && value != "url(#slipfit-missed)" {
				t.Fatalf("there is a reference %q", value)
			}
		}
	}
	for _, r := range svg {
		if r != '\n' && harmful(r) {
			t.Fatalf("there is a character %U", r)
		}
	}
}

func TestStyleRefersToNothingOutside(t *testing.T) {
	for _, bad := range []string{"@import", "url(", "http", "<", "expression"} {
		if strings.Contains(styles, bad) {
			t.Errorf("the style holds %q", bad)
		}
	}
	for line := range strings.Lines(styles) {
		if line = strings.TrimSpace(line); strings.HasPrefix(line, ".") && !strings.HasPrefix(line, ".slipfit-drawing") {
			t.Errorf("the rule %q reaches out of the drawing", line)
		}
	}
}

func TestPlain(t *testing.T) {
	for _, c := range [][2]string{
		{"Marsh 320", "Marsh 320"}, {"Röhricht №5 ✓ 蛙", "Röhricht №5 ✓ 蛙"}, {"a\u202eb", `a\u202eb`}, {"\x07", `\u0007`},
		{"\xff", `\ufffd`}, {"soft\u00adhyphen", `soft\u00adhyphen`}, {"می\u200cشود", "می\u200cشود"}, {"two\nlines", `two\u000alines`},
	} {
		if got := Plain(c[0]); got != c[1] {
			t.Errorf("%q becomes %q, want %q", c[0], got, c[1])
		}
	}
}

func TestShortenedTextFitsItsColumns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text, columns := rapid.String().Draw(t, "text"), rapid.IntRange(2, 60).Draw(t, "columns")
		got := shortened(text, columns)
		if columnsOf(got) > columns {
			t.Fatalf("%q takes %d columns of %d", got, columnsOf(got), columns)
		}
		if whole := Plain(text); columnsOf(whole) <= columns && got != whole {
			t.Fatalf("%q became %q although it fits", whole, got)
		}
	})
}

// Any boxes make a drawing, or an error that says which one cannot be drawn.
func TestAnyBoxesMakeADrawing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-100, 600))
		a := &v1.Arrangement{}
		for i := range rapid.IntRange(0, 30).Draw(t, "boxes") {
			item := rapid.SampledFrom([]string{"enclosure", "card", "fan", ""}).Draw(t, "item")
			purpose := v1.Purpose(rapid.IntRange(0, 6).Draw(t, "purpose"))
			x, y, z := mm.Draw(t, "x"), mm.Draw(t, "y"), mm.Draw(t, "z")
			b := placed("s"+number(float64(i%20)), item, "", purpose, x, y, z, x+mm.Draw(t, "w"), y+mm.Draw(t, "d"), z+mm.Draw(t, "h"))
			if rapid.Bool().Draw(t, "open") {
				open(0.5, b)
			}
			a.Boxes = append(a.Boxes, b)
			axis := v1.Axis(rapid.IntRange(0, 8).Draw(t, "axis"))
			a.Gaps = append(a.Gaps, measured("s"+number(float64(rapid.IntRange(0, 20).Draw(t, "first"))), b.GetShape(), axis, mm.Draw(t, "gap"), mm.Draw(t, "required"), "touch"))
		}
		p, err := Draw(a, Names{Enclosure: "enclosure"})
		if err != nil {
			if !strings.Contains(err.Error(), "; ") || !unicode.IsLower(rune(err.Error()[0])) {
				t.Fatalf("the error is no sentence with a next step: %v", err)
			}
			return
		}
		parsed(t, p.GetSvg())
		for _, bad := range []string{"NaN", "Inf"} {
			if strings.Contains(p.GetSvg(), bad) {
				t.Fatalf("the drawing holds %s", bad)
			}
		}
	})
}
