package kittest

import (
	"fmt"
	"math"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Punch clears about so many in a hundred of a message's fields, all the way down,
// and sets a few whole numbers to odd ones: documents come with holes and with
// figures that nobody meant.
func Punch(t *rapid.T, m protoreflect.Message, share int) {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		field := fields.Get(i)
		switch {
		case !m.Has(field):
		case rapid.IntRange(0, 99).Draw(t, "dice") < share:
			m.Clear(field)
		case field.IsList() && field.Message() != nil:
			for k := range m.Get(field).List().Len() {
				Punch(t, m.Get(field).List().Get(k).Message(), share)
			}
		case field.Message() != nil && !field.IsList():
			Punch(t, m.Mutable(field).Message(), share)
		case field.Kind() == protoreflect.Uint32Kind && !field.IsList() && rapid.IntRange(0, 19).Draw(t, "odd") == 0:
			m.Set(field, protoreflect.ValueOfUint32(rapid.SampledFrom([]uint32{0, 1, 3, 7, 16, 64}).Draw(t, "number")))
		}
	}
}

// Sound says what no finding may be, whatever the document: that its rule broke, or
// that a number in it is not finite. It is nil for a finding that is neither.
func Sound(f *v1.Finding) error {
	if text := f.GetSummary().GetText(); strings.HasPrefix(text, "This rule broke") {
		return fmt.Errorf("%s: %s", f.GetRule(), text)
	}
	numbers := []*v1.Quantity{f.GetMeasured(), f.GetRequired(), f.GetMargin()}
	for _, a := range f.GetSummary().GetArguments() {
		numbers = append(numbers, a.GetValue())
	}
	for _, in := range f.GetInputs() {
		numbers = append(numbers, in.GetValue())
	}
	for _, r := range f.GetRemedies() {
		numbers = append(numbers, r.GetChange())
	}
	for _, q := range numbers {
		for _, v := range []float64{q.GetNominal(), q.GetLow(), q.GetHigh()} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("%s: %v is no finite number", f.GetRule(), q)
			}
		}
	}
	return nil
}
