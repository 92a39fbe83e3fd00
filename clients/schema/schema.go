// Package schema writes the JSON Schema (draft 2020-12) of documents from the
// contract's descriptors: fields, their bounds, patterns and lengths, what is
// required, and which kinds exclude each other. Editors and general validators use
// it; what field rules cannot say, such as that a curve rises, only the service
// checks.
package schema

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go/buf/validate"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// Options say which of the contract's liberties a schema allows.
type Options struct {
	// References lets a part be named by its file ("fans.yaml#some-fan") instead.
	References bool
	// Plain leaves out what documents may also write: the names of protobuf's JSON
	// mapping, and the short names and numbers of enumerations.
	Plain bool
	// Home is where definitions lie. Empty: "#/$defs/".
	Home string
}

// Definitions gives the schemas of messages by name, and those of all messages that
// they hold. Those that only answers hold may have more fields than these one day.
func Definitions(o Options, questions, answers []protoreflect.MessageDescriptor) (map[string]any, error) {
	w := &writer{options: o, definitions: object{}}
	for _, m := range questions {
		if _, err := w.reference(m); err != nil {
			return nil, err
		}
	}
	w.open = true
	for _, m := range answers {
		if _, err := w.reference(m); err != nil {
			return nil, err
		}
	}
	return w.definitions, nil
}

// Schema gives the schema of one message. Documents use the contract's field names or
// those of the JSON mapping;
// the root may bear a "$schema" for editors.
func Schema(m protoreflect.MessageDescriptor, o Options) ([]byte, error) {
	w := &writer{options: o, definitions: object{}}
	root, err := w.message(m)
	if err != nil {
		return nil, err
	}
	root["properties"].(object)["$schema"] = object{"type": "string"}
	root["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	root["title"] = "slipfit " + strings.ToLower(string(m.Name()))
	if len(w.definitions) > 0 {
		root["$defs"] = w.definitions
	}
	return json.MarshalIndent(root, "", "  ")
}

type object = map[string]any

type writer struct {
	options     Options
	definitions object
	open        bool // fields that are not known are allowed
}

// partName is the message that may be a reference.
const partName = "slipfit.v1.Part"

// reference gives a schema that points to a message's definition, made if need be.
func (w *writer) reference(m protoreflect.MessageDescriptor) (object, error) {
	name := string(m.Name())
	if w.definitions[name] == nil {
		w.definitions[name] = object{} // for messages that hold themselves
		definition, err := w.message(m)
		if err != nil {
			return nil, err
		}
		w.definitions[name] = definition
	}
	home := w.options.Home
	if home == "" {
		home = "#/$defs/"
	}
	ref := object{"$ref": home + name}
	if w.options.References && m.FullName() == partName {
		return object{"anyOf": []any{ref, object{"type": "string", "minLength": 1, "description": "a file that holds the part, such as fans.yaml#some-fan"}}}, nil
	}
	return ref, nil
}

func (w *writer) message(m protoreflect.MessageDescriptor) (object, error) {
	properties := object{}
	var groups []any
	var required []string
	for i := range m.Fields().Len() {
		f := m.Fields().Get(i)
		rules := rulesOf(f)
		property, err := w.field(f, rules)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", f.FullName(), err)
		}
		describe(property, f)
		for _, name := range w.namesOf(f) {
			properties[name] = property
		}
		switch {
		case rules.GetRequired() && w.options.Plain:
			required = append(required, string(f.Name()))
		case rules.GetRequired():
			groups = append(groups, w.given(f))
		}
	}
	out := object{"type": "object", "properties": properties}
	if !w.open {
		out["additionalProperties"] = false
	}
	if len(required) > 0 {
		out["required"] = required
	}
	describe(out, m)
	for i := range m.Oneofs().Len() {
		if o := m.Oneofs().Get(i); !o.IsSynthetic() {
			groups = append(groups, w.oneof(o))
		}
	}
	if len(groups) > 0 {
		out["allOf"] = groups
	}
	return out, nil
}

// namesOf are the names that a field may stand under: the contract's, and the one
// of protobuf's JSON mapping.
func (w *writer) namesOf(f protoreflect.FieldDescriptor) []string {
	name := string(f.Name())
	if w.options.Plain {
		return []string{name}
	}
	if f.JSONName() != name {
		return []string{name, f.JSONName()}
	}
	return []string{f.JSONName()}
}

// given says that a field is there, under either name.
func (w *writer) given(f protoreflect.FieldDescriptor) object {
	names := w.namesOf(f)
	if len(names) == 1 {
		return object{"required": names}
	}
	var either []any
	for _, name := range names {
		either = append(either, object{"required": []string{name}})
	}
	return object{"anyOf": either}
}

