package document

import (
	"fmt"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

var partDescriptor = (&slipfitv1.Part{}).ProtoReflect().Descriptor()

// figureField says what is wrong with a path from a part to one of its fields,
// such as "supply.rails[0].current_a"; "" where it leads somewhere. A list's name
// without a place means all of its elements. The path has to go through what the
// part is: "fan.size_mm" is refused in a supply.
func figureField(part *slipfitv1.Part, path string) string {
	descriptor := partDescriptor
	for step := range strings.SplitSeq(path, ".") {
		name, index, indexed := strings.Cut(step, "[")
		if descriptor == nil {
			return fmt.Sprintf("%s leads on behind a field that has no fields of its own; name the field itself", quoteShort(path))
		}
		field := descriptor.Fields().ByName(protoreflect.Name(name))
		if field == nil {
			return fmt.Sprintf("%s leads to no field: %s has no field %s%s", quoteShort(path), descriptor.Name(),
				quoteShort(name), didYouMean(name, fieldNames(descriptor)))
		}
		if indexed && (!field.IsList() || !isIndex(index)) {
			return fmt.Sprintf("%s has a place in brackets where none goes; write the place of an element of a list, as in supply.rails[0]", quoteShort(path))
		}
		if oneof := field.ContainingOneof(); descriptor == partDescriptor && oneof != nil && !oneof.IsSynthetic() {
			is := part.ProtoReflect().WhichOneof(oneof)
			if is != nil && is != field {
				return fmt.Sprintf("%s speaks of a field of %s, but the part is %s; name its own fields", quoteShort(path), name, is.Name())
			}
		}
		descriptor = field.Message()
	}
	return ""
}

// isIndex reports whether s is the place of an element and its closing bracket:
// one to four digits and "]".
func isIndex(s string) bool {
	const most = 4
	digits, ok := strings.CutSuffix(s, "]")
	if !ok || digits == "" || len(digits) > most {
		return false
	}
	for _, c := range []byte(digits) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return true
}
