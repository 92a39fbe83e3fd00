package document

import (
	"fmt"
	"unicode/utf8"

	"google.golang.org/protobuf/reflect/protoreflect"
)

// sanity looks for what a decoder may have let pass: fields that the contract
// does not know, texts that are no UTF-8, and too many messages.
type sanity struct {
	messages int
	found    []Violation
}

func (s *sanity) message(m protoreflect.Message, to *trail) {
	s.messages++
	if s.messages > MaxMessages {
		if s.messages == MaxMessages+1 {
			s.add(to.path(nil), fmt.Sprintf("the document holds more than %d messages; leave something out", MaxMessages))
		}
		return
	}
	if len(m.GetUnknown()) > 0 {
		s.add(to.path(nil), fmt.Sprintf("%s has fields that the contract does not know; the sender may speak a newer version of it", m.Descriptor().Name()))
	}
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		field := fields.Get(i)
		isText := field.Kind() == protoreflect.StringKind
		if (field.Message() == nil && !isText) || field.IsMap() || !m.Has(field) {
			continue
		}
		if !field.IsList() {
			s.value(m.Get(field), &trail{up: to, field: field, index: -1})
			continue
		}
		list := m.Get(field).List()
		for j := range list.Len() {
			s.value(list.Get(j), &trail{up: to, field: field, index: j})
		}
	}
}

func (s *sanity) value(value protoreflect.Value, to *trail) {
	switch {
	case to.field.Message() != nil:
		s.message(value.Message(), to)
	case to.field.Kind() == protoreflect.StringKind && !utf8.ValidString(value.String()):
		s.add(to.path(nil), string(to.field.Name())+" is no UTF-8; send text as UTF-8")
	}
}

func (s *sanity) add(path, reason string) {
	s.found = append(s.found, Violation{Path: path, Reason: reason})
}
