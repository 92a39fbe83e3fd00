package document

import (
	"bytes"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// finite takes numbers away that JSON cannot say.
func finite(m protoreflect.Message) bool {
	for _, message := range collect(m, nil) {
		sound := true
		message.Range(func(field protoreflect.FieldDescriptor, v protoreflect.Value) bool {
			if field.Kind() == protoreflect.DoubleKind && !field.IsList() {
				sound = sound && v.Float()-v.Float() == 0
			} else if field.Kind() == protoreflect.DoubleKind {
				for i := range v.List().Len() {
					sound = sound && v.List().Get(i).Float()-v.List().Get(i).Float() == 0
				}
			}
			return sound
		})
		if !sound {
			return false
		}
	}
	return true
}

// TestReadsWhatProtojsonWrites holds the reader against protobuf's own JSON
// mapping: what that writes, in either spelling, reads back as the same message,
// as JSON and as YAML.
func TestReadsWhatProtojsonWrites(t *testing.T) {
	var examples []*slipfitv1.CheckRequest
	for _, name := range exampleFiles {
		examples = append(examples, readExample(t, name))
	}
	rapid.Check(t, func(t *rapid.T) {
		c := drawn{t}
		want := proto.CloneOf(examples[c.IntN(len(examples))])
		for range c.IntN(6) {
			mutate(c, want.ProtoReflect())
		}
		if !finite(want.ProtoReflect()) {
			t.Skip("JSON has no such numbers")
		}
		options := protojson.MarshalOptions{
			UseProtoNames: c.IntN(2) == 0, UseEnumNumbers: c.IntN(2) == 0, Multiline: c.IntN(2) == 0,
		}
		text, err := options.Marshal(want)
		if err != nil {
			t.Fatalf("protojson: %v", err)
		}
		if bytes.Equal(text, []byte("{}")) {
			return
		}
		for _, name := range []string{"p.json", "p.yaml"} {
			got := &slipfitv1.CheckRequest{}
			if err := Read(name, text, got); err != nil {
				t.Fatalf("%s: %v\n%s", name, err, text)
			}
			if !proto.Equal(got, want) {
				t.Fatalf("%s: got %v, want %v", name, got, want)
			}
		}
	})
}

// readAndWriteBack reads any bytes; what is taken has to be taken again, and give
// the same message, once protojson has written it.
func readAndWriteBack(t *testing.T, name string, data []byte) {
	t.Helper()
	var first, second slipfitv1.CheckRequest
	if Read(name, data, &first) != nil {
		return
	}
	text, err := protojson.Marshal(&first)
	if err != nil {
		t.Fatalf("protojson: %v", err)
	}
	if err := Read("again.json", text, &second); err != nil {
		t.Fatalf("reading again: %v\n%s", err, text)
	}
	if !proto.Equal(&first, &second) {
		t.Fatalf("first %v, again %v", &first, &second)
	}
}
