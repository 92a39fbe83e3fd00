package house

import (
	"errors"
	"fmt"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/interpreter"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
)

// desk is what the rules of one case share: its documents as expressions name them.
type desk struct {
	all   *contract
	build *view
	items []ref.Val        // of the build, in its order
	facts map[string]*view // nil: the fact is not there
	kind  string
	item  *view // of a rule about a kind of part, as the next two
	part  *view
	whole *view // the part's content
	open  func(name string) proto.Message
	frame *interpreter.ExecutionFrame
	parts partViews

	inputs []kit.Value // room for those of one finding
}

var _ cel.Activation = (*desk)(nil)

// openDesk empties the desk for the next case.
func openDesk(c *kit.Case, all *contract) *desk {
	d, ok := c.Workspace.(*desk)
	if !ok {
		d = &desk{all: all, facts: map[string]*view{}}
		c.Workspace = d
	}
	d.lay(c.Build)
	d.open = func(name string) proto.Message {
		fact, there := c.Fact(name)
		if field := factField(name); there && fact.ProtoReflect().Has(field) {
			return fact.ProtoReflect().Get(field).Message().Interface()
		}
		return nil
	}
	return d
}

var (
	buildItems = (&v1.Build{}).ProtoReflect().Descriptor().Fields().ByName("items")
	itemPart   = (&v1.Item{}).ProtoReflect().Descriptor().Fields().ByName("part")
)

// lay puts a build on the desk.
func (d *desk) lay(build *v1.Build) {
	clear(d.facts)
	d.build = d.all.view(build.ProtoReflect(), &d.parts)
	d.items = d.items[:0]
	if list, err := d.build.field(buildItems); err == nil {
		d.items = append(d.items, list.Value().([]ref.Val)...)
	}
	d.aboutBuild()
	d.renew()
}

// aboutBuild says that the next rule is about no item.
func (d *desk) aboutBuild() { d.kind, d.item, d.part, d.whole = "", nil, nil, nil }

// renew begins to count steps anew.
func (d *desk) renew() {
	if d.frame != nil {
		d.frame.Close()
	}
	frame, err := interpreter.NewExecutionFrame(d)
	if err == nil {
		err = frame.SetContext(over, maxSteps)
	}
	if err != nil {
		panic(err) // a desk is an activation, and the frame is a new one
	}
	d.frame = frame
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
	case d.kind:
		return d.whole, d.whole != nil
	}
	if fact, ok := strings.CutPrefix(name, factPrefix); ok {
		content := d.fact(fact)
		return content, content != nil
	}
	return nil, false
}

// Parent is nil: there are no names beside these.
func (d *desk) Parent() cel.Activation { return nil }

// fact decodes a fact when it is first named.
func (d *desk) fact(name string) *view {
	content, known := d.facts[name]
	if !known && factContent[name] != "" {
		if message := d.open(name); message != nil {
			content = d.all.view(message.ProtoReflect(), nil)
		}
		d.facts[name] = content
	}
	return content
}

// judge judges one case: once, or once for each item of the rule's kind.
func (r *compiled) judge(c *kit.Case) {
	d := c.Workspace.(*desk)
	if r.kind == nil {
		d.aboutBuild()
		r.judgeOne(c, d, nil)
		return
	}
	place := -1
	for it := range c.AllItems() {
		place++
		item := d.items[place].(*view)
		part, err := item.field(itemPart)
		if err != nil {
			continue
		}
		if whole, err := part.(*view).field(r.kind); err == nil {
			d.kind, d.item, d.part, d.whole = r.subject.value, item, part.(*view), whole.(*view)
			r.judgeOne(c, d, it)
		}
	}
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
	return c.Judged(verdict).Despite(inputs...)
}

func (r *compiled) judgeComparison(c *kit.Case, d *desk, inputs []kit.Value) *kit.Finding {
	measured, err := r.measure.number(d)
	bound, boundErr := r.bound.number(d)
	if err = errors.Join(err, boundErr); err != nil {
		return c.Judged(kit.Unknown, r.absent(c, d, err)...)
	}
	has := c.Derived(quantity.Exact(measured), r.unit.value, inputs...)
	limit := kit.Constant(bound, r.unit.value)
	f := c.AtMost(has, limit)
	if r.relation == kit.AtLeast {
		f = c.AtLeast(has, limit)
	}
	return f.AtWorst(r.otherwise)
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
		if path := pathTo(d.build.message, "", missing); path != "" {
			return []kit.Value{c.Absent(pathOf(path), "")}
		}
	}
	var out []kit.Value
	for _, name := range r.facts {
		content := d.fact(name)
		if content == nil || missing != nil && pathTo(content.message, "", missing) != "" {
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

// figure is a field of the kind of part that a rule reads.
type figure struct {
	path  string                         // from the part, as findings name it
	steps []protoreflect.FieldDescriptor // from the kind's content
	unit  string
}

// figures are the fields with a number or a word that a rule reads of the kind that it
// is about.
func (r *compiled) figures() (out []figure) {
	for _, read := range r.reads {
		field, ok := strings.CutPrefix(read, r.subject.value+".")
		if !ok || r.kind == nil {
			continue
		}
		f := figure{path: read, unit: unitOf(field)}
		at := r.kind.Message()
		for name := range strings.SplitSeq(field, ".") {
			var step protoreflect.FieldDescriptor
			if at != nil {
				step = at.Fields().ByName(protoreflect.Name(name))
			}
			if step == nil || step.IsList() || step.IsMap() {
				f.steps = nil
				break
			}
			f.steps, at = append(f.steps, step), step.Message()
		}
		if n := len(f.steps); n > 0 && at == nil && f.steps[n-1].Kind() != protoreflect.EnumKind {
			out = append(out, f)
		}
	}
	return out
}

// inputs are the figures of the item's part that the rule reads and that are there.
func (r *compiled) inputs(c *kit.Case, d *desk, it *kit.Item) []kit.Value {
	d.inputs = d.inputs[:0]
	for i := range r.given {
		f := &r.given[i]
		switch value := f.read(d.whole).(type) {
		case types.String:
			word := string(value)
			d.inputs = append(d.inputs, c.Word(it, f.path, &word))
		case nil:
		default:
			if number, err := asNumber(value.Value()); err == nil {
				d.inputs = append(d.inputs, c.Given(it.At(f.path), &number, f.unit))
			}
		}
	}
	return d.inputs
}

// read is the figure's value, nil where it is absent.
func (f *figure) read(from *view) ref.Val {
	for i, step := range f.steps {
		value, err := from.field(step)
		if err != nil {
			return nil
		}
		if i == len(f.steps)-1 {
			return value
		}
		from = value.(*view)
	}
	return nil
}

// units are what the ends of field names stand for.
var units = map[string]string{
	"mm": "mm", "w": "W", "v": "V", "a": "A", "c": "°C", "k": "K", "m3h": "m3/h", "kg": "kg", "g": "g", "rpm": "1/min", "share": "share", "pa": "Pa",
}

func unitOf(field string) string { return units[field[strings.LastIndexByte(field, '_')+1:]] }
