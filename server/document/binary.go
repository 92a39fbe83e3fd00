package document

import (
	"fmt"
	"math"
	"unicode/utf8"

	"buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go/buf/validate"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// decode reads binary protobuf within the limits. Fields that the contract does
// not know are refused: they would be passed on and never checked.
func decode(data []byte, into proto.Message) error {
	if len(data) == 0 {
		return faultf(0, 0, "", "the document is empty")
	}
	if len(data) > MaxEncoded {
		return faultf(0, 0, "", "the document is %d bytes long; it may have %d, so leave something out", len(data), MaxEncoded)
	}
	s := scanner{}
	if err := s.message(data, into.ProtoReflect().Descriptor(), nil, 1); err != nil {
		return err
	}
	options := proto.UnmarshalOptions{RecursionLimit: MaxNesting}
	if err := options.Unmarshal(data, into); err != nil {
		return faultf(0, 0, "", "the document cannot be decoded; encode slipfit.v1.%s again", into.ProtoReflect().Descriptor().Name())
	}
	return nil
}

// scanner walks encoded messages before anything is allocated for them.
type scanner struct {
	messages int
}

// trail is the way to a message, put into words only where something is wrong.
type trail struct {
	up    *trail
	field protoreflect.FieldDescriptor
	// index is the place in a list, -1 for a single field.
	index int
}

// path gives the way to a field of the message, or to the message itself.
func (t *trail) path(field protoreflect.FieldDescriptor) string {
	own := ""
	if t != nil {
		own = t.up.path(t.field)
		if t.index >= 0 {
			own = at(own, t.index)
		}
	}
	if field == nil {
		return own
	}
	return join(own, string(field.Name()))
}

func (s *scanner) message(data []byte, descriptor protoreflect.MessageDescriptor, to *trail, depth int) error {
	s.messages++
	if s.messages > MaxMessages {
		return faultf(0, 0, to.path(nil), "the document holds more than %d messages; leave something out", MaxMessages)
	}
	if depth > MaxNesting {
		return faultf(0, 0, to.path(nil), "messages lie deeper than %d in each other", MaxNesting)
	}
	// counts are how many elements of a list came so far; lists have low numbers.
	var counts [64]int32
	for len(data) > 0 {
		number, wire, size := protowire.ConsumeTag(data)
		if size < 0 {
			return truncated(to.path(nil))
		}
		data = data[size:]
		field := descriptor.Fields().ByNumber(number)
		if field == nil {
			return faultf(0, 0, to.path(nil), "%s has no field number %d; the sender may speak a newer version of the contract", descriptor.Name(), number)
		}
		if !fitsWire(field, wire) {
			return faultf(0, 0, to.path(field), "the field is encoded with wire type %d, which is not that of %s", wire, kindWords(field))
		}
		size = protowire.ConsumeFieldValue(number, wire, data)
		if size < 0 {
			return truncated(to.path(field))
		}
		if field.Message() != nil {
			inner := &trail{up: to, field: field, index: -1}
			if field.IsList() {
				n := &counts[int(number)%len(counts)]
				inner.index = int(*n)
				*n++
				// A list that is far too long is refused here, before anything is
				// allocated for it; short ones are left to the field rules' words.
				if *n > shortList && uint64(*n) > maxItems(field) {
					return faultf(0, 0, to.path(field), "the list holds more than the %d entries it may have; leave something out", maxItems(field))
				}
			}
			content, _ := protowire.ConsumeBytes(data)
			if err := s.message(content, field.Message(), inner, depth+1); err != nil {
				return err
			}
		} else if reason := s.scalar(data, field, wire); reason != "" {
			return faultf(0, 0, to.path(field), "%s", reason)
		}
		data = data[size:]
	}
	return nil
}

// shortList is a length at which no list of the contract is worth a look.
const shortList = 16

// maxItems is how many entries the field rules of the contract allow a list.
func maxItems(field protoreflect.FieldDescriptor) uint64 {
	rules, ok := proto.GetExtension(field.Options(), validate.E_Field).(*validate.FieldRules)
	if !ok || rules.GetRepeated().MaxItems == nil {
		return math.MaxUint64
	}
	return rules.GetRepeated().GetMaxItems()
}

// scalar says what a decoder would let pass, or refuse without words: an enum's
// number that it would cut off, and a text that is no UTF-8.
func (s *scanner) scalar(data []byte, field protoreflect.FieldDescriptor, wire protowire.Type) string {
	switch field.Kind() {
	case protoreflect.EnumKind:
		if wire != protowire.VarintType {
			return ""
		}
		if v, _ := protowire.ConsumeVarint(data); v > math.MaxInt32 && v < 1<<63 {
			return fmt.Sprintf("%d is no value of %s", v, field.Enum().Name())
		}
	case protoreflect.StringKind:
		if text, _ := protowire.ConsumeBytes(data); !utf8.Valid(text) {
			return string(field.Name()) + " is no UTF-8; send text as UTF-8"
		}
	}
	return ""
}

func truncated(path string) error {
	return faultf(0, 0, path, "the document ends or breaks off within this message; it may have been cut off")
}

// fitsWire reports whether a field may come in a wire type; lists of numbers come
// packed or one by one.
func fitsWire(field protoreflect.FieldDescriptor, wire protowire.Type) bool {
	own := wireType(field.Kind())
	packable := own != protowire.BytesType && own != protowire.StartGroupType
	return wire == own || (field.IsList() && packable && wire == protowire.BytesType)
}

func wireType(kind protoreflect.Kind) protowire.Type {
	switch kind {
	case protoreflect.DoubleKind, protoreflect.Fixed64Kind, protoreflect.Sfixed64Kind:
		return protowire.Fixed64Type
	case protoreflect.FloatKind, protoreflect.Fixed32Kind, protoreflect.Sfixed32Kind:
		return protowire.Fixed32Type
	case protoreflect.StringKind, protoreflect.BytesKind, protoreflect.MessageKind:
		return protowire.BytesType
	case protoreflect.GroupKind:
		return protowire.StartGroupType
	default:
		return protowire.VarintType
	}
}

func kindWords(field protoreflect.FieldDescriptor) string {
	if field.Message() != nil {
		return fmt.Sprintf("the message %s", field.Message().Name())
	}
	return fmt.Sprintf("the type %s", field.Kind())
}
