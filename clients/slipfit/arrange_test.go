package main

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

func TestArrangeRanksWhatFits(t *testing.T) {
	code, out, errOut := slipfit(t, "", "arrange", builds+"fans-under-card.yaml")
	if code != exitFits || errOut != "" {
		t.Fatalf("exit code %d, errors %q", code, errOut)
	}
	for _, want := range []string{"Fans under a thick card: ", " fit\n", "\n  1  margin ", "Card below the board\n", "bottom-fans x 2 on fans-bottom, blowing in\n", "board on board, at 0 mm\n"} {
		if !strings.Contains(out, want) {
			t.Errorf("the ranking lacks %q:\n%s", want, out)
		}
	}
}

func TestArrangeTellsWhyNothingFits(t *testing.T) {
	code, out, errOut := slipfit(t, "", "arrange", builds+"no-arrangement.yaml")
	if code != exitFails || errOut != "" {
		t.Fatalf("exit code %d, errors %q", code, errOut)
	}
	for _, want := range []string{"no arrangement fits", "These cannot be met together", "Any one of these would make it fit"} {
		if !strings.Contains(out, want) {
			t.Errorf("the answer lacks %q:\n%s", want, out)
		}
	}
}

func TestArrangeAsJSONIsTheContractsMessage(t *testing.T) {
	_, out, _ := slipfit(t, "", "arrange", "--best", "1", "--format", "json", builds+"fans-under-card.yaml")
	ranking := new(v1.Ranking)
	if err := protojson.Unmarshal([]byte(out), ranking); err != nil {
		t.Fatal(err)
	}
	if len(ranking.Arrangements) != 1 || ranking.GetFeasibleCount() < 1 || !ranking.GetExhaustive() {
		t.Errorf("%d arrangements of %d, exhaustive %v", len(ranking.Arrangements), ranking.GetFeasibleCount(), ranking.GetExhaustive())
	}
}

// An arrangement out of the ranking, fixed in the build's document, is the one that a
// check of it judges.
func TestFixedArrangementIsJudged(t *testing.T) {
	for _, name := range []string{"archive-editor", "front-desk", "second-radiator"} {
		_, out, _ := slipfit(t, "", "arrange", "--best", "1", "--format", "json", builds+name+".yaml")
		ranking := new(v1.Ranking)
		if err := protojson.Unmarshal([]byte(out), ranking); err != nil {
			t.Fatal(err)
		}
		entry, err := oneBuild(strings.NewReader(""), builds+name+".yaml")
		if err != nil {
			t.Fatal(err)
		}
		document, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(fixed(entry.Message, ranking.Arrangements[0]))
		if err != nil {
			t.Fatal(err)
		}
		code, again, errOut := slipfit(t, string(document), "arrange", "--format", "json", "-")
		now := new(v1.Ranking)
		if err := protojson.Unmarshal([]byte(again), now); err != nil {
			t.Fatalf("%s: exit code %d, errors %q: %v", name, code, errOut, err)
		}
		if code != exitFits || now.GetFeasibleCount() != 1 || !slices.EqualFunc(now.Arrangements[0].Seats, ranking.Arrangements[0].Seats,
			func(a, b *v1.Seat) bool { return proto.Equal(a, b) }) {
			t.Errorf("%s: exit code %d, %d arrangements, the first is\n%v\nwant\n%v", name, code, now.GetFeasibleCount(), now.Arrangements, ranking.Arrangements[0].Seats)
		}
	}
}

func TestDrawWritesADrawing(t *testing.T) {
	file := filepath.Join(t.TempDir(), "out.svg")
	code, _, errOut := slipfit(t, "", "draw", builds+"upright-card.yaml", "-o", file)
	if code != exitFits || !strings.HasSuffix(errOut, "297 x 210 mm when printed to scale\n") {
		t.Fatalf("exit code %d, it says %q", code, errOut)
	}
	svg, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	_, piped, _ := slipfit(t, "", "draw", builds+"upright-card.yaml", "-o", "-")
	if piped != string(svg) {
		t.Error("standard output got another drawing than the file")
	}
	d := xml.NewDecoder(strings.NewReader(piped))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

// With limits alone there is nothing to arrange, and the message says what to do.
func TestLimitsAloneAreSaid(t *testing.T) {
	const want = `the enclosure "enclosure" has only published limits; describe its compartments, panels and mounts`
	for _, args := range [][]string{{"arrange"}, {"draw", "-o", filepath.Join(t.TempDir(), "out.svg")}} {
		code, out, errOut := slipfit(t, "", append(args, builds+"listening-room.yaml")...)
		if code != exitUnknown || out != "" || !strings.Contains(errOut, want) {
			t.Errorf("%s: exit code %d, output %q, errors %q", args[0], code, out, errOut)
		}
	}
}

func TestArrangeAndDrawRefuseBadCalls(t *testing.T) {
	two := filepath.Join(t.TempDir(), "two.yaml")
	const build = "items: [{id: fan, part: {fan: {size_mm: 120}}}]\n"
	if err := os.WriteFile(two, []byte(build+"---\n"+build), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"arrange", "--format", "xml", "b.yaml"}, exitUsage, `--format is text or json, not "xml"`},
		{[]string{"arrange", "--best", "0", "b.yaml"}, exitUsage, "--best is at least 1, not 0"},
		{[]string{"arrange", "nowhere.yaml"}, exitUsage, "nowhere.yaml cannot be opened"},
		{[]string{"arrange", two}, exitUsage, "holds 2 builds; give a file with one"},
		{[]string{"arrange", "--policy", "x", "b.yaml"}, exitUsage, `--policy is NAME=NUMBER, not "x"`},
		{[]string{"draw", "b.yaml"}, exitUsage, `required flag(s) "output" not set`},
		{[]string{"draw", "-o", "/dev/null/x.svg", builds + "upright-card.yaml"}, exitUsage, "the drawing cannot be written"},
	} {
		code, _, errOut := slipfit(t, "", c.args...)
		if code != c.code || !strings.Contains(errOut, c.want) {
			t.Errorf("%v: exit code %d, it says %q, want %d and %q", c.args, code, errOut, c.code, c.want)
		}
	}
}

