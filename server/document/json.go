package document

import (
	"fmt"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// parseJSON reads one JSON text (RFC 8259) that is known to be UTF-8. Keys that
// stand twice, comments, and anything behind the value are refused.
func parseJSON(data []byte) (*node, error) {
	p := &jsonParser{data: data, line: 1}
	p.space()
	if p.pos == len(p.data) {
		return nil, faultf(1, 1, "", "the document is empty")
	}
	n, err := p.value(1)
	if err != nil {
		return nil, err
	}
	p.space()
	if p.pos < len(p.data) {
		return nil, p.unexpected("the end of the document")
	}
	return n, nil
}

// jsonParser walks a JSON text and knows its place in it.
type jsonParser struct {
	data []byte
	pos  int
	line int
	// start is where the current line starts.
	start int
	// counted is how far characters of the current line are counted, and chars
	// how many there are: a document may be one long line.
	counted, chars int
	nodes          int
}

// column gives the column of the current place, 1 first.
func (p *jsonParser) column() int {
	if p.counted < p.start {
		p.counted, p.chars = p.start, 0
	}
	p.chars += utf8.RuneCount(p.data[p.counted:p.pos])
	p.counted = p.pos
	return p.chars + 1
}

func (p *jsonParser) errorf(format string, args ...any) error {
	return faultf(p.line, p.column(), "", format, args...)
}

// space passes white space.
func (p *jsonParser) space() {
	for p.pos < len(p.data) {
		switch p.data[p.pos] {
		case '\n':
			p.line, p.start = p.line+1, p.pos+1
		case ' ', '\t', '\r':
		default:
			return
		}
		p.pos++
	}
}

// unexpected says what stands where something else had to stand.
func (p *jsonParser) unexpected(wanted string) error {
	if p.pos >= len(p.data) {
		return p.errorf("the document ends where %s had to come; it may have been cut off", wanted)
	}
	c := p.data[p.pos]
	if c == '#' || (c == '/' && p.pos+1 < len(p.data) && (p.data[p.pos+1] == '/' || p.data[p.pos+1] == '*')) {
		return p.errorf("JSON has no comments; take it out, or write the document as YAML")
	}
	r, _ := utf8.DecodeRune(p.data[p.pos:])
	return p.errorf("found %q where %s had to come", r, wanted)
}

func (p *jsonParser) value(depth int) (*node, error) {
	p.nodes++
	if p.nodes > MaxNodes {
		return nil, p.errorf("the document holds more than %d values; split it", MaxNodes)
	}
	if p.pos >= len(p.data) {
		return nil, p.unexpected("a value")
	}
	n := &node{line: p.line, column: p.column()}
	var err error
	switch c := p.data[p.pos]; {
	case c == '{' || c == '[':
		if depth > MaxNesting {
			return nil, p.errorf("values lie deeper than %d in each other", MaxNesting)
		}
		if c == '{' {
			err = p.record(n, depth)
		} else {
			err = p.list(n, depth)
		}
	case c == '"':
		n.kind = textNode
		n.text, err = p.text()
	case c == '-' || (c >= '0' && c <= '9'):
		n.kind = numberNode
		n.text, err = p.number()
	default:
		err = p.literal(n)
	}
	return n, err
}

func (p *jsonParser) literal(n *node) error {
	for _, word := range [...]string{"true", "false", "null"} {
		if strings.HasPrefix(string(p.data[p.pos:min(len(p.data), p.pos+5)]), word) {
			p.pos += len(word)
			n.kind, n.text = boolNode, word
			if word == "null" {
				n.kind = nullNode
			}
			return nil
		}
	}
	return p.unexpected("a value")
}

func (p *jsonParser) list(n *node, depth int) error {
	n.kind = listNode
	p.pos++
	p.space()
	if p.pos < len(p.data) && p.data[p.pos] == ']' {
		p.pos++
		return nil
	}
	for {
		item, err := p.value(depth + 1)
		if err != nil {
			return err
		}
		n.items = append(n.items, item)
		if done, err := p.separator(']', "a comma or ]"); done || err != nil {
			return err
		}
	}
}

func (p *jsonParser) record(n *node, depth int) error {
	n.kind = recordNode
	p.pos++
	p.space()
	if p.pos < len(p.data) && p.data[p.pos] == '}' {
		p.pos++
		return nil
	}
	var keys keySet
	for {
		if p.pos >= len(p.data) || p.data[p.pos] != '"' {
			return p.unexpected("a field's name in quotes")
		}
		e := entry{line: p.line, column: p.column()}
		var err error
		if e.key, err = p.text(); err != nil {
			return err
		}
		if first := keys.duplicate(n.entries, e.key); first != nil {
			return faultf(e.line, e.column, "", "the field %q stands twice; it came first in line %d", e.key, first.line)
		}
		p.space()
		if p.pos >= len(p.data) || p.data[p.pos] != ':' {
			return p.unexpected("a colon")
		}
		p.pos++
		p.space()
		if e.value, err = p.value(depth + 1); err != nil {
			return err
		}
		n.entries = append(n.entries, e)
		if done, err := p.separator('}', "a comma or }"); done || err != nil {
			return err
		}
	}
}

// separator passes a comma, or the closing bracket and then reports the end.
func (p *jsonParser) separator(closing byte, wanted string) (done bool, err error) {
	p.space()
	if p.pos < len(p.data) {
		switch p.data[p.pos] {
		case closing:
			p.pos++
			return true, nil
		case ',':
			p.pos++
			p.space()
			return false, nil
		}
	}
	return false, p.unexpected(wanted)
}

// number passes a number by RFC 8259, section 6, and gives its digits.
func (p *jsonParser) number() (string, error) {
	size := numberLength(p.data[p.pos:])
	if size == 0 {
		return "", p.errorf("found a number that JSON does not know; write it like 12 or 0.5 or 1.5e3")
	}
	text := string(p.data[p.pos : p.pos+size])
	p.pos += size
	if p.pos < len(p.data) {
		if c := p.data[p.pos]; c == '.' || c == '+' || c == '-' || c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' {
			return "", p.errorf("found a number that JSON does not know; write it like 12 or 0.5 or 1.5e3")
		}
	}
	return text, nil
}

