package house

import (
	"errors"
	"fmt"
	"strings"

	"cel.dev/cel-go/cel"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

// desk is what the rules of one case share: its documents as expressions name them.
type desk struct {
	build *v1.Build
	facts map[string]proto.Message // nil: the fact is not there
	kind  string
	item  *v1.Item
	part  *v1.Part
	whole proto.Message // the part's content
	open  func(name string) proto.Message
}

var _ cel.Activation = (*desk)(nil)

// openDesk empties the desk for the next case.
func openDesk(c *kit.Case) {
	d, ok := c.Workspace.(*desk)
	if !ok {
		d = &desk{facts: map[string]proto.Message{}}
		c.Workspace = d
	}
	clear(d.facts)
	d.build = c.Build
	d.kind, d.item, d.part, d.whole = "", nil, nil, nil
	d.open = func(name string) proto.Message {
		fact, there := c.Fact(name)
		if field := factField(name); there && fact.ProtoReflect().Has(field) {
			return fact.ProtoReflect().Get(field).Message().Interface()
		}
		return nil
	}
}

// ResolveName gives what a name of an expression stands for.
func (d *desk) ResolveName(name string) (any, bool) {
	switch name {
	case "build":
		return d.build, true
	case "item":
		return d.item, d.item != nil
	case "part":
		return d.part, d.part != nil
	}
	if fact, ok := strings.CutPrefix(name, factPrefix); ok {
		content := d.fact(fact)
		return content, content != nil
	}
	return d.whole, d.whole != nil && name == d.kind
}

// Parent is nil: there are no names beside these.
func (d *desk) Parent() cel.Activation { return nil }

// fact decodes a fact when it is first named.
func (d *desk) fact(name string) proto.Message {
	content, known := d.facts[name]
	if !known && factContent[name] != "" {
		content = d.open(name)
		d.facts[name] = content
	}
	return content
}

// judge judges one case: once, or once for each item of the rule's kind.
func (r *compiled) judge(c *kit.Case) {
	d := c.Workspace.(*desk)
	if r.subject.value == "" {
		d.kind, d.item, d.part, d.whole = "", nil, nil, nil
		r.judgeOne(c, d, nil)
		return
	}
	field := kindField(r.subject.value)
	for it := range c.AllItems() {
		if part := it.Part.ProtoReflect(); part.Has(field) {
			d.kind, d.part, d.whole = r.subject.value, it.Part, part.Get(field).Message().Interface()
			d.item = itemOf(c.Build, it.ID)
			r.judgeOne(c, d, it)
		}
	}
}

func itemOf(build *v1.Build, id string) *v1.Item {
	for _, item := range build.GetItems() {
		if item.GetId() == id {
			return item
		}
	}
	return nil
}

func (r *compiled) judgeOne(c *kit.Case, d *desk, it *kit.Item) {
	inputs := r.inputs(c, d, it)
	var f *kit.Finding
	if r.condition != nil {
		f = r.judgeCondition(c, d, inputs)
	} else {
		f = r.judgeComparison(c, d, inputs)
	}
	f.About(it)
	if it != nil {
		f.Word("item", it.Name())
	}
	for _, n := range r.with {
		n.fill(f, d)
	}
	if r.remedy.value != "" {
		f.Remedy("do")
	}
	if r.caution.value != "" {
		f.CautionWhen("harm")
	}
}

func (r *compiled) judgeCondition(c *kit.Case, d *desk, inputs []kit.Value) *kit.Finding {
	value, err := r.condition.eval(d)
	if err != nil {
		return c.Judged(kit.Unknown, r.absent(c, d, err)...)
	}
	verdict := r.otherwise
	if value.Value() == true {
		verdict = kit.Pass
	}
	f := c.Judged(verdict)
	return despite(f, inputs)
}

func (r *compiled) judgeComparison(c *kit.Case, d *desk, inputs []kit.Value) *kit.Finding {
	measured, err := r.measure.number(d)
	bound, boundErr := r.bound.number(d)
	if err = errors.Join(err, boundErr); err != nil {
		return c.Judged(kit.Unknown, r.absent(c, d, err)...)
	}
	values := known(inputs)
	has := c.Derived(quantity.Exact(measured), r.unit.value, values...)
	limit := kit.Constant(bound, r.unit.value)
	f := c.AtMost(has, limit)
	if r.relation == kit.AtLeast {
		f = c.AtLeast(has, limit)
	}
	return f.AtWorst(r.otherwise)
}

// despite shows inputs without letting one that the answer did not need turn it.
func despite(f *kit.Finding, inputs []kit.Value) *kit.Finding { return f.Despite(known(inputs)...) }

func known(inputs []kit.Value) (out []kit.Value) {
	for _, v := range inputs {
		if v.Known() {
			out = append(out, v)
		}
	}
	return out
}

// number is the value of an expression that gives one.
func (e *expression) number(d *desk) (float64, error) {
	value, err := e.eval(d)
	if err != nil {
		return 0, err
	}
	return asNumber(value.Value())
}

func asNumber(value any) (float64, error) {
	switch n := value.(type) {
	case float64:
		return n, nil
	case int64:
		return float64(n), nil
	case uint64:
		return float64(n), nil
	}
	return 0, fmt.Errorf("the expression gave a %T and no number", value)
}

// fill puts the value of a named expression into the finding's texts.
func (n namedExpression) fill(f *kit.Finding, d *desk) {
	value, err := n.eval(d)
	if err != nil {
		f.Word(n.name, "unknown")
		return
	}
	if word, ok := value.Value().(string); ok {
		f.Word(n.name, word)
		return
	}
	if number, err := asNumber(value.Value()); err == nil {
		f.Number(n.name, kit.Constant(number, ""))
	}
}

// absent turns an error of an expression into what is missing. What is no want of
// data breaks the rule: the kit tells it as such.
func (r *compiled) absent(c *kit.Case, d *desk, err error) []kit.Value {
	var missing *absentError
	if errors.As(err, &missing) {
		if path := pathTo(d.build.ProtoReflect(), "", missing); path != "" {
			return []kit.Value{c.Absent(pathOf(path), "")}
		}
	}
	var out []kit.Value
	for _, name := range r.facts {
		content := d.fact(name)
		if content == nil || missing != nil && pathTo(content.ProtoReflect(), "", missing) != "" {
			out = append(out, c.AbsentFact(name, ""))
		}
	}
	if len(out) == 0 {
		panic(err.Error())
	}
	return out
}

// pathOf cuts a path where a part begins, so that texts name the field alone.
func pathOf(path string) kit.Path {
	if i := strings.Index(path, ".part."); i > 0 {
		return kit.Path{Base: path[:i+len(".part.")], Field: path[i+len(".part."):]}
	}
	return kit.Path{Field: path}
}

// inputs are the figures of the item's part that the rule reads.
func (r *compiled) inputs(c *kit.Case, d *desk, it *kit.Item) (out []kit.Value) {
	if it == nil {
		return nil
	}
	for _, read := range r.reads {
		field, ok := strings.CutPrefix(read, r.subject.value+".")
		if !ok {
			continue
		}
		if number, word := scalar(d.whole.ProtoReflect(), field); number != nil {
			out = append(out, c.Given(it.At(read), number, unitOf(field)))
		} else if word != "" {
			out = append(out, c.Word(it, read, &word))
		}
	}
	return out
}

// scalar reads a number or a word at a path of fields.
func scalar(m protoreflect.Message, path string) (*float64, string) {
	name, rest, deeper := strings.Cut(path, ".")
	field := m.Descriptor().Fields().ByName(protoreflect.Name(name))
	if field == nil || field.IsList() || field.IsMap() || !m.Has(field) {
		return nil, ""
	}
	if deeper {
		if field.Message() == nil {
			return nil, ""
		}
		return scalar(m.Get(field).Message(), rest)
	}
	switch value := m.Get(field).Interface().(type) {
	case float64:
		return &value, ""
	case uint32:
		return asFloat(value), ""
	case int32:
		return asFloat(value), ""
	case uint64:
		return asFloat(value), ""
	case int64:
		return asFloat(value), ""
	case string:
		return nil, value
	}
	return nil, ""
}

func asFloat[N uint32 | int32 | uint64 | int64](n N) *float64 {
	f := float64(n)
	return &f
}

// units are what the ends of field names stand for.
var units = map[string]string{
	"mm": "mm", "w": "W", "v": "V", "a": "A", "c": "°C", "k": "K", "m3h": "m3/h", "kg": "kg", "g": "g", "rpm": "1/min", "share": "share", "pa": "Pa",
}

func unitOf(field string) string { return units[field[strings.LastIndexByte(field, '_')+1:]] }
