package climate

import (
	"math"
	"sort"
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/air"
)

// Tryout is what one change would bring, with the speeds as they are.
type Tryout struct {
	Action   string
	Changes  Changes
	ChangeK  air.Range // of the die that comes closest to its limit
	ChangeDB air.Range
}

// hottest is the rise of the die that comes closest to its limit, 0 where none has
// one.
func (p *Plan) hottest(s *State) (chip int, ok bool) {
	least := math.Inf(1)
	for i := range p.chips {
		c := &p.chips[i]
		if !c.known {
			continue
		}
		limit := 95.0
		if c.limitC != nil {
			limit = *c.limitC
		}
		if left := limit - s.ChipRiseK[i]; left < least {
			least, chip, ok = left, i, true
		}
	}
	return chip, ok
}

// Tryouts solves the build once for each change that could be made and tells what
// it brings, the most helpful first. Every fan in a panel is tried the other way
// round.
func (p *Plan) Tryouts(b Belief, now *Outlook) []Tryout {
	chip, ok := p.hottest(&now.Nominal)
	if !ok {
		return nil
	}
	var list []Tryout
	var other Plan
	var then Outlook
	for _, t := range p.candidates() {
		q := p.q
		q.Changes = t.Changes
		if other.Read(q) != nil || other.Forecast(b, &then) != nil || len(other.chips) != len(p.chips) {
			continue
		}
		d := then.Nominal.ChipRiseK[chip] - now.Nominal.ChipRiseK[chip]
		t.ChangeK = span(d, then.Cool.ChipRiseK[chip]-now.Cool.ChipRiseK[chip], then.Warm.ChipRiseK[chip]-now.Warm.ChipRiseK[chip])
		db := then.Noise.Machine.Nominal - now.Noise.Machine.Nominal
		t.ChangeDB = air.Range{Low: db, Nominal: db, High: db}
		if t.Changes.Turned != "" || math.Abs(d) >= 0.05 {
			list = append(list, t)
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].ChangeK.Nominal < list[j].ChangeK.Nominal })
	return list
}

// feetTriedMM is the height of feet that are tried, as sold.
const feetTriedMM = 20

func (p *Plan) candidates() []Tryout {
	var list []Tryout
	for i := range p.motors {
		m := &p.motors[i]
		if m.kind != caseFan && m.kind != loopFan || m.flow == 0 || m.rpm < 1 {
			continue
		}
		word := "in"
		if m.flow == v1.Flow_FLOW_INTAKE {
			word = "out"
		}
		list = append(list, Tryout{Action: "Turn " + m.item + " round, to blow " + word + ".", Changes: Changes{Turned: m.item}})
	}
	for i := range p.openings {
		if p.openings[i].cover == "filter" {
			list = append(list, Tryout{Action: "Take the dust filter off; clean the inside more often then.", Changes: Changes{Unfiltered: true}})
			break
		}
	}
	if p.beneath >= 0 {
		list = append(list, Tryout{Action: "Put feet of " + strconv.Itoa(feetTriedMM) + " mm under it.", Changes: Changes{FeetMM: feetTriedMM}})
	}
	return append(list, p.freeMounts()...)
}

// freeMounts are one more fan at each mount that is not used, both ways.
func (p *Plan) freeMounts() []Tryout {
	var list []Tryout
	for _, m := range p.layout.GetMounts() {
		if m.GetKind() != v1.MountKind_MOUNT_KIND_FAN || p.used(m) {
			continue
		}
		like := p.likeFor(m)
		if like == "" {
			continue
		}
		for _, flow := range [...]v1.Flow{v1.Flow_FLOW_INTAKE, v1.Flow_FLOW_EXHAUST} {
			word := " that blows in."
			if flow == v1.Flow_FLOW_EXHAUST {
				word = " that blows out."
			}
			list = append(list, Tryout{
				Action:  "Add a fan like " + like + " at " + m.GetId() + word,
				Changes: Changes{AddedMount: m.GetId(), Like: like, Flow: flow},
			})
		}
	}
	return list
}

// used tells whether a mount, or one that excludes it, has a part.
func (p *Plan) used(m *v1.Mount) bool {
	for _, s := range p.q.Arrangement.GetSeats() {
		if s.GetMount() == m.GetId() {
			return true
		}
		for _, x := range m.GetExcludes() {
			if s.GetMount() == x {
				return true
			}
		}
		for _, x := range p.mount(s.GetMount()).GetExcludes() {
			if x == m.GetId() {
				return true
			}
		}
	}
	return len(p.q.Arrangement.GetSeats()) == 0
}

// likeFor is a fan of the build that the mount takes, or any of a panel's fans
// where sizes differ: then the one nearest in size.
func (p *Plan) likeFor(m *v1.Mount) string {
	best, least := "", math.Inf(1)
	for i := range p.motors {
		mo := &p.motors[i]
		if mo.kind != caseFan || mo.rpm < 1 || mo.sizeMM == 0 {
			continue
		}
		for _, size := range m.GetSizesMm() {
			if d := math.Abs(float64(size) - mo.sizeMM); d < least {
				best, least = mo.item, d
			}
		}
	}
	if least > 0.1 {
		return ""
	}
	return best
}

// Sweep is the state at a share of all steered speeds.
type Sweep struct {
	Share   float64
	RiseK   air.Range // of the hottest die
	Machine air.Range // dB(A) at the listener
}

// SweepSpeeds solves the build at shares of the greatest speeds. ok is false where
// neither rise nor sound is known. The die is the one that is hottest now.
func (p *Plan) SweepSpeeds(b Belief, now *Outlook, shares []float64) (list []Sweep, item string, ok bool) {
	chip, ok := p.hottest(&now.Nominal)
	if !ok || !now.Noise.Known {
		return nil, "", false
	}
	speeds := make([]float64, len(p.motors))
	var cool, nominal, warm State
	var n Noise
	for _, share := range shares {
		for i := range p.motors {
			m := &p.motors[i]
			speeds[i] = m.rpm
			if m.steered {
				speeds[i] = max(share*m.maxRPM, m.minRPM)
			}
		}
		if p.Solve(b.Nominal, speeds, &nominal) != nil || p.Solve(b.Cool, speeds, &cool) != nil || p.Solve(b.Warm, speeds, &warm) != nil {
			continue
		}
		p.Sounds(speeds, b.Nominal[Sound], &n)
		list = append(list, Sweep{Share: share, RiseK: span(nominal.ChipRiseK[chip], cool.ChipRiseK[chip], warm.ChipRiseK[chip]), Machine: n.Machine})
	}
	return list, p.chips[chip].item, len(list) > 1
}

// Motor is a motor as settings name it.
type Motor struct {
	Item        string
	MaxRPM, RPM float64
	MinRPM      float64
	OfCard      bool
}

// Motor is one of them.
func (p *Plan) Motor(i int) Motor {
	m := &p.motors[i]
	return Motor{Item: m.item, MaxRPM: m.maxRPM, MinRPM: m.minRPM, RPM: m.rpm, OfCard: m.kind == cardFan}
}
