package document

import (
	"strconv"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"
)

// Places tells where the values of a document stand in its text. It is nil for a
// document that is no text.
type Places struct {
	root       *node
	descriptor protoreflect.MessageDescriptor
}

// Find gives line and column of the value that a path by proto field names leads
// to, such as "items[2].part.fan.size_mm". Where the text does not have it, they
// are those of the nearest value around it; where nothing is known, 0 and 0.
func (p *Places) Find(path string) (line, column int) {
	if p == nil || p.root == nil {
		return 0, 0
	}
	at, descriptor := p.root, p.descriptor
	for step := range strings.SplitSeq(path, ".") {
		name, index, _ := strings.Cut(step, "[")
		if at.kind != recordNode || descriptor == nil {
			break
		}
		field := descriptor.Fields().ByName(protoreflect.Name(name))
		if field == nil {
			break
		}
		e := at.find(string(field.Name()), field.JSONName())
		if e == nil {
			break
		}
		at, descriptor = e.value, field.Message()
		i, err := strconv.Atoi(strings.TrimSuffix(index, "]"))
		if err == nil && at.kind == listNode && i >= 0 && i < len(at.items) {
			at = at.items[i]
		}
	}
	return at.line, at.column
}

// Mark gives each violation that has no place yet the place of its path.
func (p *Places) Mark(violations []Violation) {
	for i := range violations {
		if v := &violations[i]; v.Line == 0 {
			v.Line, v.Column = p.Find(v.Path)
		}
	}
}
