package document

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
)

// parseYAML reads one YAML document that is known to be UTF-8. Plain scalars
// are understood by the core schema of YAML 1.2: "yes" and dates are text.
func parseYAML(data []byte) (*node, error) {
	decoder := yaml.NewDecoder(bytes.NewReader(directiveAsComment(data)))
	var doc yaml.Node
	if err := decoder.Decode(&doc); err != nil {
		if errors.Is(err, io.EOF) {
			return nil, faultf(1, 1, "", "the document is empty")
		}
		return nil, yamlFault(data, err)
	}
	var more yaml.Node
	if err := decoder.Decode(&more); err == nil {
		return nil, faultf(more.Line, 1, "", "a second document starts here; this place takes one")
	} else if !errors.Is(err, io.EOF) {
		return nil, yamlFault(data, err)
	}
	c := yamlConverter{known: map[*yaml.Node]*node{}}
	return c.convert(doc.Content[0], 1)
}

// directiveAsComment makes a comment of a directive "%YAML 1.2" before the
// document: the parser knows 1.1 only and would refuse it.
func directiveAsComment(data []byte) []byte {
	start := 0
	for line := range bytes.Lines(data) {
		text := bytes.TrimSpace(line)
		if bytes.HasPrefix(line, []byte("%YAML 1.2")) {
			data = bytes.Clone(data)
			data[start] = '#'
			return data
		}
		if len(text) > 0 && text[0] != '#' {
			return data
		}
		start += len(line)
	}
	return data
}

// yamlLine finds the line in a message of the YAML parser. Where the message has
// no line, the fault stays without.
var yamlLine = regexp.MustCompile(`(?s)^(?:yaml: )?(?:line (\d+): )?(.*)$`)

func yamlFault(data []byte, err error) error {
	found := yamlLine.FindStringSubmatch(err.Error())
	line, _ := strconv.Atoi(found[1])
	if tabbed := tabIndent(data, line); tabbed > 0 {
		return faultf(tabbed, 1, "", "the line is indented with a tab; YAML takes spaces only")
	}
	if line > 0 {
		return faultf(line, 0, "", "this is not YAML, here or in the next line: %s", found[2])
	}
	return faultf(0, 0, "", "this is not YAML: %s", found[2])
}

// tabIndent finds a line, at or next to the given one, that a tab indents.
func tabIndent(data []byte, line int) int {
	lines := bytes.Split(data, []byte("\n"))
	for at := max(1, line-1); at <= min(len(lines), line+1); at++ {
		text := lines[at-1]
		indent := text[:len(text)-len(bytes.TrimLeft(text, " \t"))]
		if bytes.IndexByte(indent, '\t') >= 0 {
			return at
		}
	}
	return 0
}

// yamlConverter turns the parser's tree into nodes. Aliases share their node, so
// that the tree stays as small as the text; [filler] bounds the way through it.
type yamlConverter struct {
	known map[*yaml.Node]*node
}

func (c *yamlConverter) convert(y *yaml.Node, depth int) (*node, error) {
	if y.Kind == yaml.AliasNode {
		n, ok := c.known[y.Alias]
		if !ok {
			return nil, faultf(y.Line, y.Column, "", "the alias *%s lies within what it stands for; write the value out", y.Value)
		}
		return n, nil
	}
	if depth > MaxNesting {
		return nil, faultf(y.Line, y.Column, "", "values lie deeper than %d in each other", MaxNesting)
	}
	n := &node{line: y.Line, column: y.Column}
	var err error
	switch y.Kind {
	case yaml.ScalarNode:
		err = scalar(y, n)
	case yaml.SequenceNode:
		err = c.list(y, n, depth)
	case yaml.MappingNode:
		err = c.record(y, n, depth)
	default:
		err = faultf(y.Line, y.Column, "", "this is not YAML: an empty node")
	}
	if err != nil {
		return nil, err
	}
	if y.Anchor != "" {
		c.known[y] = n
	}
	return n, nil
}

func (c *yamlConverter) list(y *yaml.Node, n *node, depth int) error {
	if err := takeTag(y, "!!seq"); err != nil {
		return err
	}
	n.kind = listNode
	n.items = make([]*node, 0, len(y.Content))
	for _, item := range y.Content {
		converted, err := c.convert(item, depth+1)
		if err != nil {
			return err
		}
		n.items = append(n.items, converted)
	}
	return nil
}

