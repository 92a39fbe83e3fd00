package climate

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// machine is a whole build of the nature-sound archive with where its parts lie and
// what they draw, as the packs clearance and power worked it out.
func machine(t testing.TB, name string) Question {
	t.Helper()
	data, err := os.ReadFile("../testdata/" + name + ".json")
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
	q := Question{Build: new(v1.Build)}
	if err := protojson.Unmarshal(file.Build, q.Build); err != nil {
		t.Fatal(err)
	}
	for _, raw := range file.Facts {
		fact := new(v1.Fact)
		if err := protojson.Unmarshal(raw, fact); err != nil {
			t.Fatal(err)
		}
		if a := fact.GetArrangement(); a != nil {
			q.Arrangement = a
		}
		if d := fact.GetDemand(); d != nil {
			q.Demand = d
		}
	}
	if q.Arrangement == nil || q.Demand == nil {
		t.Fatalf("%s lacks a fact", name)
	}
	return q
}

// item is one of the build's items, to be changed.
func item(t testing.TB, q *Question, id string) *v1.Item {
	t.Helper()
	for _, it := range q.Build.Items {
		if it.GetId() == id {
			return it
		}
	}
	t.Fatalf("the build has no %s", id)
	return nil
}

// speed sets an item's fans.
func speed(q *Question, id string, rpm float64) {
	if q.Build.Use == nil {
		q.Build.Use = &v1.Use{}
	}
	q.Build.Use.Fans = append([]*v1.FanSetting{{Item: &id, SpeedRpm: &rpm}}, q.Build.Use.Fans...)
}

// draw sets what an item draws.
func draw(q *Question, id string, watts float64) {
	for _, d := range q.Demand.Items {
		if d.GetItem() == id {
			d.SustainedW = &watts
			return
		}
	}
	q.Demand.Items = append(q.Demand.Items, &v1.ItemDemand{Item: &id, SustainedW: &watts})
}

// flow sets which way an item's fans blow.
func flow(q *Question, id string, f v1.Flow) {
	for _, s := range q.Arrangement.Seats {
		if s.GetItem() == id {
			s.Flow = f.Enum()
		}
	}
	for _, p := range q.Build.GetArrangement().GetPlacements() {
		if p.GetItem() == id {
			p.Flow = f.Enum()
		}
	}
}

func read(t testing.TB, q Question) *Plan {
	t.Helper()
	p := new(Plan)
	if err := p.Read(q); err != nil {
		t.Fatal(err)
	}
	return p
}

// solved is the nominal state of a question.
func solved(t testing.TB, q Question) (*Plan, *State) {
	t.Helper()
	p, s := read(t, q), new(State)
	if err := p.Solve(Places{}, nil, s); err != nil {
		t.Fatal(err)
	}
	return p, s
}

// rise is what a thing lies above the room.
func rise(t testing.TB, p *Plan, s *State, id, of string) float64 {
	t.Helper()
	v, ok := p.RiseOf(id, of, s)
	if !ok {
		t.Fatalf("nothing is known of %s of %s", of, id)
	}
	return v
}

// throughFan is the flow in m3/h through the fans of an item.
func throughFan(p *Plan, s *State, id string) float64 {
	sum := 0.0
	for i := range p.ways {
		if p.ways[i].item == id && p.ways[i].motor >= 0 {
			sum += s.FlowM3S[i] * 3600
		}
	}
	return sum
}

func clone(q Question) Question {
	q.Build = proto.Clone(q.Build).(*v1.Build)
	q.Arrangement = proto.Clone(q.Arrangement).(*v1.Arrangement)
	q.Demand = proto.Clone(q.Demand).(*v1.BuildDemand)
	return q
}

// keepsBooks fails the test unless a state is finite and keeps mass and energy.
func keepsBooks(t failing, p *Plan, s *State) {
	t.Helper()
	for _, list := range [][]float64{s.PressurePa, s.RiseK, s.FlowM3S, s.FanPa, s.ChipRiseK, s.SinkRiseK, s.LocalRiseK, s.PanelRiseK, s.LiquidK, s.IntakeK,
		{s.ThroughM3S, s.ExhaustK}} {
		for _, v := range list {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("a number is not finite: %v", list)
			}
		}
	}
	if r := s.Balance.Relative(); r > 1e-3 && math.Abs(s.Balance.ResidualW) > 1e-3 {
		t.Errorf("heat in and heat out differ by %.3g of %.0f W", r, s.Balance.SourcesW)
	}
	most := 0.0
	for _, q := range s.FlowM3S {
		most = max(most, math.Abs(q))
	}
	if s.ErrorKgS > 1e-6*most*1.2+1e-12 {
		t.Errorf("a zone keeps %.3g kg/s of %.3g m3/s", s.ErrorKgS, most)
	}
}

// failing is what a test and a generated case have in common.
type failing interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
}
