package thermal_test

import (
	"bytes"
	"fmt"
	"math"
	"path"
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	"slipfit.example/clients/demo"
	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/power"
	"slipfit.example/rules/thermal"
	"slipfit.example/server/document"
)

// bench are the packs that a candidate passes on its way to this one, and this one.
type bench struct{ clearance, power, thermal *kit.Evaluator }

func benchOf(t testing.TB) *bench {
	t.Helper()
	evaluator := func(p *kit.Pack) *kit.Evaluator {
		e, err := kit.NewEvaluator(p)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	return &bench{evaluator(clearance.Pack()), evaluator(power.Pack()), evaluator(thermal.Pack())}
}

// demoBuilds are the builds of the demo by name, demoParts its parts by kind.
func demoBuilds(t testing.TB) map[string]*v1.Build {
	t.Helper()
	options := document.Options{Resolve: func(from, ref string) (*v1.Part, error) {
		return document.FileResolver("../..")(path.Join("../../clients/demo", from), ref)
	}}
	entries, err := demo.FS.ReadDir("builds")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]*v1.Build{}
	for _, e := range entries {
		data, err := demo.FS.ReadFile("builds/" + e.Name())
		if err != nil {
			t.Fatal(err)
		}
		build := new(v1.Build)
		if _, err := options.Read("builds/"+e.Name(), data, build); err != nil {
			t.Fatal(err)
		}
		out[e.Name()] = build
	}
	return out
}

func demoParts(t testing.TB) map[protoreflect.Name][]*v1.Part {
	t.Helper()
	entries, err := demo.FS.ReadDir("parts")
	if err != nil {
		t.Fatal(err)
	}
	out := map[protoreflect.Name][]*v1.Part{}
	for _, e := range entries {
		data, err := demo.FS.ReadFile("parts/" + e.Name())
		if err != nil {
			t.Fatal(err)
		}
		for entry := range document.ReadAll(e.Name(), bytes.NewReader(data), document.Options{}, func() *v1.Part { return new(v1.Part) }) {
			if entry.Err != nil {
				t.Fatal(entry.Err)
			}
			out[kindOf(entry.Message)] = append(out[kindOf(entry.Message)], entry.Message)
		}
	}
	return out
}

func kindOf(part *v1.Part) protoreflect.Name {
	m := part.ProtoReflect()
	if field := m.WhichOneof(m.Descriptor().Oneofs().ByName("kind")); field != nil {
		return field.Name()
	}
	return ""
}

// facts are what the packs before this one make of a build; fails tells that it comes to
// FAIL by one of them.
func (b *bench) facts(t fataler, check []byte) (out []kit.Fact, fails bool) {
	for _, e := range [...]*kit.Evaluator{b.clearance, b.power} {
		o := new(kit.Outcome)
		if err := e.Evaluate(check, nil, o); err != nil {
			t.Fatal(err)
		}
		out, fails = append(out, o.Facts...), fails || o.Verdict == kit.Fail
	}
	return out, fails
}

type fataler interface {
	Helper()
	Fatal(...any)
}

// trial is one candidate for one place in a build: what was said of it before there were
// facts, and what became of it.
type trial struct {
	ahead *packv1.Brief
	found *packv1.Brief
	level *float64 // at the listener
	fails bool     // by a pack before this one, and not without it
}