func (c *yamlConverter) record(y *yaml.Node, n *node, depth int) error {
	if err := takeTag(y, "!!map"); err != nil {
		return err
	}
	n.kind = recordNode
	n.entries = make([]entry, 0, len(y.Content)/2)
	var keys keySet
	for i := 0; i+1 < len(y.Content); i += 2 {
		key := y.Content[i]
		e := entry{line: key.Line, column: key.Column}
		if key.Kind == yaml.AliasNode {
			key = key.Alias
		}
		if key.Kind != yaml.ScalarNode {
			return faultf(e.line, e.column, "", "a list or a mapping stands where a field's name has to stand")
		}
		e.key = key.Value
		if key.Value == "<<" && key.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) == 0 {
			return faultf(e.line, e.column, "", "merge keys (<<) are not taken; write the fields out, or share a whole value by an alias")
		}
		if first := keys.duplicate(n.entries, e.key); first != nil {
			return faultf(e.line, e.column, "", "the field %q stands twice; it came first in line %d", e.key, first.line)
		}
		var err error
		if e.value, err = c.convert(y.Content[i+1], depth+1); err != nil {
			return err
		}
		n.entries = append(n.entries, e)
	}
	return nil
}

// takeTag refuses explicit tags other than the one that the node has anyway.
func takeTag(y *yaml.Node, allowed ...string) error {
	if y.Style&yaml.TaggedStyle == 0 {
		return nil
	}
	tag := y.ShortTag()
	for _, t := range allowed {
		if tag == t {
			return nil
		}
	}
	return faultf(y.Line, y.Column, "", "the tag %s does not go with this value; leave it out", tag)
}

// scalar understands one scalar.
func scalar(y *yaml.Node, n *node) error {
	if err := takeTag(y, "!!str", "!!int", "!!float", "!!bool", "!!null"); err != nil {
		return err
	}
	if !utf8.ValidString(y.Value) {
		return faultf(y.Line, y.Column, "", "an escape in this text gives bytes that are no UTF-8")
	}
	n.text = y.Value
	n.kind = textNode
	tagged := y.Style&yaml.TaggedStyle != 0
	quoted := y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) != 0
	switch {
	case tagged && y.ShortTag() == "!!str", quoted && !tagged:
		return nil
	}
	n.kind, n.text = coreSchema(y.Value)
	if want := map[string]nodeKind{"!!int": numberNode, "!!float": numberNode, "!!bool": boolNode, "!!null": nullNode}; tagged && n.kind != want[y.ShortTag()] {
		return faultf(y.Line, y.Column, "", "the tag %s does not go with this value; leave it out", y.ShortTag())
	}
	return nil
}

// The core schema of YAML 1.2.2, section 10.3.2.
var (
	coreDecimal = regexp.MustCompile(`^[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?$`)
	coreOther   = regexp.MustCompile(`^(0o[0-7]+|0x[0-9a-fA-F]+|[-+]?(\.inf|\.Inf|\.INF)|\.nan|\.NaN|\.NAN)$`)
)

// coreSchema tells what a plain scalar is. A decimal number comes back as JSON
// would write it.
func coreSchema(s string) (nodeKind, string) {
	switch s {
	case "", "~", "null", "Null", "NULL":
		return nullNode, s
	case "true", "True", "TRUE":
		return boolNode, "true"
	case "false", "False", "FALSE":
		return boolNode, "false"
	}
	if c := s[0]; c != '+' && c != '-' && c != '.' && (c < '0' || c > '9') {
		return textNode, s
	}
	switch {
	case numberLength(s) == len(s):
		return numberNode, s
	case coreDecimal.MatchString(s):
		return numberNode, likeJSON(s)
	case coreOther.MatchString(s):
		return numberNode, s
	default:
		return textNode, s
	}
}

// likeJSON brings a decimal of the core schema into JSON's form: no plus sign,
// a digit on both sides of the point. Leading zeros stay: [filler] refuses them,
// since YAML 1.1 reads them as octal.
func likeJSON(s string) string {
	sign := ""
	switch s[0] {
	case '+':
		s = s[1:]
	case '-':
		sign, s = "-", s[1:]
	}
	if strings.HasPrefix(s, ".") {
		s = "0" + s
	}
	if i := strings.IndexByte(s, '.'); i >= 0 && (i+1 == len(s) || s[i+1] == 'e' || s[i+1] == 'E') {
		s = fmt.Sprintf("%s.0%s", s[:i], s[i+1:])
	}
	return sign + s
}
