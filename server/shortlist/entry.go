package shortlist

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"unicode/utf8"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// Field numbers of slipfit.v1.Part.
const (
	partID    = 1
	partName  = 2
	partPrice = 4
)

// kinds are the kinds of part by their field numbers, with the names that a plan calls
// them by: those of the fields.
var kinds = func() map[protowire.Number]string {
	out := map[protowire.Number]string{}
	fields := (&v1.Part{}).ProtoReflect().Descriptor().Oneofs().ByName("kind").Fields()
	for i := range fields.Len() {
		out[fields.Get(i).Number()] = string(fields.Get(i).Name())
	}
	return out
}()

// KindOf is the name of the kind of a part, empty where it has none.
func KindOf(part *v1.Part) string {
	m := part.ProtoReflect()
	if field := m.WhichOneof(m.Descriptor().Oneofs().ByName("kind")); field != nil {
		return string(field.Name())
	}
	return ""
}

// IsKind reports whether a name is that of a kind of part.
func IsKind(name string) bool {
	for _, kind := range kinds {
		if kind == name {
			return true
		}
	}
	return false
}

// Kinds are the names of all kinds of part, in order.
func Kinds() []string { return slices.Sorted(maps.Values(kinds)) }

// Entry is one candidate: its encoded part, and of it what a list shows.
type Entry struct {
	// Place is its place among the candidates, 0 first.
	Place uint64
	// Part is the encoded part.
	Part []byte
	// ID, Name, Kind and Price are as the part has them.
	ID, Name, Kind string
	Price          *v1.Price
	// Refusal says why it is no good document; nil: it is one.
	Refusal *v1.Refusal
}

// Read looks at an encoded part and holds it against the rules of documents.
func Read(validator *document.Validator, place uint64, part []byte) Entry {
	e := Entry{Place: place, Part: part}
	if !validator.AcceptPart(part) {
		if violations := violationsOf(validator, part); len(violations) > 0 {
			_ = e.skim() // it is known by what can be read of it
			e.ID, e.Name = shown(e.ID), shown(e.Name)
			e.Refusal = document.Refusal(violations)
			return e
		}
	}
	e.Refusal = e.skim()
	return e
}

// shown is a name that can stand in an answer, empty where it cannot: the part that it
// comes from is bad.
func shown(name string) string {
	const longest = 200 // by the contract
	if !utf8.ValidString(name) || utf8.RuneCountInString(name) > longest {
		return ""
	}
	return name
}

// violationsOf tells everything that is wrong with a part.
func violationsOf(validator *document.Validator, part []byte) []document.Violation {
	message := new(v1.Part)
	_, err := document.Options{Format: document.FormatBinary}.Read("", part, message)
	var bad *document.Error
	switch {
	case errors.As(err, &bad):
		return bad.Violations()
	case err != nil:
		return []document.Violation{{Reason: err.Error()}}
	}
	return validator.ValidatePart(message)
}

// skim reads what a list shows, without decoding the rest.
func (e *Entry) skim() *v1.Refusal {
	for b := e.Part; len(b) > 0; {
		number, kind, n := protowire.ConsumeTag(b)
		if n < 0 {
			return refusal("", "the part cannot be read; encode slipfit.v1.Part again")
		}
		size := protowire.ConsumeFieldValue(number, kind, b[n:])
		if size < 0 {
			return refusal("", "the part ends in the middle; encode slipfit.v1.Part again")
		}
		if kind == protowire.BytesType {
			value, _ := protowire.ConsumeBytes(b[n:])
			if err := e.take(number, value); err != nil {
				return refusal("price", err.Error())
			}
		}
		b = b[n+size:]
	}
	return nil
}

func (e *Entry) take(number protowire.Number, value []byte) error {
	switch number {
	case partID:
		e.ID = string(value)
	case partName:
		e.Name = string(value)
	case partPrice:
		if e.Price == nil {
			e.Price = new(v1.Price)
		}
		if err := e.Price.UnmarshalVT(value); err != nil {
			return fmt.Errorf("the price cannot be read: %w", err)
		}
	default:
		if kind, ok := kinds[number]; ok {
			e.Kind = kind
		}
	}
	return nil
}

func refusal(path, reason string) *v1.Refusal {
	return document.Refusal([]document.Violation{{Path: path, Reason: reason}})
}
