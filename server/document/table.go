package document

import (
	"errors"
	"fmt"
	"sync"

	"buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go/buf/validate"
	"buf.build/go/protovalidate"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// table holds the field rules of the contract in the form that a walk over
// encoded bytes can use. It is compiled from the same options that protovalidate
// reads. A field with a rule that the compiler does not know is unsure: a
// document that uses it goes the long way.
type table struct {
	request, part *shape
	shapes        map[protoreflect.FullName]*shape
	unsure        []string
	// excludesRef is the reference that Mount.excludes makes, posesSlot the slot
	// of Mount.poses, mountBit the place of Placement.mount.
	excludesRef, posesSlot uint8
	mountBit               uint64
	walkers                sync.Pool
}

// shape is one message.
type shape struct {
	name protoreflect.Name
	// steps holds the fields by number.
	steps []step
	// byName finds the number of a field for paths of figures.
	byName map[string]protoreflect.FieldNumber
	// required has the bit of each field that has to be there.
	required uint64
	// oneofs are sets of fields of which one at most may be there, choices those
	// of which one has to be.
	oneofs, choices []uint64
	// floors are lists that must not be short.
	floors []floor
	// key is the field that tells elements of a list apart, 0 where none does.
	key uint8
	// scopes are lists of this message that fields further in refer to.
	scopes []scope
	// plain says that at the message's end only required is to be looked at.
	plain bool
	// captures says that the message leaves numbers behind for a list's order.
	captures bool
	// onlyNumbers says that all fields are single numbers of double precision,
	// with field numbers up to 15.
	onlyNumbers bool
	// closing says what else is to be looked at when the message ends.
	closing closing
}

type floor struct {
	slot uint8
	min  uint8
}

// scope is a list whose keys are referred to under a number.
type scope struct {
	ref  uint8
	list uint8
}

// closing names a check of a whole message.
type closing uint8

const (
	closePlainly closing = iota
	closePose
	closeItem
	closeMount
	closePart
	closePlace
	closeLayout
	closePlacement
	closeBuild
)

// slots is how many lists one message may have in the table.
const slots = 20

// longestList is the greatest count of a list that the walk follows.
const longestList = 254

// step is one field.
type step struct {
	kind stepKind
	list bool
	// slot counts the elements of a list, up to most.
	slot uint8
	most uint8
	// capture keeps the value for the message's end: 1 to 3, 0 for no.
	capture uint8
	// ref is the scope that the text has to be in, 0 for none.
	ref uint8
	// unique says that the elements of the list have different keys.
	unique bool
	mark   mark
	// lo and hi bound a number, least and longest the characters of a text.
	lo, hi         float64
	least, longest uint32
	// values has the bit of each number of an enum.
	values uint64
	text   *textRule
	curve  *curveRule
	child  *shape
}

type stepKind uint8

const (
	// unsureStep is a number without a field, or a field with an unknown rule.
	unsureStep stepKind = iota
	doubleStep
	wholeStep
	boolStep
	enumStep
	textStep
	messageStep
)

// mark names what a field is to the checks across fields.
type mark uint8

const (
	noMark mark = iota
	chassisMark
	layoutMark
	mountMark
	fieldPathMark
	dayMark
)

// textRule is what a text must be besides its length.
type textRule struct {
	matches func([]byte) bool
	in      []string
}

// compile makes the table for a question and all that it holds.
func compile(request protoreflect.MessageDescriptor) (*table, error) {
	t := &table{shapes: map[protoreflect.FullName]*shape{}}
	var err error
	if t.request, err = t.shape(request, 1); err != nil {
		return nil, err
	}
	t.part = t.shapes[partName]
	if t.part == nil {
		return nil, errors.New("the question holds no part")
	}
	if err := t.link(request.ParentFile().Package()); err != nil {
		return nil, err
	}
	for _, s := range t.shapes {
		s.plain = len(s.choices)+len(s.oneofs)+len(s.floors)+len(s.scopes) == 0 && s.closing == closePlainly
		for i := range s.steps {
			if c := s.steps[i].curve; c != nil {
				s.steps[i].child.captures = true
			}
		}
		s.onlyNumbers = s.plain && s.numbersOnly()
	}
	t.walkers.New = func() any { return &walker{} }
	return t, nil
}

func (t *table) shape(descriptor protoreflect.MessageDescriptor, depth int) (*shape, error) {
	if s, ok := t.shapes[descriptor.FullName()]; ok {
		return s, nil
	}
	if depth > MaxNesting {
		return nil, fmt.Errorf("the message %s lies deeper than %d", descriptor.FullName(), MaxNesting)
	}
	s := &shape{name: descriptor.Name(), byName: map[string]protoreflect.FieldNumber{}}
	t.shapes[descriptor.FullName()] = s
	if rules, err := protovalidate.ResolveMessageRules(descriptor); err != nil {
		return nil, err
	} else if rules != nil {
		t.unsure = append(t.unsure, string(descriptor.FullName()))
		return s, nil
	}
	fields := descriptor.Fields()
	for i := range fields.Len() {
		if err := t.step(s, fields.Get(i), depth); err != nil {
			return nil, err
		}
	}
	return s, s.takeOneofs(descriptor)
}

func (s *shape) takeOneofs(descriptor protoreflect.MessageDescriptor) error {
	for i := range descriptor.Oneofs().Len() {
		oneof := descriptor.Oneofs().Get(i)
		if oneof.IsSynthetic() {
			continue
		}
		var members uint64
		for j := range oneof.Fields().Len() {
			members |= bit(oneof.Fields().Get(j).Number())
		}
		rules, err := protovalidate.ResolveOneofRules(oneof)
		if err != nil {
			return err
		}
		if rules.GetRequired() {
			s.choices = append(s.choices, members)
		} else {
			s.oneofs = append(s.oneofs, members)
		}
	}
	return nil
}

// bit is the place of a field in the sets of a shape. Numbers from 64 up have none.
func bit(number protoreflect.FieldNumber) uint64 { return 1 << uint(number) }

// step compiles one field into its shape.
func (t *table) step(s *shape, field protoreflect.FieldDescriptor, depth int) error {
	number := field.Number()
	if number >= 64 {
		t.unsure = append(t.unsure, string(field.FullName()))
		return nil
	}
	for len(s.steps) <= int(number) {
		s.steps = append(s.steps, step{})
	}
	s.byName[string(field.Name())] = number
	rules, err := protovalidate.ResolveFieldRules(field)
	if err != nil {
		return err
	}
	made := step{list: field.IsList(), most: longestList}
	if sure := t.fill(&made, s, field, rules); !sure {
		t.unsure = append(t.unsure, string(field.FullName()))
		return nil
	}
	if field.Message() != nil {
		if made.child, err = t.shape(field.Message(), depth+1); err != nil {
			return err
		}
	}
	s.steps[number] = made
	return nil
}

// fill takes the rules of a field and reports whether it knows them all.
func (t *table) fill(made *step, s *shape, field protoreflect.FieldDescriptor, rules *validate.FieldRules) bool {
	if field.IsMap() || (!field.IsList() && !field.HasPresence()) || !knownOnly(rules, "required", "cel", "string", "double", "uint32", "enum", "repeated") {
		return false
	}
	for _, rule := range rules.GetCel() {
		// The one rule over a whole list: it is kept by unique in the links.
		if rule.GetId() != uniqueItemsRule || rule.GetExpression() != "this.map(i, i.id).unique()" {
			return false
		}
	}
	if rules.GetRequired() {
		s.required |= bit(field.Number())
	}
	if !field.IsList() {
		return made.takeValue(field, rules)
	}
	list := rules.GetRepeated()
	if !knownOnly(list, "min_items", "max_items", "items") || len(s.listSlots()) >= slots {
		return false
	}
	made.slot = uint8(len(s.listSlots()))
	if list.HasMaxItems() {
		made.most = uint8(min(list.GetMaxItems(), longestList))
	}
	if list.GetMinItems() > 0 {
		s.floors = append(s.floors, floor{slot: made.slot, min: uint8(min(list.GetMinItems(), longestList+1))})
	}
	return knownOnly(list.GetItems(), "string", "double", "uint32", "enum") && made.takeValue(field, list.GetItems())
}

// numbersOnly reports what onlyNumbers keeps.
func (s *shape) numbersOnly() bool {
	const longestShortTag = 16
	for i := range s.steps {
		if s.steps[i].kind != unsureStep && (s.steps[i].kind != doubleStep || s.steps[i].list) {
			return false
		}
	}
	return len(s.steps) <= longestShortTag
}

// listSlots gives the lists that have a slot so far.
func (s *shape) listSlots() []int {
	var taken []int
	for i := range s.steps {
		if s.steps[i].kind != unsureStep && s.steps[i].list {
			taken = append(taken, i)
		}
	}
	return taken
}

// knownOnly reports whether a message of rules uses no other fields than those.
func knownOnly(rules protoreflect.ProtoMessage, names ...protoreflect.Name) bool {
	m := rules.ProtoReflect()
	if !m.IsValid() {
		return true
	}
	known := len(m.GetUnknown()) == 0
	m.Range(func(field protoreflect.FieldDescriptor, _ protoreflect.Value) bool {
		found := false
		for _, name := range names {
			found = found || field.Name() == name
		}
		known = known && found && !field.IsExtension()
		return known
	})
	return known
}
