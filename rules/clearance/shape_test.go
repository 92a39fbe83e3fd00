package clearance

import (
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// answerTo is all that the pack says of a build, with its facts. One evaluator decodes
// each part once, so that plans are shared at all.
func answerTo(t *testing.T, e *kit.Evaluator, build *v1.Build, wants ...string) string {
	t.Helper()
	check, err := proto.Marshal(&v1.CheckRequest{Build: build, Wants: wants})
	if err != nil {
		t.Fatal(err)
	}
	var out kit.Outcome
	if err := e.Evaluate(check, nil, &out); err != nil {
		t.Fatal(err)
	}
	text := string(out.Findings)
	for _, f := range out.Facts {
		text += f.Name + string(f.Value)
	}
	return text
}

// leaves are ways to change a message: one figure or word each, of it and of all within
// it, by their paths. Of like entries of a list the first stands for all.
func leaves(path string, m protoreflect.Message, out map[string]func()) {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		field := fields.Get(i)
		if !m.Has(field) {
			continue
		}
		path, value := path+"."+string(field.Name()), m.Get(field)
		switch {
		case field.IsList():
			out[path] = func() { m.Mutable(field).List().Truncate(value.List().Len() - 1) }
			if field.Message() != nil {
				leaves(path, value.List().Get(0).Message(), out)
			}
		case field.Message() != nil:
			leaves(path, value.Message(), out)
		default:
			out[path] = func() { alter(m, field) }
		}
	}
}

// alter gives a field another value.
func alter(m protoreflect.Message, field protoreflect.FieldDescriptor) {
	value := m.Get(field)
	switch field.Kind() {
	case protoreflect.DoubleKind:
		m.Set(field, protoreflect.ValueOfFloat64(value.Float()*0.75))
	case protoreflect.BoolKind:
		m.Set(field, protoreflect.ValueOfBool(!value.Bool()))
	case protoreflect.Uint32Kind:
		m.Set(field, protoreflect.ValueOfUint32(uint32(value.Uint())+1))
	default:
		m.Clear(field)
	}
}

// What a plan makes of a part does not depend on which parts of its shape came before:
// whatever single figure is changed, where the plan is shared the answer is that of a
// store that has seen nothing, with all boxes, gaps and ways, words and names.
func TestPlansAreSharedByShapeAlone(t *testing.T) {
	before := kept
	defer func() { kept = before }()
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	shared := 0
	for _, id := range []string{"archive-editor", "archive-overreach"} {
		build := demoBuild(t, id)
		for i, it := range build.Items {
			if !mayBeAlike(it.Part) {
				continue
			}
			for path := range changesOf(it.Part) {
				changed := proto.CloneOf(build)
				twin := changed.Items[i].Part
				changesOf(twin)[path]()
				twin.Id, twin.Name = proto.String("twin"), proto.String("Twin")
				kept = newStore()
				if kept.firstLike(it.Part) != kept.firstLike(twin) {
					continue
				}
				shared++
				want := answerTo(t, e, changed, FactArrangement)
				kept = newStore()
				answerTo(t, e, build, FactArrangement)
				if got := answerTo(t, e, changed, FactArrangement); got != want {
					t.Errorf("%s: %s of %s was changed, which is no part of its shape, and the answer depends on what came before", id, path, it.GetId())
				}
			}
		}
	}
	if shared < 50 {
		t.Errorf("%d changes left a shape as it was; the test says little", shared)
	}
}

func changesOf(part *v1.Part) map[string]func() {
	out := map[string]func(){}
	leaves("", part.ProtoReflect(), out)
	return out
}

// Parts that differ in what no box depends on share a plan, and others do not.
func TestPartsOfOneShape(t *testing.T) {
	s := newStore()
	supply := demoPart(t, "supplies.yaml#leiselauf-750")
	louder := proto.CloneOf(supply)
	louder.Name, louder.GetSupply().RatedW, louder.GetSupply().Noises = proto.String("Louder"), proto.Float64(900), nil
	longer := proto.CloneOf(supply)
	longer.GetSupply().LengthMm = proto.Float64(130)
	board := &v1.Part{Kind: &v1.Part_Board{Board: &v1.Board{FormFactor: proto.String("mini-itx")}}}
	got := []*v1.Part{s.firstLike(supply), s.firstLike(louder), s.firstLike(longer), s.firstLike(louder), s.firstLike(board)}
	if want := []*v1.Part{supply, supply, longer, supply, board}; !slices.Equal(got, want) {
		t.Errorf("the first of their shapes are %v", got)
	}
}
