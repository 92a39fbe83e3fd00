package jsonwire

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

func codecOf(t testing.TB, m proto.Message) *Codec {
	t.Helper()
	c, err := New(m.ProtoReflect().Type())
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// demoChecks are the demo's builds.
func demoChecks(t testing.TB) (out []*v1.CheckRequest) {
	t.Helper()
	files, err := filepath.Glob("../../clients/demo/builds/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("there are no demo builds: %v", err)
	}
	options := document.Options{Resolve: document.FileResolver("../..")}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		build := new(v1.Build)
		if _, err := options.Read(strings.TrimPrefix(file, "../../"), data, build); err != nil {
			t.Fatal(err)
		}
		out = append(out, &v1.CheckRequest{Build: build, Wants: []string{"clearance.ranking"}})
	}
	return out
}

// The short way takes the demo's builds in both spellings, and says what protobuf's own
// reader says.
func TestShortWayReadsAsProtojson(t *testing.T) {
	c := codecOf(t, &v1.CheckRequest{})
	for _, check := range demoChecks(t) {
		for _, spelling := range []protojson.MarshalOptions{{}, {UseProtoNames: true, Multiline: true}} {
			text, err := spelling.Marshal(check)
			if err != nil {
				t.Fatal(err)
			}
			encoded, err := c.short(text)
			if err != nil {
				t.Fatalf("%s goes the long way", check.Build.GetId())
			}
			got := new(v1.CheckRequest)
			if err := proto.Unmarshal(encoded, got); err != nil || !proto.Equal(got, check) {
				t.Errorf("%s is read otherwise: %v", check.Build.GetId(), err)
			}
		}
	}
}

// The short way writes what protojson writes, with other escapes.
func TestShortWayWritesAsProtojson(t *testing.T) {
	c := codecOf(t, &v1.CheckRequest{})
	for _, check := range demoChecks(t) {
		encoded, err := proto.Marshal(check)
		if err != nil {
			t.Fatal(err)
		}
		text, ok := appendObject(nil, c.root, encoded, 1)
		if !ok {
			t.Fatalf("%s goes the long way", check.Build.GetId())
		}
		sameJSON(t, text, check)
	}
}

// sameJSON holds a text against protojson's, value by value, and sees that nothing in it
// could leave a page.
func sameJSON(t interface{ Errorf(string, ...any) }, text []byte, m proto.Message) {
	want, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(m)
	if err != nil {
		t.Errorf("protojson writes no %T: %v", m, err)
		return
	}
	var a, b any
	if json.Unmarshal(text, &a) != nil || json.Unmarshal(want, &b) != nil {
		t.Errorf("no JSON: %.200s", text)
		return
	}
	left, _ := json.Marshal(a)
	right, _ := json.Marshal(b)
	if !bytes.Equal(left, right) {
		t.Errorf("written otherwise:\n%.400s\n%.400s", left, right)
	}
	if at := bytes.IndexAny(text, "<>&\u2028\u2029\u202e\u2066\x1b\u0085"); at >= 0 {
		t.Errorf("a character that has to be escaped stands at %d: %.100q", at, text[at:])
	}
}

// Whatever becomes of a text, both ways agree: what the short way takes, the long way
// takes and understands the same.
func TestShortWayTakesNothingOfItsOwn(t *testing.T) {
	c := codecOf(t, &v1.CheckRequest{})
	var texts [][]byte
	for _, check := range demoChecks(t)[:3] {
		text, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(check)
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, text)
	}
	texts = append(texts, []byte(`{"build":{"id":"a","items":[{"id":"\ud83d\ude00 \u00e9\n","part":{"fan":{"size_mm":120,"flow_m3h":-0.0,"noise_dba":1.5e1}}}]},"wants":[],"policy":null}`))
	pieces := []string{`"`, `{`, `}`, `[`, `]`, `,`, `:`, `null`, `true`, `0`, `-`, `1e400`, `1.`, `00`, `\u0000`, `\ud800`, `"id":"x",`, `"size_mm":1,`, ` `, "\xff", `0.1234567890123456789`, `123456789012345678901`}
	rapid.Check(t, func(t *rapid.T) {
		text := bytes.Clone(rapid.SampledFrom(texts).Draw(t, "text"))
		for range rapid.IntRange(1, 3).Draw(t, "changes") {
			at := rapid.IntRange(0, len(text)-1).Draw(t, "at")
			end := min(len(text), at+rapid.IntRange(0, 3).Draw(t, "cut"))
			piece := rapid.SampledFrom(pieces).Draw(t, "piece")
			text = append(append(bytes.Clone(text[:at]), piece...), text[end:]...)
		}
		encoded, err := c.short(text)
		if err != nil {
			return
		}
		want := new(v1.CheckRequest)
		if _, err := (document.Options{Format: document.FormatJSON}).Read("", text, want); err != nil {
			t.Fatalf("the short way takes what the long way refuses: %v", err)
		}
		got := new(v1.CheckRequest)
		if err := proto.Unmarshal(encoded, got); err != nil || !proto.Equal(got, want) {
			t.Fatalf("the ways differ: %v", err)
		}
	})
}

