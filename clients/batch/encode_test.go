package batch

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
)

// same holds the short way against protobuf's own reader: where it takes a line, it
// makes the same build.
func same(t interface{ Errorf(string, ...any) }, c *encoder, text string) (taken bool) {
	encoded, err := c.build([]byte(text))
	if err != nil {
		return false
	}
	want, got := new(v1.Build), new(v1.Build)
	if err := protojson.Unmarshal([]byte(text), want); err != nil {
		t.Errorf("%q is taken, and protobuf's reader says %v", text, err)
		return true
	}
	if err := proto.Unmarshal(encoded, got); err != nil || !proto.Equal(got, want) {
		t.Errorf("%q becomes %v, want %v (%v)", text, got, want, err)
	}
	return true
}

func TestTheShortWayMakesTheSameBuild(t *testing.T) {
	c := newEncoder()
	for text, want := range map[string]bool{
		`{"id":"a","items":[{"id":"x","part":{"fan":{"size_mm":120}}},{"id":"y","count":2,"part":{"card":{"length_mm":267.5}}}],"room":{"altitude_m":4}}`: true,
		` { "items" : [ { "part" : { "name" : "a \"}] b", "fan" : {} } , "id" : "x" } ] } `:                                                               true,
		`{"items":[{"id":"x"}]}`: true,
		`{"items":[]}`:           true,
		`{}`:                     true,
		`{"items":[{"id":"x","part":{"fan":{"size_mn":120}}}]}`: false,
		`{"items":[{"id":"x","part":{},"part":{}}]}`:            false,
		`{"items":[{"id":"x","part":"fans.yaml#x"}]}`:           false,
		`{"items":[{"id":"x"}],"items":[{"id":"y"}]}`:           false,
		`{"\u0069tems":[{"id":"x","part":{"fan":{}}}]}`:         false,
		`{"items":{"id":"x"}}`:                                  false,
		`{"items":[3]}`:                                         false,
		`{"items":[{"id":"x","part":{"fan":{}}}]`:               false,
		`[]`: false,
		``:   false,
		`{"items":[{"id":"x","part":{"fan":{"size_mm":1}}}]} {"`: false,
	} {
		for range 2 { // the second time from the cache
			if taken := same(t, c, text); taken != want {
				t.Errorf("%s: taken %v, want %v", text, taken, want)
			}
		}
	}
}

func TestTheShortWayIsTheSameOnAnything(t *testing.T) {
	c := newEncoder()
	pieces := []string{
		`{`, `}`, `[`, `]`, `,`, `:`, ` `, `"id":"x"`, `"items":[`, `"part":{"fan":{"size_mm":120}}`, `"part"`, `"a\"b"`, `null`, `1.5`, `"count":3`, `"room":{"mains_v":230}`,
	}
	rapid.Check(t, func(t *rapid.T) {
		text := ""
		for _, i := range rapid.SliceOfN(rapid.IntRange(0, len(pieces)-1), 0, 14).Draw(t, "pieces") {
			text += pieces[i]
		}
		same(t, c, text)
		same(t, c, `{"items":[{`+text+`}]}`)
		same(t, c, `{"items":[{"id":"x","part":{`+text+`}}]}`)
	})
}

func TestWhatIsKnownIsBounded(t *testing.T) {
	k := newKnown(1<<20, func(text []byte) ([]byte, error) { return bytes.Repeat([]byte("x"), 1000), nil })
	for i := range 100_000 {
		text := fmt.Appendf(nil, "{%0100d}", i)
		if _, err := k.get(text); err != nil {
			t.Fatal(err)
		}
		if i%1000 == 0 {
			k.guess(append(text, " and more"...))
		}
	}
	if held := len(k.now.whole) + len(k.old.whole); held > 2*(1<<20)/1100+2 {
		t.Errorf("%d texts of 1.1 kB are held in 2 MB", held)
	}
}

// A text is found where its end is not told, also among texts that begin alike, and
// also after the turn of the halves.
func TestAKnownTextIsGuessedByItsBeginning(t *testing.T) {
	encoded := 0
	k := newKnown(2000, func(text []byte) ([]byte, error) {
		encoded++
		return []byte("of " + string(text[len(text)-2:])), nil
	})
	text := func(i int) string { return `{"` + strings.Repeat("a", beginning) + fmt.Sprint(i) + `}` }
	for i := range 5 {
		if _, err := k.get([]byte(text(i))); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 5 {
		got, n := k.guess([]byte(text(i) + `,"id":"x"}`))
		if string(got) != fmt.Sprintf("of %d}", i) || n != len(text(i)) {
			t.Errorf("text %d is taken for %q of %d bytes", i, got, n)
		}
	}
	if _, n := k.guess([]byte(text(7) + "}")); n != 0 {
		t.Error("a text that was never met is known")
	}
	if encoded != 5 {
		t.Errorf("5 texts were encoded %d times", encoded)
	}
}
