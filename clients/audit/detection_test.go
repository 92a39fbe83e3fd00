package audit

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
)

// maker invents catalogue entries the way a market looks: rows of things as they
// are sold (common practice, no source), scattered by a few percent. It knows
// nothing of how the audit judges.
type maker struct{ *rand.Rand }

func (m maker) about(v, share float64) *float64 {
	x := v * (1 + share*(2*m.Float64()-1))
	x = math.Round(x*10) / 10
	return &x
}

func (m maker) of(v ...float64) float64 { return v[m.IntN(len(v))] }

func count32(v float64) *uint32 { return proto.Uint32(uint32(v)) }

// soldFans are frame, hole pitch, speed, flow and pressure of fans.
var soldFans = [][6]float64{
	{40, 32, 20, 6000, 13, 44}, {60, 50, 25, 3800, 35, 36}, {80, 71.5, 25, 2200, 58, 22}, {80, 71.5, 15, 2000, 42, 15}, {92, 82.5, 25, 2000, 78, 21},
	{92, 82.5, 14, 2300, 47, 15}, {120, 105, 25, 1500, 94, 17}, {120, 105, 25, 2000, 120, 30}, {120, 105, 15, 1800, 75, 15.5}, {120, 105, 25, 800, 52, 5.2},
	{140, 124.5, 25, 1200, 125, 14}, {140, 124.5, 25, 1600, 160, 24}, {200, 154, 30, 700, 190, 9}, {120, 105, 38, 2600, 190, 62}, {140, 125, 27, 900, 98, 8.5},
}

func (m maker) fan() *v1.Part {
	r := soldFans[m.IntN(len(soldFans))]
	speed := 0.9 + 0.2*m.Float64()
	f := &v1.Fan{
		SizeMm: count32(r[0]), HolePitchMm: proto.Float64(r[1]), ThicknessMm: proto.Float64(r[2]), MaxSpeedRpm: m.about(r[3]*speed, 0),
		MaxFlowM3H: m.about(r[4]*speed, 0.1), MaxPressurePa: m.about(r[5]*speed*speed, 0.15), LeadMm: proto.Float64(m.of(200, 300, 400, 500)),
	}
	return &v1.Part{MassG: m.about(r[0]*r[0]*r[2]/1000*0.46, 0.25), Kind: &v1.Part_Fan{Fan: f}}
}

func (m maker) card() *v1.Part {
	slots := m.of(1, 2, 2, 2, 3, 3, 4)
	thick := map[float64]float64{1: 18, 2: 40, 3: 58, 4: 76}[slots]
	watts := map[float64][]float64{1: {50, 65}, 2: {115, 160, 200, 220}, 3: {220, 285, 320}, 4: {320, 450, 575}}[slots]
	w := watts[m.IntN(len(watts))]
	var sockets []*v1.PowerSocket
	switch {
	case w > 350:
		sockets = []*v1.PowerSocket{{Connector: proto.String("12v-2x6")}}
	case w > 210:
		sockets = []*v1.PowerSocket{{Connector: proto.String("pcie-8"), Count: proto.Uint32(2)}}
	case w > 70:
		sockets = []*v1.PowerSocket{{Connector: proto.String("pcie-8")}}
	}
	c := &v1.Card{
		LengthMm: m.about(map[float64]float64{1: 165, 2: 245, 3: 305, 4: 335}[slots], 0.09), HeightMm: m.about(122, 0.08),
		ThicknessMm: m.about(thick, 0.04), Slots: count32(slots), PowerSockets: sockets,
		Demand:       &v1.Demand{IdleW: m.about(w/18, 0.2), SustainedW: m.about(w, 0.02)},
		AskedSupplyW: proto.Float64(math.Ceil((w+300)/50) * 50),
	}
	volume := *c.LengthMm * *c.HeightMm * *c.ThicknessMm / 1000
	return &v1.Part{MassG: m.about(volume*0.8, 0.25), Kind: &v1.Part_Card{Card: c}}
}