func (b *bench) try(t fataler, build *v1.Build, place int, part *v1.Part) trial {
	t.Helper()
	marshal := func(m proto.Message) []byte {
		out, err := proto.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	around := proto.CloneOf(build)
	around.Items[place].Part = &v1.Part{}
	without := marshal(&v1.CheckRequest{Build: around})
	baseline := new(kit.Outcome)
	before, failing := b.facts(t, without)
	if err := b.thermal.Evaluate(without, before, baseline); err != nil {
		t.Fatal(err)
	}
	line := &packv1.Line{
		Check: without, Item: proto.Uint32(uint32(place)), About: []uint32{uint32(place)}, Standing: standing(t, baseline.Findings),
		Look: packv1.Look_LOOK_ALONE.Enum(), Failing: &failing,
	}
	around.Items[place].Part = part
	task := &packv1.Task{Part: marshal(part)}
	ask := func() *packv1.Outcome {
		o := b.thermal.Brief(line, []*packv1.Task{task})[0]
		if o.Error != nil {
			t.Fatal(o.GetError())
		}
		return o
	}
	out := trial{ahead: ask().Brief}
	facts, fails := b.facts(t, marshal(&v1.CheckRequest{Build: around}))
	out.fails = fails && !failing
	for _, f := range facts {
		task.Facts = append(task.Facts, &packv1.Fact{Name: &f.Name, Value: f.Value})
	}
	line.Look = nil
	o := ask()
	out.found = o.Brief
	for _, f := range o.Facts {
		fact := new(v1.Fact)
		if err := fact.UnmarshalVT(f.Value); err != nil {
			t.Fatal(err)
		}
		if level := fact.GetForecast().GetLevelDba(); level != nil {
			out.level = level.Nominal
		}
	}
	return out
}

// standing are the findings, encoded as they came, that come to UNKNOWN or FAIL.
func standing(t fataler, findings []byte) (out [][]byte) {
	response := new(v1.CheckResponse)
	if err := proto.Unmarshal(findings, response); err != nil {
		t.Fatal(err)
	}
	for _, f := range response.Findings {
		if f.GetVerdict() < v1.Verdict_VERDICT_UNKNOWN {
			continue
		}
		entry, err := proto.Marshal(&v1.CheckResponse{Findings: []*v1.Finding{f}})
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, entry)
	}
	return out
}

// wrong says in what a candidate came out other than was said ahead; empty for nothing.
func (tr *trial) wrong() string {
	fits := tr.found.GetVerdict() < v1.Verdict_VERDICT_UNKNOWN && !tr.fails
	switch {
	case fits && tr.ahead.GetVerdict() >= v1.Verdict_VERDICT_UNKNOWN:
		return "it was ruled out, and fits"
	case fits && tr.ahead.GetUnfit():
		return "it was not to fit, and fits"
	case fits && tr.ahead.Ceiling != nil && tr.found.MarginShare == nil:
		return fmt.Sprintf("it was to have a margin share of at most %v, and has none", tr.ahead.GetCeiling())
	case fits && tr.ahead.Ceiling != nil && tr.found.GetMarginShare() > tr.ahead.GetCeiling():
		return fmt.Sprintf("it was to have a margin share of at most %v, and has %v", tr.ahead.GetCeiling(), tr.found.GetMarginShare())
	case fits && tr.ahead.QuietestDba != nil && tr.level != nil && *tr.level < tr.ahead.GetQuietestDba():
		return fmt.Sprintf("it was not to be heard below %v dB(A), and is at %v", tr.ahead.GetQuietestDba(), *tr.level)
	}
	return ""
}

// figure is a number somewhere in a document.
type figure struct {
	of    protoreflect.Message
	field protoreflect.FieldDescriptor
}

// figuresOf lists the numbers of a document, at any depth.
func figuresOf(m protoreflect.Message) (out []figure) {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		field := fields.Get(i)
		switch {
		case !m.Has(field) || field.IsMap():
		case field.Kind() == protoreflect.DoubleKind && !field.IsList():
			out = append(out, figure{m, field})
		case field.Message() == nil:
		case field.IsList():
			for k := range m.Get(field).List().Len() {
				out = append(out, figuresOf(m.Get(field).List().Get(k).Message())...)
			}
		default:
			out = append(out, figuresOf(m.Get(field).Message())...)
		}
	}
	return out
}

// varied is a document with some numbers changed or left out.
func varied[M proto.Message](t *rapid.T, of M, name string) M {
	m := proto.CloneOf(of)
	figures := figuresOf(m.ProtoReflect())
	if len(figures) == 0 {
		return m
	}
	for range rapid.IntRange(0, 5).Draw(t, name+" changes") {
		f := figures[rapid.IntRange(0, len(figures)-1).Draw(t, name+" figure")]
		if rapid.IntRange(0, 5).Draw(t, name+" left out") == 0 {
			f.of.Clear(f.field)
			continue
		}
		by := rapid.Float64Range(0.5, 1.8).Draw(t, name+" factor")
		f.of.Set(f.field, protoreflect.ValueOfFloat64(f.of.Get(f.field).Float()*by))
	}
	return m
}

