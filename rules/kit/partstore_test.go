package kit

import (
	"fmt"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
)

func encodePart(t testing.TB, name string) []byte {
	b, err := proto.Marshal(&v1.Part{Name: &name, Kind: &v1.Part_Fan{Fan: &v1.Fan{SizeMm: proto.Uint32(120)}}})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestStoreDecodesTheSameBytesOnce(t *testing.T) {
	s := newPartStore(1 << 20)
	encoded := encodePart(t, "Heron")
	first, err := s.get(encoded)
	if err != nil {
		t.Fatal(err)
	}
	clear(encoded) // the transport uses its memory again
	again, err := s.get(encodePart(t, "Heron"))
	if err != nil || again != first || first.GetName() != "Heron" {
		t.Errorf("got %p %v, want the part %p again", again, again, first)
	}
}

// Whatever comes, the store holds no more than two generations, and always
// answers with the part that was asked for.
func TestStoreIsBoundedAndRight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const budget = 200
		s := newPartStore(budget)
		for range rapid.IntRange(1, 200).Draw(t, "steps") {
			name := fmt.Sprintf("part-%d", rapid.IntRange(0, 40).Draw(t, "part"))
			b, err := proto.Marshal(&v1.Part{Name: &name})
			if err != nil {
				t.Fatal(err)
			}
			p, err := s.get(b)
			if err != nil || p.GetName() != name {
				t.Fatalf("asked for %s, got %v, %v", name, p, err)
			}
			held := 0
			for _, generation := range []map[string]*v1.Part{s.young, s.old} {
				for key := range generation {
					held += len(key)
				}
			}
			if held > 2*(budget+len(b)) {
				t.Fatalf("the store holds %d bytes", held)
			}
		}
	})
}

// Reading part by part must give what the generated code gives.
func TestReadCheckEqualsGeneratedDecoding(t *testing.T) {
	request := &v1.CheckRequest{
		Build: &v1.Build{
			Id: proto.String("owl"), Title: proto.String("Owl"),
			Items: []*v1.Item{
				{Id: proto.String("a"), Part: &v1.Part{Name: proto.String("A"), Kind: &v1.Part_Fan{Fan: &v1.Fan{}}}, Count: proto.Uint32(2)},
				{Id: proto.String("b"), Part: &v1.Part{Name: proto.String("A"), Kind: &v1.Part_Fan{Fan: &v1.Fan{}}}},
				{Id: proto.String("c")},
			},
			Room: &v1.Room{TemperatureC: proto.Float64(21.5)},
			Use:  &v1.Use{Loads: []*v1.Load{{Item: proto.String("a"), PowerW: proto.Float64(3)}}},
		},
		Policy: []*v1.PolicyValue{{Parameter: proto.String("x.y"), Value: proto.Float64(1)}},
		Packs:  []*v1.PackPin{{Name: proto.String("x")}},
	}
	encoded, err := proto.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	store := newPartStore(1 << 20)
	for range 3 { // pooled messages come back clean
		got := v1.CheckRequestFromVTPool()
		if err := readCheck(encoded, got, store); err != nil {
			t.Fatal(err)
		}
		if !proto.Equal(got, request) {
			t.Fatalf("read %v, want %v", got, request)
		}
		if got.Build.Items[0].Part != got.Build.Items[1].Part {
			t.Error("the same part was decoded twice")
		}
		putBack(got)
	}
	for n := range encoded {
		got := v1.CheckRequestFromVTPool()
		cut := new(v1.CheckRequest)
		mine, theirs := readCheck(encoded[:n], got, store), cut.UnmarshalVT(encoded[:n])
		if (mine == nil) != (theirs == nil) {
			t.Errorf("cut at %d: read says %v, generated code %v", n, mine, theirs)
		}
		putBack(got)
	}
}

// Glances fill no more than a quarter of a store, and give the part that was asked for
// all the same.
func TestGlancesLeaveRoom(t *testing.T) {
	const budget = 40 * partOverhead
	s := newPartStore(budget)
	kept, err := s.get(encodePart(t, "Heron"))
	if err != nil {
		t.Fatal(err)
	}
	for i := range 100 {
		name := fmt.Sprintf("part-%d", i)
		encoded := encodePart(t, name)
		p, err := s.glance(encoded)
		if err != nil || p.GetName() != name {
			t.Fatalf("glanced at %s, got %v, %v", name, p, err)
		}
		if clear(encoded); p.GetName() != name {
			t.Fatalf("%s is %s when the transport uses its memory again", name, p.GetName())
		}
	}
	if s.size > budget/4 || len(s.young) < 5 {
		t.Errorf("%d parts of %d bytes are kept, want some and no more than %d bytes", len(s.young), s.size, budget/4)
	}
	if again, err := s.glance(encodePart(t, "Heron")); err != nil || again != kept {
		t.Errorf("what was there is decoded again (%v)", err)
	}
	if _, err := s.glance([]byte{0xff}); err == nil {
		t.Error("what is no part is taken for one")
	}
}
