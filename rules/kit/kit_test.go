package kit_test

import (
	"math"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

var slack = kit.Parameter{
	Name: "sample.height.slack_mm", Unit: "mm", Default: 0, Least: 0, Greatest: 10,
	Purpose: "How much must stay free above the cooler.", Source: kit.CommonPractice,
}

func heightRule(judge func(*kit.Case)) kit.Rule {
	return kit.Rule{
		ID: "sample.height", Title: "Cooler under the panel", Since: "0.1.0",
		Why:        "A cooler that is too tall keeps the panel open.",
		Formula:    "The limit less the height.",
		Sources:    nil,
		Parameters: []*kit.Parameter{&slack, &kit.LengthTolerance},
		Reads:      []string{"air_cooler.height_mm", "chassis.limits.cooler_height_mm"},
		Texts: map[string]string{
			"pass":    "{cooler} stands {measured} under {required}, {margin} to spare.",
			"fail":    "{cooler} stands {measured}, {shortfall} too much.",
			"unknown": "It cannot be told for want of {missing}.",
		},
		Remedies: map[string]string{"shorter": "Choose a cooler at least {shortfall} shorter."},
		Cautions: map[string]string{"sharp": "Fins are sharp."},
		Judge:    judge,
	}
}

func samplePack(judge func(*kit.Case)) *kit.Pack {
	rule := heightRule(judge)
	rule.Sources = append(rule.Sources, kit.CommonPractice)
	return &kit.Pack{Name: "sample", Version: "0.1.0", Purpose: "It shows how the kit works.", Rules: []kit.Rule{rule}}
}

func judgeHeight(c *kit.Case) {
	chassis, cooler := c.First(kit.KindChassis), c.First(kit.KindAirCooler)
	limit := c.Length(chassis, "chassis.limits.cooler_height_mm", chassis.Part.GetChassis().GetLimits().CoolerHeightMm)
	height := c.Length(cooler, "air_cooler.height_mm", cooler.Part.GetAirCooler().HeightMm)
	f := c.AtMost(c.Sum("mm", height, c.Parameter(&slack)), limit).About(cooler, chassis).Word("cooler", cooler.Name())
	f.RemedyOf("shorter", f.Shortfall()).CautionWhen("sharp")
}

const heightBuild = `
items:
- {id: case, part: {chassis: {limits: {cooler_height_mm: 168}}}}
- {id: cooler, part: {name: Dusk, air_cooler: {height_mm: HEIGHT}FIGURES}}`

func build(height, figures string) string {
	return strings.NewReplacer("HEIGHT", height, "FIGURES", figures).Replace(heightBuild)
}

func TestComparisonBecomesVerdict(t *testing.T) {
	kittest.Table(t, samplePack(judgeHeight), "sample.height", []kittest.Row{
		{Name: "whole range meets", Build: build("167", ""), Want: []string{"PASS cooler,case margin 1 mm"}},
		{Name: "equal is tight", Build: build("168", ""), Want: []string{"MARGINAL cooler,case margin 0 mm"}},
		{Name: "nominal misses", Build: build("168.1", ""), Want: []string{"FAIL cooler,case margin -0.1 mm"}},
		{Name: "stated tolerance counts", Build: build("167", `, figures: [{fields: [air_cooler.height_mm], plus: 0.6}]`),
			Want: []string{"MARGINAL cooler,case margin 1 mm"}},
		{Name: "policy's parameter counts", Build: build("160", ""), Policy: map[string]float64{"sample.height.slack_mm": 9},
			Want: []string{"FAIL cooler,case margin -1 mm"}},
		{Name: "missing is never a pass", Build: strings.Replace(build("1", ""), "air_cooler: {height_mm: 1", "air_cooler: {width_mm: 1", 1),
			Want: []string{"UNKNOWN cooler,case missing items[1].part.air_cooler.height_mm"}},
	})
}

// The encoder writes the wire form by hand; the generated code must read from it
// what the rule said.
func TestFindingReadsBackWhole(t *testing.T) {
	e, err := kit.NewEvaluator(samplePack(judgeHeight))
	if err != nil {
		t.Fatal(err)
	}
	got := kittest.Evaluate(t, e, kittest.Row{Build: build("170", "")}).Findings
	text := func(key, text string, args ...*v1.Argument) *v1.Message {
		return &v1.Message{Key: &key, Text: &text, Arguments: args}
	}
	mm := func(nominal, low, high float64) *v1.Quantity {
		return &v1.Quantity{Nominal: &nominal, Low: &low, High: &high, Unit: proto.String("mm")}
	}
	arg := func(name string, q *v1.Quantity) *v1.Argument { return &v1.Argument{Name: &name, Value: q} }
	want := &v1.Finding{
		Rule: proto.String("sample.height"), Pack: proto.String("sample"), Version: proto.String("0.1.0"),
		Subjects: []string{"cooler", "case"}, Verdict: v1.Verdict_VERDICT_FAIL.Enum(),
		Summary: text("sample.height.fail", "Dusk stands 170 mm, 3 mm too much.",
			arg("cooler", &v1.Quantity{Word: proto.String("Dusk")}), arg("measured", mm(170, 169.5, 170.5)), arg("shortfall", mm(3, 3, 3))),
		Measured: mm(170, 169.5, 170.5), Required: mm(168, 167.5, 168.5), Margin: mm(-2, -3, -1),
		Relation: v1.Relation_RELATION_AT_MOST.Enum(),
		Inputs: []*v1.Input{
			{Path: proto.String("items[1].part.air_cooler.height_mm"), Value: mm(170, 169.5, 170.5)},
			{Path: proto.String("policy.sample.height.slack_mm"), Value: mm(0, 0, 0)},
			{Path: proto.String("items[0].part.chassis.limits.cooler_height_mm"), Value: mm(168, 167.5, 168.5)},
		},
		Formula: text("sample.height.formula", "The limit less the height."),
		Sources: []*v1.Source{{Id: proto.String("common-practice"), Title: proto.String("custom of the trade"),
			Standing: proto.String("common practice, no source")}},
		Remedies: []*v1.Remedy{{Action: text("sample.height.remedy.shorter", "Choose a cooler at least 3 mm shorter.",
			arg("shortfall", mm(3, 3, 3))), Change: mm(3, 3, 3)}},
		Caution: text("sample.height.caution.sharp", "Fins are sharp."),
	}
	if len(got) != 1 || !proto.Equal(got[0], want) {
		t.Fatalf("finding reads back as\n%v\nwant\n%v", got, want)
	}
}

func TestNoughtIsANumberAndNoWord(t *testing.T) {
	pack := samplePack(judgeHeight)
	pack.Rules[0].Texts["fail"] = "{cooler}|{count}|{left}."
	pack.Rules[0].Judge = func(c *kit.Case) {
		c.Judged(kit.Fail).Word("cooler", "").Number("count", kit.Constant(0, "")).Number("left", kit.Constant(0, "mm"))
	}
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	got := kittest.Evaluate(t, e, kittest.Row{Build: build("100", "")}).Findings[0].GetSummary().GetText()
	if got != "|0|0 mm." {
		t.Errorf("texts print %q", got)
	}
}

func TestBrokenRuleIsAnUnknownFindingOfItsOwn(t *testing.T) {
	for name, judge := range map[string]func(*kit.Case){
		"panic":        func(*kit.Case) { panic("no such board") },
		"unknown text": func(c *kit.Case) { c.Judged(kit.Pass).Say("never-written") },
		"not a number": func(c *kit.Case) { c.AtMost(kit.Constant(math.NaN(), "mm"), kit.Constant(1, "mm")) },
	} {
		t.Run(name, func(t *testing.T) {
			pack := samplePack(judge)
			sound := heightRule(judgeHeight)
			sound.ID, sound.Sources, sound.Parameters = "sample.other", pack.Rules[0].Sources, nil
			pack.Rules = append(pack.Rules, sound)
			e, err := kit.NewEvaluator(pack)
			if err != nil {
				t.Fatal(err)
			}
			findings := kittest.Evaluate(t, e, kittest.Row{Build: build("100", "")}).Findings
			if len(findings) != 2 {
				t.Fatalf("%d findings, want the broken rule's and the sound one's", len(findings))
			}
			if f := findings[0]; f.GetVerdict() != kit.Unknown || !strings.HasPrefix(f.GetSummary().GetText(), "This rule broke") {
				t.Errorf("broken rule says %v", f)
			}
			if f := findings[1]; f.GetVerdict() != kit.Pass || f.GetRule() != "sample.other" {
				t.Errorf("sound rule says %v", f)
			}
		})
	}
}

func TestBestAlternativeIsReported(t *testing.T) {
	heights := []float64{170, 150, 168}
	var concluded int
	pack := samplePack(func(c *kit.Case) {
		c.AtMost(kit.Constant(heights[c.Alternative()], "mm"), kit.Constant(168, "mm")).Word("cooler", "Dusk")
	})
	pack.Alternatives = func(*kit.Case) int { return len(heights) }
	pack.Conclude = func(c *kit.Case) {
		concluded = c.Alternative()
		c.Provide(&v1.Fact{Name: proto.String("sample.choice")})
	}
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	got := kittest.Evaluate(t, e, kittest.Row{Build: build("1", "")}).Findings
	if len(got) != 1 || kittest.Line(got[0]) != "PASS margin 18 mm" || concluded != 1 {
		t.Fatalf("chose alternative %d with %v", concluded, got)
	}
}

func TestCatalogueCheckNamesEveryFault(t *testing.T) {
	pack := samplePack(judgeHeight)
	pack.Version, pack.Purpose = "one", "no sentence"
	r := &pack.Rules[0]
	r.Title, r.Why, r.Since, r.Sources, r.Judge = "Ends in a stop.", "", "soon", nil, nil
	r.Texts = map[string]string{"pass": "lower case start.", "Fail": "A text with {a brace."}
	r.Parameters = []*kit.Parameter{{Name: "other.rule.x", Default: 3, Least: 4, Greatest: 5}}
	err := pack.Check()
	if err == nil {
		t.Fatal("a faulty catalogue passed")
	}
	want := []string{
		`pack sample: version "one" is not a semantic version`,
		`pack sample: purpose is not a sentence`,
		`rule sample.height: title is empty or ends in a full stop`,
		`rule sample.height: why and formula must be whole sentences`,
		`rule sample.height: since "soon" is not a semantic version`,
		`rule sample.height: has no judgement`,
		`rule sample.height: names no source; use kit.CommonPractice where there is none`,
		`rule sample.height: has no text for "fail"`,
		`rule sample.height: has no text for "unknown"`,
		`rule sample.height: text key "Fail" is not lower-case words joined by hyphens`,
		`rule sample.height: text "Fail": brace without a name in "A text with {a brace."`,
		`rule sample.height: text "pass" is not a sentence: lower case start.`,
		`parameter other.rule.x: name is neither sample.height.<word> nor tolerance.<word>`,
		`parameter other.rule.x: default 3 is not within 4 to 5`,
		`parameter other.rule.x: purpose is not a sentence`,
		`parameter other.rule.x: default has no source`,
	}
	if got := err.Error(); got != strings.Join(want, "\n") {
		t.Errorf("faults:\n%s\nwant:\n%s", got, strings.Join(want, "\n"))
	}
}

func TestNumbersReadAsPeopleWriteThem(t *testing.T) {
	for _, c := range []struct {
		v    float64
		unit string
		want string
	}{
		{168, "mm", "168 mm"}, {9.46, "mm", "9.5 mm"}, {-0.04, "mm", "0 mm"}, {359.6, "W", "360 W"}, {2.34, "W", "2.3 W"},
		{0.856, "share", "85.6 %"}, {3, "", "3"}, {11.196, "V", "11.2 V"},
	} {
		if got := kit.FormatNumber(c.v, c.unit); got != c.want {
			t.Errorf("%g %s prints as %q, want %q", c.v, c.unit, got, c.want)
		}
	}
}
