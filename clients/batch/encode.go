package batch

import (
	"bytes"
	"errors"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// encoder encodes builds that are given as JSON. It sets each part, each item and
// each other member of the build apart, has protobuf's own reader read those that it
// has not met before, and puts the encodings together.
type encoder struct {
	parts, items, members *known
}

// Bounds of what is kept, in bytes of one half.
const (
	keptParts = 8 << 20
	keptSmall = 2 << 20
)

func newEncoder() *encoder {
	return &encoder{
		parts:   newKnown(keptParts, func(text []byte) ([]byte, error) { return encodeMessage(text, new(v1.Part)) }),
		items:   newKnown(keptSmall, func(text []byte) ([]byte, error) { return encodeMessage(text, new(v1.Item)) }),
		members: newKnown(keptSmall, func(text []byte) ([]byte, error) { return encodeMessage(text, new(v1.Build)) }),
	}
}

func encodeMessage(text []byte, m message) ([]byte, error) {
	if err := protojson.Unmarshal(text, m); err != nil {
		return nil, err
	}
	return m.MarshalVT()
}

// errUnusual sends a line the longer way.
var errUnusual = errors.New("the line is not of the usual form")

// build encodes a build whose text has the usual form: an object with a list of
// items, each an object with at most one part. Any other form, and any fault, is
// left to the longer way, which has the words for it.
func (e *encoder) build(text []byte) ([]byte, error) {
	b := &taking{encoder: e, text: text, out: make([]byte, 0, len(text)/2)}
	if !b.object(b.member) {
		return nil, errUnusual
	}
	if b.space(); b.at != len(text) {
		return nil, errUnusual
	}
	return append(b.out, b.items...), nil
}

// taking is a build on its way from text to encoding.
type taking struct {
	*encoder
	text  []byte
	at    int
	out   []byte // encoded fields of the build without its items
	items []byte
	seen  uint64 // fields of the build, by number

	item    bytes.Buffer // text of one item without its part
	part    []byte       // encoded part of one item
	hasPart bool
	scratch bytes.Buffer
}

// member takes one member of the build.
func (b *taking) member(key []byte) bool {
	if string(key) == "items" {
		return b.once(buildItems) && b.list(b.takeItem)
	}
	value, ok := b.value()
	if !ok {
		return false
	}
	b.scratch.Reset()
	b.scratch.WriteString(`{"`)
	b.scratch.Write(key)
	b.scratch.WriteString(`":`)
	b.scratch.Write(value)
	b.scratch.WriteByte('}')
	encoded, err := b.members.get(b.scratch.Bytes())
	if err != nil {
		return false
	}
	// What leaves no trace, such as null, would hide that the member comes again.
	number, _, n := protowire.ConsumeTag(encoded)
	if n < 0 || !b.once(number) {
		return false
	}
	b.out = append(b.out, encoded...)
	return true
}

// once tells whether a field comes for the first time.
func (b *taking) once(number protowire.Number) bool {
	if number > 63 || b.seen&(1<<number) != 0 {
		return false
	}
	b.seen |= 1 << number
	return true
}

// takeItem takes one item of the list.
func (b *taking) takeItem() bool {
	b.item.Reset()
	b.item.WriteByte('{')
	b.part, b.hasPart = nil, false
	if !b.object(b.itemMember) {
		return false
	}
	b.item.WriteByte('}')
	encoded, err := b.encoder.items.get(b.item.Bytes())
	if err != nil {
		return false
	}
	size := len(encoded)
	if b.hasPart {
		size += protowire.SizeTag(itemPart) + protowire.SizeBytes(len(b.part))
	}
	b.items = protowire.AppendTag(b.items, buildItems, protowire.BytesType)
	b.items = protowire.AppendVarint(b.items, uint64(size))
	b.items = append(b.items, encoded...)
	if b.hasPart {
		b.items = protowire.AppendBytes(protowire.AppendTag(b.items, itemPart, protowire.BytesType), b.part)
	}
	return true
}

// itemMember takes one member of an item. Only a part that is given whole is usual.
func (b *taking) itemMember(key []byte) bool {
	if string(key) != "part" {
		value, ok := b.value()
		if b.item.Len() > 1 {
			b.item.WriteByte(',')
		}
		b.item.WriteByte('"')
		b.item.Write(key)
		b.item.WriteString(`":`)
		b.item.Write(value)
		return ok
	}
	if b.hasPart || b.next() != '{' {
		return false
	}
	b.hasPart = true
	if part, n := b.parts.guess(b.text[b.at:]); n > 0 {
		b.part = part
		b.at += n
		return true
	}
	text, ok := b.value()
	if !ok {
		return false
	}
	var err error
	b.part, err = b.parts.get(text)
	return err == nil
}
