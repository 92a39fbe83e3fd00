package document

import (
	"encoding/base64"
	"math"
	"regexp"
	"strconv"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"
)

// scalarValue turns a node into a value of a field that is neither a message nor
// a list. The reason is empty where it can.
func scalarValue(field protoreflect.FieldDescriptor, n *node) (v protoreflect.Value, reason string) {
	switch field.Kind() {
	case protoreflect.StringKind:
		return textValue(field, n)
	case protoreflect.BoolKind:
		return truthValue(field, n)
	case protoreflect.EnumKind:
		return enumValue(field, n)
	case protoreflect.BytesKind:
		return bytesValue(field, n)
	case protoreflect.DoubleKind, protoreflect.FloatKind:
		return realValue(field, n)
	default:
		return wholeValue(field, n)
	}
}

func textValue(field protoreflect.FieldDescriptor, n *node) (v protoreflect.Value, reason string) {
	switch n.kind {
	case textNode:
		return protoreflect.ValueOfString(n.text), ""
	case numberNode, boolNode:
		return v, string(field.Name()) + " is text; write it in quotes: " + strconv.Quote(n.text)
	default:
		return v, string(field.Name()) + " is text; found " + n.kind.String()
	}
}

func truthValue(field protoreflect.FieldDescriptor, n *node) (v protoreflect.Value, reason string) {
	if n.kind != boolNode {
		return v, string(field.Name()) + " is true or false; found " + told(n)
	}
	return protoreflect.ValueOfBool(n.text == "true"), ""
}

// told says what a node is, with its text where that is short.
func told(n *node) string {
	const short = 40
	switch n.kind {
	case textNode:
		if len(n.text) <= short {
			return "the text " + strconv.Quote(n.text)
		}
	case numberNode:
		if len(n.text) <= short {
			return "the number " + n.text
		}
	case boolNode:
		return n.text
	}
	return n.kind.String()
}

func bytesValue(field protoreflect.FieldDescriptor, n *node) (v protoreflect.Value, reason string) {
	if n.kind != textNode {
		return v, string(field.Name()) + " is bytes in base64; found " + told(n)
	}
	text := strings.TrimRight(strings.NewReplacer("-", "+", "_", "/").Replace(n.text), "=")
	b, err := base64.RawStdEncoding.DecodeString(text)
	if err != nil {
		return v, string(field.Name()) + " is bytes in base64; the text is not"
	}
	return protoreflect.ValueOfBytes(b), ""
}

// enumValue takes the name of a value in full or without the enum's prefix, in
// either case, or its number.
func enumValue(field protoreflect.FieldDescriptor, n *node) (v protoreflect.Value, reason string) {
	enum := field.Enum()
	values := enum.Values()
	if n.kind == numberNode {
		number, reason := wholeNumber(string(field.Name()), n.text, math.MinInt32, math.MaxInt32)
		return protoreflect.ValueOfEnum(protoreflect.EnumNumber(number)), reason
	}
	if n.kind != textNode {
		return v, string(field.Name()) + " is one of " + enumWords(enum) + "; found " + told(n)
	}
	if value := values.ByName(protoreflect.Name(n.text)); value != nil {
		return protoreflect.ValueOfEnum(value.Number()), ""
	}
	prefix := enumPrefix(enum)
	for i := range values.Len() {
		name := string(values.Get(i).Name())
		if strings.EqualFold(n.text, name) || strings.EqualFold(n.text, strings.TrimPrefix(name, prefix)) {
			return protoreflect.ValueOfEnum(values.Get(i).Number()), ""
		}
	}
	return v, string(field.Name()) + " knows no " + strings.TrimPrefix(told(n), "the text ") + "; it is one of " +
		enumWords(enum) + didYouMean(n.text, shortNames(enum))
}

// enumPrefix gives the prefix that the names of an enum's values share: FLOW_
// for Flow, MOUNT_KIND_ for MountKind.
func enumPrefix(enum protoreflect.EnumDescriptor) string {
	var b strings.Builder
	for i, r := range string(enum.Name()) {
		if i > 0 && r >= 'A' && r <= 'Z' {
			b.WriteByte('_')
		}
		b.WriteRune(r)
	}
	return strings.ToUpper(b.String()) + "_"
}

// shortNames gives the names that an enum's field takes, without the one that
// says nothing.
func shortNames(enum protoreflect.EnumDescriptor) []string {
	prefix := enumPrefix(enum)
	var names []string
	for i := range enum.Values().Len() {
		value := enum.Values().Get(i)
		if value.Number() != 0 {
			names = append(names, strings.ToLower(strings.TrimPrefix(string(value.Name()), prefix)))
		}
	}
	return names
}

func enumWords(enum protoreflect.EnumDescriptor) string {
	return strings.Join(shortNames(enum), ", ")
}

var leadingZero = regexp.MustCompile(`^-?0[0-9]`)

