package kit_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// roomPack judges the cooler's height, in two layouts if wanted, then by a second rule
// the enclosure alone, and says what it has come to as a fact.
func roomPack() *kit.Pack {
	height := heightRule(judgeHeight)
	height.Sources = []standards.Source{kit.CommonPractice}
	width := height
	width.ID, width.Parameters, width.Remedies, width.Cautions = "sample.width", nil, nil, nil
	width.Judge = func(c *kit.Case) {
		chassis := c.First(kit.KindChassis)
		wide := c.Length(chassis, "chassis.width_mm", chassis.Part.GetChassis().WidthMm)
		c.AtMost(wide, kit.Constant(200, "mm")).About(chassis).Word("cooler", "case")
	}
	name := "sample.told"
	return &kit.Pack{
		Name: "sample", Version: "0.1.0", Purpose: "It shows how the kit works.", Rules: []kit.Rule{height, width},
		Conclude: func(c *kit.Case) {
			c.Provide(&v1.Fact{Name: &name, Content: &v1.Fact_Picture{Picture: &v1.Picture{Svg: proto.String("<svg/>")}}})
		},
	}
}

// roomCheck is a build with an enclosure of some width, with the cooler's place at the
// end.
func roomCheck(width *float64, cooler *v1.Part) []byte {
	check, err := proto.Marshal(&v1.CheckRequest{Build: &v1.Build{Items: []*v1.Item{
		{Id: proto.String("case"), Part: &v1.Part{Kind: &v1.Part_Chassis{Chassis: &v1.Chassis{
			WidthMm: width, Limits: &v1.ChassisLimits{CoolerHeightMm: proto.Float64(168)},
		}}}},
		{Id: proto.String("cooler"), Part: cooler},
	}}})
	if err != nil {
		panic(err)
	}
	return check
}

func coolerOf(height *float64) *v1.Part {
	return &v1.Part{Name: proto.String("Dusk"), Kind: &v1.Part_AirCooler{AirCooler: &v1.AirCooler{HeightMm: height}}}
}

// TestBriefIsTheWholeInShort holds the brief answer about any candidate against the
// whole answer to a check of the same build.
func TestBriefIsTheWholeInShort(t *testing.T) {
	e, err := kit.NewEvaluator(roomPack())
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		var width *float64
		if w := rapid.Float64Range(150, 250).Draw(t, "width"); w < 240 {
			width = &w
		}
		around := roomCheck(width, coolerOf(proto.Float64(1)))
		var standing [][]byte
		for _, entry := range findings(t, e, around) {
			if entry.finding.GetVerdict() >= v1.Verdict_VERDICT_UNKNOWN {
				standing = append(standing, entry.encoded)
			}
		}
		line := &packv1.Line{Check: around, Item: proto.Uint32(1), About: []uint32{1}, Standing: standing}
		var tasks []*packv1.Task
		var coolers []*v1.Part
		for range rapid.IntRange(1, 5).Draw(t, "candidates") {
			var height *float64
			if h := rapid.Float64Range(100, 200).Draw(t, "height"); h < 190 {
				height = &h
			}
			part, err := proto.Marshal(coolerOf(height))
			if err != nil {
				t.Fatal(err)
			}
			coolers = append(coolers, coolerOf(height))
			tasks = append(tasks, &packv1.Task{Part: part})
		}
		for i, out := range e.Brief(line, tasks) {
			compareBrief(t, out, findings(t, e, roomCheck(width, coolers[i])), len(standing) > 0)
		}
	})
}

type entry struct {
	encoded []byte
	finding *v1.Finding
}

// findings judges a check and takes its findings apart.
func findings(t *rapid.T, e *kit.Evaluator, check []byte) (out []entry) {
	t.Helper()
	var whole kit.Outcome
	if err := e.Evaluate(check, nil, &whole); err != nil {
		t.Fatal(err)
	}
	answer := new(v1.CheckResponse)
	if err := proto.Unmarshal(whole.Findings, answer); err != nil {
		t.Fatal(err)
	}
	for _, f := range answer.Findings {
		one, err := (&v1.CheckResponse{Findings: []*v1.Finding{f}}).MarshalVT()
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, entry{one, f})
	}
	return out
}