// numberLength gives the length of the number by RFC 8259 that b starts with,
// 0 where it starts with none.
func numberLength[T ~string | ~[]byte](b T) int {
	digits := func(i int) int {
		for i < len(b) && b[i] >= '0' && b[i] <= '9' {
			i++
		}
		return i
	}
	i := 0
	if i < len(b) && b[i] == '-' {
		i++
	}
	whole := digits(i)
	if whole == i || (b[i] == '0' && whole > i+1) {
		return 0
	}
	i = whole
	if i < len(b) && b[i] == '.' {
		end := digits(i + 1)
		if end == i+1 {
			return 0
		}
		i = end
	}
	if i < len(b) && (b[i] == 'e' || b[i] == 'E') {
		j := i + 1
		if j < len(b) && (b[j] == '+' || b[j] == '-') {
			j++
		}
		end := digits(j)
		if end == j {
			return 0
		}
		i = end
	}
	return i
}

// text passes a string and gives its value.
func (p *jsonParser) text() (string, error) {
	p.pos++
	start := p.pos
	for p.pos < len(p.data) && p.data[p.pos] != '"' && p.data[p.pos] != '\\' && p.data[p.pos] >= ' ' {
		p.pos++
	}
	if p.pos < len(p.data) && p.data[p.pos] == '"' {
		p.pos++
		return string(p.data[start : p.pos-1]), nil
	}
	var b strings.Builder
	b.Write(p.data[start:p.pos])
	for p.pos < len(p.data) {
		switch c := p.data[p.pos]; {
		case c == '"':
			p.pos++
			return b.String(), nil
		case c == '\\':
			r, err := p.escape()
			if err != nil {
				return "", err
			}
			b.WriteRune(r)
		case c < ' ':
			return "", p.errorf("control character 0x%02x stands in a text; write it as an escape like \\n or \\u%04x", c, c)
		default:
			b.WriteByte(c)
			p.pos++
		}
	}
	return "", p.unexpected("the closing quote")
}

const plainEscapes = `"\/bfnrt`

// escape passes one escape sequence and gives its character.
func (p *jsonParser) escape() (rune, error) {
	if p.pos+1 >= len(p.data) {
		p.pos = len(p.data)
		return 0, p.unexpected("the rest of an escape")
	}
	c := p.data[p.pos+1]
	if i := strings.IndexByte(plainEscapes, c); i >= 0 {
		p.pos += 2
		return rune("\"\\/\b\f\n\r\t"[i]), nil
	}
	if c != 'u' {
		r, _ := utf8.DecodeRune(p.data[p.pos+1:])
		return 0, p.errorf("JSON knows no escape \\%c", r)
	}
	r, ok := p.hex(p.pos)
	if !ok {
		return 0, p.errorf("four hexadecimal digits have to follow \\u")
	}
	if !utf16.IsSurrogate(r) {
		p.pos += 6
		return r, nil
	}
	low, ok := p.hex(p.pos + 6)
	pair := utf16.DecodeRune(r, low)
	if !ok || pair == utf8.RuneError {
		return 0, p.errorf("%s is half of a surrogate pair; its other half has to stand beside it", fmt.Sprintf(`\u%04x`, r))
	}
	p.pos += 12
	return pair, nil
}

// hex reads the code unit of the escape \uXXXX at a position.
func (p *jsonParser) hex(at int) (rune, bool) {
	if at+6 > len(p.data) || p.data[at] != '\\' || p.data[at+1] != 'u' {
		return 0, false
	}
	var r rune
	for _, c := range p.data[at+2 : at+6] {
		switch {
		case c >= '0' && c <= '9':
			r = r<<4 | rune(c-'0')
		case c >= 'a' && c <= 'f':
			r = r<<4 | rune(c-'a'+10)
		case c >= 'A' && c <= 'F':
			r = r<<4 | rune(c-'A'+10)
		default:
			return 0, false
		}
	}
	return r, true
}