func (m maker) cooler() *v1.Part {
	rows := [][4]float64{{37, 95, 95, 65}, {47, 95, 95, 95}, {67, 120, 114, 130}, {125, 95, 92, 140}, {155, 125, 73, 180}, {158, 120, 138, 220}, {165, 150, 161, 250}}
	r := rows[m.IntN(len(rows))]
	rise := 45.
	a := &v1.AirCooler{
		HeightMm: m.about(r[0], 0.02), WidthMm: m.about(r[1], 0.03), DepthMm: m.about(r[2], 0.03), RatedHeatW: m.about(r[3], 0.05), RatedRiseK: &rise,
		Resistances: []*v1.ResistancePoint{{SpeedRpm: proto.Float64(1500), ResistanceKPerW: proto.Float64(rise / r[3] * (0.9 + 0.2*m.Float64()))}},
	}
	return &v1.Part{MassG: m.about(r[0]*r[1]*r[2]/1000*0.62, 0.3), Kind: &v1.Part_AirCooler{AirCooler: a}}
}

func (m maker) supply() *v1.Part {
	rows := []struct {
		form          string
		width, height float64
		lengths       []float64
		ratings       []float64
	}{
		{"sfx", 125, 63.5, []float64{100}, []float64{450, 600, 750, 850}}, {"sfx-l", 125, 63.5, []float64{130}, []float64{600, 800, 1000}},
		{"atx-ps2", 150, 86, []float64{140, 150, 160, 180}, []float64{450, 550, 750, 850, 1000, 1200}},
	}
	r := rows[m.IntN(len(rows))]
	rated := r.ratings[m.IntN(len(r.ratings))]
	s := &v1.Supply{
		FormFactor: &r.form, WidthMm: &r.width, HeightMm: &r.height, LengthMm: proto.Float64(r.lengths[m.IntN(len(r.lengths))]), RatedW: &rated,
		Rails: []*v1.RailRating{{Rail: proto.String("12v"), CurrentA: m.about(rated/12, 0.01)}},
	}
	return &v1.Part{MassG: m.about(r.width*r.height**s.LengthMm/1000*1.1, 0.25), Kind: &v1.Part_Supply{Supply: s}}
}

func (m maker) board() *v1.Part {
	rows := []struct {
		form string
		w, d float64
	}{{"mini-itx", 170, 170}, {"micro-atx", 244, 244}, {"micro-atx", 244, 230}, {"atx", 305, 244}}
	r := rows[m.IntN(len(rows))]
	b := &v1.Board{FormFactor: &r.form, WidthMm: &r.w, DepthMm: &r.d, SocketSurroundMm: m.about(36, 0.2)}
	return &v1.Part{MassG: m.about(r.w*r.d/100*2.2, 0.3), Kind: &v1.Part_Board{Board: b}}
}

func (m maker) memory() *v1.Part {
	modules := m.of(1, 2, 2, 4)
	return &v1.Part{MassG: m.about(modules*m.of(22, 35, 45), 0.1), Kind: &v1.Part_Memory{Memory: &v1.Memory{
		Kind: proto.String("ddr5"), Module: proto.String("udimm"), Modules: count32(modules), HeightMm: m.about(m.of(31.3, 33, 40, 44, 52), 0.01),
		Demand: &v1.Demand{SustainedW: m.about(5, 0.3)},
	}}}
}

