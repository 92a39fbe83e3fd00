package clearance

import (
	"math/rand/v2"
	"path"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

// kindsBound are the kinds of items that bounds speak about, by the files of the demo.
var kindsBound = []string{"coolers", "cards", "supplies", "memory", "fans", "loops", "chassis"}

// demoPartsOf are the demo's parts of one file, by their order.
func demoPartsOf(t testing.TB, file string) (out []*v1.Part) {
	t.Helper()
	all, err := demoParts()
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for name := range all {
		if strings.HasPrefix(name, file+".yaml#") {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	for _, name := range names {
		out = append(out, demoPart(t, path.Base(name)))
	}
	return out
}

// sameKind reports whether two parts are of one kind.
func sameKind(a, b *v1.Part) bool {
	kind := a.ProtoReflect().Descriptor().Oneofs().ByName("kind")
	return a.ProtoReflect().WhichOneof(kind) == b.ProtoReflect().WhichOneof(kind)
}

// candidates draws builds with a candidate among their items: parts of the demo with
// stretched and missing figures, in builds of the demo with their fixed places and
// without, and in enclosures made up at random.
type candidates struct {
	t      *testing.T
	parts  map[string][]*v1.Part
	builds []*v1.Build
}

func newCandidates(t *testing.T) *candidates {
	c := &candidates{t: t, parts: map[string][]*v1.Part{}}
	for _, file := range kindsBound {
		c.parts[file] = demoPartsOf(t, file)
	}
	for _, id := range demoBuilds(t) {
		c.builds = append(c.builds, demoBuild(t, id))
	}
	return c
}

// draw is a build, the file that the candidate comes from, and its place, -1 where the
// build wants no such part.
func (c *candidates) draw(r *rapid.T) (build *v1.Build, file string, at int) {
	file = rapid.SampledFrom(kindsBound).Draw(r, "kind")
	part := proto.CloneOf(rapid.SampledFrom(c.parts[file]).Draw(r, "part"))
	build = proto.CloneOf(rapid.SampledFrom(c.builds).Draw(r, "build"))
	if file != "chassis" && rapid.IntRange(0, 2).Draw(r, "made up") == 0 {
		seed := rapid.Uint64().Draw(r, "seed")
		made := drawEnclosure(c.t, rand.New(rand.NewPCG(seed, 3)))
		build = made.asBuild()
	}
	if rapid.IntRange(0, 3).Draw(r, "free") == 0 {
		build.Arrangement = nil
	}
	kittest.Stretch(r, part.ProtoReflect(), rapid.SampledFrom([]int{0, 5, 20}).Draw(r, "share"))
	if rapid.IntRange(0, 9).Draw(r, "holes") == 0 {
		kittest.Punch(r, part.ProtoReflect(), 2)
	}
	if at = slices.IndexFunc(build.Items, func(it *v1.Item) bool { return sameKind(it.Part, part) }); at >= 0 {
		build.Items[at].Part = part
	}
	return build, file, at
}

// What is foretold of a candidate holds good of what is found once it is solved.
func TestBoundsHold(t *testing.T) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	from := newCandidates(t)
	ceilings, reached, unfit := map[string]int{}, map[string]int{}, map[string]int{}
	rapid.Check(t, func(r *rapid.T) {
		build, file, at := from.draw(r)
		if at < 0 {
			return
		}
		f, err := kittest.Foresee(e, build, at, nil)
		if err != nil {
			r.Fatal(err)
		}
		if f.Unfit {
			unfit[file]++
		}
		if f.Ceiling != nil && f.MarginShare != nil {
			ceilings[file]++
			if *f.Ceiling-*f.MarginShare < 1e-4 {
				reached[file]++
			}
		}
	})
	t.Logf("of candidates that fit %v have a ceiling, %v reach it; %v were known not to fit", ceilings, reached, unfit)
	told := 0
	for _, file := range kindsBound {
		told += ceilings[file] + unfit[file]
	}
	if told == 0 || len(reached) == 0 {
		t.Error("too little was foretold for the above to say much")
	}
}

// Whoever wants to know only by which rule a candidate falls out hears the same of it as
// who wants to know all.
func TestTerseAnswersDecideTheSame(t *testing.T) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	from := newCandidates(t)
	failed := 0
	rapid.Check(t, func(r *rapid.T) {
		build, _, at := from.draw(r)
		if at < 0 {
			return
		}
		part, err := proto.Marshal(build.Items[at].Part)
		if err != nil {
			r.Fatal(err)
		}
		check, err := proto.Marshal(&v1.CheckRequest{Build: build})
		if err != nil {
			r.Fatal(err)
		}
		ask := func(terse bool) *packv1.Brief {
			item := uint32(at)
			line := &packv1.Line{Check: check, Item: &item, About: []uint32{item}, Terse: &terse}
			out := e.Brief(line, []*packv1.Task{{Part: part}})[0]
			if out.Error != nil {
				r.Fatal(out.GetError())
			}
			return out.Brief
		}
		full, terse := ask(false), ask(true)
		if full.GetVerdict() < kit.Unknown {
			if !proto.Equal(full, terse) {
				r.Fatalf("of a candidate that fits it tells\n%v\ntersely, and\n%v", terse, full)
			}
			return
		}
		failed++
		a, b := decides(r, full), decides(r, terse)
		if full.GetVerdict() != terse.GetVerdict() || a.GetRule() != b.GetRule() || a.GetVerdict() != b.GetVerdict() {
			r.Fatalf("tersely it falls out by\n%v\nand else by\n%v", b, a)
		}
	})
	if failed == 0 {
		t.Error("no candidate fell out")
	}
}

// decides is the finding that a candidate falls out by.
func decides(r *rapid.T, b *packv1.Brief) *v1.Finding {
	response := new(v1.CheckResponse)
	if err := proto.Unmarshal(b.GetFinding(), response); err != nil || len(response.Findings) != 1 {
		r.Fatalf("the finding cannot be read: %v", err)
	}
	return response.Findings[0]
}

// asBuild is a generated enclosure with its items as a build.
func (g *generated) asBuild() *v1.Build {
	id := "enclosure"
	out := &v1.Build{Items: []*v1.Item{{Id: &id, Part: g.chassis}}}
	for i := range g.items {
		it := &g.items[i]
		count := uint32(it.count)
		out.Items = append(out.Items, &v1.Item{Id: &it.id, Count: &count, Part: it.part})
	}
	return out
}

// Of the editor's cooler and card it is told ahead how tight they sit, and of parts that
// miss by one figure that they do not fit.
func TestEditorsPartsAreForetold(t *testing.T) {
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		item   string
		change func(*v1.Part)
		unfit  bool
	}{
		{"cooler", func(*v1.Part) {}, false},
		{"cooler", func(p *v1.Part) { p.GetAirCooler().HeightMm = proto.Float64(168.1) }, true},
		{"cooler", func(p *v1.Part) { p.GetAirCooler().HeightMm = nil }, true},
		{"card", func(*v1.Part) {}, false},
		{"card", func(p *v1.Part) { p.GetCard().LengthMm = proto.Float64(360) }, true},
		{"memory", func(*v1.Part) {}, false},
		{"memory", func(p *v1.Part) { p.GetMemory().HeightMm = proto.Float64(120) }, true},
		{"supply", func(*v1.Part) {}, false},
		{"supply", func(p *v1.Part) { p.GetSupply().LengthMm = proto.Float64(150) }, true},
		{"supply", func(p *v1.Part) { p.GetSupply().FormFactor = proto.String("tfx") }, true},
		{"supply", shortCables, true},
		{"rear-fan", func(*v1.Part) {}, false},
		{"rear-fan", func(p *v1.Part) { p.GetFan().SizeMm = proto.Uint32(92) }, true},
		{"rear-fan", func(p *v1.Part) { p.GetFan().ThicknessMm = proto.Float64(38) }, true},
	} {
		build := demoBuild(t, "archive-editor")
		at := slices.IndexFunc(build.Items, func(it *v1.Item) bool { return it.GetId() == test.item })
		test.change(build.Items[at].Part)
		f, err := kittest.Foresee(e, build, at, nil)
		if err != nil {
			t.Fatal(err)
		}
		if f.Unfit != test.unfit {
			t.Errorf("%s: foretold %+v, want unfit %v", test.item, f, test.unfit)
		}
		if !test.unfit && (f.Ceiling == nil || f.MarginShare == nil || *f.Ceiling-*f.MarginShare > 0.05) {
			t.Errorf("%s: foretold %+v, want a ceiling close to what comes", test.item, f)
		}
	}
}

// shortCables cuts all cables of a supply to 100 mm.
func shortCables(p *v1.Part) {
	for _, cable := range p.GetSupply().Cables {
		for _, end := range cable.Ends {
			end.LengthMm = proto.Float64(100)
		}
	}
}
