package fitting

import (
	"fmt"
	"math"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/thermal/climate"
)

// Subject is the build that was measured, with what packs worked out for it.
type Subject struct {
	Build       *v1.Build
	Arrangement *v1.Arrangement
	Demand      *v1.BuildDemand
	// Version is that of the pack thermal, which the coefficients belong to.
	Version string
}

// Note is something to know about a run.
type Note struct {
	Run  string
	Text string
	// Left tells that the reading, or the run, was left out.
	Left bool
}

// Reading is one reading beside its forecast.
type Reading struct {
	Run, Item, Of string
	// Unit is "K" for temperatures above the room, "dB(A)" for sound.
	Unit          string
	Read          float64
	Before, After float64 // forecast without and with the calibration
	Uncertainty   float64 // one standard deviation of the reading
}

// Alone is a reading of a meter freed from the room's own sound.
type Alone struct {
	Run string
	// Nominal, Low and High are dB(A) at the meter.
	Nominal, Low, High float64
	// UpperBound tells that the room is too loud for more than "at most so much".
	UpperBound bool
}

// Report is what a fit did.
type Report struct {
	Calibration *v1.Calibration
	Readings    []Reading
	Notes       []Note
	// Alone is what the machine makes by itself in each run, the room taken off.
	Alone []Alone
	// Told is, by coefficient name, the share of its prior variance that the runs
	// took away.
	Told map[string]float64
	// Holds says in words where the calibration may be trusted.
	Holds string
}

// priorSigma is the standard deviation of a place: the ends of a range are two of
// them from its middle.
const priorSigma = 0.5

// mostPlace bounds places.
const mostPlace = 2.5

// apartBelow is the correlation from which two coefficients cannot be told apart.
const apartBelow = 0.8

// heldFrom is the share of its prior variance that runs must take from a
// coefficient for the calibration to carry it.
const heldFrom = 0.1

// Calibrate fits a build's forecast to runs. It returns an error where no reading
// can be used.
func Calibrate(s Subject, runs []*v1.MeasuredRun) (Report, error) {
	var out Report
	var trials []*trial
	for i, run := range runs {
		t, notes, err := newTrial(s, run, i)
		out.Notes = append(out.Notes, notes...)
		if err != nil {
			out.Notes = append(out.Notes, Note{Run: nameOf(run, i), Text: err.Error(), Left: true})
			continue
		}
		if len(t.readings) > 0 {
			trials = append(trials, t)
		}
		if t.alone != nil {
			out.Alone = append(out.Alone, *t.alone)
		}
	}
	count := 0
	for _, t := range trials {
		count += len(t.readings)
	}
	if count == 0 {
		return out, fmt.Errorf("none of the runs has a reading that can be used; the notes say why")
	}
	solution, err := fit(trials, count)
	if err != nil {
		return out, err
	}
	return out.conclude(s, trials, solution)
}

func fit(trials []*trial, count int) (Solution, error) {
	p := Problem{Count: count, Step: 2e-3}
	for c := range climate.CoefficientCount {
		p.Unknowns = append(p.Unknowns, Unknown{Name: c.String(), Low: -mostPlace, High: mostPlace, Prior: priorSigma})
	}
	p.Residuals = func(x, out []float64) error {
		var at climate.Places
		copy(at[:], x)
		k := 0
		for _, t := range trials {
			if err := t.forecast(at); err != nil {
				return err
			}
			for _, r := range t.readings {
				out[k] = (t.value(&r) - r.read) / r.sigma
				k++
			}
		}
		return nil
	}
	return Least(p)
}

// conclude turns a solution into a calibration.
func (out *Report) conclude(s Subject, trials []*trial, solution Solution) (Report, error) {
	cal := &v1.Calibration{Build: s.Build.Id, Version: &s.Version}
	if id := s.Build.GetId(); id != "" {
		cal.Id = &id
	}
	out.Told = map[string]float64{}
	for c := range climate.CoefficientCount {
		out.Told[c.String()] = solution.Told[c]
		if solution.Told[c] < heldFrom {
			continue
		}
		name, place, sigma := c.String(), round(solution.X[c]), solution.Sigma[c]
		low, high := round(place-2*sigma), round(place+2*sigma)
		cal.Coefficients = append(cal.Coefficients, &v1.Coefficient{Name: &name, Place: &place, Low: &low, High: &high})
		for d := c + 1; d < climate.CoefficientCount; d++ {
			if r := solution.Correlation[c][d]; math.Abs(r) >= apartBelow && solution.Told[d] >= heldFrom {
				first, second, r := c.String(), d.String(), round(r)
				cal.Together = append(cal.Together, &v1.CoefficientPair{First: &first, Second: &second, Correlation: &r})
			}
		}
	}
	for _, t := range trials {
		cal.Runs = append(cal.Runs, t.name)
	}
	if err := out.compare(trials, solution.X); err != nil {
		return *out, err
	}
	out.residuals(cal)
	out.Calibration, out.Holds = cal, holds(trials)
	return *out, nil
}

func round(v float64) float64 { return math.Round(v*1e4) / 1e4 }

// compare puts every reading beside its forecast, before and after.
func (out *Report) compare(trials []*trial, x []float64) error {
	var after climate.Places
	copy(after[:], x)
	for _, t := range trials {
		if err := t.forecast(climate.Places{}); err != nil {
			return err
		}
		from := len(out.Readings)
		for _, r := range t.readings {
			out.Readings = append(out.Readings, Reading{
				Run: t.name, Item: r.item, Of: r.of, Unit: r.unit, Read: r.read, Before: t.value(&r), Uncertainty: r.sigma,
			})
		}
		if err := t.forecast(after); err != nil {
			return err
		}
		for i, r := range t.readings {
			out.Readings[from+i].After = t.value(&r)
		}
	}
	return nil
}

func (out *Report) residuals(cal *v1.Calibration) {
	sum, n := map[string]float64{}, map[string]float64{}
	for _, r := range out.Readings {
		sum[r.Unit] += (r.After - r.Read) * (r.After - r.Read)
		n[r.Unit]++
	}
	if n["K"] > 0 {
		cal.ResidualK = proto.Float64(round(math.Sqrt(sum["K"] / n["K"])))
	}
	if n["dB(A)"] > 0 {
		cal.ResidualDb = proto.Float64(round(math.Sqrt(sum["dB(A)"] / n["dB(A)"])))
	}
}

// holds says between which heats the runs lie: beyond them a calibration guesses.
func holds(trials []*trial) string {
	low, high := math.Inf(1), 0.0
	for _, t := range trials {
		low, high = min(low, t.watts), max(high, t.watts)
	}
	if len(trials) == 1 {
		return fmt.Sprintf("One run, at %.0f W in all: other loads and speeds follow the laws alone. Two runs far apart would hold them too.", low)
	}
	return fmt.Sprintf("It holds between %.0f and %.0f W in all, for the parts and the arrangement that were measured; "+
		"another fan, cooler or layout changes coefficients that were fitted.", low, high)
}