// drawBuild draws a build of the demo with other figures, rooms, speeds and loads.
func drawBuild(t *rapid.T, builds map[string]*v1.Build) *v1.Build {
	names := make([]string, 0, len(builds))
	for name := range builds {
		names = append(names, name)
	}
	slices.Sort(names)
	build := proto.CloneOf(builds[rapid.SampledFrom(names).Draw(t, "build")])
	if rapid.IntRange(0, 2).Draw(t, "parts varied") == 0 {
		it := build.Items[rapid.IntRange(0, len(build.Items)-1).Draw(t, "varied item")]
		it.Part = varied(t, it.Part, "item")
	}
	if build.Use != nil {
		build.Use = varied(t, build.Use, "use")
	}
	if build.Room != nil {
		build.Room = varied(t, build.Room, "room")
	}
	if rapid.IntRange(0, 3).Draw(t, "fitted") == 0 {
		name, at := rapid.SampledFrom([]string{"fans", "cooler", "card", "lid", "loads", "sound", "passages"}).Draw(t, "coefficient"), rapid.Float64Range(-1.5, 1.5).Draw(t, "place")
		build.Calibration = &v1.Calibration{Coefficients: []*v1.Coefficient{{Name: &name, Place: &at}}}
	}
	if a := build.Arrangement; a != nil && len(a.Placements) > 0 && rapid.IntRange(0, 3).Draw(t, "placement freed") == 0 {
		i := rapid.IntRange(0, len(a.Placements)-1).Draw(t, "freed")
		a.Placements = slices.Delete(a.Placements, i, i+1)
	}
	return build
}

// drawPlace draws an item, mostly one whose own cooling decides.
func drawPlace(t *rapid.T, build *v1.Build) int {
	var cooled []int
	for i, it := range build.Items {
		if k := it.Part; k.GetAirCooler() != nil || k.GetProcessor() != nil || k.GetCard() != nil || k.GetFan() != nil {
			cooled = append(cooled, i)
		}
	}
	if len(cooled) > 0 && rapid.IntRange(0, 3).Draw(t, "any place") > 0 {
		return rapid.SampledFrom(cooled).Draw(t, "cooled place")
	}
	return rapid.IntRange(0, len(build.Items)-1).Draw(t, "place")
}

// What is said of a candidate before anything is solved holds good of what becomes of
// it, whatever the build.
func TestBoundsHold(t *testing.T) {
	b, builds, parts := benchOf(t), demoBuilds(t), demoParts(t)
	rapid.Check(t, func(t *rapid.T) {
		build := drawBuild(t, builds)
		place := drawPlace(t, build)
		kind := kindOf(build.Items[place].Part)
		if kind == "" {
			return
		}
		part := varied(t, rapid.SampledFrom(parts[kind]).Draw(t, "part"), "candidate")
		tr := b.try(t, build, place, part)
		if wrong := tr.wrong(); wrong != "" {
			t.Fatalf("%s for %s: %s", part.GetName(), build.Items[place].GetId(), wrong)
		}
	})
}

// Where the build places its fans, the sound ahead is that of the forecast to the last
// digit, so that candidates of equal sound need not be solved to be told apart.
func TestSoundAheadIsThatOfTheForecast(t *testing.T) {
	b, build, parts := benchOf(t), demoBuilds(t)["archive-editor.yaml"], demoParts(t)
	for _, item := range [...]string{"cooler", "card", "supply", "memory", "rear-fan"} {
		place := slices.IndexFunc(build.Items, func(it *v1.Item) bool { return it.GetId() == item })
		told := 0
		for _, part := range parts[kindOf(build.Items[place].Part)] {
			tr := b.try(t, build, place, part)
			if tr.ahead.QuietestDba == nil || tr.level == nil || tr.found.GetVerdict() >= v1.Verdict_VERDICT_UNKNOWN {
				continue
			}
			told++
			if *tr.level != tr.ahead.GetQuietestDba() {
				t.Errorf("%s for %s was to be heard at %v dB(A) and is at %v", part.GetName(), item, tr.ahead.GetQuietestDba(), *tr.level)
			}
		}
		if told == 0 {
			t.Errorf("nothing was told of any candidate for %s", item)
		}
	}
}

// A flat cooler's margin ahead leaves out no more than what the enclosure adds: the air
// at its intake.
func TestCeilingOfACooler(t *testing.T) {
	b, build, parts := benchOf(t), demoBuilds(t)["archive-editor.yaml"], demoParts(t)
	place := slices.IndexFunc(build.Items, func(it *v1.Item) bool { return it.GetId() == "cooler" })
	seen := 0
	for _, part := range parts["air_cooler"] {
		tr := b.try(t, build, place, part)
		if tr.ahead.Ceiling == nil || tr.found.MarginShare == nil {
			continue
		}
		seen++
		if off := tr.ahead.GetCeiling() - tr.found.GetMarginShare(); !(off >= 0) || part.GetAirCooler().GetTower() == false && off > 0.2 || math.IsInf(off, 0) {
			t.Errorf("%s was to have a margin share of at most %v and has %v", part.GetName(), tr.ahead.GetCeiling(), tr.found.GetMarginShare())
		}
	}
	if seen == 0 {
		t.Error("no cooler has a ceiling")
	}
}