// compareBrief works out from the findings what the answer has to be: the second rule's
// finding is about the enclosure, and stands where it is bad.
func compareBrief(t *rapid.T, out *packv1.Outcome, whole []entry, standing bool) {
	t.Helper()
	height, width := whole[0], whole[1]
	verdict := height.finding.GetVerdict()
	if !standing {
		verdict = max(verdict, width.finding.GetVerdict())
	}
	b, said := out.GetBrief(), new(v1.CheckResponse)
	if err := proto.Unmarshal(b.GetFinding(), said); err != nil || len(said.Findings) != 1 {
		t.Fatalf("brief has the findings %v, %v", said, err)
	}
	// A bad width decides where the height is not worse.
	want := height.finding
	if !standing && width.finding.GetVerdict() >= v1.Verdict_VERDICT_UNKNOWN && width.finding.GetVerdict() > want.GetVerdict() {
		want = width.finding
	}
	if b.GetVerdict() != verdict || !proto.Equal(said.Findings[0], want) {
		t.Fatalf("brief is %v by %v, want %v by %v", b.GetVerdict(), said.Findings[0], verdict, want)
	}
	if fits := verdict < v1.Verdict_VERDICT_UNKNOWN; fits != (b.MarginShare != nil) || fits != (len(out.Facts) == 1) {
		t.Fatalf("brief is %v with %d facts; a share and a fact come where the candidate fits, and only there", b, len(out.Facts))
	}
	if b.MarginShare != nil {
		share := height.finding.Margin.GetNominal() / math.Abs(height.finding.Required.GetNominal())
		if b.GetMarginShare() != share {
			t.Fatalf("share %v, want %v", b.GetMarginShare(), share)
		}
	}
}

// A line that makes no sense is an answer in words for every task.
func TestLineThatMakesNoSense(t *testing.T) {
	e, err := kit.NewEvaluator(roomPack())
	if err != nil {
		t.Fatal(err)
	}
	good := roomCheck(nil, coolerOf(nil))
	for want, line := range map[string]*packv1.Line{
		"take the place of item 7, and the build has 2":  {Check: good, Item: proto.Uint32(7)},
		"to be about item 9, and the build has 2":        {Check: good, Item: proto.Uint32(1), About: []uint32{9}},
		"the build around the candidates cannot be read": {Check: []byte{0xff}, Item: proto.Uint32(1)},
		"what stands without candidates cannot be read":  {Check: good, Item: proto.Uint32(1), Standing: [][]byte{{0x0a, 0xff}}},
		"pack sample cannot read the candidate":          {Check: good, Item: proto.Uint32(1)},
	} {
		for _, out := range e.Brief(line, []*packv1.Task{{Part: []byte{0xff}}, {Part: []byte{0xff}}}) {
			if !strings.Contains(out.GetError(), want) {
				t.Errorf("%q, want words with %q", out.GetError(), want)
			}
		}
	}
}

// Looks part the rules: those that judge alone, and the others; facts come with the
// others.
func TestLooksPartTheRules(t *testing.T) {
	pack := roomPack()
	pack.Rules[0].Alone = true
	alone := false
	pack.Alternatives = func(c *kit.Case) int {
		alone = c.JudgesAlone()
		return 1
	}
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	part, err := proto.Marshal(coolerOf(proto.Float64(150)))
	if err != nil {
		t.Fatal(err)
	}
	for look, want := range map[packv1.Look]string{
		packv1.Look_LOOK_UNSPECIFIED: "[1 0 0 0 1 0 0 0] 1 false",
		packv1.Look_LOOK_ALONE:       "[1 0 0 0 0 0 0 0] 0 true",
		packv1.Look_LOOK_OTHERS:      "[0 0 0 0 1 0 0 0] 1 false",
	} {
		line := &packv1.Line{Check: roomCheck(proto.Float64(180), nil), Item: proto.Uint32(1), About: []uint32{1}, Look: look.Enum()}
		out := e.Brief(line, []*packv1.Task{{Part: part}})[0]
		if got := fmt.Sprint(out.Counts, len(out.Facts), alone); got != want {
			t.Errorf("%v: counts, facts and whether the pack was told are %s, want %s", look, got, want)
		}
	}
	pack.Alternatives = func(*kit.Case) int { return 2 }
	if e, err = kit.NewEvaluator(pack); err != nil {
		t.Fatal(err)
	}
	line := &packv1.Line{Check: roomCheck(nil, nil), Item: proto.Uint32(1), Look: packv1.Look_LOOK_ALONE.Enum()}
	if got := e.Brief(line, []*packv1.Task{{Part: part}})[0].GetError(); !strings.Contains(got, "several ways of judging") {
		t.Errorf("a pack that knows several ways and judges alone: %q", got)
	}
}
