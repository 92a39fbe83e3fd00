package power

import (
	"slices"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// Builds whose wiring differs are told apart: with any one field of any socket, cable,
// outlet or rail share changed, left out or added, a pack that has seen the build before
// answers as one that has not.
func TestWiringIsToldApart(t *testing.T) {
	changed := 0
	for _, id := range []string{"archive-editor", "fans-under-card"} {
		build := demoBuild(t, id)
		kept := newEvaluator(t)
		judged(t, kept, build, CircuitFact)
		for _, it := range build.Items {
			eachChange(wiringOf(it.Part), func(what protoreflect.Name) {
				if !goodPart(t, it.Part) {
					return
				}
				changed++
				want, wantFacts := judged(t, newEvaluator(t), build, CircuitFact)
				got, facts := judged(t, kept, build, CircuitFact)
				same := func(a, b *v1.Finding) bool { return proto.Equal(a, b) }
				if !slices.EqualFunc(want, got, same) || !proto.Equal(wantFacts[CircuitFact], facts[CircuitFact]) {
					t.Errorf("%s: with another %s of %s the pack answers as without", id, what, it.GetId())
				}
			})
		}
	}
	if changed < 100 {
		t.Errorf("only %d changes made good parts", changed)
	}
}

// wiringOf are the messages of a part that have to do with wiring.
func wiringOf(part *v1.Part) (out []protoreflect.Message) {
	add := func(sockets []*v1.PowerSocket, demand *v1.Demand) {
		for _, s := range sockets {
			out = append(out, s.ProtoReflect())
		}
		for _, share := range demand.GetRails() {
			out = append(out, share.ProtoReflect())
		}
	}
	cables := part.GetSupply().GetCables()
	switch {
	case part.GetBoard() != nil:
		add(part.GetBoard().PowerSockets, part.GetBoard().Demand)
	case part.GetCard() != nil:
		add(part.GetCard().PowerSockets, part.GetCard().Demand)
	case part.GetDrive() != nil:
		add(part.GetDrive().PowerSockets, part.GetDrive().Demand)
	case part.GetCable() != nil:
		cables = append(cables, part.GetCable())
	case part.GetSupply() != nil:
		out = append(out, part.GetSupply().ProtoReflect())
		for _, o := range part.GetSupply().Outlets {
			out = append(out, o.ProtoReflect())
		}
	}
	for _, c := range cables {
		out = append(out, c.ProtoReflect())
		for _, end := range c.Ends {
			out = append(out, end.ProtoReflect())
		}
	}
	return out
}

// eachChange changes one field after the other, of two messages of a kind, each in all
// ways below, and back.
func eachChange(messages []protoreflect.Message, try func(protoreflect.Name)) {
	other := map[protoreflect.Kind]func(protoreflect.Value) []protoreflect.Value{
		protoreflect.BoolKind: func(v protoreflect.Value) []protoreflect.Value {
			return []protoreflect.Value{protoreflect.ValueOfBool(!v.Bool())}
		},
		protoreflect.Uint32Kind: func(v protoreflect.Value) []protoreflect.Value {
			return []protoreflect.Value{protoreflect.ValueOfUint32(22)}
		},
		protoreflect.DoubleKind: func(v protoreflect.Value) []protoreflect.Value {
			return []protoreflect.Value{protoreflect.ValueOfFloat64(0.5*v.Float() + 0.01)}
		},
		protoreflect.StringKind: func(protoreflect.Value) (out []protoreflect.Value) {
			for _, word := range []string{"atx-2.52", "5v", "glutmoor-c"} {
				out = append(out, protoreflect.ValueOfString(word))
			}
			return out
		},
	}
	seen := map[protoreflect.FullName]int{}
	for _, m := range messages {
		if seen[m.Descriptor().FullName()]++; seen[m.Descriptor().FullName()] > 2 {
			continue // they are much alike
		}
		fields := m.Descriptor().Fields()
		for i := range fields.Len() {
			field := fields.Get(i)
			values, scalar := other[field.Kind()]
			if !scalar || field.IsList() {
				continue
			}
			had, old := m.Has(field), m.Get(field)
			for _, v := range values(old) {
				m.Set(field, v)
				try(field.Name())
			}
			if m.Clear(field); had {
				try(field.Name())
				m.Set(field, old)
			}
		}
	}
}

// BenchmarkSupplies is what the pack takes to look ahead at a supply whose voltage it
// foretells: one with the cables of others before it, and one with cables of its own.
func BenchmarkSupplies(b *testing.B) {
	build := demoBuild(b, "archive-editor")
	at := slices.IndexFunc(build.Items, func(it *v1.Item) bool { return it.Part.GetSupply() != nil })
	part := build.Items[at].Part
	build.Items[at].Part = new(v1.Part)
	check, err := proto.Marshal(&v1.CheckRequest{Build: build})
	if err != nil {
		b.Fatal(err)
	}
	line := &packv1.Line{Check: check, Item: proto.Uint32(uint32(at)), About: []uint32{uint32(at)}, Look: packv1.Look_LOOK_ALONE.Enum()}
	for _, cables := range []string{"same cables", "own cables"} {
		b.Run(cables, func(b *testing.B) {
			e, tasks := newEvaluator(b), make([]*packv1.Task, 512)
			for i := range tasks {
				supply := part.GetSupply()
				supply.RatedW = proto.Float64(600 + float64(i))
				if cables == "own cables" {
					supply.Cables[0].Ends[0].LengthMm = proto.Float64(300 + float64(i))
				}
				encoded, err := proto.Marshal(part)
				if err != nil {
					b.Fatal(err)
				}
				tasks[i] = &packv1.Task{Part: encoded}
			}
			for b.Loop() {
				for _, o := range e.Brief(line, tasks) {
					if o.Brief.Ceiling == nil {
						b.Fatal("nothing is foretold")
					}
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(tasks)), "ns/supply")
		})
	}
}