// What certainly comes to FAIL or UNKNOWN is told ahead.
func TestUnfitAhead(t *testing.T) {
	b, build := benchOf(t), demoBuilds(t)["archive-editor.yaml"]
	for name, row := range map[string]struct {
		item   string
		change func(*v1.Part)
		want   v1.Verdict
	}{
		"rated for much, and cools little": {"cooler", func(p *v1.Part) {
			p.GetAirCooler().RatedHeatW = proto.Float64(600)
			p.GetAirCooler().Resistances = []*v1.ResistancePoint{{FlowM3H: proto.Float64(40), ResistanceKPerW: proto.Float64(1.5)}}
		}, v1.Verdict_VERDICT_FAIL},
		"no greatest speed to compare the set one with": {"cooler", func(p *v1.Part) {
			p.GetAirCooler().Resistances = nil
			for _, f := range p.GetAirCooler().Fans {
				f.Fan.MaxSpeedRpm = nil
			}
		}, v1.Verdict_VERDICT_UNKNOWN},
		"a card that hardly gives off heat": {"card", func(p *v1.Part) {
			for _, r := range p.GetCard().Resistances {
				r.ResistanceKPerW = proto.Float64(r.GetResistanceKPerW() + 1)
			}
		}, v1.Verdict_VERDICT_FAIL},
		"a card without a limit": {"card", func(p *v1.Part) { p.GetCard().LimitC = nil }, v1.Verdict_VERDICT_UNKNOWN},
	} {
		place := slices.IndexFunc(build.Items, func(it *v1.Item) bool { return it.GetId() == row.item })
		good := b.try(t, build, place, build.Items[place].Part)
		part := proto.CloneOf(build.Items[place].Part)
		row.change(part)
		tr := b.try(t, build, place, part)
		if good.ahead.GetUnfit() || !tr.ahead.GetUnfit() || tr.found.GetVerdict() != row.want {
			t.Errorf("%s: unfit ahead %v, and %s in the end; as it was, unfit %v", name, tr.ahead.GetUnfit(), tr.found.GetVerdict(), good.ahead.GetUnfit())
		}
	}
}

// BenchmarkCandidate is what a candidate costs before there are facts, and with them.
func BenchmarkCandidate(b *testing.B) {
	packs, build := benchOf(b), demoBuilds(b)["archive-editor.yaml"]
	place := slices.IndexFunc(build.Items, func(it *v1.Item) bool { return it.GetId() == "cooler" })
	check, err := proto.Marshal(&v1.CheckRequest{Build: build})
	if err != nil {
		b.Fatal(err)
	}
	part, err := proto.Marshal(build.Items[place].Part)
	if err != nil {
		b.Fatal(err)
	}
	facts, _ := packs.facts(b, check)
	solved := &packv1.Task{Part: part}
	for _, f := range facts {
		solved.Facts = append(solved.Facts, &packv1.Fact{Name: &f.Name, Value: f.Value})
	}
	for _, row := range []struct {
		name   string
		look   packv1.Look
		bounds packv1.Bounds
		task   *packv1.Task
	}{
		{"ahead-by-sound", packv1.Look_LOOK_ALONE, packv1.Bounds_BOUNDS_UNSPECIFIED, &packv1.Task{Part: part}},
		{"ahead-by-margin", packv1.Look_LOOK_ALONE, packv1.Bounds_BOUNDS_MARGIN, &packv1.Task{Part: part}},
		{"solved", packv1.Look_LOOK_OTHERS, packv1.Bounds_BOUNDS_NONE, solved},
	} {
		b.Run(row.name, func(b *testing.B) {
			line := &packv1.Line{Check: check, Item: proto.Uint32(uint32(place)), About: []uint32{uint32(place)}, Look: &row.look, Bounds: &row.bounds}
			tasks := slices.Repeat([]*packv1.Task{row.task}, 64)
			n := 0
			for b.Loop() {
				packs.thermal.Brief(line, tasks)
				n += len(tasks)
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(n), "us/candidate")
		})
	}
}