// oneof says that exactly one field of a group is there, or at most one where none
// is required.
func (w *writer) oneof(o protoreflect.OneofDescriptor) object {
	var choices []any
	for i := range o.Fields().Len() {
		choices = append(choices, w.given(o.Fields().Get(i)))
	}
	rules, _ := proto.GetExtension(o.Options(), validate.E_Oneof).(*validate.OneofRules)
	if !rules.GetRequired() {
		choices = append(choices, object{"not": object{"anyOf": choices[:len(choices):len(choices)]}})
	}
	return object{"oneOf": choices}
}

func rulesOf(f protoreflect.FieldDescriptor) *validate.FieldRules {
	rules, _ := proto.GetExtension(f.Options(), validate.E_Field).(*validate.FieldRules)
	return rules
}

func (w *writer) field(f protoreflect.FieldDescriptor, rules *validate.FieldRules) (object, error) {
	if f.IsMap() {
		return nil, fmt.Errorf("maps are not part of the contract")
	}
	if !f.IsList() {
		return w.value(f, rules)
	}
	r := rules.GetRepeated()
	items, err := w.value(f, r.GetItems())
	if err != nil {
		return nil, err
	}
	out := object{"type": "array", "items": items}
	if r.HasMinItems() {
		out["minItems"] = r.GetMinItems()
	}
	if r.HasMaxItems() {
		out["maxItems"] = r.GetMaxItems()
	}
	return out, nil
}

func (w *writer) value(f protoreflect.FieldDescriptor, rules *validate.FieldRules) (object, error) {
	switch f.Kind() {
	case protoreflect.BoolKind:
		return object{"type": "boolean"}, nil
	case protoreflect.StringKind:
		return text(rules.GetString()), nil
	case protoreflect.DoubleKind:
		return double(rules.GetDouble()), nil
	case protoreflect.Uint32Kind:
		return whole(rules.GetUint32()), nil
	case protoreflect.EnumKind:
		return words(f.Enum(), w.options.Plain), nil
	case protoreflect.Int32Kind:
		return object{"type": "integer", "minimum": int32(math.MinInt32), "maximum": int32(math.MaxInt32)}, nil
	case protoreflect.Uint64Kind:
		// Protobuf's JSON mapping writes it in quotes: not every reader has 64 bits.
		return object{"type": "string", "pattern": "^[0-9]{1,20}$"}, nil
	case protoreflect.MessageKind:
		return w.reference(f.Message())
	}
	return nil, fmt.Errorf("fields of kind %s are not part of documents", f.Kind())
}

func text(r *validate.StringRules) object {
	out := object{"type": "string"}
	if r.HasMinLen() {
		out["minLength"] = r.GetMinLen()
	}
	if r.HasMaxLen() {
		out["maxLength"] = r.GetMaxLen()
	}
	if r.HasPattern() {
		out["pattern"] = r.GetPattern()
	}
	if in := r.GetIn(); len(in) > 0 {
		out["enum"] = in
	}
	return out
}

func double(r *validate.DoubleRules) object {
	out := object{"type": "number"}
	switch {
	case r.HasGt():
		out["exclusiveMinimum"] = r.GetGt()
	case r.HasGte():
		out["minimum"] = r.GetGte()
	}
	switch {
	case r.HasLt():
		out["exclusiveMaximum"] = r.GetLt()
	case r.HasLte():
		out["maximum"] = r.GetLte()
	}
	return out
}

func whole(r *validate.UInt32Rules) object {
	out := object{"type": "integer", "minimum": uint32(0), "maximum": uint32(math.MaxUint32)}
	switch {
	case r.HasGt():
		out["exclusiveMinimum"] = r.GetGt()
	case r.HasGte():
		out["minimum"] = r.GetGte()
	}
	switch {
	case r.HasLt():
		out["exclusiveMaximum"] = r.GetLt()
	case r.HasLte():
		out["maximum"] = r.GetLte()
	}
	return out
}

// words are the values of an enumeration: by the contract's names, as documents may
// write them, without the prefix and in lower case, and by their numbers.
func words(e protoreflect.EnumDescriptor, plain bool) object {
	var out []any
	names := make([]string, e.Values().Len())
	for i := range names {
		names[i] = string(e.Values().Get(i).Name())
	}
	prefix := names[0][:strings.LastIndex(names[0], "UNSPECIFIED")]
	for _, name := range names {
		out = append(out, name)
	}
	if plain {
		return object{"type": "string", "enum": out}
	}
	for _, name := range names {
		out = append(out, strings.ToLower(strings.TrimPrefix(name, prefix)))
	}
	for i := range e.Values().Len() {
		out = append(out, int32(e.Values().Get(i).Number()))
	}
	return object{"enum": out}
}

// describe adds what the contract says of a message or a field, where its source is at
// hand: descriptors within a program have none.
func describe(schema object, d protoreflect.Descriptor) {
	if text := Comment(d); text != "" {
		schema["description"] = text
	}
}

// Comment is what the contract says of something, on one line; empty where its source
// is not at hand.
func Comment(d protoreflect.Descriptor) string {
	return strings.Join(strings.Fields(d.ParentFile().SourceLocations().ByDescriptor(d).LeadingComments), " ")
}
