package drawing

import (
	"encoding/xml"
	"errors"
	"io"
	"strconv"
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
)

// tb is what tests of every kind have in common.
type tb interface {
	Helper()
	Fatalf(format string, args ...any)
}

// node is one element of a parsed drawing.
type node struct {
	name  string
	attrs map[string]string
	text  string // of its own
	title string // of its title child
	in    []string
}

func (n *node) number(t tb, name string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(n.attrs[name], 64)
	if err != nil {
		t.Fatalf("%s has %s=%q", n.name, name, n.attrs[name])
	}
	return v
}

// parsed reads a drawing back with the standard library's parser.
func parsed(t tb, svg string) (all []*node) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	var open []*node
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatalf("the drawing is no XML: %v", err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			n := &node{name: token.Name.Local, attrs: map[string]string{}}
			for _, a := range token.Attr {
				n.attrs[a.Name.Local] = a.Value
			}
			for _, o := range open {
				n.in = append(n.in, o.attrs["class"])
			}
			open = append(open, n)
			all = append(all, n)
		case xml.CharData:
			if len(open) > 0 {
				open[len(open)-1].text += string(token)
			}
		case xml.EndElement:
			last := open[len(open)-1]
			if open = open[:len(open)-1]; last.name == "title" && len(open) > 0 {
				open[len(open)-1].title = last.text
			}
		case xml.ProcInst, xml.Directive:
			t.Fatalf("the drawing holds %v", token)
		}
	}
}

func drawn(t tb, a *v1.Arrangement, n Names) string {
	t.Helper()
	p, err := Draw(a, n)
	if err != nil {
		t.Fatalf("it cannot be drawn: %v", err)
	}
	return p.GetSvg()
}

func byID(t *testing.T, all []*node) map[string]*node {
	t.Helper()
	out := map[string]*node{}
	for _, n := range all {
		if id, has := n.attrs["id"]; has {
			if out[id] != nil {
				t.Errorf("the id %q is there twice", id)
			}
			out[id] = n
		}
	}
	return out
}
