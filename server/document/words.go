package document

import (
	"fmt"
	"strconv"
	"strings"

	"buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go/buf/validate"
	"buf.build/go/protovalidate"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// violationOf puts what protovalidate found in a message into a sentence that
// names the field and the next step.
func violationOf(root protoreflect.MessageDescriptor, found *protovalidate.Violation) Violation {
	path := protovalidate.FieldPathString(found.Proto.GetField())
	field := fieldAt(root, found.Proto.GetField())
	if field == nil && found.Proto.GetRuleId() == "required" {
		// A oneof has no place of its own in a document.
		path = strings.TrimSuffix(strings.TrimSuffix(path, lastName(path)), ".")
		return Violation{Path: path, Reason: "nothing says what it is; give one of " + strings.Join(kindNames(), ", ")}
	}
	reason := ""
	if field != nil {
		reason = sentence(field, lastName(path), found)
	}
	if reason == "" {
		reason = lastName(path) + ": " + found.Proto.GetMessage()
	}
	return Violation{Path: path, Reason: reason}
}

// fieldAt gives the field at the end of a path, nil where that is a oneof. It is
// found by its name, since protovalidate names no field for elements of a list.
func fieldAt(descriptor protoreflect.MessageDescriptor, path *validate.FieldPath) protoreflect.FieldDescriptor {
	var field protoreflect.FieldDescriptor
	for _, element := range path.GetElements() {
		if descriptor == nil {
			return nil
		}
		field = descriptor.Fields().ByName(protoreflect.Name(element.GetFieldName()))
		if field == nil {
			return nil
		}
		descriptor = field.Message()
	}
	return field
}

// lastName gives the field's name at the end of a path.
func lastName(path string) string {
	name := path[strings.LastIndexByte(path, '.')+1:]
	name, _, _ = strings.Cut(name, "[")
	return name
}

// The rule of the contract over all items of a build, and its words.
const (
	uniqueItemsRule  = "build.items.unique"
	uniqueItemsWords = "two items bear the same id; give each item its own"
)

// sentence gives "" for a rule that it has no words for.
func sentence(field protoreflect.FieldDescriptor, name string, found *protovalidate.Violation) string {
	rule := found.Proto.GetRuleId()
	rules, err := protovalidate.ResolveFieldRules(field)
	if err != nil || rules == nil {
		return ""
	}
	if field.IsList() && found.FieldValue.IsValid() && !isList(found.FieldValue) {
		rules = rules.GetRepeated().GetItems()
	}
	switch {
	case rule == "required":
		return name + " is missing; it is required here"
	case rule == uniqueItemsRule:
		return uniqueItemsWords
	case strings.HasPrefix(rule, "repeated."):
		return listWords(name, rules.GetRepeated(), found.FieldValue)
	case strings.HasPrefix(rule, "string."):
		return textWords(name, rule, rules.GetString(), found.FieldValue.String())
	case strings.HasPrefix(rule, "double."):
		return name + " is " + strconv.FormatFloat(found.FieldValue.Float(), 'g', -1, 64) + "; it has to be " + doubleBounds(rules.GetDouble())
	case strings.HasPrefix(rule, "uint32."):
		return name + " is " + strconv.FormatUint(found.FieldValue.Uint(), 10) + "; it has to be " + wholeBounds(rules.GetUint32())
	case strings.HasPrefix(rule, "enum."):
		return fmt.Sprintf("%s is %d, which is no value of %s; it is one of %s", name, found.FieldValue.Enum(), field.Enum().Name(), enumWords(field.Enum()))
	}
	return ""
}

func isList(v protoreflect.Value) bool {
	_, ok := v.Interface().(protoreflect.List)
	return ok
}

func listWords(name string, rules *validate.RepeatedRules, value protoreflect.Value) string {
	count := value.List().Len()
	if rules.HasMinItems() && uint64(count) < rules.GetMinItems() {
		return fmt.Sprintf("%s is empty; give at least %d", name, rules.GetMinItems())
	}
	return fmt.Sprintf("%s has %d elements; it may have %d", name, count, rules.GetMaxItems())
}

func textWords(name, rule string, rules *validate.StringRules, value string) string {
	switch rule {
	case "string.min_len":
		return name + " is empty; fill it in or leave it out"
	case "string.max_len":
		return fmt.Sprintf("%s is %d characters long; it may have %d", name, len([]rune(value)), rules.GetMaxLen())
	case "string.in":
		return fmt.Sprintf("%s is %s; it has to be one of %s", name, quoteShort(value), strings.Join(rules.GetIn(), ", "))
	case "string.pattern":
		return fmt.Sprintf("%s is %s; %s", name, quoteShort(value), patternWords(rules.GetPattern()))
	}
	return ""
}

// quoteShort quotes a text of the document and cuts what is long.
func quoteShort(s string) string {
	const longest = 48
	r := []rune(s)
	if len(r) > longest {
		return strconv.Quote(string(r[:longest])) + "..."
	}
	return strconv.Quote(s)
}

// patterns says in words what the patterns of the contract ask for.
var patterns = map[string]string{
	`^[a-z0-9][a-z0-9-]*$`:         "use lower-case letters, digits and hyphens, a letter or digit first",
	`^[a-z][a-z0-9-]*$`:            "use lower-case letters, digits and hyphens, a letter first",
	`^[0-9]{4,5}$`:                 `give the size code of four or five digits, such as "2280"`,
	`^[0-9]{4}-[0-9]{2}-[0-9]{2}$`: `give a day of the calendar, such as "2026-03-01" (ISO 8601)`,
	`^[A-Z]{3}$`:                   `give the currency's code of three letters, such as "EUR" (ISO 4217)`,
}

func patternWords(pattern string) string {
	if words, ok := patterns[pattern]; ok {
		return words
	}
	return "it has to match " + pattern
}

func doubleBounds(r *validate.DoubleRules) string {
	number := func(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }
	var low, high string
	switch {
	case r.HasGt():
		low = "above " + number(r.GetGt())
	case r.HasGte():
		low = "at least " + number(r.GetGte())
	}
	switch {
	case r.HasLt():
		high = "below " + number(r.GetLt())
	case r.HasLte():
		high = "at most " + number(r.GetLte())
	}
	return and(low, high)
}

func wholeBounds(r *validate.UInt32Rules) string {
	var low, high string
	if r.HasGte() {
		low = fmt.Sprintf("at least %d", r.GetGte())
	}
	if r.HasLte() {
		high = fmt.Sprintf("at most %d", r.GetLte())
	}
	return and(low, high)
}

func and(low, high string) string {
	if low != "" && high != "" {
		return low + " and " + high
	}
	return low + high
}

// kindNames gives the fields that say what a part is.
func kindNames() []string {
	fields := partDescriptor.Oneofs().ByName("kind").Fields()
	names := make([]string, fields.Len())
	for i := range names {
		names[i] = string(fields.Get(i).Name())
	}
	return names
}
