package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// The service starts its packs by starting this program again, which in a test is
// the test binary.
func TestMain(m *testing.M) {
	if len(os.Args) == 3 && os.Args[1] == "pack" || len(os.Args) == 2 && os.Args[1] == "hand" {
		os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
	}
	os.Exit(m.Run())
}

// slipfit runs the command line and returns what a person would see.
func slipfit(t *testing.T, input string, args ...string) (code int, out, errOut string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(t.Context(), args, strings.NewReader(input), &o, &e)
	return code, o.String(), e.String()
}

const builds = "../demo/builds/"

func TestExitCodeIsTheVerdict(t *testing.T) {
	for file, want := range map[string]struct {
		code  int
		first string
	}{
		"archive-editor.yaml":    {exitFits, "MARGINAL  Quiet editing machine of the nature-sound archive"},
		"archive-overreach.yaml": {exitFails, "FAIL  Everything at once, and too much of it"},
		"archive-draft.yaml":     {exitUnknown, "UNKNOWN  First draft, some figures still missing"},
	} {
		t.Run(file, func(t *testing.T) {
			code, out, errOut := slipfit(t, "", "check", builds+file)
			first, _, _ := strings.Cut(out, "\n")
			if code != want.code || first != want.first || errOut != "" {
				t.Errorf("exit code %d, first line %q, errors %q; want %d, %q and none", code, first, errOut, want.code, want.first)
			}
		})
	}
}

// One build fails in clearance, power and mounting at once.
func TestOverreachFailsInThreePacks(t *testing.T) {
	_, out, _ := slipfit(t, "", "check", "--format", "json", builds+"archive-overreach.yaml")
	answer := new(v1.CheckResponse)
	if err := protojson.Unmarshal([]byte(out), answer); err != nil {
		t.Fatal(err)
	}
	failing := map[string]bool{}
	for _, f := range answer.Findings {
		if f.GetVerdict() == v1.Verdict_VERDICT_FAIL {
			failing[f.GetPack()] = true
		}
	}
	for _, pack := range []string{"clearance", "mounting", "power"} {
		if !failing[pack] {
			t.Errorf("nothing fails in %s", pack)
		}
	}
}

// A draft says which field is missing, and on which line the part stands.
func TestUnknownNamesFieldAndLine(t *testing.T) {
	_, out, _ := slipfit(t, "", "check", builds+"archive-draft.yaml")
	for _, want := range []string{"items[3].part.air_cooler.height_mm", "archive-draft.yaml:9"} {
		if !strings.Contains(out, want) {
			t.Errorf("the answer does not say %q:\n%s", want, out)
		}
	}
}

// The same build in every encoding gets the same answer, to the byte.
func TestEveryEncodingGetsTheSameAnswer(t *testing.T) {
	_, want, _ := slipfit(t, "", "check", "--format", "json", builds+"archive-editor.yaml")
	build := readBuild(t)
	asJSON, err := protojson.Marshal(build)
	if err != nil {
		t.Fatal(err)
	}
	var line bytes.Buffer
	if err := json.Compact(&line, asJSON); err != nil {
		t.Fatal(err)
	}
	binary, err := proto.Marshal(build)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for name, data := range map[string][]byte{"b.json": asJSON, "b.ndjson": line.Bytes(), "b.binpb": binary, "b.yaml": asJSON} {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, data, 0o600); err != nil {
			t.Fatal(err)
		}
		if code, got, errOut := slipfit(t, "", "check", "--format", "json", file); code != exitFits || got != want {
			t.Errorf("%s: exit code %d, %d bytes of answer instead of %d, errors %q", name, code, len(got), len(want), errOut)
		}
	}
	if _, got, _ := slipfit(t, line.String(), "check", "--format", "json", "-"); got != want {
		t.Error("standard input got another answer")
	}
}

func readBuild(t *testing.T) *v1.Build {
	t.Helper()
	const name = "archive-editor.yaml"
	data, err := os.ReadFile(builds + name)
	if err != nil {
		t.Fatal(err)
	}
	build := new(v1.Build)
	options := document.Options{Resolve: document.FileResolver("..")}
	if _, err := options.Read("demo/builds/"+name, data, build); err != nil {
		t.Fatal(err)
	}
	return build
}

