package jsonwire

import (
	"bytes"
	"errors"
	"math"
	"unicode/utf16"
	"unicode/utf8"

	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"slipfit.example/server/document"
)

// Encode gives the encoded message that a JSON text stands for. Both spellings of a
// field's name are taken; unknown fields, fields that stand twice, and whatever else
// protobuf's mapping does not know are refused. The error is a [*document.Error],
// whose faults have line, column and path.
func (c *Codec) Encode(text []byte) ([]byte, error) {
	if encoded, err := c.short(text); err == nil {
		return encoded, nil
	}
	into := c.kind.New().Interface()
	if _, err := (document.Options{Format: document.FormatJSON}).Read("", text, into); err != nil {
		return nil, err
	}
	return proto.Marshal(into)
}

// short is the short way of Encode. Its error is errUnusual.
func (c *Codec) short(text []byte) ([]byte, error) {
	if len(text) > document.MaxText || !utf8.Valid(text) {
		return nil, errUnusual
	}
	r := &reader{text: text, out: make([]byte, 0, len(text)/2+64)}
	if !r.object(c.root, 1) || r.next() != 0 || r.at != len(text) || len(r.out) > document.MaxEncoded {
		return nil, errUnusual
	}
	return r.out, nil
}

// reader walks a JSON text and appends what it finds, encoded. Each method reports
// false where the text is not what it knows.
type reader struct {
	text     []byte
	at       int
	out      []byte
	values   int
	messages int
	unquoted []byte // of a text with escapes
}

// next passes white space and gives the byte behind it, 0 at the end.
func (r *reader) next() byte {
	for ; r.at < len(r.text); r.at++ {
		switch c := r.text[r.at]; c {
		case ' ', '\t', '\n', '\r':
		default:
			return c
		}
	}
	return 0
}

func (r *reader) takes(c byte) bool {
	if r.next() != c {
		return false
	}
	r.at++
	return true
}

// counts takes one value into account and reports false past the limits.
func (r *reader) counts() bool {
	r.values++
	return r.values <= document.MaxNodes
}

// object reads the fields of a message.
func (r *reader) object(m *message, depth int) bool {
	r.messages++
	if depth > document.MaxNesting || r.messages > document.MaxMessages || !r.counts() || !r.takes('{') {
		return false
	}
	if r.takes('}') {
		return true
	}
	var fields, groups seen
	last := -1
	for {
		key, ok := r.string()
		if !ok || !r.takes(':') {
			return false
		}
		f := m.after(last, key)
		if f == nil {
			return false
		}
		last = f.bit
		if fields.add(f.bit) || !r.field(f, &groups, depth) {
			return false
		}
		if r.takes('}') {
			return true
		}
		if !r.takes(',') {
			return false
		}
	}
}

// after finds a field by its key. Most texts have fields in the order of the contract,
// so those behind the last one are tried first.
func (m *message) after(last int, key []byte) *field {
	const near = 3
	for _, f := range m.inOrder[last+1 : min(last+1+near, len(m.inOrder))] {
		if f.name == string(key) {
			return f
		}
	}
	return m.byKey[string(key)]
}

// field reads a field's value, absent where it is null.
func (r *reader) field(f *field, groups *seen, depth int) bool {
	if r.next() == 'n' {
		return r.counts() && r.literal("null")
	}
	if f.group >= 0 && groups.add(f.group) {
		return false
	}
	if f.list {
		return r.list(f, depth+1)
	}
	r.out = protowire.AppendTag(r.out, f.number, f.wire)
	return r.value(f, depth+1)
}

func (r *reader) list(f *field, depth int) bool {
	if depth > document.MaxNesting || !r.counts() || !r.takes('[') {
		return false
	}
	if r.takes(']') {
		return true
	}
	if f.packed {
		r.out = protowire.AppendTag(r.out, f.number, protowire.BytesType)
		return r.long(func() bool { return r.elements(f, depth) })
	}
	return r.elements(f, depth)
}

func (r *reader) elements(f *field, depth int) bool {
	for {
		if !f.packed {
			r.out = protowire.AppendTag(r.out, f.number, f.wire)
		}
		if !r.value(f, depth+1) {
			return false
		}
		if r.takes(']') {
			return true
		}
		if !r.takes(',') {
			return false
		}
	}
}

