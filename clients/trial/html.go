package trial

import (
	_ "embed"
	"html/template"
	"io"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
)

//go:embed report.html
var pageText string

var page = template.Must(template.New("report").Funcs(template.FuncMap{
	"headline": headline,
	"words":    verdictWord,
	"tone":     tone,
	"span":     span,
	"cost":     costWords,
	"evidence": Evidence,
	"subjects": subjects,
	"way":      DirectionOf,
	"countWay": directionOfCount,
	"interest": byInterest,
	"title":    exampleTitle,
	"refusal":  refusalLines,
}).Parse(pageText))

// WriteHTML writes a report as one page that needs nothing beside it: no scripts,
// no pictures, nothing fetched.
func WriteHTML(to io.Writer, r *Report) error { return page.Execute(to, r) }

// tone is the class that a verdict is shown with; its word says the same.
func tone(v v1.Verdict) string { return "v-" + strings.ToLower(verdictWord(v)) }
