package climate

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Input that is wrong or extreme gives a sound answer or a sentence, never a number
// that is none, and never a hang.
func TestHostileInput(t *testing.T) {
	points := func(pairs ...float64) (list []*v1.PressurePoint) {
		for i := 0; i < len(pairs); i += 2 {
			list = append(list, &v1.PressurePoint{FlowM3H: proto.Float64(pairs[i]), PressurePa: proto.Float64(pairs[i+1])})
		}
		return list
	}
	fan := func(q *Question) *v1.Fan { return item(t, q, "bottom-fans").Part.GetFan() }
	for name, change := range map[string]func(*Question){
		"contradictory curve": func(q *Question) { fan(q).Curve = points(0, 12, 50, 8, 50, 3, 115, 0) },
		"rising curve":        func(q *Question) { fan(q).Curve = points(0, 1, 50, 6, 115, 12) },
		"curve of one point":  func(q *Question) { fan(q).Curve = points(115, 0) },
		"no flow at all":      func(q *Question) { fan(q).Curve = points(0, 0, 1e-9, 0) },
		"fan says nothing":    func(q *Question) { item(t, q, "bottom-fans").Part.Kind = &v1.Part_Fan{Fan: &v1.Fan{}} },
		"humped curve":        func(q *Question) { fan(q).Curve = points(0, 12, 20, 7, 40, 9, 115, 0) },
		"sealed box": func(q *Question) {
			for _, p := range item(t, q, "enclosure").Part.GetChassis().Panels {
				p.Openings = nil
			}
		},
		"sealed box without fans": func(q *Question) {
			for _, p := range item(t, q, "enclosure").Part.GetChassis().Panels {
				p.Openings = nil
			}
			for _, id := range []string{"bottom-fans", "rear-fan", "cooler", "card", "supply"} {
				speed(q, id, 0)
			}
		},
		"one fan against all others": func(q *Question) {
			flow(q, "bottom-fans", v1.Flow_FLOW_INTAKE)
			flow(q, "rear-fan", v1.Flow_FLOW_INTAKE)
			speed(q, "supply", 0)
			speed(q, "bottom-fans", 1200)
			speed(q, "rear-fan", 450)
		},
		"8,000 m": func(q *Question) { q.Build.Room.AltitudeM = proto.Float64(8000) },
		"-40 °C":  func(q *Question) { q.Build.Room.TemperatureC = proto.Float64(-40) },
		"+60 °C":  func(q *Question) { q.Build.Room.TemperatureC = proto.Float64(60) },
		"2 kW":    func(q *Question) { draw(q, "processor", 1000); draw(q, "card", 1000) },
		"2 kW and nothing turns": func(q *Question) {
			draw(q, "processor", 1000)
			draw(q, "card", 1000)
			for _, id := range []string{"bottom-fans", "rear-fan", "cooler", "card", "supply"} {
				speed(q, id, 0)
			}
		},
		"no room": func(q *Question) { q.Build.Room = nil },
		"ends of resistances": func(q *Question) {
			item(t, q, "cooler").Part.GetAirCooler().Resistances = []*v1.ResistancePoint{
				{SpeedRpm: proto.Float64(1000), ResistanceKPerW: proto.Float64(1e-300)}, {SpeedRpm: proto.Float64(1000), ResistanceKPerW: proto.Float64(100)}}
		},
		"resistance that rises with speed": func(q *Question) {
			item(t, q, "cooler").Part.GetAirCooler().Resistances = []*v1.ResistancePoint{
				{SpeedRpm: proto.Float64(500), ResistanceKPerW: proto.Float64(0.1)}, {SpeedRpm: proto.Float64(1500), ResistanceKPerW: proto.Float64(0.3)}}
		},
		"boxes far away": func(q *Question) {
			for _, b := range q.Arrangement.Boxes {
				b.Extent.Corner.XMm = proto.Float64(4900)
			}
		},
		"boxes that fill everything": func(q *Question) {
			for _, b := range q.Arrangement.Boxes {
				b.Extent = &v1.Extent{Corner: &v1.Point{}, SizeXMm: proto.Float64(344), SizeYMm: proto.Float64(187), SizeZMm: proto.Float64(268)}
			}
		},
		"panels as thick as the box": func(q *Question) {
			for _, p := range item(t, q, "enclosure").Part.GetChassis().Panels {
				p.Extent.SizeXMm, p.Extent.SizeYMm, p.Extent.SizeZMm = proto.Float64(344), proto.Float64(187), proto.Float64(268)
			}
		},
		"thousandth of a millimetre": func(q *Question) {
			for _, p := range item(t, q, "enclosure").Part.GetChassis().Panels {
				for _, o := range p.Openings {
					o.Extent.SizeXMm, o.Extent.SizeYMm, o.Extent.SizeZMm = proto.Float64(1e-3), proto.Float64(1e-3), proto.Float64(1e-3)
				}
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			q := machine(t, "archive-editor")
			change(&q)
			p, s := new(Plan), new(State)
			if err := p.Read(q); err != nil {
				if !strings.Contains(err.Error(), " ") {
					t.Errorf("the refusal %q is no sentence", err)
				}
				return
			}
			var o Outlook
			if err := p.Forecast(Prior(), &o); err != nil {
				t.Logf("not solved: %v", err)
				return
			}
			*s = o.Nominal
			keepsBooks(t, p, s)
			keepsBooks(t, p, &o.Warm)
			keepsBooks(t, p, &o.Cool)
			p.Quietest(Places{}, 5)
			for _, w := range p.Tryouts(Prior(), &o) {
				if !finite(w.ChangeK.Nominal) || !finite(w.ChangeDB.Nominal) {
					t.Errorf("%s: %+v", w.Action, w)
				}
			}
		})
	}
}

