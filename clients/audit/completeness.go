package audit

import (
	"slices"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Score tells for how many of one pack's questions an entry is complete.
type Score struct {
	// Pack is the pack's name.
	Pack string
	// Answered of Rules are questions that read this kind of part and want nothing.
	Answered, Rules int
	// Missing are the fields that the others want, and the rules that want them.
	Missing []Missing
}

// Missing is one field that an entry lacks.
type Missing struct {
	Field string
	Rules []string
}

// standIns are fields for which the contract says what stands in where they are
// absent; no question stays open for want of them. A test holds the list against
// the contract.
var standIns = map[string]bool{
	"Board.width_mm": true, "Board.depth_mm": true, "Supply.width_mm": true, "Supply.height_mm": true, "Supply.length_mm": true,
	"Card.lanes": true, "Fan.hole_pitch_mm": true, "Cable.bend_radius_mm": true, "AirCooler.rated_rise_k": true,
	"Memory.modules": true, "Cable.count": true, "AirCooler.over_memory": true, "Supply.guide": true,
}

// completeness knows, for each kind of part, which questions read which fields.
type completeness struct {
	packs []string
	kinds map[protoreflect.Name][]question
}

// question is one rule as far as it reads one kind of part.
type question struct {
	rule   string
	pack   int
	fields []field
}

// field is one thing that a question wants: any of several paths that end alike, as
// an enclosure's limits and those of its layouts.
type field struct {
	name  string
	paths [][]protoreflect.FieldDescriptor
}

// newCompleteness reads the rules' descriptions. Fields that a document may leave
// out without a question staying open do not count: lists that may be empty,
// yes-or-no fields, and those with a stand-in.
func newCompleteness(rules []*v1.Rule) *completeness {
	c := &completeness{kinds: map[protoreflect.Name][]question{}}
	for _, r := range rules {
		if !slices.Contains(c.packs, r.GetPack()) {
			c.packs = append(c.packs, r.GetPack())
		}
	}
	slices.Sort(c.packs)
	part := (&v1.Part{}).ProtoReflect().Descriptor()
	for i := range kindOneof.Fields().Len() {
		kind := kindOneof.Fields().Get(i)
		for _, r := range rules {
			q := question{rule: r.GetId(), pack: slices.Index(c.packs, r.GetPack())}
			for _, path := range r.Reads {
				if own, rest, _ := strings.Cut(path, "."); own == string(kind.Name()) && rest != "" {
					q.want(part, path)
				}
			}
			if len(q.fields) > 0 {
				c.kinds[kind.Name()] = append(c.kinds[kind.Name()], q)
			}
		}
	}
	return c
}

// want adds a path unless it may be absent.
func (q *question) want(part protoreflect.MessageDescriptor, path string) {
	fields := descend(part, path)
	if fields == nil {
		return
	}
	leaf := fields[len(fields)-1]
	if leaf.IsList() || leaf.Kind() == protoreflect.BoolKind || standIns[string(leaf.Parent().Name())+"."+string(leaf.Name())] {
		return
	}
	for i := range q.fields {
		if other := q.fields[i].paths[0]; other[len(other)-1] == leaf {
			q.fields[i].paths = append(q.fields[i].paths, fields)
			return
		}
	}
	q.fields = append(q.fields, field{path, [][]protoreflect.FieldDescriptor{fields}})
}

// descend follows a path by field names; nil where the contract has no such path.
func descend(m protoreflect.MessageDescriptor, path string) (out []protoreflect.FieldDescriptor) {
	for name := range strings.SplitSeq(path, ".") {
		if m == nil {
			return nil
		}
		f := m.Fields().ByName(protoreflect.Name(name))
		if f == nil {
			return nil
		}
		out = append(out, f)
		m = f.Message()
	}
	return out
}

// scores judges one part, pack by pack; packs without a question about its kind
// are left out.
func (c *completeness) scores(part *v1.Part) []Score {
	m := part.ProtoReflect()
	kind := m.WhichOneof(kindOneof)
	if kind == nil || len(c.kinds[kind.Name()]) == 0 {
		return nil
	}
	scores := make([]Score, len(c.packs))
	for _, q := range c.kinds[kind.Name()] {
		s := &scores[q.pack]
		s.Rules++
		complete := true
		for _, f := range q.fields {
			if !f.given(m) {
				complete = false
				s.lacks(f.name, q.rule)
			}
		}
		if complete {
			s.Answered++
		}
	}
	out := scores[:0]
	for i := range scores {
		if scores[i].Rules > 0 {
			scores[i].Pack = c.packs[i]
			out = append(out, scores[i])
		}
	}
	return out
}

func (s *Score) lacks(field, rule string) {
	for i := range s.Missing {
		if s.Missing[i].Field == field {
			s.Missing[i].Rules = append(s.Missing[i].Rules, rule)
			return
		}
	}
	s.Missing = append(s.Missing, Missing{field, []string{rule}})
}

func (f *field) given(m protoreflect.Message) bool {
	for _, path := range f.paths {
		if has(m, path) {
			return true
		}
	}
	return false
}

// has tells whether a path leads to something; through a list, whether it does in
// every element. What stands in an empty list is not missing: there is nothing
// that could lack it, unless the path has no other home.
func has(m protoreflect.Message, path []protoreflect.FieldDescriptor) bool {
	for i, f := range path {
		if f.IsList() {
			list := m.Get(f).List()
			for j := range list.Len() {
				if !has(list.Get(j).Message(), path[i+1:]) {
					return false
				}
			}
			return list.Len() > 0
		}
		if !m.Has(f) {
			return false
		}
		if i < len(path)-1 {
			m = m.Get(f).Message()
		}
	}
	return true
}
