package batch

import (
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
)

// same holds the short way against protobuf's own reader: where it takes a line, it
// makes the same build.
func same(t interface{ Errorf(string, ...any) }, c *partCache, text string) (taken bool) {
	encoded, err := c.encodeBuild([]byte(text))
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
	c := newPartCache()
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
	c := newPartCache()
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

func TestTheCacheIsBounded(t *testing.T) {
	c := newPartCache()
	for i := range 200 {
		text := make([]byte, 1<<20)
		for k := range text {
			text[k] = ' '
		}
		copy(text, `{"fan":{"blades":`+string(rune('1'+i%9))+`}}`)
		text[len(text)-1-i] = '\n'
		if _, err := c.get(text); err != nil {
			t.Fatal(err)
		}
	}
	if held := len(c.now) + len(c.old); held > 70 {
		t.Errorf("%d texts of a megabyte are held", held)
	}
}
