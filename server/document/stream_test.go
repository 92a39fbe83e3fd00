package document

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// readAll tells each entry of a stream in a line.
func readAll(name string, from io.Reader) []string {
	var out []string
	for e := range ReadAll(name, from, Options{}, func() *slipfitv1.Part { return &slipfitv1.Part{} }) {
		if e.Err != nil {
			out = append(out, fmt.Sprintf("%d@%d %v", e.Number, e.Line, e.Err))
		} else {
			out = append(out, fmt.Sprintf("%d@%d %s", e.Number, e.Line, e.Message.GetId()))
		}
	}
	return out
}

func TestReadAll(t *testing.T) {
	long := strings.Repeat("x", MaxText)
	for _, c := range []struct {
		what, name, text string
		want             []string
	}{
		{"lines", "p.ndjson", "{\"id\":\"a\"}\n\n  \r\n{\"id\":\"b\"\n{\"id\":\"c\",\"idd\":1}\n{\"id\":\"d\"}", []string{
			"1@1 a",
			"2@4 p.ndjson:5:1: document 2: the document ends where a comma or } had to come; it may have been cut off",
			"3@5 p.ndjson:5:11: document 3: Part has no field \"idd\"; the nearest is \"id\"",
			"4@6 d",
		}},
		{"a long line", "p.ndjson", "{\"id\":\"a\"}\n{\"name\":\"" + long + "\"}\n{\"id\":\"c\"}\n", []string{
			"1@1 a", "2@2 p.ndjson:2:1: document 2: the line is longer than 2097152 bytes; one document may have that many", "3@3 c",
		}},
		{"documents", "p.yaml", "# first\nid: a\n---\nid: [\n--- # third\nid: c\n...\n# between\n%YAML 1.2\n---\nid: d\nname: |\n  --- not a marker\n---\n---\n- id: e\n- {id: f,\n   idd: 1}\n---\n", []string{
			"1@2 a",
			"2@3 p.yaml:4: document 2: this is not YAML, here or in the next line: did not find expected node content",
			"3@6 c", "4@11 d", "5@16 e",
			"6@17 p.yaml:18:4: document 6: Part has no field \"idd\"; the nearest is \"id\"",
		}},
		{"a long document", "p.yaml", "id: a\n---\nname: " + long + "\n---\nid: c\n", []string{
			"1@1 a", "2@2 p.yaml:2:1: document 2: the document is longer than 2097152 bytes; split it", "3@5 c",
		}},
		{"a list", "p.json", "[{\"id\":\"a\"},\n{\"id\":\"b\"}]", []string{"1@1 a", "2@2 b"}},
		{"nothing", "p.yaml", "\ufeff# nothing\n---\n", []string{"1@1 p.yaml:1:1: document 1: the document is empty"}},
		{"no lines", "p.ndjson", "\n", nil},
		{"with a mark", "p.ndjson", "\ufeff{\"id\":\"a\"}\n", []string{"1@1 a"}},
		{"binary", "p.binpb", "\x0a\x01a", []string{"1@0 a"}},
		{"told by content", "p", "{\"id\":\"a\"}", []string{"1@1 a"}},
	} {
		if got := readAll(c.name, strings.NewReader(c.text)); !slices.Equal(got, c.want) {
			t.Errorf("%s:\n%s\nwant\n%s", c.what, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
		if got := readAll(c.name, iotest.HalfReader(strings.NewReader(c.text))); !slices.Equal(got, c.want) {
			t.Errorf("%s, read in small pieces:\n%s", c.what, strings.Join(got, "\n"))
		}
	}
}

func TestReadAllEndsWithItsReader(t *testing.T) {
	broken := errors.New("the line was cut")
	for _, name := range []string{"p.yaml", "p.ndjson", "p.json"} {
		from := io.MultiReader(strings.NewReader("{\"id\":\"a\"}\n---\n"), iotest.ErrReader(broken))
		var last error
		for e := range ReadAll(name, from, Options{}, func() *slipfitv1.Part { return &slipfitv1.Part{} }) {
			last = e.Err
		}
		if !errors.Is(last, broken) {
			t.Errorf("%s: the last entry's error is %v, want the reader's", name, last)
		}
	}
}

func TestReadAllStopsWhenAsked(t *testing.T) {
	for _, name := range []string{"p.yaml", "p.ndjson"} {
		text := "{\"id\":\"a\"}\n---\n{\"id\":\"b\"}\n"
		n := 0
		for range ReadAll(name, strings.NewReader(text), Options{}, func() *slipfitv1.Part { return &slipfitv1.Part{} }) {
			n++
			break
		}
		if n != 1 {
			t.Errorf("%s: %d entries after a break", name, n)
		}
	}
}
