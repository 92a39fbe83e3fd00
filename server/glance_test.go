package server_test

import (
	"testing"

	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// What a pack says at the first glance of candidates that travel together, when some rules
// are judged once for all of them, is what it says of each by itself, and what it says
// with nothing left out. Every kind of part in the build is sought once.
func TestGlancesTogetherAreGlancesAlone(t *testing.T) {
	build := demoRequest(t).Build
	for name, pack := range builtin {
		t.Run(name, func(t *testing.T) {
			e, err := kit.NewEvaluator(pack())
			if err != nil {
				t.Fatal(err)
			}
			for n, role := range everyRole(build) {
				line := &packv1.Line{
					Look: packv1.Look_LOOK_ALONE.Enum(), Item: proto.Uint32(uint32(role.item)), About: []uint32{uint32(role.item)},
				}
				around := proto.CloneOf(build)
				around.Items[role.item].Part = &v1.Part{}
				if line.Check, err = proto.Marshal(&v1.CheckRequest{Build: around}); err != nil {
					t.Fatal(err)
				}
				var tasks []*packv1.Task
				for _, part := range newGenerator(t, uint64(60+n)).good(t, 60, role.kind) {
					encoded, err := proto.Marshal(part)
					if err != nil {
						t.Fatal(err)
					}
					tasks = append(tasks, &packv1.Task{Part: encoded})
				}
				holdTogether(t, e, line, tasks)
			}
		})
	}
}

func holdTogether(t *testing.T, e *kit.Evaluator, line *packv1.Line, tasks []*packv1.Task) {
	t.Helper()
	bare := proto.CloneOf(line)
	bare.Bare = proto.Bool(true)
	together, barely := e.Brief(line, tasks), e.Brief(bare, tasks)
	counts := make([]uint32, len(together[0].Counts))
	for i, task := range tasks {
		alone := e.Brief(line, []*packv1.Task{task})[0]
		if !proto.Equal(together[i], alone) {
			t.Fatalf("together: %v\nalone: %v", together[i], alone)
		}
		for k, n := range alone.Counts {
			counts[k] += n
		}
		if barely[i].Brief.GetVerdict() < kit.Unknown {
			alone.Brief.Finding = nil
		}
		if !proto.Equal(barely[i].Brief, alone.Brief) {
			t.Fatalf("barely: %v\nin full: %v", barely[i].Brief, alone.Brief)
		}
	}
	for i, o := range barely {
		if i > 0 && len(o.Counts) > 0 {
			t.Fatalf("outcome %d counts as well", i)
		}
	}
	for k, n := range barely[0].Counts {
		if n != counts[k] {
			t.Fatalf("%v are counted together, and %v one by one", barely[0].Counts, counts)
		}
	}
}

// soughtPlace is an item of a build with the field of its part's kind.
type soughtPlace struct {
	item int
	kind string
}

// everyRole is the first item of each kind of part.
func everyRole(build *v1.Build) (out []soughtPlace) {
	seen := map[string]bool{}
	for i, it := range build.Items {
		m := it.GetPart().ProtoReflect()
		field := m.WhichOneof(m.Descriptor().Oneofs().ByName("kind"))
		if field == nil || seen[string(field.Name())] {
			continue
		}
		seen[string(field.Name())] = true
		out = append(out, soughtPlace{i, string(field.Name())})
	}
	return out
}
