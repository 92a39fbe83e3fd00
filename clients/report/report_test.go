package report_test

import (
	"bytes"
	"flag"
	"os"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
)

var update = flag.Bool("update", false, "write the golden files anew")

func text(s string) *v1.Message { return &v1.Message{Text: &s} }

func finding(rule string, v v1.Verdict, summary string) *v1.Finding {
	pack, _, _ := strings.Cut(rule, ".")
	return &v1.Finding{Rule: &rule, Pack: &pack, Verdict: v.Enum(), Summary: text(summary)}
}

func millimetres(nominal, low, high float64) *v1.Quantity {
	return &v1.Quantity{Nominal: &nominal, Low: &low, High: &high, Unit: proto.String("mm")}
}

// answer has one finding of every kind, in an order that a person would not want.
func answer() *v1.CheckResponse {
	passes := finding("clearance.card-length", v1.Verdict_VERDICT_PASS, "Card Dusk is 267 mm long where 330 mm are free, 63 mm to spare.")
	passes.Inputs = []*v1.Input{{Path: proto.String("items[1].part.card.length_mm"), Value: millimetres(267, 266.5, 267.5)}}
	tight := finding("clearance.cooler-height", v1.Verdict_VERDICT_MARGINAL, "Cooler Owl stands 168 mm high where 168 mm are free.")
	tight.Inputs = []*v1.Input{{Path: proto.String("policy.tolerance.length_mm"), Value: millimetres(0.5, 0.5, 0.5), Assumed: proto.Bool(true)}}
	tight.Sources = []*v1.Source{{Title: proto.String("the maker's limit"), Standing: proto.String("published")},
		{Title: proto.String("custom of the trade"), Standing: proto.String("common practice, no source")}}
	slight := finding("power.supply-load", v1.Verdict_VERDICT_FAIL, "The parts draw a little more than the supply gives.")
	slight.Required, slight.Margin = millimetres(100, 100, 100), millimetres(-1, -1, -1)
	gross := finding("clearance.card-height", v1.Verdict_VERDICT_FAIL, "Card Dusk is far too tall for the side panel of this enclosure, whichever of its layouts is chosen for it.")
	gross.Required, gross.Margin = millimetres(100, 100, 100), millimetres(-80, -81, -79)
	gross.Remedies = []*v1.Remedy{{Action: text("Choose a card that is at least 81 mm lower.")}, {Action: text("Lay the card flat with a riser.")}}
	gross.Caution = text("Sheet edges are sharp.")
	unknown := finding("thermal.die-limit", v1.Verdict_VERDICT_UNKNOWN, "How warm it gets cannot be told.")
	unknown.Missing, unknown.MissingFacts = []string{"room.temperature_c"}, []string{"power.demand"}
	return &v1.CheckResponse{
		Findings: []*v1.Finding{passes, tight, slight, gross, unknown}, Verdict: v1.Verdict_VERDICT_FAIL.Enum(),
		BuildId: proto.String("owl"),
		Ruleset: &v1.Ruleset{Digest: proto.String("0123456789abcdef"), Packs: []*v1.PackVersion{
			{Name: proto.String("clearance"), Version: proto.String("0.1.0"), Answered: proto.Bool(true)},
			{Name: proto.String("thermal"), Version: proto.String("0.1.0"), Answered: proto.Bool(false)},
		}},
	}
}

func write(t *testing.T, options report.Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := report.Write(&b, answer(), options); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestAnswerReadsAsItShould(t *testing.T) {
	const golden = "testdata/answer.txt"
	got := write(t, report.Options{Width: 72, Title: "Owl's desk", Place: func(path string) string {
		if path == "room.temperature_c" {
			return "owl.yaml:12"
		}
		return ""
	}})
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the answer reads\n%s\nwant\n%s", got, want)
	}
}

func TestNoLineIsWiderThanAsked(t *testing.T) {
	for _, width := range []int{40, 60, 100} {
		for line := range strings.Lines(write(t, report.Options{Width: width})) {
			if n := len([]rune(strings.TrimRight(line, "\n"))); n > width {
				t.Errorf("%d columns where %d were asked: %q", n, width, line)
			}
		}
	}
}

// Colour is never the only sign: without it every word is the same.
func TestColourOnlyAddsToTheWords(t *testing.T) {
	plain := write(t, report.Options{Width: 80})
	coloured := write(t, report.Options{Width: 80, Colour: true})
	if !strings.Contains(coloured, "\x1b[") || strings.Contains(plain, "\x1b[") {
		t.Fatal("colour does not follow the option")
	}
	for {
		start := strings.Index(coloured, "\x1b[")
		if start < 0 {
			break
		}
		end := strings.IndexByte(coloured[start:], 'm')
		coloured = coloured[:start] + coloured[start+end+1:]
	}
	if coloured != plain {
		t.Errorf("without its colours it reads\n%s\nwant\n%s", coloured, plain)
	}
}

func TestEvidenceOfWhatPassesOnRequest(t *testing.T) {
	const line = "items[1].part.card.length_mm = 267 (266.5 to 267.5) mm"
	if strings.Contains(write(t, report.Options{Width: 100}), line) {
		t.Error("evidence of what passes came unasked")
	}
	if !strings.Contains(write(t, report.Options{Width: 100, Evidence: true}), line) {
		t.Error("evidence of what passes was asked for and is not there")
	}
}

func TestPlainShowsWhatWouldTouchATerminal(t *testing.T) {
	for in, want := range map[string]string{
		"Zinne 168": "Zinne 168", "a\x1b[2J": `a\u001b[2J`, "a\u202eb": `a\u202eb`, "a\u2066b": `a\u2066b`, "a\tb": `a\u0009b`, "\xff": `\ufffd`, "größer": "größer",
	} {
		if got := report.Plain(in); got != want {
			t.Errorf("%q shows as %q, want %q", in, got, want)
		}
	}
}
