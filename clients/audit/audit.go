// Package audit takes whole catalogues through the pack that judges single entries:
// it reads them as documents or as a shop's table, judges entry after entry in
// bounded memory, looks for entries that stand twice, says which questions of the
// other packs each entry can answer, and writes what it finds for people and for
// pipelines.
package audit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// Place is where an entry stands.
type Place struct {
	// File is the stream's name.
	File string
	// Line is the line or the table's row, 1 first; 0 where unknown.
	Line int64
	// Number counts the entries of the stream, 1 first.
	Number int64
}

// String gives "file:line", or the entry's number where the line is unknown.
func (p Place) String() string {
	if p.Line > 0 {
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	return fmt.Sprintf("%s, entry %d", p.File, p.Number)
}

// Remark is one thing to know about an entry.
type Remark struct {
	// Rule is the rule of the audit pack, or one of this package's own.
	Rule string
	// Verdict is FAIL for what is wrong, MARGINAL for what is to be read again,
	// UNKNOWN for what cannot be told.
	Verdict v1.Verdict
	// Path is the figure concerned, from the part; empty where there is none.
	Path string
	// Text is the whole sentence.
	Text string
	// Suggested is the value that was meant, where one is evident.
	Suggested *v1.Quantity
	// Do is the remedy in words, empty where there is none.
	Do string
}

// The rules of this package, beside those of the pack.
const (
	RuleUnreadable  = "catalogue.unreadable"
	RuleCell        = "catalogue.cell"
	RuleSameID      = "catalogue.same-id"
	RuleSameName    = "catalogue.same-name"
	RuleSameFigures = "catalogue.same-figures"
)

// ownRules are the descriptions of this package's rules, for outputs that list them.
var ownRules = map[string]string{
	RuleUnreadable:  "An entry that cannot be read",
	RuleCell:        "A cell of a table that cannot be read",
	RuleSameID:      "Two entries under one id",
	RuleSameName:    "Two entries of one maker and name with different figures",
	RuleSameFigures: "Two entries of different names with the same figures",
}

// Result is what is known about one entry.
type Result struct {
	Place Place
	// ID, Name and Kind are the entry's; Kind is the contract's word, such as
	// "air_cooler".
	ID, Name, Kind string
	// Remarks are what is not right, worst first.
	Remarks []Remark
	// Judged is how many rules had something to say, those that pass included.
	Judged int
	// Scores tell, pack by pack, for how many questions the entry is complete.
	Scores []Score
}

// Worst is the worst verdict among the remarks, PASS where there are none.
func (r *Result) Worst() v1.Verdict {
	worst := v1.Verdict_VERDICT_PASS
	for i := range r.Remarks {
		worst = max(worst, r.Remarks[i].Verdict)
	}
	return worst
}

// Judge answers for one encoded slipfit.v1.CheckRequest with encoded findings, as
// a kit.Evaluator does.
type Judge func(check []byte) (findings []byte, err error)

// Auditor judges entries. It is safe for use by several goroutines where its judge
// is.
type Auditor struct {
	judge     Judge
	validator *document.Validator
	complete  *completeness
}

// New makes an auditor. The rules are those of the other packs, for completeness.
func New(judge Judge, rules []*v1.Rule) (*Auditor, error) {
	validator, err := document.New()
	if err != nil {
		return nil, fmt.Errorf("the field rules of the contract cannot be used: %w", err)
	}
	return &Auditor{judge, validator, newCompleteness(rules)}, nil
}

// Field numbers of slipfit.v1 on the way to a part.
const (
	requestBuild = 1
	buildItems   = 3
	itemID       = 1
	itemPart     = 2
)

// partPath is where a part stands in the build that is made of it.
const partPath = "items[0].part."

// wrap makes the question of an encoded part.
func wrap(part []byte) []byte {
	item := protowire.AppendString(protowire.AppendTag(nil, itemID, protowire.BytesType), "entry")
	item = protowire.AppendBytes(protowire.AppendTag(item, itemPart, protowire.BytesType), part)
	build := protowire.AppendBytes(protowire.AppendTag(nil, buildItems, protowire.BytesType), item)
	return protowire.AppendBytes(protowire.AppendTag(nil, requestBuild, protowire.BytesType), build)
}

// Entry judges one part. The result's place is the caller's to fill in.
func (a *Auditor) Entry(part *v1.Part) (Result, error) {
	r := Result{ID: part.GetId(), Name: part.GetName(), Kind: kindName(part)}
	encoded, err := part.MarshalVT()
	if err != nil {
		return r, fmt.Errorf("the entry cannot be encoded: %w", err)
	}
	check := wrap(encoded)
	if violations := a.validator.Check(check); len(violations) > 0 {
		for _, v := range violations {
			path := strings.TrimPrefix(v.Path, "build."+partPath)
			r.Remarks = append(r.Remarks, Remark{Rule: RuleUnreadable, Verdict: v1.Verdict_VERDICT_FAIL, Path: path, Text: v.Reason})
		}
		return r, nil
	}
	findings, err := a.judge(check)
	if err != nil {
		return r, err
	}
	var answer v1.CheckResponse
	if err := answer.UnmarshalVT(findings); err != nil {
		return r, fmt.Errorf("the findings cannot be read: %w", err)
	}
	r.Judged = len(answer.Findings)
	for _, f := range answer.Findings {
		if f.GetVerdict() != v1.Verdict_VERDICT_PASS {
			r.Remarks = append(r.Remarks, remarkOf(f))
		}
	}
	slices.SortStableFunc(r.Remarks, func(a, b Remark) int { return -cmp.Compare(a.Verdict, b.Verdict) })
	r.Scores = a.complete.scores(part)
	return r, nil
}

func remarkOf(f *v1.Finding) Remark {
	out := Remark{Rule: f.GetRule(), Verdict: f.GetVerdict(), Text: f.GetSummary().GetText()}
	switch {
	case len(f.Missing) > 0:
		out.Path = strings.TrimPrefix(f.Missing[0], partPath)
	case len(f.Inputs) > 0:
		out.Path = strings.TrimPrefix(f.Inputs[0].GetPath(), partPath)
	}
	if len(f.Remedies) > 0 {
		out.Do = f.Remedies[0].GetAction().GetText()
		if change := f.Remedies[0].Change; change != nil {
			out.Suggested = change
		}
	}
	return out
}

// kindName is the contract's word for what a part is.
func kindName(part *v1.Part) string {
	field := part.ProtoReflect().WhichOneof(kindOneof)
	if field == nil {
		return ""
	}
	return string(field.Name())
}

var kindOneof = (&v1.Part{}).ProtoReflect().Descriptor().Oneofs().ByName("kind")
