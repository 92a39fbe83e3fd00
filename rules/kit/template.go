package kit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// template is a text with names in braces, taken apart once at load.
type template struct {
	key      string
	segments []segment
}

// segment is a piece of text followed by a name to fill in, empty at the end.
type segment struct{ text, name string }

func parseTemplate(text string) (template, error) {
	whole := text
	var t template
	for text != "" {
		open := strings.IndexByte(text, '{')
		if open < 0 {
			t.segments = append(t.segments, segment{text: text})
			break
		}
		length := strings.IndexByte(text[open:], '}')
		if length < 2 {
			return template{}, fmt.Errorf("brace without a name in %q", whole)
		}
		t.segments = append(t.segments, segment{text[:open], text[open+1 : open+length]})
		text = text[open+length+1:]
	}
	return t, nil
}

// appendNumber prints a value as people read it: as many decimals as the unit is
// measured to, without trailing zeros, and the unit after a space.
func appendNumber(b []byte, v float64, unit string) []byte {
	if unit == "share" {
		b = appendRounded(b, v*100, 1)
		return append(b, " %"...)
	}
	b = appendRounded(b, v, decimals(unit, v))
	if unit != "" {
		b = append(b, ' ')
		b = append(b, unit...)
	}
	return b
}

func decimals(unit string, v float64) int {
	switch unit {
	case "mm", "K", "°C", "dB", "dB(A)", "m3/h", "l":
		return 1
	case "W":
		if math.Abs(v) >= 20 {
			return 0
		}
		return 1
	case "":
		return 2
	default:
		return 2
	}
}

func appendRounded(b []byte, v float64, decimals int) []byte {
	scale := math.Pow10(decimals)
	v = math.Round(v*scale) / scale
	if v == 0 {
		v = 0 // no minus before a zero
	}
	return strconv.AppendFloat(b, v, 'f', -1, 64)
}

// FormatNumber prints a value with its unit as texts do.
func FormatNumber(v float64, unit string) string { return string(appendNumber(nil, v, unit)) }