// One bad line does not end the rest, and the answer tells the lines apart.
func TestBadLineIsToldAndTheRestGoesOn(t *testing.T) {
	input := `{"id":"one","items":[{"id":"fan","part":{"fan":{"size_mm":120}}}]}
{"id":"two","items":[{"id":"fan","part":{"fan":{"size_mn":120}}}]}
{"id":"three","items":[{"id":"fan","part":{"fan":{"size_mm":120}}}]}
`
	file := filepath.Join(t.TempDir(), "b.ndjson")
	if err := os.WriteFile(file, []byte(input), 0o600); err != nil {
		t.Fatal(err)
	}
	code, out, _ := slipfit(t, "", "check", "--format", "ndjson", file)
	var said []string
	for line := range strings.Lines(out) {
		reply := new(v1.CheckManyResponse)
		if err := protojson.Unmarshal([]byte(line), reply); err != nil {
			t.Fatalf("%v in %s", err, line)
		}
		if r := reply.GetRefusal(); r != nil {
			said = append(said, "refused")
			if !strings.Contains(r.GetReason(), `the nearest is "size_mm"`) || !strings.Contains(r.GetReason(), "b.ndjson:2:") {
				t.Errorf("the refusal says %q", r.GetReason())
			}
			continue
		}
		said = append(said, reply.GetCheck().GetBuildId())
	}
	if want := []string{"one", "refused", "three"}; code != exitUsage || !slices.Equal(said, want) {
		t.Errorf("exit code %d, lines %v; want %d, %v", code, said, exitUsage, want)
	}
}

func TestBadCallsAndDocumentsSayWhatToDo(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	for name, c := range map[string]struct {
		args []string
		want string
	}{
		"no file":           {[]string{"check"}, "requires at least 1 arg"},
		"file away":         {[]string{"check", dir + "/none.yaml"}, "none.yaml cannot be opened: no such file or directory"},
		"format":            {[]string{"check", "--format", "xml", builds + "archive-draft.yaml"}, `--format is text, json or ndjson, not "xml"`},
		"policy form":       {[]string{"check", "--policy", "x", builds + "archive-draft.yaml"}, `--policy is NAME=NUMBER, not "x"`},
		"policy name":       {[]string{"check", "--policy", "tolerance.lenght_mm=1", builds + "archive-draft.yaml"}, `did you mean "tolerance.length_mm"?`},
		"empty":             {[]string{"check", write("empty.yaml", "")}, "empty.yaml"},
		"unknown field":     {[]string{"check", write("field.yaml", "items:\n- id: a\n  prat: {fan: {}}\n")}, `field.yaml:3:3`},
		"value out of room": {[]string{"check", write("value.yaml", "items:\n- id: a\n  part: {fan: {size_mm: 9000}}\n")}, "value.yaml:3:"},
		"part away":         {[]string{"check", write("ref.yaml", "items:\n- {id: a, part: none.yaml#x}\n")}, "ref.yaml:2:"},
		"no such rule":      {[]string{"packs", "describe", "clearance.cooler-hight"}, `did you mean "clearance.cooler-height"?`},
		"no such command":   {[]string{"chek"}, `unknown command "chek"`},
	} {
		t.Run(name, func(t *testing.T) {
			code, _, errOut := slipfit(t, "", c.args...)
			if code != exitUsage || !strings.Contains(errOut, c.want) {
				t.Errorf("exit code %d, errors %q; want %d and %q", code, errOut, exitUsage, c.want)
			}
		})
	}
}

func TestServiceAwayIsToldAsSuch(t *testing.T) {
	code, _, errOut := slipfit(t, "", "packs", "--server", "127.0.0.1:1")
	if code != exitAway || !strings.Contains(errOut, "cannot be reached") {
		t.Errorf("exit code %d, errors %q", code, errOut)
	}
}

func TestPacksListAndExplainEveryRule(t *testing.T) {
	code, out, _ := slipfit(t, "", "packs")
	if code != exitFits {
		t.Fatalf("exit code %d", code)
	}
	for _, b := range builtin {
		pack := b.pack()
		if !strings.Contains(out, pack.Name+" "+pack.Version+", serves") {
			t.Errorf("%s is not listed as serving", pack.Name)
		}
		for _, r := range pack.Rules {
			if !strings.Contains(out, r.ID) || !strings.Contains(out, r.Title) {
				t.Errorf("%s is not listed with its title", r.ID)
			}
		}
	}
	rule := builtin[0].pack().Rules[0]
	code, out, _ = slipfit(t, "", "packs", "describe", rule.ID)
	for _, want := range []string{rule.ID, rule.Why, rule.Formula, rule.Sources[0].Title} {
		if code != exitFits || !strings.Contains(out, want) {
			t.Errorf("exit code %d; the explanation lacks %q", code, want)
		}
	}
}

// Names are text: what would move a terminal's cursor or turn its writing around
// becomes visible.
func TestNamesCannotTouchTheTerminal(t *testing.T) {
	build := `{"title":"a\u001b[2Jb\u202ec","items":[{"id":"fan","part":{"name":"x\u001b[31my","fan":{"size_mm":120}}}]}`
	_, out, errOut := slipfit(t, build, "check", "-")
	if strings.ContainsAny(out+errOut, "\x1b\u202e") {
		t.Errorf("control characters came through: %q %q", out, errOut)
	}
}
