package mounting

import (
	"iter"
	"math"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
)

// placedBox is a box of the arrangement, as slipfit.v1.PlacedBox.
type placedBox struct {
	item, body string
	piece      uint32
	purpose    v1.Purpose
	extent     geometry.Box
	sound      bool // the extent is one
}

// solid reports whether the box is matter.
func (p *placedBox) solid() bool {
	return p.purpose == v1.Purpose_PURPOSE_SOLID || p.purpose == v1.Purpose_PURPOSE_UNSPECIFIED
}

// readFact reads what is of use here out of the encoded fact: the arrangement without
// its gaps, and its boxes apart. There are many of both, and making a message of each
// takes longer than all that is done with them.
func (s *scene) readFact(encoded []byte) {
	s.fact, s.extents, s.plain = new(v1.Arrangement), s.extents[:0], s.plain[:0]
	for fact := range fieldsOf(encoded) {
		if fact.number != 2 { // arrangement
			continue
		}
		for f := range fieldsOf(fact.value) {
			switch f.number {
			case 6: // boxes
				s.extents = append(s.extents, placedBox{})
				s.readBox(&s.extents[len(s.extents)-1], f.value)
			case 7: // gaps
			default:
				s.plain = append(s.plain, f.whole...)
			}
		}
	}
	if err := s.fact.UnmarshalVT(s.plain); err != nil {
		panic("fact " + factArrangement + " cannot be read: " + err.Error())
	}
}

func (s *scene) readBox(p *placedBox, encoded []byte) {
	for f := range fieldsOf(encoded) {
		switch f.number {
		case 1:
			p.item = s.itemText(f.value)
		case 2:
			p.piece = uint32(f.bits)
		case 3:
			p.body = string(f.value)
		case 4:
			p.purpose = v1.Purpose(int32(f.bits))
		case 5:
			p.extent, p.sound = boxOf(f.value)
		}
	}
}

// itemText is the text of an item's name. Boxes of one item stand together, and share it.
func (s *scene) itemText(name []byte) string {
	if n := len(s.extents); n > 1 && s.extents[n-2].item == string(name) {
		return s.extents[n-2].item
	}
	return string(name)
}

// boxOf reads a slipfit.v1.Extent.
func boxOf(encoded []byte) (geometry.Box, bool) {
	var corner, size geometry.Vec
	for f := range fieldsOf(encoded) {
		switch f.number {
		case 1: // corner
			for at := range fieldsOf(f.value) {
				if at.number <= 3 {
					corner[at.number-1] = math.Float64frombits(at.bits)
				}
			}
		case 2, 3, 4:
			size[f.number-2] = math.Float64frombits(f.bits)
		}
	}
	box, err := geometry.NewBoxAt(corner, size)
	return box, err == nil
}

// wireField is one field of an encoded message.
type wireField struct {
	number protowire.Number
	whole  []byte // with its tag
	value  []byte // of a text or a message
	bits   uint64 // of a number
}

// fieldsOf takes an encoded message apart. It panics where it is none.
func fieldsOf(b []byte) iter.Seq[wireField] {
	return func(yield func(wireField) bool) {
		for len(b) > 0 {
			number, kind, tag := protowire.ConsumeTag(b)
			n := tag
			f := wireField{number: number}
			if tag > 0 {
				switch rest := b[tag:]; kind {
				case protowire.BytesType:
					f.value, n = protowire.ConsumeBytes(rest)
				case protowire.VarintType:
					f.bits, n = protowire.ConsumeVarint(rest)
				case protowire.Fixed64Type:
					f.bits, n = protowire.ConsumeFixed64(rest)
				default:
					n = protowire.ConsumeFieldValue(number, kind, rest)
				}
			}
			if n < 0 {
				panic("fact " + factArrangement + " cannot be read: " + protowire.ParseError(n).Error())
			}
			f.whole, b = b[:tag+n], b[tag+n:]
			if !yield(f) {
				return
			}
		}
	}
}
