// Package sheet writes the printable record of one build: a single page of HTML
// that refers to nothing outside itself and holds no script. It shows the verdict,
// what is to be settled, the arrangement with its drawing, gaps, cables, screws,
// what is to buy, the order of assembly with boxes to tick, the forecast, the
// power, what is unknown, and what the answer rests on.
//
// Whatever stands in the answer stays text: names are never read as markup.
// Drawings are taken over only where they are plain graphics.
package sheet

import (
	"bufio"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Options say what the page is about beside the answer.
type Options struct {
	// Title is what the build is called for people. Empty: its id.
	Title string
	// Names are what people call the items, by their ids.
	Names map[string]string
	// Made is the day that the answer is from, as it is to be printed. Empty: no day
	// is printed, and the same answer gives the same page.
	Made string
}

// FromBuild are the options that a build itself gives.
func FromBuild(b *v1.Build) Options {
	o := Options{Title: b.GetTitle(), Names: map[string]string{}}
	for _, item := range b.GetItems() {
		if name := item.GetPart().GetName(); name != "" {
			o.Names[item.GetId()] = name
		}
	}
	return o
}

// Facts are the facts that the page shows where an answer has them, by name. Ask
// for those that the service provides.
var Facts = []string{
	"clearance.arrangement", "clearance.drawing", "mounting.assembly", "thermal.forecast", "thermal.settings", "thermal.chart",
	"power.demand", "power.circuit", "interface.links",
}

//go:embed sheet.gohtml
var pageText string

//go:embed sheet.css
var styleText string

// page is parsed once. The style is our own text, and goes in as it is.
var page = template.Must(template.New("sheet").Funcs(template.FuncMap{
	"style": func() template.CSS { return template.CSS(styleText) },
}).Parse(pageText))

// Page is the page of one answer to a build's question, with the day on it where
// that is not empty.
func Page(build *v1.Build, answer *v1.CheckResponse, day string) (string, error) {
	options := FromBuild(build)
	options.Made = day
	var b strings.Builder
	err := Write(&b, answer, options)
	return b.String(), err
}

// Write writes the page of one answer.
func Write(to io.Writer, answer *v1.CheckResponse, options Options) error {
	w := bufio.NewWriter(to)
	if err := page.Execute(w, read(answer, options)); err != nil {
		return fmt.Errorf("the sheet of build %q could not be written: %w", answer.GetBuildId(), err)
	}
	return w.Flush()
}
