package audit

import (
	"encoding/json"
	"io"
	"maps"
	"net/url"
	"path/filepath"
	"slices"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
)

// sarifWriter writes one run in the Static Analysis Results Interchange Format
// 2.1.0 (OASIS). Results go out as they come: the rules, which only the end could
// know, are listed from the start.
type sarifWriter struct {
	to      io.Writer
	rules   map[string]int
	head    sarifHead
	results int
	err     error
}

type sarifHead struct {
	driver sarifDriver
}

type sarifDriver struct {
	Name            string      `json:"name"`
	SemanticVersion string      `json:"semanticVersion,omitempty"`
	Rules           []sarifRule `json:"rules"`
}

type sarifRule struct {
	ID    string     `json:"id"`
	Short sarifText  `json:"shortDescription"`
	Full  *sarifText `json:"fullDescription,omitempty"`
	Help  *sarifText `json:"help,omitempty"`
}

type sarifText struct {
	Text string `json:"text"`
}

type sarifResult struct {
	RuleID     string          `json:"ruleId"`
	RuleIndex  int             `json:"ruleIndex"`
	Kind       string          `json:"kind,omitempty"`
	Level      string          `json:"level"`
	Message    sarifText       `json:"message"`
	Locations  []sarifLocation `json:"locations"`
	Properties map[string]any  `json:"properties,omitempty"`
}

type sarifLocation struct {
	Physical sarifPhysical  `json:"physicalLocation"`
	Logical  []sarifLogical `json:"logicalLocations,omitempty"`
}

type sarifPhysical struct {
	Artifact sarifArtifact `json:"artifactLocation"`
	Region   *sarifRegion  `json:"region,omitempty"`
}

type sarifArtifact struct {
	URI string `json:"uri"`
}

type sarifRegion struct {
	StartLine int64 `json:"startLine"`
}

type sarifLogical struct {
	Name          string `json:"name,omitempty"`
	QualifiedName string `json:"fullyQualifiedName"`
	Kind          string `json:"kind"`
}

func newSARIFWriter(to io.Writer, o Options) *sarifWriter {
	w := &sarifWriter{to: to, rules: map[string]int{}}
	d := &w.head.driver
	d.Name, d.SemanticVersion = "slipfit", o.Version
	add := func(r sarifRule) {
		w.rules[r.ID] = len(d.Rules)
		d.Rules = append(d.Rules, r)
	}
	for _, r := range o.Rules {
		add(sarifRule{r.GetId(), sarifText{r.GetTitle() + "."}, &sarifText{r.GetWhy()}, &sarifText{r.GetFormula()}})
	}
	for _, id := range slices.Sorted(maps.Keys(ownRules)) {
		add(sarifRule{ID: id, Short: sarifText{ownRules[id] + "."}})
	}
	return w
}

func (w *sarifWriter) print(text string) {
	if w.err == nil {
		_, w.err = io.WriteString(w.to, text)
	}
}

func (w *sarifWriter) json(v any) {
	encoded, err := json.Marshal(v)
	if err != nil && w.err == nil {
		w.err = err
	}
	w.print(string(encoded))
}

func (w *sarifWriter) open() {
	w.print(`{"version":"2.1.0","runs":[{"tool":{"driver":`)
	w.json(w.head.driver)
	w.print(`},"columnKind":"unicodeCodePoints","results":[`)
}

func (w *sarifWriter) Write(r *Result) error {
	for i := range r.Remarks {
		if w.results == 0 {
			w.open()
		} else {
			w.print(",\n")
		}
		w.results++
		w.json(w.result(r, &r.Remarks[i]))
	}
	return w.err
}

func (w *sarifWriter) result(r *Result, m *Remark) sarifResult {
	text := visible(m.Text)
	if m.Do != "" {
		text += " " + visible(m.Do)
	}
	out := sarifResult{RuleID: m.Rule, RuleIndex: w.rules[m.Rule], Message: sarifText{text}}
	switch m.Verdict {
	case v1.Verdict_VERDICT_FAIL:
		out.Level = "error"
	case v1.Verdict_VERDICT_MARGINAL:
		out.Level = "warning"
	default:
		// The format's word for a question that cannot be answered yet.
		out.Kind, out.Level = "open", "none"
	}
	location := sarifLocation{Physical: sarifPhysical{Artifact: sarifArtifact{fileURI(r.Place.File)}}}
	if r.Place.Line > 0 {
		location.Physical.Region = &sarifRegion{r.Place.Line}
	}
	if name := orWord(r.ID, r.Name); name != "" || m.Path != "" {
		location.Logical = []sarifLogical{{visible(r.Name), visible(strings.Trim(name+"."+m.Path, ".")), "member"}}
	}
	out.Locations = []sarifLocation{location}
	if m.Suggested != nil {
		out.Properties = map[string]any{"suggested": m.Suggested.GetNominal(), "unit": m.Suggested.GetUnit(), "path": m.Path}
	}
	return out
}

func fileURI(name string) string {
	if name == "" || name == "-" {
		name = "standard-input"
	}
	u := url.URL{Path: filepath.ToSlash(name)}
	if filepath.IsAbs(name) {
		u.Scheme = "file"
	}
	return u.String()
}

func (w *sarifWriter) Close(*Summary) error {
	if w.results == 0 {
		w.open()
	}
	w.print("]}]}\n")
	return w.err
}
