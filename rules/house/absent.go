package house

import (
	"strconv"

	"google.golang.org/protobuf/reflect/protoreflect"
)

// absentError says that an expression read a field that is not there.
type absentError struct {
	message protoreflect.Message
	field   protoreflect.FieldDescriptor
}

func (e *absentError) Error() string { return "the field " + string(e.field.Name()) + " is absent" }

// missing reports whether a field that an expression reads is not there. What the wire
// cannot tell from its zero is there, but for lists: an empty one is absent.
func missing(m protoreflect.Message, field protoreflect.FieldDescriptor) bool {
	return (field.HasPresence() || field.IsList()) && !m.Has(field)
}

// pathTo finds the place of an absent field under a message by the identity of the
// message that it belongs to. It is empty where that cannot be found.
func pathTo(root protoreflect.Message, prefix string, absent *absentError) string {
	if same(root, absent.message) {
		return prefix + string(absent.field.Name())
	}
	path := ""
	root.Range(func(field protoreflect.FieldDescriptor, value protoreflect.Value) bool {
		if field.Message() == nil || field.IsMap() {
			return true
		}
		name := prefix + string(field.Name())
		if !field.IsList() {
			path = pathTo(value.Message(), name+".", absent)
			return path == ""
		}
		for i := range value.List().Len() {
			if path = pathTo(value.List().Get(i).Message(), name+"["+strconv.Itoa(i)+"].", absent); path != "" {
				return false
			}
		}
		return true
	})
	return path
}

func same(a, b protoreflect.Message) bool { return a.Interface() == b.Interface() }
