package audit

import (
	"cmp"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Writer writes results as they come, and what only the end knows in Close.
type Writer interface {
	Write(*Result) error
	Close(*Summary) error
}

// Formats are the names of the outputs.
var Formats = []string{"text", "ndjson", "csv", "junit", "sarif"}

// Options say how an output looks.
type Options struct {
	// Formulas leaves cells of CSV that a spreadsheet would take for a formula as they
	// are.
	Formulas bool
	// Rules describe the rules of the audit pack, for outputs that list them.
	Rules []*v1.Rule
	// Version is that of the audit pack.
	Version string
}

// NewWriter makes the output of one of the Formats.
func NewWriter(format string, to io.Writer, o Options) (Writer, error) {
	switch format {
	case "text":
		return &textWriter{to: to}, nil
	case "ndjson":
		return &ndjsonWriter{json.NewEncoder(to)}, nil
	case "csv":
		return newCSVWriter(to, o.Formulas)
	case "junit":
		return newJUnitWriter(to), nil
	case "sarif":
		return newSARIFWriter(to, o), nil
	}
	return nil, fmt.Errorf("--format is %s, not %q", strings.Join(Formats, ", "), format)
}

func word(v v1.Verdict) string { return strings.TrimPrefix(v.String(), "VERDICT_") }

// visible makes control characters and those that turn writing around visible: a
// name is text, wherever it is shown.
func visible(s string) string {
	return strings.Map(func(r rune) rune {
		if r < 0x20 || r >= 0x7f && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0xfffe || r == 0xffff {
			return '\ufffd'
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
}

// ndjsonWriter writes one object a line for each entry.
type ndjsonWriter struct{ to *json.Encoder }

type jsonEntry struct {
	File    string       `json:"file"`
	Line    int64        `json:"line,omitempty"`
	Number  int64        `json:"number"`
	ID      string       `json:"id,omitempty"`
	Name    string       `json:"name,omitempty"`
	Kind    string       `json:"kind,omitempty"`
	Verdict string       `json:"verdict"`
	Remarks []jsonRemark `json:"remarks,omitempty"`
	Scores  []jsonScore  `json:"completeness,omitempty"`
}

type jsonRemark struct {
	Rule      string   `json:"rule"`
	Verdict   string   `json:"verdict"`
	Path      string   `json:"path,omitempty"`
	Text      string   `json:"text"`
	Do        string   `json:"do,omitempty"`
	Suggested *float64 `json:"suggested,omitempty"`
	Unit      string   `json:"unit,omitempty"`
}

type jsonScore struct {
	Pack     string              `json:"pack"`
	Answered int                 `json:"answered"`
	Rules    int                 `json:"rules"`
	Missing  map[string][]string `json:"missing,omitempty"`
}

func (w *ndjsonWriter) Write(r *Result) error {
	out := jsonEntry{
		File: r.Place.File, Line: r.Place.Line, Number: r.Place.Number, ID: r.ID, Name: r.Name, Kind: r.Kind, Verdict: word(r.Worst()),
	}
	for i := range r.Remarks {
		m := &r.Remarks[i]
		j := jsonRemark{Rule: m.Rule, Verdict: word(m.Verdict), Path: m.Path, Text: m.Text, Do: m.Do}
		if m.Suggested != nil {
			j.Suggested, j.Unit = m.Suggested.Nominal, m.Suggested.GetUnit()
		}
		out.Remarks = append(out.Remarks, j)
	}
	for _, s := range r.Scores {
		j := jsonScore{Pack: s.Pack, Answered: s.Answered, Rules: s.Rules}
		for _, missing := range s.Missing {
			if j.Missing == nil {
				j.Missing = map[string][]string{}
			}
			j.Missing[missing.Field] = missing.Rules
		}
		out.Scores = append(out.Scores, j)
	}
	return w.to.Encode(out)
}

func (w *ndjsonWriter) Close(*Summary) error { return nil }

// junitWriter writes one suite of cases, a case for each entry, in the form that
// build servers read. Entries without a remark are cases that pass; what is only
// unusual passes too and is told in the case's output.
type junitWriter struct {
	to    io.Writer
	cases []junitCase
}

type junitSuites struct {
	XMLName  xml.Name   `xml:"testsuites"`
	Name     string     `xml:"name,attr"`
	Tests    int        `xml:"tests,attr"`
	Failures int        `xml:"failures,attr"`
	Errors   int        `xml:"errors,attr"`
	Suite    junitSuite `xml:"testsuite"`
}

type junitSuite struct {
	Name     string      `xml:"name,attr"`
	Tests    int         `xml:"tests,attr"`
	Failures int         `xml:"failures,attr"`
	Errors   int         `xml:"errors,attr"`
	Skipped  int         `xml:"skipped,attr"`
	Time     string      `xml:"time,attr"`
	Cases    []junitCase `xml:"testcase"`
}

type junitCase struct {
	Class   string        `xml:"classname,attr"`
	Name    string        `xml:"name,attr"`
	Time    string        `xml:"time,attr"`
	Skipped *junitText    `xml:"skipped"`
	Error   *junitMessage `xml:"error"`
	Failure *junitMessage `xml:"failure"`
	Out     string        `xml:"system-out,omitempty"`
}

type junitMessage struct {
	Message string `xml:"message,attr"`
	Type    string `xml:"type,attr,omitempty"`
	Text    string `xml:",chardata"`
}

// junitText is an element that holds text alone: the schema gives "skipped" nothing
// else.
type junitText struct {
	Text string `xml:",chardata"`
}

func newJUnitWriter(to io.Writer) *junitWriter { return &junitWriter{to: to} }

// Write keeps a case for each entry: build servers count them before they read them.
func (w *junitWriter) Write(r *Result) error {
	name := r.Place.String()
	if r.ID != "" {
		name = r.ID + " (" + name + ")"
	}
	c := junitCase{Class: "catalogue." + orWord(r.Kind, "entry"), Name: visible(name), Time: "0"}
	var failing, other []string
	var rule string // of the first that fails
	for i := range r.Remarks {
		m := &r.Remarks[i]
		text := m.Rule + ": " + visible(m.Text)
		if m.Do != "" {
			text += " " + visible(m.Do)
		}
		if m.Verdict == v1.Verdict_VERDICT_FAIL {
			failing = append(failing, text)
			rule = cmp.Or(rule, m.Rule)
		} else {
			other = append(other, text)
		}
	}
	c.Out = strings.Join(other, "\n")
	switch {
	case len(failing) > 0 && r.Kind == "":
		c.Error = &junitMessage{failing[0], RuleUnreadable, strings.Join(failing, "\n")}
	case len(failing) > 0:
		c.Failure = &junitMessage{failing[0], rule, strings.Join(failing, "\n")}
	case r.Worst() == v1.Verdict_VERDICT_UNKNOWN:
		c.Skipped = &junitText{strings.Join(other, "\n")}
	}
	w.cases = append(w.cases, c)
	return nil
}

func (w *junitWriter) Close(*Summary) error {
	suite := junitSuite{Name: "slipfit audit", Tests: len(w.cases), Time: "0", Cases: w.cases}
	for i := range w.cases {
		switch c := &w.cases[i]; {
		case c.Error != nil:
			suite.Errors++
		case c.Failure != nil:
			suite.Failures++
		case c.Skipped != nil:
			suite.Skipped++
		}
	}
	if _, err := io.WriteString(w.to, xml.Header); err != nil {
		return err
	}
	e := xml.NewEncoder(w.to)
	e.Indent("", " ")
	if err := e.Encode(junitSuites{Name: suite.Name, Tests: suite.Tests, Failures: suite.Failures, Errors: suite.Errors, Suite: suite}); err != nil {
		return err
	}
	_, err := io.WriteString(w.to, "\n")
	return err
}

func orWord(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

func number10(v int64) string { return strconv.FormatInt(v, 10) }
