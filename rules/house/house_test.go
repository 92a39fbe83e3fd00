package house

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

const demo = "../../clients/demo/house/archive.yaml"

// rule is a whole rule with some of its lines written over.
func rule(lines ...string) string {
	all := []string{
		"id: r", "title: R", "why: It has to be so.", "message: It is not so.",
		"requires: build.room.temperature_c < 30.0", "tests: [{build: {}, expect: unknown}]",
	}
	for _, line := range lines {
		key, _, _ := strings.Cut(line, ":")
		at := slices.IndexFunc(all, func(l string) bool { return strings.HasPrefix(l, key+":") })
		switch {
		case at < 0:
			all = append(all, line)
		case strings.HasSuffix(line, ": -"):
			all = slices.Delete(all, at, at+1)
		default:
			all[at] = line
		}
	}
	return "rules:\n- " + strings.Join(all, "\n  ") + "\n"
}

func TestTheDemoLoadsAndItsTestsHold(t *testing.T) {
	data, err := os.ReadFile(demo)
	if err != nil {
		t.Fatal(err)
	}
	pack, err := Load(filepath.Base(demo), data)
	if err != nil {
		t.Fatal(err)
	}
	if len(pack.Rules) != 4 || !slices.Equal(pack.Rules[0].Reads, []string{"fan.size_mm"}) {
		t.Errorf("%d rules; the first reads %v", len(pack.Rules), pack.Rules[0].Reads)
	}
}

// Everything that can be wrong with a file is told with its line and column.
func TestErrorsPointAtLineAndColumn(t *testing.T) {
	deep := strings.Repeat("(", 60) + "true" + strings.Repeat(")", 60)
	endless := "build.items.all(a, build.items.all(b, build.items.all(c, build.items.all(d, a.id == b.id && c.id == d.id))))"
	for name, c := range map[string]struct{ text, want string }{
		"unknown field":      {rule("requires: build.rom.temperature_c < 30.0"), "h.yaml:6:18: undefined field 'rom'; did you mean 'room'?"},
		"two lines down":     {rule("requires: |\n    true &&\n    build.rom.x < 1"), "h.yaml:8:10: undefined field 'rom'"},
		"quoted":             {rule(`requires: "build.nowhere < 3"`), "h.yaml:6:19: undefined field 'nowhere'"},
		"syntax":             {rule("requires: build.items.all(i,"), "h.yaml:6:"},
		"types":              {rule("requires: build.room.temperature_c < 'warm'"), "h.yaml:6:38: found no matching overload for '_<_'"},
		"no condition":       {rule("requires: build.title"), "h.yaml:6:13: the expression gives string and bool is wanted"},
		"near variable":      {rule("requires: biuld.title != ''"), "h.yaml:6:13: undeclared reference to 'biuld'; did you mean 'build'?"},
		"near fact":          {rule("requires: facts.power.demnd.sustained_w < 3.0"), "undeclared reference to 'facts'; did you mean 'facts.power.demand'?"},
		"no fact":            {rule("requires: facts.owls.seen < 3.0"), "undeclared reference to 'facts'; the facts are facts.clearance.arrangement, "},
		"numbers":            {rule("requires: build.items.exists(i, i.count == 2)"), "applied to '(uint, int)'; write whole numbers of such fields with a u, as in 120u"},
		"misspelt key":       {rule("severty: fail"), `"severty" is not known here; did you mean 'severity'? Known are`},
		"whole parts":        {rule("requires: build.items[0].part == build.items[1].part"), "h.yaml:6:13: the expression compares or builds something of no known size; compare single fields"},
		"unknown variable":   {rule("requires: fan.size_mm > 1"), "undeclared reference to 'fan'; there are build and facts such as facts.clearance.arrangement"},
		"kind":               {rule("for: fann"), `no kind of part is called "fann"; there are chassis`},
		"nested":             {rule("requires: " + deep), "h.yaml:6:"},
		"endless":            {rule("requires: " + endless), "steps on a large build, more than the 5000000 allowed; nest fewer lists"},
		"huge":               {rule("requires: " + strings.Repeat("true || ", 600) + "true"), "h.yaml:6:"},
		"reads nothing":      {rule("requires: 1 < 2", "tests: [{build: {}, expect: pass}]"), "neither reads fields nor uses facts"},
		"unknown key":        {rule("sevrity: fail"), `h.yaml:8:3: "sevrity" is not known here`},
		"severity":           {rule("severity: bad"), `severity is fail or marginal, not "bad"`},
		"both ways":          {rule("measured: build.room.temperature_c"), "wants either 'requires', or 'measured' with 'at_most' or 'at_least'"},
		"no tests":           {rule("tests: -"), "wants tests"},
		"a test that fails":  {rule("tests: [{build: {room: {temperature_c: 40}}, expect: pass}]"), `h.yaml:7:56: the rule "r" gives fail and the test expects pass: It is not so.`},
		"a test of nonsense": {rule("tests: [{build: {rom: {}}, expect: pass}]"), `h.yaml:7:19: this is no Build: proto:`},
		"text without end":   {rule("message: no"), "this is to be a sentence with a full stop"},
		"unfilled text":      {rule("message: It is {hot}."), "nothing fills in {hot}; there are {missing}"},
		"twice":              {rule() + strings.TrimPrefix(rule(), "rules:\n"), `a rule is called "r" in line 2 already`},
		"alias":              {"rules: &a\n- *a\n", "aliases are not used in house rules"},
		"no yaml":            {"rules: [", "h.yaml is no YAML"},
		"too long":           {"# " + strings.Repeat("x", MaxText), "more than the 65536 that house rules may have"},
	} {
		t.Run(name, func(t *testing.T) {
			if _, err := Load("h.yaml", []byte(c.text)); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v\nwant %s\nin\n%s", err, c.want, c.text)
			}
		})
	}
}

