package fitting

import (
	"fmt"
	"math"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/sound"
	"slipfit.example/rules/thermal/climate"
)

// trial is one run with the network that stands for it.
type trial struct {
	name     string
	plan     climate.Plan
	state    climate.State
	noise    climate.Noise
	readings []reading
	watts    float64
	run      *v1.MeasuredRun
	alone    *Alone
}

type reading struct {
	item, of, unit string
	read, sigma    float64
}

// Usual uncertainties of readings, as ends of ranges (two standard deviations):
// sensors of processors and drives are good to a few kelvins, level meters to half a
// decibel where they are read twice (common practice, no source).
const (
	usualKelvin  = 3.0
	usualDecibel = 1.0
)

// nearlySettled is the share of the warm-up time from which a reading counts as
// steady.
const nearlySettled = 0.8

func nameOf(run *v1.MeasuredRun, i int) string {
	if run.GetId() != "" {
		return run.GetId()
	}
	return fmt.Sprintf("run-%d", i+1)
}

// newTrial makes the network of a run and sorts out readings that cannot be right.
func newTrial(s Subject, run *v1.MeasuredRun, i int) (*trial, []Note, error) {
	t := &trial{name: nameOf(run, i), run: run}
	if run.RoomTemperatureC == nil {
		return nil, nil, fmt.Errorf("the run says no temperature of the room; without it a reading means nothing")
	}
	build, demand := asRun(s, run)
	if err := t.plan.Read(climate.Question{Build: build, Arrangement: s.Arrangement, Demand: demand}); err != nil {
		return nil, nil, err
	}
	t.watts = demand.GetSustainedW()
	if err := t.forecast(climate.Places{}); err != nil {
		return nil, nil, err
	}
	var notes []Note
	note := func(left bool, format string, args ...any) {
		notes = append(notes, Note{Run: t.name, Left: left, Text: fmt.Sprintf(format, args...)})
	}
	if t.steady(note) {
		t.takeTemperatures(note)
	}
	t.takeNoise(note)
	return t, notes, nil
}

// asRun is the build as it stood in a run: its room, loads and speeds.
func asRun(s Subject, run *v1.MeasuredRun) (*v1.Build, *v1.BuildDemand) {
	b := &v1.Build{Id: s.Build.Id, Title: s.Build.Title, Items: s.Build.Items, Arrangement: s.Build.Arrangement}
	room := &v1.Room{}
	if s.Build.Room != nil {
		room = proto.Clone(s.Build.Room).(*v1.Room)
	}
	room.TemperatureC, room.NoiseFloorDba = run.RoomTemperatureC, run.NoiseFloorDba
	if run.MeterM != nil {
		room.ListenerM = run.MeterM
	}
	use := &v1.Use{}
	if s.Build.Use != nil {
		use = proto.Clone(s.Build.Use).(*v1.Use)
	}
	for _, f := range run.Fans {
		use.Fans = append([]*v1.FanSetting{f}, use.Fans...)
	}
	b.Room, b.Use = room, use
	demand := &v1.BuildDemand{}
	if s.Demand != nil {
		demand = proto.Clone(s.Demand).(*v1.BuildDemand)
	}
	for _, l := range run.Loads {
		setDraw(b, demand, l)
	}
	return b, demand
}

// setDraw sets what an item draws in a run.
func setDraw(b *v1.Build, demand *v1.BuildDemand, l *v1.Load) {
	pieces := 1.0
	for _, it := range b.Items {
		if it.GetId() == l.GetItem() {
			pieces = float64(max(1, it.GetCount()))
		}
	}
	watts := l.GetPowerW() * pieces
	for _, d := range demand.Items {
		if d.GetItem() == l.GetItem() {
			demand.SustainedW = proto.Float64(demand.GetSustainedW() + watts - d.GetSustainedW())
			d.SustainedW = &watts
			return
		}
	}
	demand.Items = append(demand.Items, &v1.ItemDemand{Item: l.Item, SustainedW: &watts})
	demand.SustainedW = proto.Float64(demand.GetSustainedW() + watts)
}

type noting func(left bool, format string, args ...any)