// Whatever becomes of an encoded message, what the short way writes is what protojson
// writes of it.
func TestShortWayWritesNothingOfItsOwn(t *testing.T) {
	c := codecOf(t, &v1.CheckRequest{})
	checks := demoChecks(t)[:3]
	rapid.Check(t, func(t *rapid.T) {
		encoded, err := proto.Marshal(rapid.SampledFrom(checks).Draw(t, "check"))
		if err != nil {
			t.Fatal(err)
		}
		for range rapid.IntRange(1, 4).Draw(t, "changes") {
			at := rapid.IntRange(0, len(encoded)-1).Draw(t, "at")
			encoded[at] = rapid.Byte().Draw(t, "byte")
		}
		text, ok := appendObject(nil, c.root, encoded, 1)
		if !ok {
			return
		}
		m := new(v1.CheckRequest)
		if err := proto.Unmarshal(encoded, m); err != nil {
			t.Fatalf("the short way writes what cannot be decoded: %v", err)
		}
		sameJSON(t, text, m)
	})
}

// What the short way does not know comes out all the same.
func TestLongWay(t *testing.T) {
	c := codecOf(t, &v1.CheckRequest{})
	for _, text := range []string{
		`{"$schema":"x","build":{"id":"a"}}`,
		`{"build":{"items":[{"part":{"fan":{"size_mm":"120"}}}]}}`,
		`{"build":{"items":[{"part":{"fan":{"size_mm":1.2e2}}}]}}`,
	} {
		if _, err := c.short([]byte(text)); err == nil {
			t.Errorf("the short way takes %s", text)
		}
		if _, err := c.Encode([]byte(text)); err != nil {
			t.Errorf("%s is refused: %v", text, err)
		}
	}
	// Twice the same field is one field (Protocol Buffers, encoding, last one wins).
	first, _ := proto.Marshal(&v1.CheckRequest{Build: &v1.Build{Id: proto.String("<a>")}})
	second, _ := proto.Marshal(&v1.CheckRequest{Build: &v1.Build{Title: proto.String("\u202eb")}})
	text, err := c.Append([]byte("x"), append(first, second...))
	if want := `x{"build":{"id":"\u003ca\u003e","title":"\u202eb"}}`; err != nil || string(text) != want {
		t.Errorf("got %s, %v", text, err)
	}
	if text, err := c.Append([]byte("x"), []byte{0xff}); err == nil || string(text) != "x" {
		t.Errorf("what is no message is written as %s", text)
	}
}

// Every message of the contract that a codec can be made of has one, and maps are told.
func TestContractIsKnown(t *testing.T) {
	for i := range v1.File_slipfit_v1_check_service_proto.Messages().Len() {
		m := v1.File_slipfit_v1_check_service_proto.Messages().Get(i)
		if _, err := tables.of(m); err != nil {
			t.Error(err)
		}
	}
	var d protoreflect.MessageDescriptor = (&v1.CheckResponse{}).ProtoReflect().Descriptor()
	if m, err := tables.of(d); err != nil || m.byKey["build_id"] != m.byKey["buildId"] {
		t.Errorf("a field has not both its names: %v", err)
	}
}

func BenchmarkCodec(b *testing.B) {
	check := demoChecks(b)[0]
	text, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(check)
	if err != nil {
		b.Fatal(err)
	}
	encoded, err := proto.Marshal(check)
	if err != nil {
		b.Fatal(err)
	}
	c := codecOf(b, check)
	b.Run("read", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			if _, err := c.short(text); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("read/protojson", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			m := new(v1.CheckRequest)
			if protojson.Unmarshal(text, m) != nil {
				b.Fatal()
			}
			if _, err := proto.Marshal(m); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("write", func(b *testing.B) {
		b.SetBytes(int64(len(encoded)))
		var out []byte
		for b.Loop() {
			out, _ = appendObject(out[:0], c.root, encoded, 1)
		}
	})
	b.Run("write/protojson", func(b *testing.B) {
		b.SetBytes(int64(len(encoded)))
		for b.Loop() {
			m := new(v1.CheckRequest)
			if proto.Unmarshal(encoded, m) != nil {
				b.Fatal()
			}
			if _, err := protojson.Marshal(m); err != nil {
				b.Fatal(err)
			}
		}
	})
}