// judged loads one rule and judges a build by it.
func judged(t *testing.T, text string, build *v1.Build, facts ...*v1.Fact) []*v1.Finding {
	t.Helper()
	pack, err := Load("h.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return findings(t, pack, build, facts...)
}

func findings(t testing.TB, pack *kit.Pack, build *v1.Build, facts ...*v1.Fact) []*v1.Finding {
	t.Helper()
	evaluator, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	var encoded []kit.Fact
	for _, f := range facts {
		b, err := proto.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		encoded = append(encoded, kit.Fact{Name: f.GetName(), Value: b})
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: build})
	if err != nil {
		t.Fatal(err)
	}
	var out kit.Outcome
	answer := new(v1.CheckResponse)
	if err := evaluator.Evaluate(check, encoded, &out); err != nil {
		t.Fatal(err)
	}
	if err := proto.Unmarshal(out.Findings, answer); err != nil {
		t.Fatal(err)
	}
	return answer.Findings
}

func fan(id string, size uint32) *v1.Item {
	f := &v1.Fan{}
	if size > 0 {
		f.SizeMm = &size
	}
	return &v1.Item{Id: &id, Part: &v1.Part{Name: proto.String("Fan " + id), Kind: &v1.Part_Fan{Fan: f}}}
}

// What is absent is UNKNOWN with its path, unless the answer is the same either
// way or the expression asks first.
func TestAbsentFieldsAreUnknownWithTheirPath(t *testing.T) {
	build := &v1.Build{Items: []*v1.Item{fan("a", 140), fan("b", 0)}}
	for expression, want := range map[string]struct {
		verdict kit.Verdict
		missing string
	}{
		"build.items.all(i, i.part.fan.size_mm >= 120)":                             {kit.Unknown, "items[1].part.fan.size_mm"},
		"build.items.all(i, i.part.fan.size_mm >= 150)":                             {kit.Fail, ""},
		"build.items.exists(i, i.part.fan.size_mm == 140u)":                         {kit.Pass, ""},
		"build.items.all(i, !has(i.part.fan.size_mm) || i.part.fan.size_mm >= 120)": {kit.Pass, ""},
		"build.items.all(i, i.part.fan.thickness_mm < 30.0)":                        {kit.Unknown, "items[0].part.fan.thickness_mm"},
		"build.room.temperature_c < 30.0":                                           {kit.Unknown, "room"},
		"build.title != 'x'":                                                        {kit.Unknown, "title"},
		"build.items.exists(i, i.part.chassis.layouts.all(l, l.id != ''))":          {kit.Unknown, "items[0].part.chassis"},
	} {
		got := judged(t, rule("requires: \""+expression+"\"", "tests: [{build: {}, expect: unknown}]"), build)
		if len(got) != 1 || got[0].GetVerdict() != want.verdict || strings.Join(got[0].Missing, ",") != want.missing {
			t.Errorf("%s: %v", expression, got)
		}
	}
}

