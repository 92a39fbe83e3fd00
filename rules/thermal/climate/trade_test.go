package climate

import (
	"math"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
)

// What follows is custom of the trade: readings that reviewers of such machines call
// ordinary (common practice, no source). The bands are as wide as theirs.

// Sixteen cores at full load under a large twin tower at 800 rpm lie 53 K above the
// room in an enclosure of 18 litres.
func TestSixteenCoresUnderATwinTower(t *testing.T) {
	q := machine(t, "archive-editor")
	draw(&q, "processor", 165)
	draw(&q, "card", 20)
	speed(&q, "cooler", 800)
	p, s := solved(t, q)
	if got := rise(t, p, s, "processor", "die"); got < 45 || got > 63 {
		t.Errorf("the die lies %.1f K above the room, the trade reads about 53", got)
	}
}

// A better cooler and better airflow together gain some 12 K.
func TestBetterCoolerAndAirGainTwelveKelvin(t *testing.T) {
	better := machine(t, "archive-editor")
	draw(&better, "processor", 165)
	worse := clone(better)
	for _, r := range item(t, &worse, "cooler").Part.GetAirCooler().Resistances {
		r.ResistanceKPerW = proto.Float64(1.35 * r.GetResistanceKPerW())
	}
	speed(&worse, "bottom-fans", 300)
	speed(&worse, "rear-fan", 600)
	p, s := solved(t, better)
	pw, sw := solved(t, worse)
	if gain := rise(t, pw, sw, "processor", "die") - rise(t, p, s, "processor", "die"); gain < 7 || gain > 20 {
		t.Errorf("cooler and air gain %.1f K, the trade believes 12", gain)
	}
}

// Feet of 20 mm more help fans that draw from beneath.
func TestFeetHelpBottomIntakes(t *testing.T) {
	q := machine(t, "archive-editor")
	p, s := solved(t, q)
	q.Changes.FeetMM = 20
	ph, sh := solved(t, q)
	low, high := throughFan(p, s, "bottom-fans"), throughFan(ph, sh, "bottom-fans")
	if high < 1.03*low || high > 2*low {
		t.Errorf("20 mm of feet change the bottom fans from %.1f to %.1f m3/h", low, high)
	}
	for _, id := range []string{"processor", "card"} {
		if before, after := rise(t, p, s, id, "die"), rise(t, ph, sh, id, "die"); after >= before {
			t.Errorf("%s does not get cooler: %.2f K before, %.2f K after", id, before, after)
		}
	}
	// More of it brings less and less.
	q.Changes.FeetMM = 40
	pt, st := solved(t, q)
	if second := throughFan(pt, st, "bottom-fans") - high; second >= high-low {
		t.Errorf("the second 20 mm bring %.2f m3/h, the first %.2f", second, high-low)
	}
}

// A side intake mixes the room's air into what the card has warmed: the cooler
// breathes cooler air than before, and warmer than the room's.
func TestSideIntakeMixesRoomAir(t *testing.T) {
	q := machine(t, "archive-editor")
	p, s := solved(t, q)
	with := clone(q)
	fan := proto.Clone(item(t, &q, "rear-fan")).(*v1.Item)
	fan.Id = proto.String("side-fan")
	with.Build.Items = append(with.Build.Items, fan)
	with.Arrangement.Seats = append(with.Arrangement.Seats, &v1.Seat{
		Item: fan.Id, Mount: proto.String("fan-side"), Flow: v1.Flow_FLOW_INTAKE.Enum(), Panel: proto.String("right"),
	})
	with.Arrangement.Boxes = append(with.Arrangement.Boxes, &v1.PlacedBox{Item: fan.Id, Purpose: v1.Purpose_PURPOSE_SOLID.Enum(), Extent: &v1.Extent{
		Corner:  &v1.Point{XMm: proto.Float64(150), YMm: proto.Float64(0), ZMm: proto.Float64(140)},
		SizeXMm: proto.Float64(120), SizeYMm: proto.Float64(15), SizeZMm: proto.Float64(120),
	}})
	speed(&with, "side-fan", 1200)
	pw, sw := solved(t, with)
	before, after := s.IntakeK[0], sw.IntakeK[0]
	if after >= before-0.5 || after <= 0.2 {
		t.Errorf("the cooler's air lies %.1f K above the room without the side fan and %.1f K with it", before, after)
	}
	if rise(t, pw, sw, "processor", "die") >= rise(t, p, s, "processor", "die") {
		t.Error("a side intake does not make the processor cooler")
	}
}

// Over a floor of 34 dB a machine that makes 38.7 to 39 dB reads just above 40, and a
// side fan of 38 to 40 dB lifts the reading to 42 to 43.
func TestSideFanLiftsTheReading(t *testing.T) {
	q := machine(t, "archive-editor")
	q.Build.Room.NoiseFloorDba, q.Build.Room.ListenerM = proto.Float64(34), proto.Float64(1)
	alone := func(id string, level float64) motor {
		return motor{item: id, kind: pump, whole: true, count: 1, points: []*v1.NoisePoint{{LevelDba: &level}}}
	}
	p := Plan{q: q}
	p.motors = []motor{alone("machine", 38.9)}
	var n Noise
	p.Sounds(nil, 0, &n)
	if n.Reading.Nominal < 40 || n.Reading.Nominal > 40.4 {
		t.Errorf("the meter reads %.2f dB, the trade just above 40", n.Reading.Nominal)
	}
	for _, level := range []float64{38, 40} {
		p.motors = []motor{alone("machine", 38.9), alone("side", level)}
		p.Sounds(nil, 0, &n)
		if n.Reading.Nominal < 41.8 || n.Reading.Nominal > 43.2 {
			t.Errorf("with a side fan of %.0f dB the meter reads %.2f, the trade 42 to 43", level, n.Reading.Nominal)
		}
	}
}

