package report

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Word is a verdict in one word.
func Word(v v1.Verdict) string { return strings.TrimPrefix(v.String(), "VERDICT_") }

// Number prints a quantity with the range that it may have.
func Number(q *v1.Quantity) string {
	if q.Word != nil {
		return q.GetWord()
	}
	unit := q.GetUnit()
	scale := 1.0
	if unit == "share" {
		unit, scale = "%", 100
	}
	text := trim(q.GetNominal() * scale)
	if q.GetLow() != q.GetHigh() {
		text += " (" + trim(q.GetLow()*scale) + " to " + trim(q.GetHigh()*scale) + ")"
	}
	if unit != "" {
		text += " " + unit
	}
	return text
}

func trim(v float64) string {
	text := strconv.FormatFloat(v, 'f', 2, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" || text == "" {
		return "0"
	}
	return text
}

// Plain makes text harmless for a terminal: control characters and those that
// change the direction of writing become visible codes.
func Plain(s string) string {
	if strings.IndexFunc(s, harmful) < 0 {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if harmful(r) {
			fmt.Fprintf(&b, "\\u%04x", r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

func harmful(r rune) bool {
	switch {
	case r == utf8.RuneError, unicode.IsControl(r):
		return true
	case r == '\u061c', r == '\u200e', r == '\u200f', r >= '\u202a' && r <= '\u202e', r >= '\u2066' && r <= '\u2069':
		return true
	}
	return false
}

// visible is the width of text on a terminal, colours not counted.
func visible(s string) int {
	n, code := 0, false
	for _, r := range s {
		switch {
		case r == '\x1b':
			code = true
		case code:
			code = r != 'm'
		default:
			n++
		}
	}
	return n
}

// paint colours a verdict's word.
func (w *writer) paint(v v1.Verdict, text string) string {
	if !w.options.Colour {
		return text
	}
	code := map[v1.Verdict]string{
		v1.Verdict_VERDICT_PASS: "32", v1.Verdict_VERDICT_MARGINAL: "33",
		v1.Verdict_VERDICT_UNKNOWN: "36", v1.Verdict_VERDICT_FAIL: "31;1",
	}[v]
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}

func (w *writer) bold(text string) string {
	if !w.options.Colour {
		return text
	}
	return "\x1b[1m" + text + "\x1b[0m"
}
