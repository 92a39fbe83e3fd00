package climate

import (
	"math"

	"slipfit.example/rules/air"
	"slipfit.example/rules/sound"
)

// Noise is the sound of a plan at the listener.
type Noise struct {
	Levels  []air.Range // by motor, dB(A); meaningless where not Heard
	Heard   []bool      // it turns and its level is known
	Machine air.Range   // of all together
	Reading air.Range   // with the room's floor
	Known   bool        // every source that turns is known
	HasRoom bool        // the floor is known
	Unknown []string    // items whose sound is not known
	Silent  bool        // nothing turns
}

// uncertainDB is how far a published level may be off both ways: makers' rooms
// differ (common practice, no source). enclosedDB is what walls and openings do to
// it in the enclosure.
const (
	uncertainDB = 1.5
	enclosedDB  = 1.5
)

// usualListenerM stands in for a listener nobody placed.
const usualListenerM = 1.0

// narrow takes the range of levels in to what a calibration leaves of the
// coefficient Sound.
func (n *Noise) narrow(b Belief) {
	if b.Nominal[Sound] == 0 && b.Warm[Sound] == Together {
		return // nothing was measured
	}
	down, up := reachDB*(b.Nominal[Sound]-b.Cool[Sound])/Together, reachDB*(b.Warm[Sound]-b.Nominal[Sound])/Together
	for _, r := range [...]*air.Range{&n.Machine, &n.Reading} {
		r.Low, r.High = max(r.Low, r.Nominal-down), min(r.High, r.Nominal+up)
	}
}

// Sounds works out levels at some speeds; nil are those of the build. place is that
// of the coefficient Sound.
func (p *Plan) Sounds(speeds []float64, place float64, out *Noise) {
	*out = Noise{Levels: out.Levels[:0], Heard: out.Heard[:0], Unknown: out.Unknown[:0], Known: true}
	listener := float64(usualListenerM)
	room := p.q.Build.GetRoom()
	if room != nil && room.ListenerM != nil {
		listener = *room.ListenerM
	}
	power := [3]float64{}
	any := false
	for i := range p.motors {
		m := &p.motors[i]
		rpm := p.rpmOf(i, speeds)
		level, known, turns := m.level(rpm, listener)
		level = shiftLevel(level, place)
		out.Levels, out.Heard = append(out.Levels, level), append(out.Heard, known && turns)
		switch {
		case !turns:
		case !known:
			out.Known = false
			out.Unknown = append(out.Unknown, m.item)
		default:
			any = true
			power[0] += math.Pow(10, level.Low/10)
			power[1] += math.Pow(10, level.Nominal/10)
			power[2] += math.Pow(10, level.High/10)
		}
	}
	out.Silent = !any
	if any {
		out.Machine = air.Range{Low: 10 * math.Log10(power[0]), Nominal: 10 * math.Log10(power[1]), High: 10 * math.Log10(power[2])}
	}
	if room != nil && room.NoiseFloorDba != nil {
		out.HasRoom = true
		floor := *room.NoiseFloorDba
		out.Reading = air.Range{Low: floor, Nominal: floor, High: floor}
		if any {
			out.Reading = air.Range{Low: reading(out.Machine.Low, floor), Nominal: reading(out.Machine.Nominal, floor), High: reading(out.Machine.High, floor)}
		}
	}
}

// reachDB is how far the coefficient Sound reaches from its middle to an end.
const reachDB = 3

// shiftLevel moves a level to a place of the coefficient Sound; the range moves
// along.
func shiftLevel(r air.Range, place float64) air.Range {
	return air.Range{Low: r.Low + reachDB*place, Nominal: r.Nominal + reachDB*place, High: r.High + reachDB*place}
}

func reading(machine, floor float64) float64 {
	v, err := sound.Reading(machine, floor)
	if err != nil {
		return max(machine, floor)
	}
	return v
}

// level is a motor's level at a speed and a distance, all its fans together. turns
// is false where it stands still.
func (m *motor) level(rpm, listenerM float64) (level air.Range, known, turns bool) {
	if m.kind != pump && rpm < 1 {
		return air.Range{}, true, false
	}
	if m.kind == pump && len(m.points) == 0 {
		return air.Range{}, false, false // nothing says that it sounds
	}
	base, spread, ok := m.atSpeed(rpm)
	if !ok {
		return air.Range{}, false, true
	}
	if away, err := sound.AtDistance(base, 1, listenerM); err == nil {
		base = away
	}
	if !m.whole {
		base += 10 * math.Log10(float64(max(1, m.count)))
	}
	off := math.Sqrt(uncertainDB*uncertainDB + enclosedDB*enclosedDB)
	return air.Range{Low: base + m.tight.Low - off - spread, Nominal: base + m.tight.Nominal, High: base + m.tight.High + off + spread}, true, true
}

// atSpeed is the level at 1 m and a speed by the published points: between two of
// them straight over the logarithm of speed, beyond them by the speed law. spread
// is what that law leaves open.
func (m *motor) atSpeed(rpm float64) (db, spread float64, ok bool) {
	type point struct{ rpm, db float64 }
	var below, above, lowest, highest point
	for _, n := range m.points {
		pt := point{m.maxRPM, n.GetLevelDba()}
		if n.SpeedRpm != nil {
			pt.rpm = *n.SpeedRpm
		}
		if n.DistanceM != nil {
			if at, err := sound.AtDistance(pt.db, *n.DistanceM, 1); err == nil {
				pt.db = at
			}
		}
		if m.kind == pump {
			return pt.db, 0, true
		}
		if pt.rpm <= 0 {
			continue
		}
		if pt.rpm <= rpm && pt.rpm > below.rpm {
			below = pt
		}
		if pt.rpm >= rpm && (above.rpm == 0 || pt.rpm < above.rpm) {
			above = pt
		}
		if lowest.rpm == 0 || pt.rpm < lowest.rpm {
			lowest = pt
		}
		if pt.rpm > highest.rpm {
			highest = pt
		}
	}
	if lowest.rpm == 0 {
		return 0, 0, false
	}
	if below.rpm > 0 && above.rpm > 0 {
		if above.rpm == below.rpm {
			return below.db, 0, true
		}
		t := math.Log(rpm/below.rpm) / math.Log(above.rpm/below.rpm)
		return below.db + t*(above.db-below.db), 0, true
	}
	from := highest
	if below.rpm == 0 {
		from = lowest
	}
	exponent, err := sound.FitSpeedExponent(lowest.rpm, lowest.db, highest.rpm, highest.db)
	open := 0.0
	if err != nil {
		exponent, open = sound.SpeedExponent.Nominal, sound.SpeedExponent.High-sound.SpeedExponent.Nominal
	}
	lg := math.Log10(max(rpm, 0.02*from.rpm) / from.rpm)
	return from.db + exponent*lg, math.Abs(open*lg) / 2, true
}