// digits gives the decimal number that a node holds, in JSON's form. Protobuf's
// JSON mapping also takes numbers in quotes.
func digits(name string, n *node) (text, reason string) {
	text = n.text
	switch {
	case n.kind == textNode && numberLength(text) == len(text) && text != "":
		return text, ""
	case n.kind == textNode && (text == "NaN" || text == "Infinity" || text == "-Infinity"):
		return "", name + " has to be finite; found " + text
	case n.kind != numberNode:
		return "", name + " is a number; found " + told(n)
	case numberLength(text) == len(text):
		return text, ""
	case leadingZero.MatchString(text):
		return "", name + " is written with a leading zero, which some programs read as octal; leave it out"
	case strings.HasPrefix(text, "0x") || strings.HasPrefix(text, "0o"):
		return "", name + " is written as " + text + "; write it as a decimal number"
	default:
		return "", name + " has to be finite; found " + text
	}
}

func realValue(field protoreflect.FieldDescriptor, n *node) (v protoreflect.Value, reason string) {
	name := string(field.Name())
	text, reason := digits(name, n)
	if reason != "" {
		return v, reason
	}
	size := 64
	if field.Kind() == protoreflect.FloatKind {
		size = 32
	}
	f, err := strconv.ParseFloat(text, size)
	if err != nil || math.IsInf(f, 0) || math.IsNaN(f) {
		return v, name + " is too large for a number of double precision"
	}
	if size == 32 {
		return protoreflect.ValueOfFloat32(float32(f)), ""
	}
	return protoreflect.ValueOfFloat64(f), ""
}

// wholeValue reads the fields of whole numbers.
func wholeValue(field protoreflect.FieldDescriptor, n *node) (v protoreflect.Value, reason string) {
	name := string(field.Name())
	text, reason := digits(name, n)
	if reason != "" {
		return v, reason
	}
	switch field.Kind() {
	case protoreflect.Uint32Kind, protoreflect.Fixed32Kind:
		number, reason := wholeNumber(name, text, 0, math.MaxUint32)
		return protoreflect.ValueOfUint32(uint32(number)), reason
	case protoreflect.Int32Kind, protoreflect.Sint32Kind, protoreflect.Sfixed32Kind:
		number, reason := wholeNumber(name, text, math.MinInt32, math.MaxInt32)
		return protoreflect.ValueOfInt32(int32(number)), reason
	case protoreflect.Int64Kind, protoreflect.Sint64Kind, protoreflect.Sfixed64Kind:
		number, reason := wholeNumber(name, text, math.MinInt64, math.MaxInt64)
		return protoreflect.ValueOfInt64(number), reason
	case protoreflect.Uint64Kind, protoreflect.Fixed64Kind:
		plain, ok := plainDigits(text)
		number, err := strconv.ParseUint(plain, 10, 64)
		if !ok || err != nil {
			return v, name + " is a whole number from 0; found " + text
		}
		return protoreflect.ValueOfUint64(number), ""
	default:
		return v, name + " cannot be written in a text document"
	}
}

// wholeNumber reads a whole number within bounds, also when it is written with
// an exponent or with zeros behind the point, as protobuf's JSON mapping allows.
func wholeNumber(name, text string, least, greatest int64) (int64, string) {
	plain, ok := plainDigits(text)
	if !ok {
		return 0, name + " is a whole number; found " + text
	}
	number, err := strconv.ParseInt(plain, 10, 64)
	if err != nil || number < least || number > greatest {
		return 0, name + " is a whole number from " + strconv.FormatInt(least, 10) + " to " +
			strconv.FormatInt(greatest, 10) + "; found " + text
	}
	return number, ""
}

// plainDigits writes a JSON number without point and exponent. It reports false
// where the number is not whole or has more than 20 digits.
func plainDigits(text string) (string, bool) {
	const most = 20
	mantissa, exponent := text, 0
	if i := strings.IndexAny(text, "eE"); i >= 0 {
		mantissa = text[:i]
		var err error
		if exponent, err = strconv.Atoi(text[i+1:]); err != nil {
			return "", false
		}
	}
	sign := ""
	if strings.HasPrefix(mantissa, "-") {
		sign, mantissa = "-", mantissa[1:]
	}
	whole, fraction, _ := strings.Cut(mantissa, ".")
	fraction = strings.TrimRight(fraction, "0")
	significant := strings.TrimLeft(whole+fraction, "0")
	if significant == "" {
		return "0", true
	}
	zeros := exponent - len(fraction)
	if zeros < 0 {
		kept := strings.TrimRight(significant, "0")
		if len(significant)-len(kept) < -zeros {
			return "", false
		}
		significant, zeros = significant[:len(significant)+zeros], 0
	}
	if len(significant)+zeros > most {
		return "", false
	}
	return sign + significant + strings.Repeat("0", zeros), true
}
