package kittest

import (
	"fmt"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// Foresight is what a pack told of a candidate before there were facts.
type Foresight struct {
	// Decided: rules that judge alone ruled the candidate out, and nothing more was told.
	Decided bool
	// Ceiling and QuietestDBA are nil where nothing is known.
	Ceiling, QuietestDBA *float64
	// Unfit: the candidate was said not to fit.
	Unfit bool
	// MarginShare is the smallest that the pack found in the end, nil for none or where
	// the candidate did not fit by this pack.
	MarginShare *float64
}

// Foresee asks a pack about the part of one item of a build as a candidate, first before
// there are facts and then with them, and holds what it foretold against what it found.
// The error says how it was wrong: it said of a candidate that fits, by its own rules,
// that it does not, or found a greater smallest margin share than it foretold, or none.
func Foresee(e *kit.Evaluator, build *v1.Build, item int, facts []kit.Fact) (out Foresight, err error) {
	part, err := proto.Marshal(build.Items[item].Part)
	if err != nil {
		return out, err
	}
	around := proto.CloneOf(build)
	around.Items[item].Part = new(v1.Part)
	check, err := proto.Marshal(&v1.CheckRequest{Build: around})
	if err != nil {
		return out, err
	}
	ask := func(look packv1.Look, facts []kit.Fact) (*packv1.Brief, error) {
		task := &packv1.Task{Part: part}
		for _, f := range facts {
			task.Facts = append(task.Facts, &packv1.Fact{Name: &f.Name, Value: f.Value})
		}
		line := &packv1.Line{Check: check, Item: proto.Uint32(uint32(item)), About: []uint32{uint32(item)}, Look: look.Enum()}
		o := e.Brief(line, []*packv1.Task{task})[0]
		if o.Error != nil {
			return nil, fmt.Errorf("%s", o.GetError())
		}
		return o.Brief, nil
	}
	before, err := ask(packv1.Look_LOOK_ALONE, nil)
	if err != nil {
		return out, err
	}
	after, err := ask(packv1.Look_LOOK_UNSPECIFIED, facts)
	if err != nil {
		return out, err
	}
	out = Foresight{Decided: before.GetVerdict() >= kit.Unknown, Ceiling: before.Ceiling, QuietestDBA: before.QuietestDba, Unfit: before.GetUnfit()}
	if after.GetVerdict() >= kit.Unknown {
		return out, nil
	}
	out.MarginShare = after.MarginShare
	switch {
	case out.Decided || out.Unfit:
		return out, fmt.Errorf("%s was not to fit, and fits", build.Items[item].GetId())
	case out.Ceiling != nil && out.MarginShare == nil:
		return out, fmt.Errorf("%s has no margin share, and was to have at most %v", build.Items[item].GetId(), *out.Ceiling)
	case out.Ceiling != nil && *out.MarginShare > *out.Ceiling:
		return out, fmt.Errorf("%s has the margin share %v, and was to have at most %v", build.Items[item].GetId(), *out.MarginShare, *out.Ceiling)
	}
	return out, nil
}

// Stretch changes about so many in a hundred of a message's figures, all the way down,
// to between a third and three times what they were.
func Stretch(t *rapid.T, m protoreflect.Message, share int) {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		field := fields.Get(i)
		switch {
		case !m.Has(field):
		case field.Kind() == protoreflect.DoubleKind && !field.IsList():
			if rapid.IntRange(0, 99).Draw(t, "dice") < share {
				m.Set(field, protoreflect.ValueOfFloat64(m.Get(field).Float()*rapid.SampledFrom([]float64{0.33, 0.7, 0.9, 1.1, 1.4, 3}).Draw(t, "times")))
			}
		case field.IsList() && field.Message() != nil:
			for k := range m.Get(field).List().Len() {
				Stretch(t, m.Get(field).List().Get(k).Message(), share)
			}
		case field.Message() != nil && !field.IsList():
			Stretch(t, m.Mutable(field).Message(), share)
		}
	}
}
