package audit

import (
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Columns says which column of a shop's table is which field of a part, and in
// which unit.
type Columns struct {
	// Encoding is utf-8, utf-16le, utf-16be, latin-1 or auto.
	Encoding string `yaml:"encoding"`
	// Delimiter stands between cells; empty: told by the header.
	Delimiter string `yaml:"delimiter"`
	// Decimal is the decimal mark, "." or ","; empty: each number must tell by itself.
	Decimal string `yaml:"decimal"`
	// Kind is what every row is, as the contract's word such as "fan"; empty: the
	// fields' first word says it, row by row, by which columns are filled.
	Kind string `yaml:"kind"`
	// KindColumn names the column that says what a row is, and Kinds its words.
	KindColumn string            `yaml:"kind_column"`
	Kinds      map[string]string `yaml:"kinds"`
	// Columns are the columns that are taken.
	Columns []Column `yaml:"columns"`
	// Ignore are columns that are left out on purpose.
	Ignore []string `yaml:"ignore"`
}

// Column is one column of a table.
type Column struct {
	// Column is its heading.
	Column string `yaml:"column"`
	// Field is the path from the part, such as "fan.max_flow_m3h" or
	// "card.power_sockets[0].connector".
	Field string `yaml:"field"`
	// Unit is the unit of its numbers where the cells do not say it; empty: the
	// field's own.
	Unit string `yaml:"unit"`
	// Words turns the shop's words into the contract's.
	Words map[string]string `yaml:"words"`
	// Optional tells that a table may lack the column.
	Optional bool `yaml:"optional"`
}

// ReadColumns reads a map of columns and refuses one that cannot be followed.
func ReadColumns(name string, from io.Reader) (*Columns, error) {
	decoder := yaml.NewDecoder(from)
	decoder.KnownFields(true)
	c := new(Columns)
	if err := decoder.Decode(c); err != nil {
		return nil, fmt.Errorf("%s is no map of columns: %w", name, err)
	}
	if err := c.check(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return c, nil
}

func (c *Columns) check() error {
	var errs []error
	if len([]rune(c.Delimiter)) > 1 {
		errs = append(errs, fmt.Errorf("delimiter is one character, not %q", c.Delimiter))
	}
	if c.Decimal != "" && c.Decimal != "." && c.Decimal != "," {
		errs = append(errs, fmt.Errorf("decimal is \".\" or \",\", not %q", c.Decimal))
	}
	if len(c.Columns) == 0 {
		errs = append(errs, errors.New("columns names no column"))
	}
	for _, kind := range append([]string{c.Kind}, mapValues(c.Kinds)...) {
		if kind != "" && kindOneof.Fields().ByName(protoreflect.Name(kind)) == nil {
			errs = append(errs, fmt.Errorf("%q is no kind of part", kind))
		}
	}
	for i, column := range c.Columns {
		if column.Column == "" || column.Field == "" {
			errs = append(errs, fmt.Errorf("columns[%d] wants both column and field", i))
			continue
		}
		if _, err := newTarget(column.Field); err != nil {
			errs = append(errs, fmt.Errorf("column %q: %w", column.Column, err))
		}
		if column.Unit != "" {
			if _, err := unitFor(column.Field, column.Unit); err != nil {
				errs = append(errs, fmt.Errorf("column %q: %w", column.Column, err))
			}
		}
	}
	return errors.Join(errs...)
}

func mapValues(m map[string]string) (out []string) {
	for _, v := range m {
		out = append(out, v)
	}
	slices.Sort(out)
	return out
}

// target is a field of a part that a cell is written to.
type target struct {
	path  string
	steps []step
	leaf  protoreflect.FieldDescriptor
}

// step is one field on the way, and the place in its list.
type step struct {
	field protoreflect.FieldDescriptor
	index int
}

var pathStep = regexp.MustCompile(`^([a-z0-9_]+)(?:\[(\d{1,2})\])?$`)

func newTarget(path string) (*target, error) {
	t := &target{path: path}
	m := (&v1.Part{}).ProtoReflect().Descriptor()
	for name := range strings.SplitSeq(path, ".") {
		match := pathStep.FindStringSubmatch(name)
		if match == nil || m == nil {
			return nil, fmt.Errorf("%q is no path of a part", path)
		}
		field := m.Fields().ByName(protoreflect.Name(match[1]))
		if field == nil {
			return nil, fmt.Errorf("a part has no field %q: %s has no %q", path, m.Name(), match[1])
		}
		index, _ := strconv.Atoi(match[2])
		t.steps, t.leaf, m = append(t.steps, step{field, index}), field, field.Message()
	}
	if t.leaf.Message() != nil {
		return nil, fmt.Errorf("%q is no single value; name a field within it", path)
	}
	return t, nil
}

// kind is the kind of part that the field belongs to, empty for one that all have.
func (t *target) kind() string {
	if first := t.steps[0].field; first.ContainingOneof() == kindOneof {
		return string(first.Name())
	}
	return ""
}

// set writes a value into a part.
func (t *target) set(part *v1.Part, value protoreflect.Value) error {
	m := part.ProtoReflect()
	for i, s := range t.steps {
		last := i == len(t.steps)-1
		switch {
		case !s.field.IsList() && last:
			m.Set(s.field, value)
		case !s.field.IsList():
			m = m.Mutable(s.field).Message()
		case last:
			m.Mutable(s.field).List().Append(value)
		default:
			list := m.Mutable(s.field).List()
			if s.index > list.Len() {
				return fmt.Errorf("%s leaves places of the list before it empty", t.path)
			}
			if s.index == list.Len() {
				list.AppendMutable()
			}
			m = list.Get(s.index).Message()
		}
	}
	return nil
}

// value reads a cell for the field.
func (t *target) value(cell string, column *Column, c convention) (protoreflect.Value, error) {
	if word, ok := column.Words[cell]; ok {
		cell = word
	}
	var none protoreflect.Value
	switch t.leaf.Kind() {
	case protoreflect.StringKind:
		return protoreflect.ValueOfString(cell), nil
	case protoreflect.BoolKind:
		switch strings.ToLower(cell) {
		case "true", "yes", "y", "1", "x":
			return protoreflect.ValueOfBool(true), nil
		case "false", "no", "n", "0":
			return protoreflect.ValueOfBool(false), nil
		}
		return none, fmt.Errorf("%q is neither yes nor no", cell)
	case protoreflect.EnumKind:
		for i := range t.leaf.Enum().Values().Len() {
			v := t.leaf.Enum().Values().Get(i)
			if string(v.Name()) == cell || strings.HasSuffix(string(v.Name()), "_"+strings.ToUpper(cell)) {
				return protoreflect.ValueOfEnum(v.Number()), nil
			}
		}
		return none, fmt.Errorf("%q is no value of %s", cell, t.path)
	}
	v, word, err := c.number(cell)
	if err != nil {
		return none, err
	}
	if word == "" {
		word = column.Unit
	}
	if word != "" {
		u, err := unitFor(t.path, word)
		if err != nil {
			return none, err
		}
		v = v*u.factor + u.offset
	}
	if t.leaf.Kind() == protoreflect.DoubleKind {
		return protoreflect.ValueOfFloat64(tidy(v)), nil
	}
	if v != float64(uint32(v)) {
		return none, fmt.Errorf("%s is a whole number, and %q makes %g", t.path, cell, v)
	}
	return protoreflect.ValueOfUint32(uint32(v)), nil
}

// tidy takes off the last binary digits, which a conversion leaves behind.
func tidy(v float64) float64 {
	t, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	if err != nil {
		return v
	}
	return t
}
