package mounting

import (
	"bytes"
	"fmt"
	"sync"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/kit"
)

// question is one case with its facts, and what a pack without a past answers.
type question struct {
	name     string
	check    []byte
	facts    []kit.Fact
	findings []byte
	assembly []byte
}

// questions are some demo builds, each also with another arrangement, other ids,
// other parameters, and without any arrangement.
func questions(t *testing.T) (out []question) {
	t.Helper()
	for _, name := range []string{"archive-editor", "second-radiator", "upright-card"} {
		build := demoBuild(t, name)
		add := func(what string, change func(*v1.CheckRequest), facts []kit.Fact) {
			request := &v1.CheckRequest{Build: proto.CloneOf(build), Wants: []string{FactAssembly}}
			change(request)
			check, err := proto.Marshal(request)
			if err != nil {
				t.Fatal(err)
			}
			if facts == nil {
				facts = ask(t, clearance.Pack(), check, nil).Facts
			}
			fresh := ask(t, Pack(), check, facts)
			out = append(out, question{name + ", " + what, check, facts, bytes.Clone(fresh.Findings), bytes.Clone(fresh.Facts[0].Value)})
		}
		add("as it is", func(*v1.CheckRequest) {}, nil)
		add("in another room", func(r *v1.CheckRequest) { r.Build.Room = &v1.Room{TemperatureC: proto.Float64(31)} }, nil)
		add("with more play", func(r *v1.CheckRequest) {
			r.Policy = []*v1.PolicyValue{{Parameter: &holePlay.Name, Value: proto.Float64(0)}}
		}, nil)
		add("without an arrangement", func(*v1.CheckRequest) {}, []kit.Fact{{Name: "none"}})
		add("under other names", func(r *v1.CheckRequest) {
			r.Build.Arrangement = nil
			for i, it := range r.Build.Items {
				it.Id = proto.String(fmt.Sprintf("part-%d", i))
			}
		}, nil)
		moved := new(v1.Fact)
		if err := proto.Unmarshal(out[len(out)-2].facts[0].Value, moved); err == nil && moved.GetArrangement() != nil {
			t.Fatal("the case without an arrangement has one")
		}
		if err := proto.Unmarshal(ask(t, clearance.Pack(), out[len(out)-5].check, nil).Facts[0].Value, moved); err != nil {
			t.Fatal(err)
		}
		moved.GetArrangement().Boxes = moved.GetArrangement().Boxes[:len(moved.GetArrangement().Boxes)/2]
		half, err := proto.Marshal(moved)
		if err != nil {
			t.Fatal(err)
		}
		add("with half of the boxes", func(*v1.CheckRequest) {}, []kit.Fact{{Name: factArrangement, Value: half}})
	}
	return out
}

// Whatever was asked before, and by how many at once, the answer is that of a pack
// without a past.
func TestMemoryChangesNothing(t *testing.T) {
	all := questions(t)
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		var wait sync.WaitGroup
		for range 2 {
			order := rapid.SliceOfN(rapid.IntRange(0, len(all)-1), 1, 4).Draw(t, "order")
			wait.Go(func() {
				var out kit.Outcome
				for _, i := range order {
					q := &all[i]
					check := bytes.Clone(q.check) // what a case is read from is gone afterwards
					if err := e.Evaluate(check, q.facts, &out); err != nil {
						t.Error(err)
						return
					}
					clear(check)
					if !bytes.Equal(out.Findings, q.findings) || !bytes.Equal(out.Facts[0].Value, q.assembly) {
						t.Errorf("%s has another answer when it is asked after others", q.name)
					}
				}
			})
		}
		wait.Wait()
	})
}

func TestMemoryIsBounded(t *testing.T) {
	m := newMemory(4)
	for i := range 100 {
		m.put(fmt.Appendf(nil, "build %d", i), &known{})
		if m.get(fmt.Appendf(nil, "build %d", i), nil, 0) == nil {
			t.Fatalf("build %d is forgotten at once", i)
		}
		m.get([]byte("build 0"), nil, 0) // what is in use stays
	}
	if len(m.young) > 4 || len(m.old) > 4 {
		t.Errorf("%d and %d builds are kept, want at most 4 and 4", len(m.young), len(m.old))
	}
	if m.get([]byte("build 0"), nil, 0) == nil || m.get([]byte("build 1"), nil, 0) != nil {
		t.Error("what is asked again and again is forgotten, or what is not is kept")
	}
}
