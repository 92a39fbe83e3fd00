package document

import (
	"math"
	"regexp"
	"slices"
	"testing"
	"time"

	"buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go/buf/validate"
	"buf.build/go/protovalidate"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protodesc"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/descriptorpb"
	"pgregory.net/rapid"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// contractFields visits every field of every message that a question can hold.
func contractFields(t *testing.T, visit func(protoreflect.FieldDescriptor, *validate.FieldRules)) {
	t.Helper()
	seen := map[protoreflect.FullName]bool{}
	var walk func(protoreflect.MessageDescriptor)
	walk = func(m protoreflect.MessageDescriptor) {
		if seen[m.FullName()] {
			return
		}
		seen[m.FullName()] = true
		for i := range m.Fields().Len() {
			field := m.Fields().Get(i)
			rules, err := protovalidate.ResolveFieldRules(field)
			if err != nil {
				t.Fatal(err)
			}
			visit(field, rules)
			if field.Message() != nil {
				walk(field.Message())
			}
		}
	}
	walk((&slipfitv1.CheckRequest{}).ProtoReflect().Descriptor())
}

// TestContractIsBounded makes sure of what the limits rely on: every list ends,
// every number is finite by its bounds, every text ends by its length or pattern.
func TestContractIsBounded(t *testing.T) {
	contractFields(t, func(field protoreflect.FieldDescriptor, rules *validate.FieldRules) {
		if field.IsList() {
			if !rules.GetRepeated().HasMaxItems() {
				t.Errorf("%s has no max_items", field.FullName())
			}
			rules = rules.GetRepeated().GetItems()
		}
		switch field.Kind() {
		case protoreflect.DoubleKind:
			r := rules.GetDouble()
			if !(r.HasGt() || r.HasGte()) || !(r.HasLt() || r.HasLte()) {
				t.Errorf("%s is not bounded on both sides", field.FullName())
			}
		case protoreflect.StringKind:
			r := rules.GetString()
			if !r.HasMaxLen() && !r.HasPattern() && len(r.GetIn()) == 0 {
				t.Errorf("%s has no greatest length", field.FullName())
			}
			if _, ok := patterns[r.GetPattern()]; r.HasPattern() && !ok {
				t.Errorf("%s has a pattern without words: %s", field.FullName(), r.GetPattern())
			}
		case protoreflect.EnumKind:
			if !rules.GetEnum().GetDefinedOnly() {
				t.Errorf("%s takes numbers that are no values", field.FullName())
			}
		}
		if field.IsMap() || !textKinds[field.Kind()] {
			t.Errorf("%s is of a kind that text documents cannot have", field.FullName())
		}
	})
}

var textKinds = map[protoreflect.Kind]bool{
	protoreflect.StringKind: true, protoreflect.DoubleKind: true, protoreflect.Uint32Kind: true,
	protoreflect.BoolKind: true, protoreflect.EnumKind: true, protoreflect.MessageKind: true,
}

// strange builds a message of one field with rules.
func strange(t *testing.T, kind descriptorpb.FieldDescriptorProto_Type, label descriptorpb.FieldDescriptorProto_Label, rules *validate.FieldRules) protoreflect.MessageDescriptor {
	t.Helper()
	options := &descriptorpb.FieldOptions{}
	proto.SetExtension(options, validate.E_Field, rules)
	field := &descriptorpb.FieldDescriptorProto{
		Name: proto.String("f"), Number: proto.Int32(1), Type: kind.Enum(), Label: label.Enum(), Options: options,
	}
	message := &descriptorpb.DescriptorProto{Name: proto.String("Strange"), Field: []*descriptorpb.FieldDescriptorProto{field}}
	file, err := protodesc.NewFile(&descriptorpb.FileDescriptorProto{
		Name: proto.String("strange.proto"), Package: proto.String("strange"), Syntax: proto.String("proto2"),
		MessageType: []*descriptorpb.DescriptorProto{message},
	}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return file.Messages().Get(0)
}

// TestUnknownRulesAreUnsure gives the compiler rules that it does not know: the
// field then must never be accepted.
func TestUnknownRulesAreUnsure(t *testing.T) {
	const single, list = descriptorpb.FieldDescriptorProto_LABEL_OPTIONAL, descriptorpb.FieldDescriptorProto_LABEL_REPEATED
	const text, real, whole = descriptorpb.FieldDescriptorProto_TYPE_STRING, descriptorpb.FieldDescriptorProto_TYPE_DOUBLE, descriptorpb.FieldDescriptorProto_TYPE_UINT32
	bounded := &validate.DoubleRules{}
	bounded.GreaterThan, bounded.LessThan = &validate.DoubleRules_Gte{Gte: 0}, &validate.DoubleRules_Lte{Lte: 1}
	outside := &validate.DoubleRules{GreaterThan: &validate.DoubleRules_Gte{Gte: 1}, LessThan: &validate.DoubleRules_Lte{Lte: 0}}
	stepped := proto.CloneOf(bounded)
	stepped.In = []float64{0.5}
	for _, c := range []struct {
		what   string
		kind   descriptorpb.FieldDescriptorProto_Type
		label  descriptorpb.FieldDescriptorProto_Label
		rules  *validate.FieldRules
		unsure bool
	}{
		{"bounded", real, single, &validate.FieldRules{Type: &validate.FieldRules_Double{Double: bounded}}, false},
		{"outside of a range", real, single, &validate.FieldRules{Type: &validate.FieldRules_Double{Double: outside}}, true},
		{"unbounded", real, single, &validate.FieldRules{}, true},
		{"one of some numbers", real, single, &validate.FieldRules{Type: &validate.FieldRules_Double{Double: stepped}}, true},
		{"prefix", text, single, &validate.FieldRules{Type: &validate.FieldRules_String_{String_: &validate.StringRules{Prefix: proto.String("a")}}}, true},
		{"well known", text, single, &validate.FieldRules{Type: &validate.FieldRules_String_{String_: &validate.StringRules{WellKnown: &validate.StringRules_Email{Email: true}}}}, true},
		{"cel", text, single, &validate.FieldRules{Cel: []*validate.Rule{{Id: proto.String("x"), Expression: proto.String("true")}}}, true},
		{"changed cel", text, list, &validate.FieldRules{Cel: []*validate.Rule{{Id: proto.String(uniqueItemsRule), Expression: proto.String("true")}}}, true},
		{"ignore", text, single, &validate.FieldRules{Ignore: validate.Ignore_IGNORE_ALWAYS.Enum()}, true},
		{"unique list", text, list, &validate.FieldRules{Type: &validate.FieldRules_Repeated{Repeated: &validate.RepeatedRules{Unique: proto.Bool(true)}}}, true},
		{"rules of another type", whole, single, &validate.FieldRules{Type: &validate.FieldRules_Double{Double: bounded}}, true},
		{"another kind", descriptorpb.FieldDescriptorProto_TYPE_BYTES, single, &validate.FieldRules{}, true},
	} {
		table := &table{shapes: map[protoreflect.FullName]*shape{}}
		s, err := table.shape(strange(t, c.kind, c.label, c.rules), 1)
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		if unsure := len(table.unsure) > 0; unsure != c.unsure || (s.steps[1].kind == unsureStep) != c.unsure {
			t.Errorf("%s: unsure is %v, step is of kind %d; want unsure %v", c.what, table.unsure, s.steps[1].kind, c.unsure)
		}
	}
}

// TestMatcherAgreesWithRegexp holds the small matcher against package regexp.
func TestMatcherAgreesWithRegexp(t *testing.T) {
	all := []string{`^[a-z]+$`, `^a?$`, `^ab{2,3}$`, `^x[0-9]*$`, `[a-z]`, `^(a|b)c$`, `^(?i)ab$`, `^[^a]$`, `^a*b$`, `^é$`, `^$`}
	for pattern := range patterns {
		all = append(all, pattern)
	}
	slices.Sort(all)
	for _, pattern := range all {
		matches, err := matcher(pattern)
		if err != nil {
			t.Fatalf("%s: %v", pattern, err)
		}
		want := regexp.MustCompile(pattern)
		rapid.Check(t, func(t *rapid.T) {
			text := rapid.OneOf(rapid.StringOfN(rapid.RuneFrom([]rune("ab-0129zAEURé\n")), 0, 12, -1), rapid.StringMatching(pattern)).Draw(t, "text")
			if got := matches([]byte(text)); got != want.MatchString(text) {
				t.Fatalf("%s on %q: %v, package regexp says %v", pattern, text, got, !got)
			}
		})
	}
	if _, err := matcher("("); err == nil {
		t.Error("a pattern that is none is taken")
	}
}

// TestCalendarDayAgreesWithPackageTime goes through all days of two centuries and
// through months and days that are none.
func TestCalendarDayAgreesWithPackageTime(t *testing.T) {
	digits := func(n, width int) string {
		s := ""
		for range width {
			s, n = string(rune('0'+n%10))+s, n/10
		}
		return s
	}
	for year := 1899; year <= 2101; year++ {
		for month := 0; month <= 13; month++ {
			for day := 0; day <= 32; day++ {
				s := digits(year, 4) + "-" + digits(month, 2) + "-" + digits(day, 2)
				_, err := time.Parse(time.DateOnly, s)
				if calendarDay([]byte(s)) != (err == nil) {
					t.Fatalf("calendarDay(%s) is %v, package time says %v", s, err != nil, err)
				}
			}
		}
	}
	for _, s := range []string{"", "2026-3-01", "2026-03-01 ", "2026/03/01", "+026-03-01"} {
		if calendarDay([]byte(s)) {
			t.Errorf("calendarDay takes %q", s)
		}
	}
}

func TestDoublesAtTheEdge(t *testing.T) {
	r := &validate.DoubleRules{GreaterThan: &validate.DoubleRules_Gt{Gt: 0}, LessThan: &validate.DoubleRules_Lt{Lt: 1}}
	var s step
	if !s.takeDouble(r) {
		t.Fatal("a plain range is unsure")
	}
	w, f := &walker{}, &frame{}
	for _, c := range []struct {
		v    float64
		good bool
	}{
		{0, false}, {math.Copysign(0, -1), false}, {math.SmallestNonzeroFloat64, true}, {0.5, true},
		{math.Nextafter(1, 0), true}, {1, false}, {math.NaN(), false}, {math.Inf(1), false}, {math.Inf(-1), false},
	} {
		if got := w.double(f, &s, math.Float64bits(c.v)); got != c.good {
			t.Errorf("%v: %v, want %v", c.v, got, c.good)
		}
	}
}
