package document

import (
	"errors"
	"fmt"
	"strconv"

	"google.golang.org/protobuf/reflect/protoreflect"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// filler walks a tree of nodes and sets the fields of a message.
type filler struct {
	file    string
	resolve func(fromFile, ref string) (*slipfitv1.Part, error)
	faults  []Fault
	// nodes counts the values seen and messages those that became messages, so
	// that aliases cannot make a short text long.
	nodes, messages int
	// stopped is set where going on makes no sense.
	stopped bool
}

var partName = (&slipfitv1.Part{}).ProtoReflect().Descriptor().FullName()

// fill sets the fields of into from the tree under root.
func (f *filler) fill(root *node, into protoreflect.Message) error {
	f.message(root, into, "")
	if len(f.faults) > 0 {
		return &Error{Faults: f.faults}
	}
	return nil
}

func (f *filler) fault(line, column int, path, reason string) {
	if f.stopped {
		return
	}
	f.faults = append(f.faults, Fault{Line: line, Column: column, Path: path, Reason: reason})
	f.stopped = len(f.faults) >= MaxFaults
}

// count takes one value into account and reports false past the limit.
func (f *filler) count(n *node, path string) bool {
	f.nodes++
	if n.kind == recordNode {
		f.messages++
	}
	switch {
	case f.nodes > MaxNodes:
		f.stop(n, path, MaxNodes, "values")
	case f.messages > MaxMessages:
		f.stop(n, path, MaxMessages, "messages")
	}
	return !f.stopped
}

func (f *filler) stop(n *node, path string, limit int, what string) {
	f.fault(n.line, n.column, path, fmt.Sprintf(
		"the document holds more than %d %s once its aliases are written out; use fewer aliases or split it", limit, what))
	f.stopped = true
}

func (f *filler) message(n *node, into protoreflect.Message, path string) {
	if !f.count(n, path) {
		return
	}
	descriptor := into.Descriptor()
	if n.kind != recordNode {
		f.fault(n.line, n.column, path, fmt.Sprintf("a mapping with the fields of %s has to stand here; found %s", descriptor.Name(), told(n)))
		return
	}
	var set [8]protoreflect.FieldNumber
	seen := set[:0]
	for i := range n.entries {
		e := &n.entries[i]
		if path == "" && e.key == "$schema" && e.value.kind == textNode {
			continue
		}
		field := fieldByKey(descriptor, e.key)
		if field == nil {
			f.unknown(e, descriptor, path)
			continue
		}
		if f.taken(e, field, seen, into, path) {
			continue
		}
		seen = append(seen, field.Number())
		f.field(e, field, into, join(path, string(field.Name())))
		if f.stopped {
			return
		}
	}
}

// unknown tells about a key that names no field.
func (f *filler) unknown(e *entry, descriptor protoreflect.MessageDescriptor, path string) {
	f.fault(e.line, e.column, path, fmt.Sprintf("%s has no field %s%s",
		descriptor.Name(), strconv.Quote(e.key), didYouMean(e.key, fieldNames(descriptor))))
}

// taken tells about a field that is there already: once by each of its two
// names, or as another member of the same oneof.
func (f *filler) taken(e *entry, field protoreflect.FieldDescriptor, seen []protoreflect.FieldNumber, into protoreflect.Message, path string) bool {
	for _, number := range seen {
		if number == field.Number() {
			f.fault(e.line, e.column, path, fmt.Sprintf("the field %q stands twice, once by each of its names", field.Name()))
			return true
		}
	}
	oneof := field.ContainingOneof()
	if oneof == nil || oneof.IsSynthetic() || e.value.kind == nullNode {
		return false
	}
	other := into.WhichOneof(oneof)
	if other == nil || other == field {
		return false
	}
	f.fault(e.line, e.column, path, fmt.Sprintf("%s is either %q or %q, not both; leave one out",
		into.Descriptor().Name(), other.Name(), field.Name()))
	return true
}

func (f *filler) field(e *entry, field protoreflect.FieldDescriptor, into protoreflect.Message, path string) {
	n := e.value
	switch {
	case n.kind == nullNode:
		// Protobuf's JSON mapping: null is the same as an absent field.
		f.count(n, path)
	case field.IsMap():
		f.fault(n.line, n.column, path, fmt.Sprintf("%s cannot be written in a text document", field.Name()))
	case field.IsList():
		f.list(n, field, into, path)
	case field.Message() == nil:
		if !f.count(n, path) {
			return
		}
		value, reason := scalarValue(field, n)
		if reason != "" {
			f.fault(n.line, n.column, path, reason)
			return
		}
		into.Set(field, value)
	case field.Message().FullName() == partName && n.kind == textNode:
		if part := f.reference(n, path); part != nil {
			into.Set(field, protoreflect.ValueOfMessage(part.ProtoReflect()))
		}
	default:
		f.message(n, into.Mutable(field).Message(), path)
	}
}

func (f *filler) list(n *node, field protoreflect.FieldDescriptor, into protoreflect.Message, path string) {
	if !f.count(n, path) {
		return
	}
	if n.kind != listNode {
		f.fault(n.line, n.column, path, fmt.Sprintf("%s is a list; found %s", field.Name(), told(n)))
		return
	}
	if len(n.items) == 0 {
		return
	}
	list := into.Mutable(field).List()
	for i, item := range n.items {
		at := path + "[" + strconv.Itoa(i) + "]"
		switch {
		case f.stopped:
			return
		case item.kind == nullNode:
			f.fault(item.line, item.column, at, "a list holds no null; leave the element out")
		case field.Message() != nil:
			f.message(item, list.AppendMutable().Message(), at)
		default:
			if !f.count(item, at) {
				return
			}
			value, reason := scalarValue(field, item)
			if reason != "" {
				f.fault(item.line, item.column, at, reason)
				continue
			}
			list.Append(value)
		}
	}
}

// reference fetches the part that a text names.
func (f *filler) reference(n *node, path string) *slipfitv1.Part {
	if !f.count(n, path) {
		return nil
	}
	if f.resolve == nil {
		f.fault(n.line, n.column, path, fmt.Sprintf("the part is a reference, %s, and references are not taken here; write the part out", strconv.Quote(n.text)))
		return nil
	}
	part, err := f.resolve(f.file, n.text)
	if err == nil && part == nil {
		err = errors.New("it leads to no part")
	}
	if err != nil {
		f.fault(n.line, n.column, path, fmt.Sprintf("the reference %s cannot be followed: %v", strconv.Quote(n.text), err))
		return nil
	}
	return part
}

// fieldByKey finds a field by its proto name or its lowerCamel name.
func fieldByKey(descriptor protoreflect.MessageDescriptor, key string) protoreflect.FieldDescriptor {
	fields := descriptor.Fields()
	if field := fields.ByName(protoreflect.Name(key)); field != nil {
		return field
	}
	return fields.ByJSONName(key)
}

func fieldNames(descriptor protoreflect.MessageDescriptor) []string {
	names := make([]string, descriptor.Fields().Len())
	for i := range names {
		names[i] = string(descriptor.Fields().Get(i).Name())
	}
	return names
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}