func (m maker) chassis() *v1.Part {
	w, h, d := *m.about(m.of(120, 170, 190, 215), 0.05), *m.about(m.of(210, 270, 330, 400), 0.05), *m.about(m.of(300, 350, 410), 0.05)
	c := &v1.Chassis{WidthMm: &w, HeightMm: &h, DepthMm: &d, VolumeL: m.about(w*h*d/1e6, 0.04), Limits: &v1.ChassisLimits{
		CardLengthMm: m.about(min(max(h, d)*0.93, 330), 0.02), CardThicknessMm: m.about(m.of(42, 62, 80), 0.03),
		CoolerHeightMm: m.about(min(w*0.75, 168), 0.05), SupplyLengthMm: m.about(m.of(130, 150, 180), 0.05),
	}}
	return &v1.Part{MassG: m.about(w*h*d/1e6*230, 0.3), Kind: &v1.Part_Chassis{Chassis: c}}
}

func (m maker) radiator() *v1.Part {
	rows := [][3]float64{{120, 155, 120}, {240, 274, 120}, {360, 396, 120}, {280, 315, 140}, {420, 455, 140}}
	r := rows[m.IntN(len(rows))]
	return &v1.Part{Kind: &v1.Part_Radiator{Radiator: &v1.Radiator{
		NominalMm: count32(r[0]), LengthMm: m.about(r[1], 0.01), WidthMm: m.about(r[2], 0.01), ThicknessMm: m.about(m.of(27, 30, 38, 45), 0.02),
	}}}
}

func (m maker) drive() *v1.Part {
	switch m.IntN(3) {
	case 0:
		g := m.of(3, 4, 5)
		return &v1.Part{MassG: m.about(8, 0.2), Kind: &v1.Part_Drive{Drive: &v1.Drive{
			FormFactor: proto.String("m2"), HeightMm: m.about(m.of(2.3, 3.5, 11), 0.02), Bus: proto.String("pcie"), Generation: count32(g), Lanes: proto.Uint32(4),
			ReadGbs: m.about(map[float64]float64{3: 3.2, 4: 6.6, 5: 12}[g], 0.08),
		}}}
	case 1:
		return &v1.Part{MassG: m.about(50, 0.2), Kind: &v1.Part_Drive{Drive: &v1.Drive{
			FormFactor: proto.String("2.5-inch"), HeightMm: m.about(7, 0.01), Bus: proto.String("sata"), ReadGbs: m.about(0.5, 0.1),
		}}}
	default:
		return &v1.Part{MassG: m.about(680, 0.1), Kind: &v1.Part_Drive{Drive: &v1.Drive{
			FormFactor: proto.String("3.5-inch"), HeightMm: m.about(26.1, 0), Bus: proto.String("sata"), ReadGbs: m.about(0.2, 0),
		}}}
	}
}

func (m maker) cable() *v1.Part {
	return &v1.Part{Kind: &v1.Part_Cable{Cable: &v1.Cable{
		DiameterMm: m.about(m.of(6, 8, 10), 0.05), Ends: []*v1.CableEnd{{Connector: proto.String("cpu-8"), LengthMm: proto.Float64(m.of(300, 450, 600, 750))}},
	}}}
}

func (m maker) loop() *v1.Part {
	n := m.of(120, 240, 280, 360)
	frame := 120.
	if n == 280 {
		frame = 140
	}
	return &v1.Part{MassG: m.about(n*5, 0.15), Kind: &v1.Part_LiquidLoop{LiquidLoop: &v1.LiquidLoop{
		Radiator:      &v1.Radiator{NominalMm: count32(n), LengthMm: m.about(n+35, 0.01), WidthMm: m.about(frame, 0.01), ThicknessMm: m.about(27, 0.02)},
		BlockHeightMm: m.about(m.of(45, 55, 75), 0.05), TubeLengthMm: m.about(m.of(300, 400, 450), 0.05),
	}}}
}

func (m maker) entry() *v1.Part {
	kinds := []func() *v1.Part{m.fan, m.card, m.cooler, m.supply, m.board, m.memory, m.chassis, m.radiator, m.drive, m.cable, m.loop}
	return kinds[m.IntN(len(kinds))]()
}

// slot is one figure of an entry that may be typed wrongly.
type slot struct {
	path  string
	m     protoreflect.Message
	field protoreflect.FieldDescriptor
}

