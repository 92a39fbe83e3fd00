package drawing

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Plain makes text harmless: control characters, those that change the direction
// of writing, invisible ones, and those that XML cannot hold become visible codes.
func Plain(s string) string {
	if utf8.ValidString(s) && strings.IndexFunc(s, harmful) < 0 {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if harmful(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

// harmful reports characters that are not shown as themselves. Joiners stay:
// several scripts cannot be written without them.
func harmful(r rune) bool {
	switch {
	case r == '\u200c', r == '\u200d':
		return false
	case r == utf8.RuneError, r == '\ufffe', r == '\uffff':
		return true
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Cs, unicode.Zl, unicode.Zp, unicode.Co)
}

var escapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;")

// escaped is text as XML content or as an attribute's value.
func escaped(s string) string { return escapes.Replace(Plain(s)) }

// shortened cuts text to so many columns of a fixed-pitch font; what is cut off
// shows as a dot leader.
func shortened(s string, columns int) string {
	s = Plain(s)
	if columnsOf(s) <= columns {
		return s
	}
	n := 0
	for i, r := range s {
		if n += columnsOfRune(r); n > columns-1 {
			return s[:i] + "…"
		}
	}
	return s
}

func columnsOf(s string) (n int) {
	for _, r := range s {
		n += columnsOfRune(r)
	}
	return n
}

// columnsOfRune is how wide a fixed-pitch font draws a character: ideographs and
// their like take two columns, marks none (Unicode technical report 11).
func columnsOfRune(r rune) int {
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r >= 0x1100 && (r <= 0x115f || r >= 0x2e80 && r <= 0xa4cf || r >= 0xac00 && r <= 0xd7a3 ||
		r >= 0xf900 && r <= 0xfaff || r >= 0xfe30 && r <= 0xfe6f || r >= 0xff00 && r <= 0xff60 || r >= 0x1f000):
		return 2
	}
	return 1
}

// number writes a coordinate or a length with at most two decimals.
func number(v float64) string {
	text := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 2, 64), "0"), ".")
	if text == "-0" || text == "" {
		return "0"
	}
	return text
}

// tenths writes a dimension as it stands on the sheet.
func tenths(mm float64) string { return number(math.Round(mm*10) / 10) }
