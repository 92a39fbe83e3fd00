package document

import (
	"math"
	"strings"

	"buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go/buf/validate"
	"buf.build/go/protovalidate"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// chooser makes the choices of a mutation: a seeded generator or a property
// test's drawn numbers.
type chooser interface {
	// IntN gives a number from 0 up to below n.
	IntN(n int) int
}

// mutate changes one thing in a message: it takes a field away, gives it a value
// at or beside its bounds, or disturbs a list.
func mutate(c chooser, root protoreflect.Message) {
	messages := collect(root, nil)
	m := messages[c.IntN(len(messages))]
	fields := m.Descriptor().Fields()
	if fields.Len() == 0 {
		return
	}
	field := fields.Get(c.IntN(fields.Len()))
	switch {
	case field.IsList():
		disturb(c, m, field)
	case m.Has(field) && c.IntN(4) == 0:
		m.Clear(field)
	case field.Message() != nil:
		m.Mutable(field)
	default:
		m.Set(field, valueFor(c, field))
	}
}

// collect gives a message and all messages within it.
func collect(m protoreflect.Message, into []protoreflect.Message) []protoreflect.Message {
	into = append(into, m)
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		field := fields.Get(i)
		switch {
		case field.Message() == nil || !m.Has(field):
		case field.IsList():
			for j := range m.Get(field).List().Len() {
				into = collect(m.Get(field).List().Get(j).Message(), into)
			}
		default:
			into = collect(m.Get(field).Message(), into)
		}
	}
	return into
}

// disturb changes a list: one element more, less, twice, or two in each other's
// place.
func disturb(c chooser, m protoreflect.Message, field protoreflect.FieldDescriptor) {
	list := m.Mutable(field).List()
	n := list.Len()
	if n == 0 || c.IntN(5) == 0 {
		if field.Message() != nil {
			list.AppendMutable()
		} else {
			list.Append(valueFor(c, field))
		}
		return
	}
	i, j := c.IntN(n), c.IntN(n)
	switch c.IntN(4) {
	case 0:
		if n == 1 {
			m.Clear(field)
			return
		}
		list.Truncate(n - 1)
	case 1:
		if field.Message() == nil {
			list.Append(list.Get(i))
			return
		}
		list.Append(protoreflect.ValueOfMessage(clone(list.Get(i).Message())))
	case 2:
		if field.Message() == nil {
			list.Set(i, valueFor(c, field))
		}
	case 3:
		a, b := list.Get(i), list.Get(j)
		list.Set(i, b)
		list.Set(j, a)
	}
}

// clone copies a message.
func clone(m protoreflect.Message) protoreflect.Message {
	out := m.New()
	m.Range(func(field protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		switch {
		case field.IsList():
			list := out.Mutable(field).List()
			for i := range v.List().Len() {
				if field.Message() != nil {
					list.Append(protoreflect.ValueOfMessage(clone(v.List().Get(i).Message())))
				} else {
					list.Append(v.List().Get(i))
				}
			}
		case field.Message() != nil:
			out.Set(field, protoreflect.ValueOfMessage(clone(v.Message())))
		default:
			out.Set(field, v)
		}
		return true
	})
	return out
}

// words are texts that mean something somewhere in the examples, and texts at
// the edge of what a rule takes.
var words = []string{
	"", "a", "side", "side-fans", "floor", "top", "left", "card-below", "card-upright", "case", "memory", "supply",
	"inner", "outer", "2280", "22800", "228000", "2026-02-28", "2026-02-29", "2024-02-29", "2026-13-01", "EUR", "eur",
	"m2-back", "Fjordklang", "Ä-1", "fan.size_mm", "fan.curve[0].flow_m3h", "fan.curve[0", "fan.size_mm[0]", "fan.size_mm.x",
	"chassis.layouts.mounts.poses.origin.x_mm", "memory.height_mm", "id", "kind", "bodies[12]", "bodies[12345]", ".", "[0]", "fan.",
	strings.Repeat("x", 16), strings.Repeat("x", 17), strings.Repeat("é", 32), strings.Repeat("é", 33),
	strings.Repeat("x", 64), strings.Repeat("x", 65), strings.Repeat("x", 129), strings.Repeat("ü", 200), strings.Repeat("ü", 201),
	"-a", "a-", "A", "a\x00b", "\u202e", "\n",
}

func valueFor(c chooser, field protoreflect.FieldDescriptor) protoreflect.Value {
	switch field.Kind() {
	case protoreflect.DoubleKind:
		return protoreflect.ValueOfFloat64(doubleFor(c, rulesOf(field).GetDouble()))
	case protoreflect.Uint32Kind:
		rules := rulesOf(field).GetUint32()
		edge := []uint32{0, 1, 2, rules.GetGte(), rules.GetGte() - 1, rules.GetLte(), rules.GetLte() + 1, math.MaxUint32}
		return protoreflect.ValueOfUint32(edge[c.IntN(len(edge))])
	case protoreflect.BoolKind:
		return protoreflect.ValueOfBool(c.IntN(2) == 0)
	case protoreflect.EnumKind:
		numbers := []protoreflect.EnumNumber{0, 1, 2, 3, 4, 5, 6, 7, 63, 64, 127, -1, math.MaxInt32}
		return protoreflect.ValueOfEnum(numbers[c.IntN(len(numbers))])
	default:
		return protoreflect.ValueOfString(words[c.IntN(len(words))])
	}
}

func doubleFor(c chooser, rules *validate.DoubleRules) float64 {
	low, high := rules.GetGte()+rules.GetGt(), rules.GetLte()+rules.GetLt()
	edge := []float64{
		low, high, math.Nextafter(low, math.Inf(-1)), math.Nextafter(low, math.Inf(1)),
		math.Nextafter(high, math.Inf(-1)), math.Nextafter(high, math.Inf(1)),
		math.NaN(), math.Inf(1), math.Inf(-1), math.Copysign(0, -1), math.MaxFloat64, math.SmallestNonzeroFloat64,
		(low + high) / 2, low + (high-low)/3, low + (high-low)/5, low + (high-low)/7,
	}
	return edge[c.IntN(len(edge))]
}

// rulesOf gives the rules of a field's value, or of a list's elements.
func rulesOf(field protoreflect.FieldDescriptor) *validate.FieldRules {
	rules, err := protovalidate.ResolveFieldRules(field)
	if err != nil {
		return nil
	}
	if field.IsList() {
		return rules.GetRepeated().GetItems()
	}
	return rules
}

// scramble changes encoded bytes.
func scramble(c chooser, data []byte) []byte {
	out := append([]byte(nil), data...)
	if len(out) == 0 {
		return out
	}
	i := c.IntN(len(out))
	switch c.IntN(6) {
	case 0:
		out[i] ^= 1 << c.IntN(8)
	case 1:
		out[i] = byte(c.IntN(256))
	case 2:
		out = out[:i]
	case 3:
		out = append(out[:i], out[min(len(out), i+1+c.IntN(8)):]...)
	case 4:
		j := i + c.IntN(len(out)-i)
		out = append(out[:j:j], append(append([]byte(nil), out[i:j]...), out[j:]...)...)
	case 5:
		out = append(out, data[i:]...)
	}
	return out
}