func TestRankingTextSaysWhatWasNotJudged(t *testing.T) {
	var b strings.Builder
	writeRanking(&b, &v1.Ranking{
		FeasibleCount: proto.Uint64(3), Exhaustive: proto.Bool(false), Unbeaten: []uint32{0},
		Arrangements: []*v1.Arrangement{{
			Layout: proto.String("low"), MarginMm: proto.Float64(6.54), FanAreaCm2: proto.Float64(120), AddedCost: proto.Float64(19),
			Needs: []string{"bracket", "riser", "bracket"}, Buy: []string{"bracket"}, Currency: proto.String("EUR"),
			Seats: []*v1.Seat{{Item: proto.String("fans"), Mount: proto.String("roof\x1b[2J"), Count: proto.Uint32(2), Flow: v1.Flow_FLOW_EXHAUST.Enum(), Side: proto.String("outer")}},
		}},
		Directions: []*v1.Arrangement{{Seats: []*v1.Seat{{Item: proto.String("fans"), Mount: proto.String("roof"), Flow: v1.Flow_FLOW_INTAKE.Enum()}, {Item: proto.String("board")}}}},
	}, &v1.Build{Title: proto.String("Two \u202eways")}, nil)
	const want = `Two \u202eways: at least 3 arrangements fit
Not every arrangement was judged: the search has a budget. Fix some choices in the build to narrow it.

  1  margin 6.5 mm, fans 120 cm2, to buy for 19.00 EUR  *
     low
       fans x 2 on roof\u001b[2J, blowing out, outside
     needs 2 x bracket, riser
     buy   bracket

The first one's fans can blow otherwise too; --by cool and --by quiet compare that:
  - roof blowing in

* No other arrangement has more margin, more fan area and less cost at once.
`
	if b.String() != want {
		t.Errorf("it says\n%s\nwant\n%s", b.String(), want)
	}
}

func TestShortenKeepsThePlacesOfTheUnbeaten(t *testing.T) {
	r := &v1.Ranking{Arrangements: make([]*v1.Arrangement, 5), Unbeaten: []uint32{0, 2, 4}}
	shorten(r, 3)
	if len(r.Arrangements) != 3 || !slices.Equal(r.Unbeaten, []uint32{0, 2}) {
		t.Errorf("%d arrangements, unbeaten %v", len(r.Arrangements), r.Unbeaten)
	}
}

// Ranked by heat or sound, the forecasts stand in order and every arrangement that
// fits is still there, the first one also with its radiator's fans the other way.
func TestArrangementsRankByHeatAndSound(t *testing.T) {
	const file = builds + "second-radiator.yaml"
	_, all, _ := slipfit(t, "", "arrange", file, "--best", "40")
	for by, mark := range map[string]string{"cool": "nearest limit ", "quiet": "down to "} {
		code, out, errOut := slipfit(t, "", "arrange", file, "--best", "40", "--by", by)
		if code != exitFits {
			t.Fatalf("--by %s: exit code %d, errors %q", by, code, errOut)
		}
		if got, want := strings.Count(out, "margin "), strings.Count(all, "margin ")+strings.Count(all, "\n  - "); got != want {
			t.Errorf("--by %s shows %d arrangements, by margin %d", by, got, want)
		}
		var last float64
		seen := 0
		for line := range strings.Lines(out) {
			_, rest, ok := strings.Cut(line, mark)
			if !ok {
				continue
			}
			var v float64
			if _, err := fmt.Sscan(rest, &v); err != nil {
				t.Fatalf("%v in %q", err, line)
			}
			if seen > 0 && (by == "cool" && v > last || by == "quiet" && v < last) {
				t.Errorf("--by %s: %g comes after %g", by, v, last)
			}
			last = v
			seen++
		}
		if seen == 0 {
			t.Errorf("--by %s forecasts nothing:\n%s", by, out)
		}
	}
	if code, _, errOut := slipfit(t, "", "arrange", file, "--by", "colour"); code != exitUsage || !strings.Contains(errOut, `--by is margin, cool, quiet, not "colour"`) {
		t.Errorf("exit code %d, errors %q", code, errOut)
	}
}

// The chart is a picture of its own, of the same build.
func TestDrawMakesTheChart(t *testing.T) {
	code, out, errOut := slipfit(t, "", "draw", builds+"archive-editor.yaml", "--chart", "-o", "-")
	if code != exitFits || errOut != "" {
		t.Fatalf("exit code %d, errors %q", code, errOut)
	}
	if _, plain, _ := slipfit(t, "", "draw", builds+"archive-editor.yaml", "-o", "-"); plain == out {
		t.Error("the chart is the drawing")
	}
	d := xml.NewDecoder(strings.NewReader(out))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatalf("the chart is no XML: %v", err)
		}
	}
	if !strings.Contains(out, "dB(A)") {
		t.Error("the chart does not speak of sound")
	}
	code, _, errOut = slipfit(t, "", "draw", builds+"archive-draft.yaml", "--chart", "-o", "-")
	if code != exitUnknown || !strings.Contains(errOut, "there is no chart without the sound of every fan") {
		t.Errorf("a draft: exit code %d, errors %q", code, errOut)
	}
}
