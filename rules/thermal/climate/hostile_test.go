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
