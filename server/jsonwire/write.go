package jsonwire

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"unicode/utf8"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"slipfit.example/server/document"
)

// Append appends an encoded message as JSON on one line. The error says why the
// message cannot be read, or why it has no JSON; b is then as long as it was.
func (c *Codec) Append(b, encoded []byte) ([]byte, error) {
	if text, ok := appendObject(b, c.root, encoded, 1); ok {
		return text, nil
	}
	m := c.kind.New().Interface()
	if err := (proto.UnmarshalOptions{RecursionLimit: document.MaxNesting}).Unmarshal(encoded, m); err != nil {
		return b, fmt.Errorf("the encoded %s cannot be read: %w", c.root.name, err)
	}
	return AppendMessage(b, m)
}

// AppendMessage does the same for a message that is decoded.
func AppendMessage(b []byte, m proto.Message) ([]byte, error) {
	loose, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(m)
	if err != nil {
		return b, fmt.Errorf("the %s cannot be written as JSON: %w", m.ProtoReflect().Descriptor().Name(), err)
	}
	// Protobuf's JSON has spaces at random, so that nobody rests on its bytes.
	var tight bytes.Buffer
	if err := json.Compact(&tight, loose); err != nil {
		return b, fmt.Errorf("the %s cannot be written as JSON: %w", m.ProtoReflect().Descriptor().Name(), err)
	}
	return appendSafe(b, tight.Bytes()), nil
}

// appendSafe appends JSON with the characters escaped that could leave it. Outside
// of texts JSON has none of them.
func appendSafe(b, text []byte) []byte {
	plain := 0
	for i := 0; i < len(text); {
		size, escape := special(text[i:])
		if escape {
			b = append(b, text[plain:i]...)
			b = appendEscape(b, text[i:i+size])
			plain = i + size
		}
		i += size
	}
	return append(b, text[plain:]...)
}

// special gives the size of the first character, and whether it has to be escaped
// although JSON would let it stand.
func special(text []byte) (size int, escape bool) {
	switch c := text[0]; {
	case c == '<' || c == '>' || c == '&' || c == 0x7f:
		return 1, true
	case c < utf8.RuneSelf:
		return 1, false
	}
	r, size := utf8.DecodeRune(text)
	return size, hidden(r)
}

// hidden tells the characters that end lines of a script (U+2028, U+2029), turn the
// direction of text about (Unicode Standard Annex 9, table 4), or steer terminals
// (C1 controls).
func hidden(r rune) bool {
	return r >= 0x80 && r < 0xa0 || r >= 0x2028 && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0x200e || r == 0x200f || r == 0x61c
}

const hexDigits = "0123456789abcdef"

// appendEscape appends a character below U+10000 as \uXXXX.
func appendEscape(b, char []byte) []byte {
	r, _ := utf8.DecodeRune(char)
	return append(b, '\\', 'u', hexDigits[r>>12&15], hexDigits[r>>8&15], hexDigits[r>>4&15], hexDigits[r&15])
}

// appendObject appends an encoded message, and reports false where it is not of the
// form that the service and its packs write: known fields, each once, the values of
// a list together.
func appendObject(b []byte, m *message, encoded []byte, depth int) ([]byte, bool) {
	if depth > document.MaxNesting {
		return b, false
	}
	start := len(b)
	b = append(b, '{')
	var fields, groups seen
	var open *field // list whose values come
	for len(encoded) > 0 {
		number, wire, n := protowire.ConsumeTag(encoded)
		if n < 0 || int(number) >= len(m.byNumber) || m.byNumber[number] == nil {
			return b[:start], false
		}
		f := m.byNumber[number]
		encoded = encoded[n:]
		if f != open {
			if open != nil {
				b, open = append(b, ']'), nil
			}
			if fields.add(f.bit) || f.group >= 0 && groups.add(f.group) {
				return b[:start], false
			}
			if b[len(b)-1] != '{' {
				b = append(b, ',')
			}
			b = append(b, f.key...)
			if f.list {
				b, open = append(b, '['), f
			}
		} else if b[len(b)-1] != '[' {
			b = append(b, ',')
		}
		var ok bool
		if b, n, ok = appendField(b, f, wire, encoded, depth); !ok {
			return b[:start], false
		}
		encoded = encoded[n:]
	}
	if open != nil {
		b = append(b, ']')
	}
	return append(b, '}'), true
}

