package audit

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
)

// csvWriter writes one row for each remark (RFC 4180).
type csvWriter struct {
	to       *csv.Writer
	formulas bool
}

func newCSVWriter(to io.Writer, formulas bool) (*csvWriter, error) {
	w := &csvWriter{csv.NewWriter(to), formulas}
	return w, w.to.Write([]string{
		"file", "line", "number", "id", "name", "kind", "verdict", "rule", "path", "text", "suggested", "unit", "do",
	})
}

func (w *csvWriter) Write(r *Result) error {
	for i := range r.Remarks {
		m := &r.Remarks[i]
		suggested := ""
		if m.Suggested != nil {
			suggested = strconv.FormatFloat(m.Suggested.GetNominal(), 'g', -1, 64)
		}
		// Numbers of our own are numbers; everything else may come from anybody.
		if err := w.to.Write([]string{
			w.cell(r.Place.File), number10(r.Place.Line), number10(r.Place.Number), w.cell(r.ID), w.cell(r.Name), w.cell(r.Kind),
			word(m.Verdict), w.cell(m.Rule), w.cell(m.Path), w.cell(m.Text), suggested, w.cell(m.Suggested.GetUnit()), w.cell(m.Do),
		}); err != nil {
			return err
		}
	}
	return nil
}

// cell guards text against being taken for a formula: a quotation mark goes before
// what spreadsheets begin one with (ASVS 1.2.10: = + - @, tab, carriage return,
// NUL, and their full-width forms).
func (w *csvWriter) cell(s string) string {
	if w.formulas || s == "" || !strings.ContainsRune("=+-@\t\r\x00＝＋－＠", []rune(s)[0]) {
		return s
	}
	return "'" + s
}

func (w *csvWriter) Close(*Summary) error {
	w.to.Flush()
	return w.to.Error()
}