// Two fans set 50 rpm apart, at 1475 and 1525, do not drone as two alike do: their
// tones differ by 5.8 Hz, those of two alike by next to nothing, which swells.
func TestFansSetApartDoNotDrone(t *testing.T) {
	fan := func(id string, rpm float64, count int) motor {
		return motor{item: id, kind: caseFan, rpm: rpm, maxRPM: 1800, count: count, blades: 7}
	}
	p := Plan{motors: []motor{fan("left", 1475, 1), fan("right", 1525, 1)}}
	heard := Noise{Levels: make([]air.Range, 2), Heard: []bool{true, true}}
	for i := range heard.Levels {
		heard.Levels[i].Nominal = 30
	}
	pairs := p.Beats(&heard, nil)
	if len(pairs) != 1 || math.Abs(pairs[0].Hz-7*50.0/60) > 1e-9 {
		t.Fatalf("pairs %+v, want one that beats 5.83 times a second", pairs)
	}
	if h := pairs[0].Beat.Hearing.String(); h == "" || pairs[0].OffsetRPM < 70 || pairs[0].OffsetRPM > 90 {
		t.Errorf("heard %q, %g rpm more take it away; 130 rpm in all are asked for with seven blades", h, pairs[0].OffsetRPM)
	}
	p.motors = []motor{fan("pair", 1500, 2)}
	alike := p.Beats(&heard, nil)
	if len(alike) != 1 || alike[0].First != alike[0].Second || alike[0].Beat.Hearing == pairs[0].Beat.Hearing {
		t.Errorf("two alike: %+v", alike)
	}
}

// Warming up takes a good quarter of an hour: ten minutes are too few for a reading.
func TestTenMinutesAreTooFew(t *testing.T) {
	p, s := solved(t, machine(t, "archive-editor"))
	minutes, err := p.WarmUp(Places{}, s)
	if err != nil {
		t.Fatal(err)
	}
	if minutes < 10 || minutes > 120 {
		t.Errorf("it takes %.1f minutes to come within 1 K", minutes)
	}
}

// A part that comes closer to the fans' outlet takes flow and adds noise (common
// practice, no source); fins of a cooler there take none.
func TestSomethingCloseBeforeAFan(t *testing.T) {
	q := machine(t, "archive-editor")
	breath := func(item string, axis int, mm float64) {
		for _, b := range q.Arrangement.Boxes {
			if b.GetItem() != item || b.GetPurpose() != v1.Purpose_PURPOSE_BREATH {
				continue
			}
			if axis == 0 {
				b.Extent.SizeXMm = &mm
				b.Extent.Corner.XMm = proto.Float64(19.1 - mm) // where the fins begin
			} else {
				b.Extent.SizeZMm = &mm
			}
		}
	}
	state := func(item string) (m3h, dba float64) {
		p, s := solved(t, q)
		var n Noise
		p.Sounds(nil, 0, &n)
		for i := range p.motors {
			if p.motors[i].item == item {
				dba = n.Levels[i].Nominal
			}
		}
		return throughFan(p, s, item), dba
	}
	free, quiet := state("bottom-fans")
	breath("bottom-fans", 2, 6)
	tight, loud := state("bottom-fans")
	if tight >= 0.9*free || loud <= quiet-0.01 {
		t.Errorf("6 mm before the bottom fans: %.1f m3/h after %.1f, %.1f dB(A) after %.1f", tight, free, loud, quiet)
	}
	far, quiet := state("rear-fan")
	breath("rear-fan", 0, 1)
	near, loud := state("rear-fan")
	if near < 0.99*far || loud <= quiet {
		t.Errorf("fins 1 mm before the rear fan: %.1f m3/h after %.1f, %.1f dB(A) after %.1f", near, far, loud, quiet)
	}
}

// A calibration of sound narrows what a meter may read.
func TestMeasuredSoundNarrowsTheRange(t *testing.T) {
	p := read(t, machine(t, "archive-editor"))
	var before, after Outlook
	if err := p.Forecast(Prior(), &before); err != nil {
		t.Fatal(err)
	}
	b := Calibrated(&v1.Calibration{Coefficients: []*v1.Coefficient{
		{Name: proto.String("sound"), Place: proto.Float64(0.2), Low: proto.Float64(0.1), High: proto.Float64(0.3)}}})
	if err := p.Forecast(b, &after); err != nil {
		t.Fatal(err)
	}
	if got := after.Noise.Machine.Nominal - before.Noise.Machine.Nominal; math.Abs(got-0.2*reachDB) > 1e-9 {
		t.Errorf("the level moves by %g dB", got)
	}
	if w := after.Noise.Machine.High - after.Noise.Machine.Low; w > 2*0.1*reachDB+1e-9 {
		t.Errorf("the range is %g dB wide", w)
	}
}