// slots are all figures of an entry whose names end in a unit that people slip in.
func slots(m protoreflect.Message, path string) (out []slot) {
	m.Range(func(f protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		at := path + string(f.Name())
		switch {
		case f.IsList() && f.Message() != nil:
			for i := range v.List().Len() {
				out = append(out, slots(v.List().Get(i).Message(), at+"["+string(rune('0'+i))+"].")...)
			}
		case f.Message() != nil:
			out = append(out, slots(v.Message(), at+".")...)
		case f.Kind() == protoreflect.DoubleKind && v.Float() > 0:
			for _, unit := range []string{"_mm", "_g", "_w", "_l", "_m3h", "_pa", "_rpm", "_gbs"} {
				if strings.HasSuffix(at, unit) {
					out = append(out, slot{at, m, f})
				}
			}
		}
		return true
	})
	return out
}

// slip types one figure wrongly: an inch for a millimetre or the other way, a
// centimetre, a decimal point one place off. It gives the path and the true value.
func (m maker) slip(part *v1.Part) (path string, truth float64) {
	all := slots(part.ProtoReflect(), "")
	// The order of a message's fields is not defined; that of a draw must be.
	for i := range all {
		for j := i + 1; j < len(all); j++ {
			if all[j].path < all[i].path {
				all[i], all[j] = all[j], all[i]
			}
		}
	}
	s := all[m.IntN(len(all))]
	truth = s.m.Get(s.field).Float()
	factors := []float64{10, 0.1}
	if strings.HasSuffix(s.path, "_mm") {
		factors = []float64{10, 0.1, 0.1, 1 / 25.4, 1 / 25.4, 25.4}
	}
	typed := truth * factors[m.IntN(len(factors))]
	typed = math.Round(typed*1000) / 1000
	s.m.Set(s.field, protoreflect.ValueOfFloat64(typed))
	return s.path, truth
}

// Of 5000 entries every other has one figure typed wrongly. What counts is the
// figure itself: an accusation of another figure of the same entry is a false one.
func TestSlipsAreFoundAndNothingElse(t *testing.T) {
	const entries = 5000
	a := auditor(t)
	m := maker{rand.New(rand.NewPCG(20260114, 9))}
	var planted, found, accused, right, suggested, meant int
	missed, wrong := map[string]int{}, map[string]int{}
	for i := range entries {
		part := m.entry()
		var path string
		var truth float64
		if i%2 == 1 {
			path, truth = m.slip(part)
			planted++
		}
		r, err := a.Entry(part)
		if err != nil {
			t.Fatal(err)
		}
		figures := map[string]*v1.Quantity{}
		for _, remark := range r.Remarks {
			if remark.Verdict == v1.Verdict_VERDICT_FAIL && figures[remark.Path] == nil {
				figures[remark.Path] = remark.Suggested
			}
		}
		hit := false
		for figure, suggestion := range figures {
			accused++
			if figure != path {
				wrong[figure]++
				continue
			}
			hit = true
			right++
			if suggestion != nil {
				suggested++
				if math.Abs(suggestion.GetNominal()/truth-1) < 0.02 {
					meant++
				}
			}
		}
		switch {
		case hit:
			found++
		case path != "":
			missed[path]++
		}
	}
	recall, precision := float64(found)/float64(planted), float64(right)/float64(accused)
	t.Logf("%d slips: recall %.4f, precision %.4f; %d values suggested, %d of them the true one", planted, recall, precision, suggested, meant)
	t.Logf("missed %v", missed)
	t.Logf("wrongly accused %v", wrong)
	if recall < 0.95 || precision < 0.98 {
		t.Errorf("recall %.4f, precision %.4f; want 0.95 and 0.98", recall, precision)
	}
	if share := float64(meant) / float64(suggested); share < 0.95 {
		t.Errorf("of the suggested values only %.3f are true", share)
	}
}
