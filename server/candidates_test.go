package server_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/shortlist"
)

// demoParts are the parts of the demo's catalogue by their kinds.
func demoParts(tb testing.TB) map[string][]*v1.Part {
	tb.Helper()
	files, err := filepath.Glob("../clients/demo/parts/*.yaml")
	if err != nil || len(files) == 0 {
		tb.Fatalf("there are no demo parts: %v", err)
	}
	out := map[string][]*v1.Part{}
	for _, name := range files {
		file, err := os.Open(name)
		if err != nil {
			tb.Fatal(err)
		}
		for e := range document.ReadAll(name, file, document.Options{}, func() *v1.Part { return new(v1.Part) }) {
			if e.Err != nil {
				tb.Fatal(e.Err)
			}
			kind := shortlist.KindOf(e.Message)
			out[kind] = append(out[kind], e.Message)
		}
		_ = file.Close()
	}
	return out
}

// generator makes parts that no catalogue has: demo parts with other figures, now and
// then one left out, each with a name and a price of its own.
type generator struct {
	random *rand.Rand
	parts  map[string][]*v1.Part
	made   int
}

func newGenerator(tb testing.TB, seed uint64) *generator {
	return &generator{random: rand.New(rand.NewPCG(seed, 7)), parts: demoParts(tb)}
}

// part makes a part of one of the kinds.
func (g *generator) part(kinds ...string) *v1.Part {
	var from []*v1.Part
	for _, kind := range kinds {
		from = append(from, g.parts[kind]...)
	}
	part := proto.CloneOf(from[g.random.IntN(len(from))])
	g.made++
	part.Id = proto.String(fmt.Sprintf("made-%05d", g.made))
	part.Name = proto.String(fmt.Sprintf("Made %d", g.made))
	part.Price = nil
	if g.random.IntN(8) > 0 {
		part.Price = &v1.Price{Amount: proto.Float64(float64(2000+g.random.IntN(20000)) / 100), Currency: proto.String("EUR")}
	}
	m := part.ProtoReflect()
	field := m.WhichOneof(m.Descriptor().Oneofs().ByName("kind"))
	g.vary(m.Mutable(field).Message())
	return part
}

// vary changes figures by up to a tenth, whole numbers where they are large as data
// sheets print them. What other figures have to agree with stays.
func (g *generator) vary(m protoreflect.Message) {
	var fields []protoreflect.FieldDescriptor
	m.Range(func(field protoreflect.FieldDescriptor, _ protoreflect.Value) bool {
		if field.Kind() == protoreflect.DoubleKind && !field.IsList() {
			fields = append(fields, field)
		}
		return true
	})
	slices.SortFunc(fields, func(a, b protoreflect.FieldDescriptor) int { return int(a.Number()) - int(b.Number()) })
	for _, field := range fields {
		switch g.random.IntN(12) {
		case 0, 1, 2, 3:
			v := m.Get(field).Float() * (0.9 + 0.2*g.random.Float64())
			if v > 20 {
				v = float64(int(v))
			} else {
				v = float64(int(v*100)) / 100
			}
			if v > 0 {
				m.Set(field, protoreflect.ValueOfFloat64(v))
			}
		case 4:
			if g.random.IntN(8) == 0 {
				m.Clear(field)
			}
		}
	}
}

// good makes so many parts that are good documents.
func (g *generator) good(tb testing.TB, n int, kinds ...string) []*v1.Part {
	tb.Helper()
	validator, err := document.New()
	if err != nil {
		tb.Fatal(err)
	}
	var out []*v1.Part
	for tries := 0; len(out) < n; tries++ {
		if tries > 20*n+100 {
			tb.Fatalf("hardly any made part of kinds %v is a good document", kinds)
		}
		if part := g.part(kinds...); len(validator.ValidatePart(part)) == 0 {
			out = append(out, part)
		}
	}
	return out
}

// sought are the roles of the demo build that tests and benchmarks seek parts for.
var sought = []struct {
	item  string
	kinds []string
}{
	{"cooler", []string{"air_cooler"}},
	{"card", []string{"card"}},
	{"supply", []string{"supply"}},
	{"memory", []string{"memory"}},
	{"rear-fan", []string{"fan"}},
	{"enclosure", []string{"chassis"}},
}