// long puts the length before what write appends.
func (r *reader) long(write func() bool) bool {
	start := len(r.out)
	r.out = append(r.out, 0) // enough for most
	if !write() {
		return false
	}
	size := len(r.out) - start - 1
	if more := protowire.SizeVarint(uint64(size)) - 1; more > 0 {
		r.out = append(r.out, make([]byte, more)...)
		copy(r.out[start+1+more:], r.out[start+1:start+1+size])
	}
	protowire.AppendVarint(r.out[:start], uint64(size))
	return true
}

// value reads one value, of a field or of a list.
func (r *reader) value(f *field, depth int) bool {
	if f.message != nil {
		r.next()
		return r.long(func() bool { return r.object(f.message, depth) })
	}
	if !r.counts() {
		return false
	}
	switch f.kind {
	case protoreflect.StringKind:
		text, ok := r.string()
		r.out = protowire.AppendBytes(r.out, text)
		return ok
	case protoreflect.BoolKind:
		return r.truth()
	case protoreflect.EnumKind:
		word, ok := r.string()
		number, known := f.words[string(word)]
		r.out = protowire.AppendVarint(r.out, uint64(int64(number)))
		return ok && known
	case protoreflect.DoubleKind:
		return r.double()
	case protoreflect.Uint32Kind:
		return r.whole(math.MaxUint32)
	case protoreflect.Int32Kind:
		return r.whole(math.MaxInt32)
	}
	return false
}

func (r *reader) literal(word string) bool {
	if !bytes.HasPrefix(r.text[r.at:], []byte(word)) {
		return false
	}
	r.at += len(word)
	return true
}

func (r *reader) truth() bool {
	yes := r.next() == 't'
	r.out = protowire.AppendVarint(r.out, protowire.EncodeBool(yes))
	if yes {
		return r.literal("true")
	}
	return r.literal("false")
}

// string reads a text. It stays valid until the next one is read.
func (r *reader) string() ([]byte, bool) {
	if !r.takes('"') {
		return nil, false
	}
	for i := r.at; i < len(r.text); i++ {
		switch c := r.text[i]; {
		case c == '"':
			text := r.text[r.at:i]
			r.at = i + 1
			return text, true
		case c == '\\':
			return r.escaped(i)
		case c < ' ':
			return nil, false
		}
	}
	return nil, false
}

// escaped reads on a text whose first escape stands at i.
func (r *reader) escaped(i int) ([]byte, bool) {
	r.unquoted = append(r.unquoted[:0], r.text[r.at:i]...)
	for r.at = i; r.at < len(r.text); {
		switch c := r.text[r.at]; {
		case c == '"':
			r.at++
			return r.unquoted, true
		case c < ' ':
			return nil, false
		case c != '\\':
			r.unquoted = append(r.unquoted, c)
			r.at++
		case !r.escape():
			return nil, false
		}
	}
	return nil, false
}

// escape reads one escape by RFC 8259, section 7.
func (r *reader) escape() bool {
	if r.at+1 >= len(r.text) {
		return false
	}
	c := r.text[r.at+1]
	if c == 'u' {
		return r.codePoint()
	}
	i := bytes.IndexByte([]byte(`"\/bfnrt`), c)
	if i < 0 {
		return false
	}
	r.unquoted = append(r.unquoted, "\"\\/\b\f\n\r\t"[i])
	r.at += 2
	return true
}

// codePoint reads \uXXXX, or two of them that are one character together.
func (r *reader) codePoint() bool {
	char, ok := r.hex(r.at)
	if !ok {
		return false
	}
	r.at += 6
	if utf16.IsSurrogate(char) {
		low, ok := r.hex(r.at)
		if char = utf16.DecodeRune(char, low); !ok || char == utf8.RuneError {
			return false
		}
		r.at += 6
	}
	r.unquoted = utf8.AppendRune(r.unquoted, char)
	return true
}

func (r *reader) hex(at int) (rune, bool) {
	if at+6 > len(r.text) || r.text[at] != '\\' || r.text[at+1] != 'u' {
		return 0, false
	}
	var n rune
	for _, c := range r.text[at+2 : at+6] {
		switch {
		case c >= '0' && c <= '9':
			n = n<<4 | rune(c-'0')
		case c|0x20 >= 'a' && c|0x20 <= 'f':
			n = n<<4 | rune(c|0x20-'a'+10)
		default:
			return 0, false
		}
	}
	return n, true
}

// Violations are the faults of an error of Encode, as the service tells them.
func Violations(err error) []document.Violation {
	var bad *document.Error
	if errors.As(err, &bad) {
		return bad.Violations()
	}
	return []document.Violation{{Reason: err.Error()}}
}
