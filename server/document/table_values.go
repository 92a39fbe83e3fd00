package document

import (
	"math"

	"buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go/buf/validate"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// takeValue takes the rules of one value and reports whether it knows them all.
// Rules of another type than the field's own are not known.
func (s *step) takeValue(field protoreflect.FieldDescriptor, rules *validate.FieldRules) bool {
	var own protoreflect.Name
	var ok bool
	switch field.Kind() {
	case protoreflect.DoubleKind:
		own, ok = "double", s.takeDouble(rules.GetDouble())
	case protoreflect.Uint32Kind:
		own, ok = "uint32", s.takeWhole(rules.GetUint32())
	case protoreflect.StringKind:
		own, ok = "string", s.takeText(rules.GetString())
	case protoreflect.EnumKind:
		own, ok = "enum", s.takeEnum(field.Enum(), rules.GetEnum())
	case protoreflect.BoolKind:
		s.kind, ok = boolStep, true
	case protoreflect.MessageKind:
		s.kind, ok = messageStep, true
	default:
		return false
	}
	return ok && knownOnly(rules, "required", "cel", "repeated", own)
}

func (s *step) takeDouble(r *validate.DoubleRules) bool {
	s.kind, s.lo, s.hi = doubleStep, math.Inf(-1), math.Inf(1)
	switch {
	case r.HasGt():
		s.lo = math.Nextafter(r.GetGt(), math.Inf(1))
	case r.HasGte():
		s.lo = r.GetGte()
	}
	switch {
	case r.HasLt():
		s.hi = math.Nextafter(r.GetLt(), math.Inf(-1))
	case r.HasLte():
		s.hi = r.GetLte()
	}
	// Without both bounds, infinity would pass; without order, the rule means
	// the outside of a range.
	bounded := !math.IsInf(s.lo, 0) && !math.IsInf(s.hi, 0) && s.lo <= s.hi
	return bounded && knownOnly(r, "gt", "gte", "lt", "lte")
}

func (s *step) takeWhole(r *validate.UInt32Rules) bool {
	s.kind, s.lo, s.hi = wholeStep, 0, math.MaxUint32
	switch {
	case r.HasGt():
		s.lo = float64(r.GetGt()) + 1
	case r.HasGte():
		s.lo = float64(r.GetGte())
	}
	switch {
	case r.HasLt():
		s.hi = float64(r.GetLt()) - 1
	case r.HasLte():
		s.hi = float64(r.GetLte())
	}
	return s.lo <= s.hi && knownOnly(r, "gt", "gte", "lt", "lte")
}

func (s *step) takeText(r *validate.StringRules) bool {
	s.kind, s.longest = textStep, math.MaxUint32
	if r.HasMinLen() {
		s.least = uint32(min(r.GetMinLen(), math.MaxUint32))
	}
	if r.HasMaxLen() {
		s.longest = uint32(min(r.GetMaxLen(), math.MaxUint32))
	}
	if r.HasPattern() || len(r.GetIn()) > 0 {
		s.text = &textRule{in: r.GetIn()}
	}
	if r.HasPattern() {
		var err error
		if s.text.matches, err = matcher(r.GetPattern()); err != nil {
			return false
		}
	}
	return knownOnly(r, "min_len", "max_len", "pattern", "in")
}

func (s *step) takeEnum(enum protoreflect.EnumDescriptor, r *validate.EnumRules) bool {
	s.kind = enumStep
	for i := range enum.Values().Len() {
		number := enum.Values().Get(i).Number()
		if number < 0 || number >= 64 {
			return false
		}
		s.values |= 1 << uint(number)
	}
	// A document with a number that is no value is good without defined_only;
	// the walk then is stricter than it need be, never less.
	return knownOnly(r, "defined_only")
}
