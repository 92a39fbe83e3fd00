package house

import (
	"fmt"
	"sync"

	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/common/types/traits"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
)

// view is a message as expressions see it. Each of its fields is looked up and turned
// into a value of CEL once, when it is first read: many rules read the same few, over
// and over. A view is not safe for use by several goroutines.
//
// It is a message itself, so that CEL compares it with other messages as such.
type view struct {
	ref.Val // the message as CEL has it by itself
	all     *contract
	kind    *messageKind
	parts   *partViews // nil: views of parts are not kept
	message protoreflect.Message
	fields  []cell
}

// cell is one field of a view.
type cell struct {
	known bool
	value ref.Val // nil: the field is absent
}

var (
	_ proto.Message      = (*view)(nil)
	_ traits.Indexer     = (*view)(nil)
	_ traits.FieldTester = (*view)(nil)
	_ traits.Zeroer      = (*view)(nil)
)

// ProtoReflect is that of the message.
func (v *view) ProtoReflect() protoreflect.Message { return v.message }

// Value is the view, which is what fields are read from.
func (v *view) Value() any { return v }

// Get reads a field whose name is known only now.
func (v *view) Get(name ref.Val) ref.Val {
	field := v.kind.byName(name)
	if field == nil {
		return types.NewErr("no such field '%v'", name)
	}
	value, err := v.field(field)
	if err != nil {
		return types.WrapErr(err)
	}
	return value
}

// IsSet tells whether a field whose name is known only now is there.
func (v *view) IsSet(name ref.Val) ref.Val {
	field := v.kind.byName(name)
	if field == nil {
		return types.NewErr("no such field '%v'", name)
	}
	return types.Bool(v.message.Has(field))
}

// IsZeroValue tells whether the message is empty.
func (v *view) IsZeroValue() bool { return v.Val.(traits.Zeroer).IsZeroValue() }

// field reads a field; the error is an *absentError.
func (v *view) field(field protoreflect.FieldDescriptor) (ref.Val, error) {
	c := &v.fields[field.Index()]
	if !c.known {
		if !missing(v.message, field) {
			c.value = v.value(field)
		}
		c.known = true
	}
	if c.value == nil {
		return nil, &absentError{v.message, field}
	}
	return c.value, nil
}

// has tells whether a field with presence, or a list, is there.
func (v *view) has(field protoreflect.FieldDescriptor) bool {
	c := &v.fields[field.Index()]
	if !c.known {
		_, _ = v.field(field)
	}
	return c.value != nil
}

// partViews keeps the views of parts over many cases: the same few chassis and boards
// come again and again, and the kit decodes each of them once.
type partViews struct {
	kept map[*v1.Part]*view
}

// keptViews bounds how many views of parts are kept.
const keptViews = 1024

func (p *partViews) of(c *contract, part *v1.Part) *view {
	if v := p.kept[part]; v != nil {
		return v
	}
	if p.kept == nil || len(p.kept) >= keptViews {
		p.kept = map[*v1.Part]*view{}
	}
	v := c.view(part.ProtoReflect(), nil)
	p.kept[part] = v
	return v
}

// contract is the messages of the contract as expressions see them. It never changes.
type contract struct {
	*types.Registry
	kinds map[protoreflect.FullName]*messageKind
}

// messageKind is one message of the contract.
type messageKind struct {
	fields protoreflect.FieldDescriptors
	get    []func(any) (any, error) // by field, as CEL reads it by itself
}

// byName is a field whose name is known only when it is read.
func (k *messageKind) byName(name ref.Val) protoreflect.FieldDescriptor {
	text, _ := name.Value().(string)
	return k.fields.ByName(protoreflect.Name(text))
}

// theContract is made once: it is the same for all rules.
var theContract = sync.OnceValues(func() (*contract, error) {
	registry, err := contractTypes()
	if err != nil {
		return nil, fmt.Errorf("the contract's types cannot be used in expressions: %w", err)
	}
	c := &contract{Registry: registry, kinds: map[protoreflect.FullName]*messageKind{}}
	for _, root := range []proto.Message{&v1.Build{}, &v1.Fact{}} {
		if err := c.learn(root.ProtoReflect().Descriptor()); err != nil {
			return nil, err
		}
	}
	return c, nil
})

// learn takes a message in, with all that it holds.
func (c *contract) learn(d protoreflect.MessageDescriptor) error {
	if c.kinds[d.FullName()] != nil {
		return nil
	}
	k := &messageKind{fields: d.Fields()}
	c.kinds[d.FullName()] = k
	for i := range k.fields.Len() {
		field := k.fields.Get(i)
		found, ok := c.Registry.FindStructFieldType(string(d.FullName()), string(field.Name()))
		if !ok {
			return fmt.Errorf("expressions cannot read the field %s", field.FullName())
		}
		k.get = append(k.get, found.GetFrom)
		if field.Message() != nil && !field.IsMap() {
			if err := c.learn(field.Message()); err != nil {
				return err
			}
		}
	}
	return nil
}

// view makes the view of a message of the contract. Parts under it come from parts,
// where that is not nil.
func (c *contract) view(m protoreflect.Message, parts *partViews) *view {
	k := c.kinds[m.Descriptor().FullName()]
	return &view{
		Val: c.Registry.NativeToValue(m.Interface()), all: c, kind: k, parts: parts,
		message: m, fields: make([]cell, k.fields.Len()),
	}
}

// value is a field's value: messages as views, all else as CEL has it.
func (v *view) value(field protoreflect.FieldDescriptor) ref.Val {
	switch {
	case field.Message() == nil || field.IsMap():
		native, err := v.kind.get[field.Index()](v.message.Interface())
		if err != nil {
			return types.WrapErr(err)
		}
		return v.all.Registry.NativeToValue(native)
	case field.IsList():
		list := v.message.Get(field).List()
		elements := make([]ref.Val, list.Len())
		for i := range elements {
			elements[i] = v.all.view(list.Get(i).Message(), v.parts)
		}
		return types.NewRefValList(v.all.Registry, elements)
	}
	under := v.message.Get(field).Message()
	if part, ok := under.Interface().(*v1.Part); ok && v.parts != nil {
		return v.parts.of(v.all, part)
	}
	return v.all.view(under, v.parts)
}

// FindStructFieldType gives how a field is read: from views at once, from a message
// that an expression makes itself as CEL does, and never where it is absent.
func (c *contract) FindStructFieldType(structType, name string) (*types.FieldType, bool) {
	found, ok := c.Registry.FindStructFieldType(structType, name)
	if !ok {
		return nil, false
	}
	kind := c.kinds[protoreflect.FullName(structType)]
	if kind == nil {
		return found, true
	}
	field := kind.fields.ByName(protoreflect.Name(name))
	if field == nil {
		return found, true
	}
	strict := *found
	strict.GetFrom = func(target any) (any, error) {
		switch m := target.(type) {
		case *view:
			return m.field(field)
		case proto.Message:
			if r := m.ProtoReflect(); missing(r, field) {
				return nil, &absentError{r, field}
			}
		}
		return found.GetFrom(target)
	}
	tested := field.HasPresence() || field.IsList()
	strict.IsSet = func(target any) bool {
		if v, ok := target.(*view); ok && tested {
			return v.has(field)
		}
		if m, ok := target.(proto.Message); ok {
			return m.ProtoReflect().Has(field)
		}
		return found.IsSet(target)
	}
	return &strict, true
}
