package fitting

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/thermal/climate"
)

// editor is the archive's editing machine.
func editor(t testing.TB) Subject {
	t.Helper()
	data, err := os.ReadFile("../thermal/testdata/archive-editor.json")
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
	s := Subject{Build: new(v1.Build), Version: "0.1.0"}
	if err := protojson.Unmarshal(file.Build, s.Build); err != nil {
		t.Fatal(err)
	}
	for _, raw := range file.Facts {
		fact := new(v1.Fact)
		if err := protojson.Unmarshal(raw, fact); err != nil {
			t.Fatal(err)
		}
		if a := fact.GetArrangement(); a != nil {
			s.Arrangement = a
		}
		if d := fact.GetDemand(); d != nil {
			s.Demand = d
		}
	}
	return s
}

// measured makes the run that a machine would give whose coefficients lie at known
// places.
func measured(t testing.TB, s Subject, id string, truth climate.Places, loads, fans map[string]float64) *v1.MeasuredRun {
	t.Helper()
	run := &v1.MeasuredRun{Id: &id, RoomTemperatureC: proto.Float64(22), DurationMin: proto.Float64(120),
		NoiseFloorDba: proto.Float64(18), MeterM: proto.Float64(0.8), NoiseUncertaintyDb: proto.Float64(0.2)}
	for _, name := range []string{"processor", "card"} {
		if w, ok := loads[name]; ok {
			run.Loads = append(run.Loads, &v1.Load{Item: &name, PowerW: &w})
		}
	}
	for _, name := range []string{"cooler", "rear-fan", "bottom-fans", "card"} {
		if rpm, ok := fans[name]; ok {
			run.Fans = append(run.Fans, &v1.FanSetting{Item: &name, SpeedRpm: &rpm})
		}
	}
	build, demand := asRun(s, run)
	tr := &trial{name: id}
	if err := tr.plan.Read(climate.Question{Build: build, Arrangement: s.Arrangement, Demand: demand}); err != nil {
		t.Fatal(err)
	}
	if err := tr.forecast(truth); err != nil {
		t.Fatal(err)
	}
	run.NoiseDba = proto.Float64(tr.noise.Reading.Nominal)
	for _, r := range [][2]string{{"processor", "die"}, {"card", "die"}, {"memory", "memory"}, {"system-drive", "drive"}, {"top", "panel"}} {
		v, ok := tr.plan.RiseOf(r[0], r[1], &tr.state)
		if !ok {
			t.Fatalf("nothing is known of %v", r)
		}
		run.Temperatures = append(run.Temperatures, &v1.TemperatureReading{Item: &r[0], Of: &r[1], TemperatureC: proto.Float64(22 + v), UncertaintyK: proto.Float64(0.4)})
	}
	return run
}

// A machine whose coefficients are known gives runs that find them again, as far as
// runs can settle them.
func TestCalibrateFindsWhatItWasMeasuredWith(t *testing.T) {
	s := editor(t)
	var truth climate.Places
	truth[climate.Card], truth[climate.Local], truth[climate.Sound], truth[climate.Lid] = 0.6, -0.5, 0.7, 0.8
	runs := []*v1.MeasuredRun{
		measured(t, s, "usual", truth, nil, nil),
		measured(t, s, "processor", truth, map[string]float64{"processor": 142, "card": 15}, map[string]float64{"cooler": 1500}),
		measured(t, s, "card", truth, map[string]float64{"processor": 30, "card": 220}, map[string]float64{"card": 2000, "bottom-fans": 1200}),
		measured(t, s, "slow", truth, map[string]float64{"processor": 60, "card": 60}, map[string]float64{"cooler": 500, "bottom-fans": 300, "rear-fan": 500}),
	}
	r, err := Calibrate(s, runs)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Notes) > 0 {
		t.Errorf("notes on readings that are right: %v", r.Notes)
	}
	if r.Calibration.GetResidualK() > 0.3 || r.Calibration.GetResidualDb() > 0.3 {
		t.Errorf("%g K and %g dB are left", r.Calibration.GetResidualK(), r.Calibration.GetResidualDb())
	}
	found := map[string]*v1.Coefficient{}
	for _, c := range r.Calibration.Coefficients {
		found[c.GetName()] = c
		place, _ := climate.CoefficientByName(c.GetName())
		if v := truth[place]; v < c.GetLow()-0.2 || v > c.GetHigh()+0.2 {
			t.Errorf("%s lies at %g, the fit says %g to %g", c.GetName(), v, c.GetLow(), c.GetHigh())
		}
	}
	for _, name := range []string{"card", "local", "sound"} {
		if found[name] == nil {
			t.Errorf("the runs settle nothing of %s", name)
		}
	}
	if c := found["sound"]; c != nil && math.Abs(c.GetPlace()-0.7) > 0.1 {
		t.Errorf("sound lies at %g, found at %g", 0.7, c.GetPlace())
	}
	for _, x := range r.Readings {
		if math.Abs(x.After-x.Read) > math.Abs(x.Before-x.Read)+1 {
			t.Errorf("%s of %s in %s fits worse than before: %+v", x.Of, x.Item, x.Run, x)
		}
	}
	if len(r.Alone) != len(runs) {
		t.Errorf("%d of %d levels are freed from the room", len(r.Alone), len(runs))
	}
	for _, a := range r.Alone {
		if a.Low > a.Nominal || a.Nominal > a.High {
			t.Errorf("the machine alone: %+v", a)
		}
	}
	if !strings.Contains(r.Holds, "W in all") {
		t.Errorf("where it holds: %q", r.Holds)
	}
}