// steady tells whether the run lasted long enough.
func (t *trial) steady(note noting) bool {
	if len(t.run.Temperatures) == 0 {
		return false
	}
	minutes, err := t.plan.WarmUp(climate.Places{}, &t.state)
	if err != nil {
		note(false, "How long it takes to warm up is not known; its temperatures count as steady.")
		return true
	}
	switch {
	case t.run.DurationMin == nil:
		note(false, "The run does not say how long it lasted; its temperatures count as steady. Warming up takes about %.0f minutes.", minutes)
	case *t.run.DurationMin < nearlySettled*minutes:
		note(true, "After %.0f minutes the machine was still warming up, which takes about %.0f minutes; its temperatures are left out.", *t.run.DurationMin, minutes)
		return false
	}
	return true
}

func (t *trial) takeTemperatures(note noting) {
	room := t.run.GetRoomTemperatureC()
	for _, r := range t.run.Temperatures {
		if _, ok := t.plan.RiseOf(r.GetItem(), r.GetOf(), &t.state); !ok {
			note(true, "The forecast knows no %s of %s; the reading is left out.", r.GetOf(), r.GetItem())
			continue
		}
		off := usualKelvin
		if r.UncertaintyK != nil {
			off = max(*r.UncertaintyK, 0.1)
		}
		rise := r.GetTemperatureC() - room
		if rise < -off/2 {
			note(true, "The %s of %s reads %.1f degrees in a room of %.1f: nothing in it cools below the room. Check which thermometer is off.",
				r.GetOf(), r.GetItem(), r.GetTemperatureC(), room)
			continue
		}
		t.readings = append(t.readings, reading{r.GetItem(), r.GetOf(), "K", rise, off / 2})
	}
}

// leastOverFloor is how far a reading must lie above the floor to say anything.
const leastOverFloor = 0.3

func (t *trial) takeNoise(note noting) {
	if t.run.NoiseDba == nil {
		return
	}
	level := *t.run.NoiseDba
	switch {
	case t.run.NoiseFloorDba == nil:
		note(true, "The level of %.1f dB(A) comes without the room's own; read the meter once with the machine off.", level)
		return
	case level < *t.run.NoiseFloorDba:
		note(true, "With the machine running the meter read %.1f dB(A), below the %.1f of the room alone; that cannot be.", level, *t.run.NoiseFloorDba)
		return
	case level < *t.run.NoiseFloorDba+leastOverFloor:
		note(true, "The machine lifts the meter by less than %.1f dB; the reading says only that it is quieter than the room.", leastOverFloor)
		return
	case !t.noise.Known:
		note(true, "Not every source has a published sound, so that the level has no forecast to compare with.")
		return
	}
	t.takeAlone(level)
	off := usualDecibel
	if t.run.NoiseUncertaintyDb != nil {
		off = max(2**t.run.NoiseUncertaintyDb, 0.1)
	}
	t.readings = append(t.readings, reading{"machine", "sound", "dB(A)", level, off / 2})
}

// takeAlone takes the room off a level, with half a decibel for each reading where
// the run does not say.
func (t *trial) takeAlone(level float64) {
	off := usualDecibel / 2
	if t.run.NoiseUncertaintyDb != nil {
		off = *t.run.NoiseUncertaintyDb
	}
	r, bound, err := sound.Alone(level, *t.run.NoiseFloorDba, min(off, 5))
	if err == nil {
		t.alone = &Alone{Run: t.name, Nominal: r.Nominal, Low: r.Low, High: r.High, UpperBound: bound}
	}
}

// forecast solves the run's network.
func (t *trial) forecast(at climate.Places) error {
	t.plan.Sounds(nil, at[climate.Sound], &t.noise)
	if err := t.plan.Solve(at, nil, &t.state); err != nil {
		return fmt.Errorf("%s: %w", t.name, err)
	}
	return nil
}

// value is the forecast of a reading.
func (t *trial) value(r *reading) float64 {
	if r.unit != "K" {
		return t.noise.Reading.Nominal
	}
	v, ok := t.plan.RiseOf(r.item, r.of, &t.state)
	if !ok {
		return math.NaN() // cannot be: it was there when the reading was taken in
	}
	return v
}