// appendField appends the first value of encoded, or all of a packed list, and says
// how many bytes they take.
func appendField(b []byte, f *field, wire protowire.Type, encoded []byte, depth int) (_ []byte, n int, ok bool) {
	if f.list && wire == protowire.BytesType && f.wire != protowire.BytesType {
		values, n := protowire.ConsumeBytes(encoded)
		if n < 0 || len(values) == 0 {
			return b, 0, false
		}
		for first := true; len(values) > 0; first = false {
			if !first {
				b = append(b, ',')
			}
			size := 0
			if b, size, ok = appendValue(b, f, values, depth); !ok {
				return b, 0, false
			}
			values = values[size:]
		}
		return b, n, true
	}
	if wire != f.wire {
		return b, 0, false
	}
	return appendValue(b, f, encoded, depth)
}

func appendValue(b []byte, f *field, encoded []byte, depth int) (_ []byte, n int, ok bool) {
	switch f.wire {
	case protowire.BytesType:
		value, n := protowire.ConsumeBytes(encoded)
		switch {
		case n < 0:
			return b, 0, false
		case f.message != nil:
			b, ok = appendObject(b, f.message, value, depth+1)
		case f.kind == protoreflect.StringKind:
			b, ok = appendText(b, value)
		}
		return b, n, ok
	case protowire.Fixed64Type:
		value, n := protowire.ConsumeFixed64(encoded)
		if n < 0 {
			return b, 0, false
		}
		b, ok = appendDouble(b, math.Float64frombits(value))
		return b, n, ok
	default:
		value, n := protowire.ConsumeVarint(encoded)
		if n < 0 {
			return b, 0, false
		}
		b, ok = appendVarint(b, f, value)
		return b, n, ok
	}
}

func appendVarint(b []byte, f *field, value uint64) ([]byte, bool) {
	switch f.kind {
	case protoreflect.BoolKind:
		return strconv.AppendBool(b, value != 0), true
	case protoreflect.Uint32Kind:
		return strconv.AppendUint(b, uint64(uint32(value)), 10), true
	case protoreflect.Int32Kind:
		return strconv.AppendInt(b, int64(int32(value)), 10), true
	case protoreflect.EnumKind:
		name, known := f.names[protoreflect.EnumNumber(int32(value))]
		return append(b, name...), known
	case protoreflect.Uint64Kind:
		return append(strconv.AppendUint(append(b, '"'), value, 10), '"'), true
	case protoreflect.Int64Kind:
		return append(strconv.AppendInt(append(b, '"'), int64(value), 10), '"'), true
	}
	return b, false
}

// appendDouble writes a finite double as protojson and encoding/json do.
func appendDouble(b []byte, v float64) ([]byte, bool) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return b, false
	}
	format := byte('f')
	if size := math.Abs(v); size != 0 && (size < 1e-6 || size >= 1e21) {
		format = 'e'
	}
	return strconv.AppendFloat(b, v, format, -1, 64), true
}

// plain are the bytes that stand for themselves in a text.
var plain = func() (t [256]bool) {
	for c := ' '; c < utf8.RuneSelf; c++ {
		t[c] = c != '"' && c != '\\' && c != '<' && c != '>' && c != '&' && c != 0x7f
	}
	return t
}()

func appendText(b, text []byte) ([]byte, bool) {
	b = append(b, '"')
	done := 0
	for i := 0; i < len(text); {
		if plain[text[i]] {
			i++
			continue
		}
		size := 1
		if c := text[i]; c >= utf8.RuneSelf {
			r, n := utf8.DecodeRune(text[i:])
			if r == utf8.RuneError && n == 1 {
				return b, false
			}
			if size = n; !hidden(r) {
				i += size
				continue
			}
		}
		b = append(b, text[done:i]...)
		b = appendControl(b, text[i:i+size])
		i += size
		done = i
	}
	b = append(b, text[done:]...)
	return append(b, '"'), true
}

// appendControl escapes a character that may not stand for itself.
func appendControl(b, char []byte) []byte {
	switch char[0] {
	case '"', '\\':
		return append(b, '\\', char[0])
	case '\n':
		return append(b, '\\', 'n')
	case '\r':
		return append(b, '\\', 'r')
	case '\t':
		return append(b, '\\', 't')
	}
	return appendEscape(b, char)
}
