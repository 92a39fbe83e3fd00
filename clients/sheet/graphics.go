package sheet

import (
	"encoding/xml"
	"errors"
	"fmt"
	"html/template"
	"io"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
)

// pictureOf takes a picture over where it is plain graphics, else nil: an answer can
// come from a service that somebody else runs.
func pictureOf(p *v1.Picture) *picture {
	if p.GetSvg() == "" || checkGraphics(p.GetSvg()) != nil {
		return nil
	}
	text := p.GetSvg()
	if at := strings.Index(text, "<svg"); at > 0 {
		text = text[at:] // within a page there is no declaration
	}
	return &picture{SVG: template.HTML(text)}
}

// graphics are the elements that a picture may have (SVG 1.1).
var graphics = func() map[string]bool {
	out := map[string]bool{}
	for name := range strings.FieldsSeq("svg title desc g defs style path line polyline polygon rect circle ellipse text tspan use symbol " +
		"marker pattern clipPath mask linearGradient radialGradient stop") {
		out[name] = true
	}
	return out
}()

// checkGraphics refuses whatever in a picture could act or reach outside of it.
func checkGraphics(svg string) error {
	d := xml.NewDecoder(strings.NewReader(svg))
	depth, first := 0, true
	inStyle := false
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			if depth != 0 || first {
				return errors.New("the picture is not whole")
			}
			return nil
		}
		if err != nil {
			return fmt.Errorf("the picture is no XML: %w", err)
		}
		switch t := token.(type) {
		case xml.StartElement:
			if first && t.Name.Local != "svg" || !first && depth == 0 || !graphics[t.Name.Local] {
				return fmt.Errorf("the picture has an element %q", t.Name.Local)
			}
			if err := checkAttributes(t.Attr); err != nil {
				return err
			}
			first, inStyle = false, t.Name.Local == "style"
			depth++
		case xml.EndElement:
			depth--
			inStyle = false
		case xml.CharData:
			if inStyle {
				if err := checkStyle(string(t)); err != nil {
					return err
				}
			}
		case xml.Directive:
			return errors.New("the picture has a document type")
		case xml.ProcInst:
			if t.Target != "xml" {
				return fmt.Errorf("the picture has an instruction %q", t.Target)
			}
		}
	}
}

func checkAttributes(list []xml.Attr) error {
	for _, a := range list {
		name, value := strings.ToLower(a.Name.Local), strings.TrimSpace(a.Value)
		switch {
		case strings.HasPrefix(name, "on"):
			return fmt.Errorf("the picture has an attribute %q", a.Name.Local)
		case name == "href" || name == "src":
			if !strings.HasPrefix(value, "#") {
				return errors.New("the picture refers to something outside of it")
			}
		case name == "xmlns" || a.Name.Space == "xmlns":
		default:
			if err := checkStyle(value); err != nil {
				return err
			}
		}
	}
	return nil
}

// checkStyle refuses style that reaches outside: imports, and addresses that are no
// names within the picture. Escapes could hide either.
func checkStyle(text string) error {
	lower := strings.ToLower(text)
	for _, bad := range []string{"@import", "expression(", "javascript:", "\\", "<", "@font-face", "image("} {
		if strings.Contains(lower, bad) {
			return fmt.Errorf("the picture's style has %q", bad)
		}
	}
	for rest := lower; ; {
		at := strings.Index(rest, "url(")
		if at < 0 {
			return nil
		}
		rest = strings.TrimLeft(rest[at+len("url("):], " '\"")
		if !strings.HasPrefix(rest, "#") {
			return errors.New("the picture's style refers to something outside of it")
		}
	}
}
