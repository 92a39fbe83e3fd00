package trial_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/net/html"
	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/trial"
	v1 "slipfit.example/proto/slipfit/v1"
)

func sample() *trial.Report {
	say := func(v v1.Verdict, text string, margin float64) *v1.Finding {
		return &v1.Finding{
			Rule: proto.String("a.room"), Pack: proto.String("a"), Version: proto.String("1.0.0"), Verdict: v.Enum(),
			Summary: &v1.Message{Text: &text},
			Margin:  &v1.Quantity{Nominal: &margin, Low: &margin, High: &margin, Unit: proto.String("mm")},
			Inputs:  []*v1.Input{{Path: proto.String("items[0].part.fan.size_mm"), Value: &v1.Quantity{Nominal: proto.Float64(120), Unit: proto.String("mm")}}},
		}
	}
	flip := &v1.Flip{
		Rule: proto.String("a.room"), Subjects: []string{"fan"},
		Baseline:  say(v1.Verdict_VERDICT_PASS, "There is room <b>enough</b>.", 3),
		Candidate: say(v1.Verdict_VERDICT_FAIL, "There is no room\x1b[2J.", -1),
	}
	return &trial.Report{
		Baseline: "today", Candidate: `<script>alert("x")</script>`,
		Differences: []*v1.BuildDifference{
			{
				Tag: proto.String("heron.yaml"), Baseline: v1.Verdict_VERDICT_PASS.Enum(), Candidate: v1.Verdict_VERDICT_FAIL.Enum(),
				Flips: []*v1.Flip{flip},
			},
			{Tag: proto.String("bad.yaml"), Refusal: &v1.Refusal{Reason: proto.String("it is no build")}},
		},
		Summary: &v1.TrialSummary{
			Builds: proto.Uint64(3), Refused: proto.Uint64(1), Flipped: proto.Uint64(1),
			Flips:    []*v1.FlipCount{{Rule: proto.String("a.room"), From: v1.Verdict_VERDICT_PASS.Enum(), To: v1.Verdict_VERDICT_FAIL.Enum(), Count: proto.Uint64(1)}},
			Margins:  []*v1.MarginCount{{Rule: proto.String("b.air"), Unit: proto.String("mm"), Count: proto.Uint64(2), Least: proto.Float64(-2), Greatest: proto.Float64(-1), LeastLow: proto.Float64(-2), GreatestLow: proto.Float64(-1)}},
			Baseline: &v1.TrialSide{Seconds: proto.Float64(0.003)}, Candidate: &v1.TrialSide{Seconds: proto.Float64(0.006)},
		},
		Examples: []trial.Example{{
			Direction: trial.Direction{Rule: "a.room", From: v1.Verdict_VERDICT_PASS, To: v1.Verdict_VERDICT_FAIL},
			Tag:       "heron.yaml", Document: "items:\n- id: fan\n", Minimal: true,
		}},
	}
}

func TestTextTellsFlipsEvidenceAndCost(t *testing.T) {
	var out bytes.Buffer
	if err := trial.WriteText(&out, sample()); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"1 of 3 builds flip, 1 builds were refused.",
		"  a.room  PASS to FAIL  1\n",
		"  b.air  2  -2 to -1 mm, low end -2 to -1 mm\n",
		"A build takes 1.00 ms under the baseline and 2.00 ms under the candidate, 2.00 times as long.",
		"      baseline   There is room <b>enough</b>.\n",
		`There is no room\u001b[2J.`,
		"    * margin                     3 mm      -1 mm\n",
		"      items[0].part.fan.size_mm  120 mm    120 mm\n",
		"bad.yaml: not judged\n  it is no build\n",
		"Smallest example of a.room, PASS to FAIL (from heron.yaml)\n    items:\n",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the report lacks %q:\n%s", want, out.String())
		}
	}
}

// The page stands on its own: nothing runs, nothing is fetched, what documents say
// stays text, and each table, heading and language mark is there for readers who
// do not see it.
func TestPageIsSelfContainedAndAccessible(t *testing.T) {
	var out bytes.Buffer
	if err := trial.WriteHTML(&out, sample()); err != nil {
		t.Fatal(err)
	}
	root, err := html.Parse(&out)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	ids := map[string]bool{}
	for n := range root.Descendants() {
		if n.Type == html.TextNode && strings.Contains(n.Data, `<script>alert("x")</script>`) {
			seen["escaped title"]++
		}
		if n.Type != html.ElementNode {
			continue
		}
		seen[n.Data]++
		for _, a := range n.Attr {
			if a.Key == "id" {
				ids[a.Val] = true
			}
		}
		for _, a := range n.Attr {
			switch {
			case a.Key == "src", strings.HasPrefix(a.Key, "on"), a.Key == "href" && !strings.HasPrefix(a.Val, "#"):
				t.Errorf("<%s> has %s=%q", n.Data, a.Key, a.Val)
			}
			if n.Data == "html" && a.Key == "lang" {
				seen["lang"]++
			}
			if n.Data == "th" && a.Key == "scope" {
				seen["scope"]++
			}
		}
	}
	for _, banned := range []string{"script", "link", "img", "iframe", "b"} {
		if seen[banned] > 0 {
			t.Errorf("there are %d <%s>", seen[banned], banned)
		}
	}
	for _, wanted := range []string{"lang", "title", "main", "h1", "caption", "details", "escaped title"} {
		if seen[wanted] == 0 {
			t.Errorf("there is no %s", wanted)
		}
	}
	if seen["scope"] != seen["th"] || !ids["flips"] {
		t.Errorf("%d of %d header cells have a scope; places to jump to: %v", seen["scope"], seen["th"], ids)
	}
}

func TestReadRuleset(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	write("one.yaml", "rules: []\n")
	write("two.yaml", "rules: [] # more\n")
	got, err := trial.ReadRuleset(write("r.yaml", "title: Autumn\npacks: {clearance: \"^0.1\"}\npolicy: {a.b: 2}\nhouse: [one.yaml, two.yaml]\n"))
	if err != nil {
		t.Fatal(err)
	}
	m := got.Message
	if got.Name != "Autumn" || m.Packs[0].GetName() != "clearance" || m.Packs[0].GetVersion() != "^0.1" ||
		m.Policy[0].GetParameter() != "a.b" || m.Policy[0].GetValue() != 2 ||
		m.GetHouseRules() != "rules: []\n\n---\nrules: [] # more\n" || len(got.HouseFiles) != 2 {
		t.Errorf("read %v", got)
	}
	for text, want := range map[string]string{
		"polcy: {}":          `:1:1: a ruleset holds 'title', 'packs', 'policy' and 'house', not "polcy"`,
		"policy: {a.b: x}":   `:1:15: a.b is set to a number, not to "x"`,
		"packs: [a]":         ":1:8: 'packs' holds a version under each pack's name",
		"house: [none.yaml]": ":1:9: house rules",
		"- a":                ":1:1: a ruleset holds",
		"a: [":               "is no YAML",
	} {
		if _, err := trial.ReadRuleset(write("bad.yaml", text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: error %v, want %q", text, err, want)
		}
	}
}