// Absent parts are told in a sentence.
func TestRefusals(t *testing.T) {
	none := func(q *Question) { q.Build.Items = q.Build.Items[1:] }
	bare := func(q *Question) {
		item(t, q, "enclosure").Part.Kind = &v1.Part_Chassis{Chassis: &v1.Chassis{WidthMm: proto.Float64(190)}}
	}
	sizeless := func(q *Question) {
		item(t, q, "enclosure").Part.Kind = &v1.Part_Chassis{Chassis: &v1.Chassis{OpenAreaCm2: proto.Float64(300)}}
	}
	for want, change := range map[string]func(*Question){
		"names no enclosure": none, "open area": bare, "width, height and depth": sizeless,
	} {
		q := machine(t, "archive-editor")
		change(&q)
		if err := new(Plan).Read(q); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want a sentence with %q", err, want)
		}
	}
}

// What parts leave free in a plane, against counting the cells of a grid.
func TestFreeAreaAgainstAGrid(t *testing.T) {
	face := rect{0, 100, 0, 60}
	for _, covers := range [][]rect{
		nil,
		{{10, 30, 10, 30}},
		{{10, 30, 10, 30}, {20, 40, 20, 50}},
		{{-50, 50, -50, 20}, {40, 200, 10, 40}, {45, 55, 0, 60}, {10, 30, 10, 30}},
		{{0, 100, 0, 60}},
		{{-10, 110, 5, 10}, {-10, 110, 7, 20}, {50, 51, -5, 70}},
	} {
		var a areas
		for _, c := range covers {
			a.cover(c)
		}
		free := 0
		for u := range 1000 {
			for v := range 600 {
				x, y := float64(u)/10+0.05, float64(v)/10+0.05
				covered := false
				for _, c := range covers {
					covered = covered || c.u0 < x && x < c.u1 && c.v0 < y && y < c.v1
				}
				if !covered {
					free++
				}
			}
		}
		if got, want := a.free(face), float64(free)/100; got < want-0.5 || got > want+0.5 {
			t.Errorf("%v leave %.2f mm2 free, the grid counts %.2f", covers, got, want)
		}
		if len(a.covers) != 0 {
			t.Error("the covers of one face stay for the next")
		}
	}
}

// The least noise is that of a search over a grid of speeds, and meets the limits.
func TestQuietestAgainstAGrid(t *testing.T) {
	q := machine(t, "archive-editor")
	draw(&q, "processor", 200)
	draw(&q, "card", 260)
	p, s := solved(t, q)
	const margin = 5
	set, ok := p.Quietest(Places{}, margin)
	if !ok || !set.Reachable {
		t.Fatalf("no setting was found: %+v", set)
	}
	limits := func(speeds []float64) bool {
		if err := p.Solve(Places{}, speeds, s); err != nil {
			t.Fatal(err)
		}
		for i := range p.chips {
			if s.ChipRiseK[i] > *p.chips[i].limitC-margin-p.Room.TemperatureC+0.01 {
				return false
			}
		}
		return true
	}
	if !limits(set.RPM) {
		t.Error("the speeds that were found miss a limit")
	}
	var n Noise
	p.Sounds(set.RPM, 0, &n)
	found := n.Machine.Nominal
	best := 1e9
	shares := []float64{0.25, 0.4, 0.55, 0.7, 0.85, 1}
	var steered []int
	for i, s := range set.Steered {
		if s {
			steered = append(steered, i)
		}
	}
	speeds := append([]float64(nil), set.RPM...)
	var walk func(k int)
	walk = func(k int) {
		if k == len(steered) {
			p.Sounds(speeds, 0, &n)
			if n.Machine.Nominal < best && limits(speeds) {
				best = n.Machine.Nominal
			}
			return
		}
		m := &p.motors[steered[k]]
		for _, share := range shares {
			speeds[steered[k]] = max(share*m.maxRPM, m.minRPM)
			walk(k + 1)
		}
	}
	walk(0)
	if found > best+0.1 {
		t.Errorf("the search finds %.2f dB(A), a coarse grid %.2f", found, best)
	}
	if found < best-6 {
		t.Errorf("the search finds %.2f dB(A), far below the grid's %.2f: does it keep the limits?", found, best)
	}
}

// BenchmarkSolve times one state of machines from nothing, the reading of the build
// apart, and the quietest speeds.
func BenchmarkSolve(b *testing.B) {
	for _, name := range machines {
		q := machine(b, name)
		p, s := read(b, q), new(State)
		b.Run(name+"/read", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := p.Read(q); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(name+"/air-and-heat", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := p.Solve(Places{}, nil, s); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(s.Rounds), "rounds")
		})
		b.Run(name+"/quietest", func(b *testing.B) {
			solves := 0
			for b.Loop() {
				set, _ := p.Quietest(Places{}, 5)
				solves = set.Solves
			}
			b.ReportMetric(float64(solves), "states")
		})
	}
}
