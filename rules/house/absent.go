package house

import (
	"strconv"

	"cel.dev/cel-go/common/types"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
)

// absentError says that an expression read a field that is not there.
type absentError struct {
	message protoreflect.Message
	field   protoreflect.FieldDescriptor
}

func (e *absentError) Error() string { return "the field " + string(e.field.Name()) + " is absent" }

// presence is the contract's types for CEL, with one change: reading a field that
// is absent is an error instead of its default value.
type presence struct{ *types.Registry }

// FindStructFieldType gives how a field is read.
func (p presence) FindStructFieldType(structType, name string) (*types.FieldType, bool) {
	found, ok := p.Registry.FindStructFieldType(structType, name)
	if !ok {
		return nil, false
	}
	message, err := protoregistry.GlobalTypes.FindMessageByName(protoreflect.FullName(structType))
	if err != nil {
		return found, true
	}
	field := message.Descriptor().Fields().ByName(protoreflect.Name(name))
	if field == nil || !field.HasPresence() && !field.IsList() {
		return found, true
	}
	get := found.GetFrom
	strict := *found
	strict.GetFrom = func(target any) (any, error) {
		if m, ok := target.(proto.Message); ok {
			if r := m.ProtoReflect(); !r.Has(field) {
				return nil, &absentError{r, field}
			}
		}
		return get(target)
	}
	return &strict, true
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
