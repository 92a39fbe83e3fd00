// Package jsonwire turns JSON into encoded protobuf and encoded protobuf into JSON,
// by protobuf's JSON mapping, without a message in between.
//
// The short way knows the usual form of both and nothing else. Whatever it does not
// know, and whatever is wrong, goes the long way: JSON through [document.Options],
// which has the words for every fault, and encoded messages through protojson. So the
// two ways differ in cost alone.
//
// JSON that is written names fields as the contract does, and escapes what could
// leave a script or a page into which it is pasted: <, > and &, the line separators
// that JavaScript once took for line ends, and the characters that turn the direction
// of text about.
package jsonwire

import (
	"errors"
	"fmt"
	"math/bits"
	"slices"
	"strings"
	"sync"

	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// errUnusual sends a text or a message the long way.
var errUnusual = errors.New("the form is not the usual one")

// Codec turns messages of one type from JSON and into JSON. It is safe for use by
// several goroutines.
type Codec struct {
	kind protoreflect.MessageType
	root *message
}

// New makes the codec of a message type. It fails where the type holds what the
// contract never has, such as a map.
func New(kind protoreflect.MessageType) (*Codec, error) {
	root, err := tables.of(kind.Descriptor())
	if err != nil {
		return nil, err
	}
	return &Codec{kind, root}, nil
}

// message is what both ways have to know of a message type.
type message struct {
	name     string
	byKey    map[string]*field
	byNumber []*field // by number; nil where there is none
	inOrder  []*field // as the contract has them
}

// field is one field of a message.
type field struct {
	name    string
	key     []byte // "name":
	number  protowire.Number
	wire    protowire.Type // of one value
	kind    protoreflect.Kind
	list    bool
	packed  bool
	message *message
	words   map[string]protoreflect.EnumNumber
	names   map[protoreflect.EnumNumber][]byte // in quotes
	bit     int                                // among the fields of its message
	group   int                                // oneof; -1: none
}

// mostFields is how many fields, and how many oneofs, a message may have.
const mostFields = 256

// seen is a set of fields or of oneofs.
type seen [mostFields / bits.UintSize]uint

// add puts i in and reports whether it was there.
func (s *seen) add(i int) bool {
	word, bit := &s[i/bits.UintSize], uint(1)<<(i%bits.UintSize)
	had := *word&bit != 0
	*word |= bit
	return had
}

// tables keeps what is known of each message type.
var tables = &library{known: map[protoreflect.FullName]*message{}}

type library struct {
	mu    sync.Mutex
	known map[protoreflect.FullName]*message
}

func (l *library) of(d protoreflect.MessageDescriptor) (*message, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.make(d)
}

func (l *library) make(d protoreflect.MessageDescriptor) (*message, error) {
	if m := l.known[d.FullName()]; m != nil {
		return m, nil
	}
	if d.Fields().Len() > mostFields {
		return nil, fmt.Errorf("%s has %d fields; %d can be told apart", d.FullName(), d.Fields().Len(), mostFields)
	}
	m := &message{name: string(d.Name()), byKey: map[string]*field{}}
	l.known[d.FullName()] = m // before its fields, for messages that hold themselves
	for i := range d.Fields().Len() {
		f, err := l.field(d.Fields().Get(i))
		if err != nil {
			delete(l.known, d.FullName())
			return nil, err
		}
		m.inOrder = append(m.inOrder, f)
		m.byKey[f.name] = f
		m.byKey[d.Fields().Get(i).JSONName()] = f
		if grow := int(f.number) + 1 - len(m.byNumber); grow > 0 {
			m.byNumber = append(m.byNumber, make([]*field, grow)...)
		}
		m.byNumber[f.number] = f
	}
	return m, nil
}

func (l *library) field(d protoreflect.FieldDescriptor) (*field, error) {
	f := &field{
		name: string(d.Name()), key: []byte(`"` + string(d.Name()) + `":`), number: d.Number(), kind: d.Kind(),
		list: d.IsList(), packed: d.IsPacked(), bit: d.Index(), group: -1,
	}
	if group := d.ContainingOneof(); group != nil && !group.IsSynthetic() {
		f.group = group.Index()
	}
	const mostNumber = 1 << 12
	if d.IsMap() || d.Number() > mostNumber {
		return nil, fmt.Errorf("%s is a map or has a number above %d, which the contract never has", d.FullName(), mostNumber)
	}
	var err error
	switch d.Kind() {
	case protoreflect.MessageKind:
		f.wire = protowire.BytesType
		if strings.HasPrefix(string(d.Message().FullName()), "google.protobuf.") {
			return nil, fmt.Errorf("%s is a well-known type with a mapping of its own, which the contract never has", d.FullName())
		}
		f.message, err = l.make(d.Message())
	case protoreflect.StringKind, protoreflect.BytesKind:
		f.wire = protowire.BytesType
	case protoreflect.DoubleKind:
		f.wire = protowire.Fixed64Type
	case protoreflect.BoolKind, protoreflect.Uint32Kind, protoreflect.Int32Kind, protoreflect.Uint64Kind, protoreflect.Int64Kind:
		f.wire = protowire.VarintType
	case protoreflect.EnumKind:
		f.wire = protowire.VarintType
		f.enum(d.Enum())
	default:
		err = fmt.Errorf("%s is of kind %v, which the contract never has", d.FullName(), d.Kind())
	}
	return f, err
}

// enum takes the names of an enumeration: those of the contract, and those without
// their prefix in lower case, which documents may use.
func (f *field) enum(d protoreflect.EnumDescriptor) {
	f.words, f.names = map[string]protoreflect.EnumNumber{}, map[protoreflect.EnumNumber][]byte{}
	var names []string
	for i := range d.Values().Len() {
		names = append(names, string(d.Values().Get(i).Name()))
	}
	prefix := names[0][:max(0, strings.LastIndex(names[0], "UNSPECIFIED"))]
	for i, name := range slices.Backward(names) {
		number := d.Values().Get(i).Number()
		f.words[name] = number
		f.words[strings.ToLower(strings.TrimPrefix(name, prefix))] = number
		f.names[number] = []byte(`"` + name + `"`)
	}
}
