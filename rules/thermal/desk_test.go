package thermal_test

import (
	"encoding/json"
	"os"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// machine is a whole build with what other packs worked out for it.
type machine struct {
	build *v1.Build
	facts []*v1.Fact
}

// machineOf reads a build of testdata: machines of the nature-sound archive, with
// the facts of the packs power and clearance.
func machineOf(t testing.TB, name string) machine {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Build json.RawMessage
		Facts []json.RawMessage
	}
	if err := json.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	m := machine{build: new(v1.Build)}
	if err := protojson.Unmarshal(file.Build, m.build); err != nil {
		t.Fatal(err)
	}
	for _, raw := range file.Facts {
		fact := new(v1.Fact)
		if err := protojson.Unmarshal(raw, fact); err != nil {
			t.Fatal(err)
		}
		m.facts = append(m.facts, fact)
	}
	return m
}

// demand is the fact of what the build draws.
func (m *machine) demand() *v1.BuildDemand {
	for _, f := range m.facts {
		if d := f.GetDemand(); d != nil {
			return d
		}
	}
	return nil
}

func (m *machine) item(id string) *v1.Item {
	for _, it := range m.build.Items {
		if it.GetId() == id {
			return it
		}
	}
	return nil
}

// encoded is the machine as a check.
func (m *machine) encoded(t testing.TB, wants ...string) ([]byte, []kit.Fact) {
	t.Helper()
	check, err := proto.Marshal(&v1.CheckRequest{Build: m.build, Wants: wants})
	if err != nil {
		t.Fatal(err)
	}
	var facts []kit.Fact
	for _, f := range m.facts {
		value, err := proto.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		facts = append(facts, kit.Fact{Name: f.GetName(), Value: value})
	}
	return check, facts
}

// answer is the findings and the facts that the pack gives.
func (m *machine) answer(t testing.TB, e *kit.Evaluator, wants ...string) (*v1.CheckResponse, map[string]*v1.Fact) {
	t.Helper()
	check, facts := m.encoded(t, wants...)
	var out kit.Outcome
	if err := e.Evaluate(check, facts, &out); err != nil {
		t.Fatal(err)
	}
	response := new(v1.CheckResponse)
	if err := proto.Unmarshal(out.Findings, response); err != nil {
		t.Fatal(err)
	}
	given := map[string]*v1.Fact{}
	for _, f := range out.Facts {
		fact := new(v1.Fact)
		if err := proto.Unmarshal(f.Value, fact); err != nil {
			t.Fatal(err)
		}
		given[f.Name] = fact
	}
	return response, given
}

// BenchmarkMachine times whole checks of a machine with geometry: findings and
// forecast, and what is worked out only when wanted.
func BenchmarkMachine(b *testing.B) {
	e := evaluator(b)
	for _, name := range []string{"archive-editor", "second-radiator", "listening-room"} {
		m := machineOf(b, name)
		for _, wants := range [][]string{nil, {"thermal.forecast"}, {"thermal.settings"}, {"thermal.chart"}} {
			check, facts := m.encoded(b, wants...)
			label := name + "/plain"
			if wants != nil {
				label = name + "/" + wants[0]
			}
			b.Run(label, func(b *testing.B) {
				b.ReportAllocs()
				var out kit.Outcome
				for b.Loop() {
					if err := e.Evaluate(check, facts, &out); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
