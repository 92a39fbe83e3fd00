package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"

	v1 "slipfit.example/proto/slipfit/v1"
)

const demoPartFiles = "../demo/parts"

func TestShortlistAsText(t *testing.T) {
	code, out, errOut := slipfit(t, "", "shortlist", builds+"archive-editor.yaml", "--for", "cooler", "--from", demoPartFiles, "--rejected")
	if code != exitFits || errOut != "" {
		t.Fatalf("exit code %d, errors %q", code, errOut)
	}
	for _, want := range []string{
		"For cooler in: Quiet editing machine of the nature-sound archive\nThese fit, the most to spare first:\n\n  1  ",
		"\nThese do not, by the rule that decides:\n\n",
		"of other kinds were left out.\n",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("the list lacks %q:\n%s", want, out)
		}
	}
	shown := strings.Count(out, "\n  FAIL ") + strings.Count(out, "\n  UNKNOWN ")
	fitting := strings.Count(out[:strings.Index(out, "These do not")], "\n  ")
	if n := strings.Count(readFile(t, demoPartFiles+"/coolers.yaml"), "\nair_cooler:"); shown+fitting != n {
		t.Errorf("%d fit and %d are shown with a reason, of %d coolers:\n%s", fitting, shown, n, out)
	}
}

func readFile(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestShortlistAsJSONByPrice(t *testing.T) {
	code, out, errOut := slipfit(t, "", "shortlist", builds+"front-desk.yaml", "--for", "supply",
		"--from", demoPartFiles+"/supplies.yaml", "--order", "price", "--format", "json", "--rejected")
	answer := new(v1.ShortlistResponse)
	if err := protojson.Unmarshal([]byte(out), answer); code != exitFits || errOut != "" || err != nil {
		t.Fatalf("exit code %d, errors %q, %v", code, errOut, err)
	}
	byPrice := func(a, b *v1.Candidate) int { return int(100*a.Price.GetAmount()) - int(100*b.Price.GetAmount()) }
	if len(answer.Fitting) < 2 || !slices.IsSortedFunc(answer.Fitting, byPrice) {
		t.Errorf("%d fit, not by price: %v", len(answer.Fitting), answer.Fitting)
	}
	if n := len(answer.Fitting) + len(answer.Rejected); uint64(n) != answer.Summary.GetCandidates() {
		t.Errorf("%d are listed of %d", n, answer.Summary.GetCandidates())
	}
}

// Parts come by standard input, one that cannot be read is told with its place, and
// names cannot reach the terminal.
func TestShortlistFromStandardInput(t *testing.T) {
	input := `{"id":"plain","name":"Red \u001b[31m name","price":{"amount":9,"currency":"EUR"},"memory":{}}
{"id":"broken","memory":{"modules":"two"}}
{"id":"wrong","memory":{"modules":1000}}
`
	code, out, errOut := slipfit(t, input, "shortlist", builds+"archive-editor.yaml", "--for", "memory", "--from", "-", "--rejected")
	if code != exitUnknown || !strings.Contains(errOut, "standard input:2:") {
		t.Errorf("exit code %d, errors %q", code, errOut)
	}
	if strings.Contains(out, "\x1b") || !strings.Contains(out, `Red \u001b[31m name`) {
		t.Errorf("a name reached the terminal: %q", out)
	}
	if !strings.Contains(out, "  REFUSED  wrong: the document is not good: memory.modules") || !strings.Contains(out, "1 could not be read") {
		t.Errorf("a bad part is not refused with its reason: %s", out)
	}
}

func TestShortlistAsLinesEndsWithTheSummary(t *testing.T) {
	_, out, _ := slipfit(t, "", "shortlist", builds+"archive-editor.yaml", "--for", "card", "--from", demoPartFiles, "--format", "ndjson")
	lines := strings.Split(strings.TrimSpace(out), "\n")
	for i, line := range lines {
		m := new(v1.ShortlistManyResponse)
		if err := protojson.Unmarshal([]byte(line), m); err != nil || !json.Valid([]byte(line)) {
			t.Fatalf("line %d: %v", i+1, err)
		}
		if (m.GetSummary() != nil) != (i == len(lines)-1) {
			t.Errorf("line %d of %d is %v", i+1, len(lines), m)
		}
	}
}

func TestMatrixAsTextAndAsLines(t *testing.T) {
	args := []string{"matrix", builds + "archive-editor.yaml", "--rows", "card=" + demoPartFiles, "--columns", "enclosure=" + demoPartFiles + "/chassis.yaml"}
	code, out, errOut := slipfit(t, "", args...)
	if code != exitFits || errOut != "" {
		t.Fatalf("exit code %d, errors %q:\n%s", code, errOut, out)
	}
	for _, want := range []string{"For card down and enclosure across in: Quiet editing machine", "\n  1   Lichtung 18\n", "\n  Gischt 220  ", "FAIL", "by the rule that decides; --format ndjson has each finding:\n\n  "} {
		if !strings.Contains(out, want) {
			t.Errorf("the matrix lacks %q:\n%s", want, out)
		}
	}
	_, out, _ = slipfit(t, "", append(args, "--format", "ndjson")...)
	for i, line := range strings.Split(strings.TrimSpace(out), "\n") {
		m := new(v1.MatrixResponse)
		if err := protojson.Unmarshal([]byte(line), m); err != nil || m.GetRow() != uint64(i) || len(m.Cells) == 0 {
			t.Errorf("line %d: %v, %v", i+1, err, m)
		}
	}
}

func TestShortlistUsage(t *testing.T) {
	build := builds + "archive-editor.yaml"
	bad := filepath.Join(t.TempDir(), "bad.yaml")
	if err := os.WriteFile(bad, []byte("items:\n  - id: fan\n    part: {fan: {size_mm: 1}}\n  - id: other\n    part: {memory: {}}\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		args []string
		want string
	}{
		"no source":   {[]string{"shortlist", build, "--for", "cooler"}, "slipfit: --from says where parts come from"},
		"no file":     {[]string{"shortlist", build, "--for", "cooler", "--from", "nowhere"}, "slipfit: nowhere cannot be opened: no such file or directory"},
		"no item":     {[]string{"shortlist", build, "--for", "coolr", "--from", demoPartFiles}, `slipfit: the build holds no item "coolr", so that its kind is not known: name the kind with --kind`},
		"kind":        {[]string{"shortlist", build, "--for", "coolr", "--kind", "cooler", "--from", demoPartFiles}, `slipfit: "cooler" is no kind of part; kinds are accessory, air_cooler,`},
		"other kinds": {[]string{"shortlist", build, "--for", "cooler", "--from", demoPartFiles + "/fans.yaml"}, "no part of the kind air_cooler can be read there"},
		"order":       {[]string{"shortlist", build, "--for", "cooler", "--from", demoPartFiles, "--order", "size"}, `slipfit: --order is margin, price or sound, not "size"`},
		"most":        {[]string{"shortlist", build, "--for", "cooler", "--from", demoPartFiles, "--most", "0"}, "slipfit: --most is from 1 to 1000, not 0"},
		"format":      {[]string{"shortlist", build, "--for", "cooler", "--from", demoPartFiles, "--format", "csv"}, `slipfit: --format is text, json, ndjson, not "csv"`},
		"bad build":   {[]string{"shortlist", bad, "--for", "other", "--from", demoPartFiles}, bad + ":3:"},
		"side":        {[]string{"matrix", build, "--rows", "cards", "--columns", "enclosure=" + demoPartFiles}, `slipfit: --rows is ITEM=FILES, not "cards"`},
		"side's item": {[]string{"matrix", build, "--rows", "gpu=" + demoPartFiles, "--columns", "enclosure=" + demoPartFiles}, `slipfit: --rows: the build holds no item "gpu"; name one that it holds`},
	} {
		t.Run(name, func(t *testing.T) {
			code, out, errOut := slipfit(t, "", c.args...)
			if code != exitUsage || !strings.Contains(errOut, c.want) || out != "" {
				t.Errorf("exit code %d, errors %q, output %q; want 64, %q and none", code, errOut, out, c.want)
			}
		})
	}
}