func TestAnAbsentFactIsUnknownWithItsName(t *testing.T) {
	text := rule("requires: facts.power.demand.sustained_w < 500.0", "tests: [{build: {}, expect: unknown}, {build: {}, facts: {power.demand: {}}, expect: unknown}]")
	pack, err := Load("h.yaml", []byte(text))
	if err != nil {
		// The name of the figure is the contract's; say which there are.
		fields := (&v1.BuildDemand{}).ProtoReflect().Descriptor().Fields()
		for i := range fields.Len() {
			t.Log(fields.Get(i).Name())
		}
		t.Fatal(err)
	}
	if !slices.Equal(pack.Needs, []string{"power.demand"}) {
		t.Errorf("the pack needs %v", pack.Needs)
	}
	got := findings(t, pack, &v1.Build{})
	if len(got) != 1 || got[0].GetVerdict() != kit.Unknown || !slices.Equal(got[0].MissingFacts, []string{"power.demand"}) {
		t.Errorf("without the fact: %v", got)
	}
}

// A comparison bears its evidence: the figure by its path, what is asked, the
// margin, and the remedy.
func TestAComparisonHasEvidence(t *testing.T) {
	data, err := os.ReadFile(demo)
	if err != nil {
		t.Fatal(err)
	}
	pack, err := Load("archive.yaml", data)
	if err != nil {
		t.Fatal(err)
	}
	got := findings(t, pack, &v1.Build{Items: []*v1.Item{{
		Id: proto.String("card"), Part: &v1.Part{Name: proto.String("Heron"), Kind: &v1.Part_Card{Card: &v1.Card{LengthMm: proto.Float64(320)}}},
	}}})
	f := got[0]
	if f.GetRule() != "house.card-reach" || f.GetVerdict() != kit.Fail || f.GetMargin().GetNominal() != -20 ||
		f.GetSummary().GetText() != "Heron is 320 mm long, 20 mm more than the desks allow." ||
		len(f.Inputs) != 1 || f.Inputs[0].GetPath() != "items[0].part.card.length_mm" || f.Inputs[0].GetValue().GetUnit() != "mm" {
		t.Errorf("finding %v", f)
	}
}

// A rule whose cost at run time is too high breaks by itself; the others stand.
func TestCostIsBoundedWhenItRuns(t *testing.T) {
	text := rule("requires: build.items.all(a, build.items.all(b, a.id == b.id))") +
		strings.TrimPrefix(rule("id: other", "requires: build.items.size() > 1", "tests: [{build: {items: [{id: a}, {id: b}]}, expect: pass}]"), "rules:\n")
	build := &v1.Build{}
	for range 400 {
		build.Items = append(build.Items, fan(strings.Repeat("x", 60), 120))
	}
	got := judged(t, text, build)
	if len(got) != 2 || got[0].GetVerdict() != kit.Unknown || !strings.Contains(got[0].GetSummary().GetText(), "it takes more than 20000 steps over the lists of this build") || got[1].GetVerdict() != kit.Pass {
		t.Errorf("findings %v", got)
	}
}

// A field that is read by a name known only when the rule runs is absent like any other.
func TestAbsentFieldsAreUnknownByWhateverWayTheyAreRead(t *testing.T) {
	for expression, want := range map[string]kit.Verdict{
		"dyn(build).title == ''":                             kit.Unknown,
		"build.items.all(i, dyn(i).part.fan.size_mm > 100u)": kit.Unknown,
		"has(dyn(build).title)":                              kit.Fail,
		"build.items.size() > 9 || slipfit.v1.Fan{size_mm: 140u}.thickness_mm == 0.0":   kit.Unknown,
		"build.items.map(i, i.part.fan).exists(f, has(f.size_mm) && f.size_mm == 140u)": kit.Pass,
	} {
		got := judged(t, rule("requires: \""+expression+"\"", "tests: [{build: {}, expect: "+emptyVerdict(t, expression)+"}]"), &v1.Build{Items: []*v1.Item{fan("a", 140), fan("b", 0)}})
		if len(got) != 1 || got[0].GetVerdict() != want {
			t.Errorf("%s: %v", expression, got)
		}
	}
}

// emptyVerdict is what a rule says of the empty build.
func emptyVerdict(t *testing.T, expression string) string {
	t.Helper()
	for _, word := range []string{"unknown", "fail", "pass"} {
		if _, err := Load("h.yaml", []byte(rule("requires: \""+expression+"\"", "tests: [{build: {}, expect: "+word+"}]"))); err == nil {
			return word
		}
	}
	_, err := Load("h.yaml", []byte(rule("requires: \""+expression+"\"", "tests: [{build: {}, expect: unknown}]")))
	t.Fatalf("%s cannot be loaded: %v", expression, err)
	return ""
}
