package document

import (
	"bytes"
	"path"
	"strings"
	"unicode/utf8"
)

// Format is how a document is written down.
type Format int

// The formats.
const (
	// FormatUnknown asks for the format to be told from the content.
	FormatUnknown Format = iota
	// FormatYAML is YAML 1.2 with the core schema.
	FormatYAML
	// FormatJSON is JSON by RFC 8259, one document.
	FormatJSON
	// FormatLines is JSON, one document a line.
	FormatLines
	// FormatBinary is protobuf's binary encoding, one document.
	FormatBinary
)

// String names the format.
func (f Format) String() string {
	switch f {
	case FormatYAML:
		return "YAML"
	case FormatJSON:
		return "JSON"
	case FormatLines:
		return "NDJSON"
	case FormatBinary:
		return "binary protobuf"
	default:
		return "unknown format"
	}
}

// FormatOf tells the format by the extension of name, and where that says
// nothing by the content: text that starts with a bracket is JSON, other text is
// YAML, and what is no text is binary.
func FormatOf(name string, data []byte) Format {
	switch strings.ToLower(path.Ext(strings.ReplaceAll(name, `\`, "/"))) {
	case ".yaml", ".yml":
		return FormatYAML
	case ".json":
		return FormatJSON
	case ".ndjson", ".jsonl":
		return FormatLines
	case ".binpb", ".pb":
		return FormatBinary
	}
	const probe = 4096
	return sniff(data[:min(len(data), probe)])
}

func sniff(head []byte) Format {
	text := bytes.TrimPrefix(head, byteOrderMark)
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRune(text[i:])
		cut := len(text)-i < utf8.UTFMax && !utf8.FullRune(text[i:])
		if (r == utf8.RuneError && size <= 1 && !cut) || (r < ' ' && r != '\t' && r != '\n' && r != '\r') {
			return FormatBinary
		}
		i += size
	}
	trimmed := bytes.TrimLeft(text, " \t\r\n")
	if len(trimmed) > 0 && (trimmed[0] == '{' || trimmed[0] == '[') {
		return FormatJSON
	}
	return FormatYAML
}

var byteOrderMark = []byte("\xef\xbb\xbf")

// plainText refuses what is not UTF-8 and takes a byte order mark off.
func plainText(data []byte) ([]byte, error) {
	if len(data) > MaxText {
		return nil, faultf(0, 0, "", "the document is %d bytes long; one document may have %d, so split it or send it as binary protobuf",
			len(data), MaxText)
	}
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		return nil, faultf(1, 1, "", "the text is UTF-16; save it as UTF-8")
	}
	data = bytes.TrimPrefix(data, byteOrderMark)
	if utf8.Valid(data) {
		return data, nil
	}
	line, start := 1, 0
	for i := 0; i < len(data); {
		r, size := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && size == 1 {
			column := utf8.RuneCount(data[start:i]) + 1
			return nil, faultf(line, column, "", "byte 0x%02x is no UTF-8; save the text as UTF-8", data[i])
		}
		if r == '\n' {
			line, start = line+1, i+size
		}
		i += size
	}
	return data, nil
}
