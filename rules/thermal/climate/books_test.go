package climate

import (
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	v1 "slipfit.example/proto/slipfit/v1"
)

var machines = []string{"archive-editor", "second-radiator", "front-desk", "listening-room"}

func TestMachinesKeepTheirBooks(t *testing.T) {
	for _, name := range machines {
		q := machine(t, name)
		for _, boxes := range []bool{true, false} {
			if !boxes {
				q.Arrangement.Boxes = nil
			}
			p, s := solved(t, q)
			keepsBooks(t, p, s)
			for _, at := range []Places{Prior().Cool, Prior().Warm} {
				if err := p.Solve(at, nil, s); err != nil {
					t.Errorf("%s, boxes %v: %v", name, boxes, err)
					continue
				}
				keepsBooks(t, p, s)
			}
			if s.Balance.SourcesW < 50 {
				t.Errorf("%s: only %.0f W are in it", name, s.Balance.SourcesW)
			}
		}
	}
}

// Whatever the room, the loads, the speeds, the directions and the places: what is
// solved keeps mass and energy, and nothing that makes heat is cooler than the room.
func TestBooksProperty(t *testing.T) {
	all := map[string]Question{}
	for _, name := range machines {
		all[name] = machine(t, name)
	}
	rapid.Check(t, func(r *rapid.T) {
		q := clone(all[rapid.SampledFrom(machines).Draw(r, "machine")])
		q.Build.Room.TemperatureC = proto.Float64(rapid.Float64Range(-40, 60).Draw(r, "room"))
		q.Build.Room.AltitudeM = proto.Float64(rapid.Float64Range(-500, 8000).Draw(r, "altitude"))
		for _, d := range q.Demand.Items {
			d.SustainedW = proto.Float64(rapid.Float64Range(0, 500).Draw(r, "watts"))
		}
		for _, it := range q.Build.Items {
			if rapid.Bool().Draw(r, "set") {
				speed(&q, it.GetId(), rapid.Float64Range(0, 3000).Draw(r, "rpm"))
			}
		}
		for _, s := range q.Arrangement.Seats {
			s.Flow = rapid.SampledFrom([]v1.Flow{0, 1, 2}).Draw(r, "flow").Enum()
		}
		if rapid.Bool().Draw(r, "lumped") {
			q.Arrangement.Boxes = nil
		}
		q.Changes.FeetMM = rapid.Float64Range(-12, 40).Draw(r, "feet")
		var at Places
		for i := range at {
			at[i] = rapid.Float64Range(-2, 2).Draw(r, "place")
		}
		p, s := new(Plan), new(State)
		if err := p.Read(q); err != nil {
			return // a build that cannot be read says so
		}
		if err := p.Solve(at, nil, s); err != nil {
			return // nor one that does not settle
		}
		keepsBooks(r, p, s)
		for i, v := range s.ChipRiseK {
			if v < -0.1 {
				r.Fatalf("the die of %s lies %.2f K below the room", p.chips[i].item, -v)
			}
		}
		for i, v := range s.RiseK {
			if v < -0.1 {
				r.Fatalf("%s lies %.2f K below the room", p.cells[i].name, -v)
			}
		}
	})
}

// Most of the generated builds must settle, or the property above says nothing.
func TestMostBuildsSettle(t *testing.T) {
	unsettled := 0
	for _, name := range machines {
		for _, watts := range []float64{0, 5, 50, 500} {
			for _, rpm := range []float64{0, 200, 1000, 3000} {
				q := machine(t, name)
				for _, it := range q.Build.Items {
					speed(&q, it.GetId(), rpm)
				}
				for _, d := range q.Demand.Items {
					d.SustainedW = &watts
				}
				p, s := read(t, q), new(State)
				if err := p.Solve(Places{}, nil, s); err != nil {
					t.Logf("%s, %g W, %g rpm: %v", name, watts, rpm, err)
					unsettled++
					continue
				}
				keepsBooks(t, p, s)
			}
		}
	}
	if unsettled > 2 {
		t.Errorf("%d of 64 builds do not settle", unsettled)
	}
}
