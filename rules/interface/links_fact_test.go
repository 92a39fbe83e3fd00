package mating

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
)

// linksOf asks the pack for its fact; it is nil where it provides none.
func linksOf(t *testing.T, e *kit.Evaluator, build string, facts ...*v1.Fact) *v1.Links {
	t.Helper()
	check, err := proto.Marshal(&v1.CheckRequest{Build: kittest.Build(t, build)})
	if err != nil {
		t.Fatal(err)
	}
	var given []kit.Fact
	for _, f := range facts {
		value, err := proto.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		given = append(given, kit.Fact{Name: f.GetName(), Value: value})
	}
	var out kit.Outcome
	if err := e.Evaluate(check, given, &out); err != nil {
		t.Fatal(err)
	}
	if len(out.Facts) == 0 {
		return nil
	}
	fact := new(v1.Fact)
	if err := proto.Unmarshal(out.Facts[0].Value, fact); err != nil {
		t.Fatal(err)
	}
	if fact.GetName() != LinksFact {
		t.Fatalf("the fact is called %q", fact.GetName())
	}
	return fact.GetLinks()
}

// linkLine is a link in short: what, where, generation and lanes, rate in GB/s.
func linkLine(l *v1.Link) string {
	line := l.GetItem() + " > " + l.GetInto()
	if l.Generation != nil || l.Lanes != nil {
		line += fmt.Sprintf(" %d x%d", l.GetGeneration(), l.GetLanes())
	}
	if l.RateGbs != nil {
		line += fmt.Sprintf(" %.3f", math.Round(*l.RateGbs*1000)/1000)
	}
	return line
}

func linkLines(links *v1.Links) (out []string) {
	for _, l := range links.GetLinks() {
		out = append(out, linkLine(l))
	}
	return out
}

func TestLinksTellWhatIsPluggedIntoWhat(t *testing.T) {
	e := evaluator(t)
	want := []string{
		"case > usb-c-key-a", "case > usb3-19", "case > hd-audio", "case > front-panel",
		"cooler > cpu-fan", "cooler > chassis-fan",
		"card > slot-1 4 x16 31.508",
		"system > m2-first 5 x4 15.754",
		"takes > m2-third 4 x4 7.877",
		"archive > sata 0.600",
		"rear > chassis-fan", "bottom > chassis-fan", "bottom > pump",
	}
	seated := arrangement("upright", "card upright")
	for _, turn := range []string{"first", "again in the same memory"} {
		if got := linkLines(linksOf(t, e, mixingDesk, seated)); !slices.Equal(got, want) {
			t.Errorf("%s:\n got  %s\n want %s", turn, strings.Join(got, "\n      "), strings.Join(want, "\n      "))
		}
	}
	// A riser of generation 3 holds the link, and a slot without a generation
	// leaves the rate out.
	third := linkLines(linksOf(t, e, desk(t, "riser: {generation: 4", "riser: {generation: 3"), seated))
	if !slices.Contains(third, "card > slot-1 3 x16 15.754") {
		t.Errorf("through a riser of generation 3: %v", third)
	}
	open := linkLines(linksOf(t, e, desk(t, "lanes: 16, generation: 5, shares_with", "lanes: 16, shares_with")))
	if !slices.Contains(open, "card > slot-1 0 x16") {
		t.Errorf("in a slot of no generation: %v", open)
	}
}

func TestWithoutBoardThereAreNoLinks(t *testing.T) {
	if links := linksOf(t, evaluator(t), build(fans("1"))); links != nil {
		t.Errorf("links without a board: %v", links)
	}
}