// The forecast with the calibration is that of the fit.
func TestCalibrationMakesTheForecast(t *testing.T) {
	s := editor(t)
	var truth climate.Places
	truth[climate.Card], truth[climate.Sound] = 1, -0.5
	run := measured(t, s, "usual", truth, nil, nil)
	r, err := Calibrate(s, []*v1.MeasuredRun{run})
	if err != nil {
		t.Fatal(err)
	}
	build, demand := asRun(s, run)
	var p climate.Plan
	if err := p.Read(climate.Question{Build: build, Arrangement: s.Arrangement, Demand: demand}); err != nil {
		t.Fatal(err)
	}
	var o climate.Outlook
	if err := p.Forecast(climate.Calibrated(r.Calibration), &o); err != nil {
		t.Fatal(err)
	}
	got, _ := p.RiseOf("card", "die", &o.Nominal)
	for _, x := range r.Readings {
		// Coefficients of which the run tells next to nothing are not carried.
		if x.Item == "card" && math.Abs(got-x.After) > 1 {
			t.Errorf("the card lies %g K above the room with the calibration, %g K in the fit", got, x.After)
		}
	}
	if math.Abs(o.Noise.Reading.Nominal-run.GetNoiseDba()) > 0.5 {
		t.Errorf("the meter reads %g with the calibration, %g in the run", o.Noise.Reading.Nominal, run.GetNoiseDba())
	}
}

// Readings that cannot be right are told and left out.
func TestReadingsThatCannotBeRight(t *testing.T) {
	s := editor(t)
	for want, change := range map[string]func(*v1.MeasuredRun){
		"below the 18.0 of the room":     func(r *v1.MeasuredRun) { r.NoiseDba = proto.Float64(15) },
		"quieter than the room":          func(r *v1.MeasuredRun) { r.NoiseDba = proto.Float64(18.1) },
		"without the room's own":         func(r *v1.MeasuredRun) { r.NoiseFloorDba = nil },
		"nothing in it cools below":      func(r *v1.MeasuredRun) { r.Temperatures[0].TemperatureC = proto.Float64(5) },
		"still warming up":               func(r *v1.MeasuredRun) { r.DurationMin = proto.Float64(3) },
		"does not say how long":          func(r *v1.MeasuredRun) { r.DurationMin = nil },
		"knows no die of curtain":        func(r *v1.MeasuredRun) { r.Temperatures[0].Item = proto.String("curtain") },
		"says no temperature of the roo": func(r *v1.MeasuredRun) { r.RoomTemperatureC = nil },
	} {
		good := measured(t, s, "good", climate.Places{}, nil, nil)
		bad := measured(t, s, "bad", climate.Places{}, nil, nil)
		change(bad)
		r, err := Calibrate(s, []*v1.MeasuredRun{good, bad})
		if err != nil {
			t.Errorf("%s: %v", want, err)
			continue
		}
		told := false
		for _, n := range r.Notes {
			told = told || n.Run == "bad" && strings.Contains(n.Text, want)
		}
		if !told {
			t.Errorf("no note with %q in %v", want, r.Notes)
		}
		for _, c := range r.Calibration.Coefficients {
			if math.Abs(c.GetPlace()) > 0.2 {
				t.Errorf("%s: a reading that cannot be right moves %s to %g", want, c.GetName(), c.GetPlace())
			}
		}
	}
	empty := &v1.MeasuredRun{}
	if _, err := Calibrate(s, []*v1.MeasuredRun{empty}); err == nil || !strings.Contains(err.Error(), "none of the runs") {
		t.Errorf("a run without readings: %v", err)
	}
}

// Over a floor of 34 dB a reading just above 40 dB is a machine of 38.7 to 39 dB
// (common practice, no source).
func TestMachineAloneOverALoudFloor(t *testing.T) {
	s := editor(t)
	run := measured(t, s, "loud", climate.Places{}, nil, nil)
	run.NoiseFloorDba, run.NoiseDba, run.NoiseUncertaintyDb = proto.Float64(34), proto.Float64(40.05), proto.Float64(0)
	r, err := Calibrate(s, []*v1.MeasuredRun{run})
	if err != nil || len(r.Alone) != 1 {
		t.Fatalf("%v: %v", err, r.Alone)
	}
	if a := r.Alone[0]; a.Nominal < 38.7 || a.Nominal > 39 || a.UpperBound {
		t.Errorf("the machine alone: %+v", a)
	}
}
