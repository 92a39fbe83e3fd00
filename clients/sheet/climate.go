package sheet

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
)

type forecast struct {
	Reason   string // why there is no solution
	Points   []heatPoint
	Level    string
	Machine  string
	WarmUp   string
	Sound    []sound
	Branches []branch // the greatest flows
	// MoreBranches is how many are left out.
	MoreBranches int
}

type heatPoint struct {
	Item, Of, Celsius, Limit string
	Over                     bool
}

type sound struct{ Item, Level, Speed string }

type branch struct{ Name, Flow string }

func (v *view) readForecast(f *v1.Forecast) {
	out := &forecast{Reason: plain(f.GetReason())}
	if f.Solved != nil && !f.GetSolved() && out.Reason == "" {
		out.Reason = "No solution was found."
	}
	for _, p := range f.GetPoints() {
		h := heatPoint{Item: v.name(p.GetItem()), Of: plain(p.GetOf()), Celsius: span(p.GetTemperatureC()), Limit: "–"}
		if p.GetTemperatureC() == nil && p.GetRiseK() != nil {
			h.Celsius = "room + " + span(p.GetRiseK())
		}
		if p.LimitC != nil {
			h.Limit = number(p.GetLimitC())
			h.Over = p.GetTemperatureC().GetHigh() > p.GetLimitC()
		}
		out.Points = append(out.Points, h)
	}
	out.Level, out.Machine, out.WarmUp = withUnit(f.GetLevelDba(), "dB(A)"), withUnit(f.GetMachineDba(), "dB(A)"), withUnit(f.GetWarmUpMin(), "min")
	for _, s := range f.GetSources() {
		one := sound{Item: v.name(s.GetItem()), Level: span(s.GetLevelDba()), Speed: "–"}
		if s.SpeedRpm != nil {
			one.Speed = number(round(s.GetSpeedRpm()))
		}
		out.Sound = append(out.Sound, one)
	}
	for i, b := range byFlow(f.GetBranches()) {
		if i == mostBranches {
			out.MoreBranches = len(f.GetBranches()) - mostBranches
			break
		}
		name := plain(b.GetId())
		if b.GetItem() != "" {
			name = v.name(b.GetItem())
		}
		out.Branches = append(out.Branches, branch{name + ": " + plain(b.GetFrom()) + " to " + plain(b.GetTo()), span(b.GetFlowM3H())})
	}
	v.Forecast = out
}

// mostBranches is how many ways of air the page shows.
const mostBranches = 10

// byFlow are the ways of air, the greatest flow first.
func byFlow(list []*v1.AirBranch) []*v1.AirBranch {
	out := slices.Clone(list)
	slices.SortStableFunc(out, func(a, b *v1.AirBranch) int {
		return cmp.Compare(math.Abs(b.GetFlowM3H().GetNominal()), math.Abs(a.GetFlowM3H().GetNominal()))
	})
	return out
}

type settings struct {
	Reachable    bool
	Level        string
	Speeds       []sound
	Improvements []string
}

func (v *view) readSettings(s *v1.Settings) {
	out := &settings{Reachable: s.GetReachable(), Level: withUnit(s.GetLevelDba(), "dB(A)")}
	for _, f := range s.GetSpeeds() {
		out.Speeds = append(out.Speeds, sound{Item: v.name(f.GetItem()), Speed: number(round(f.GetSpeedRpm()))})
	}
	for _, i := range s.GetImprovements() {
		var by []string
		if i.GetChangeK() != nil {
			by = append(by, withUnit(i.GetChangeK(), "K"))
		}
		if i.GetChangeDb() != nil {
			by = append(by, withUnit(i.GetChangeDb(), "dB"))
		}
		text := plain(i.GetAction())
		if len(by) > 0 {
			text += " (" + strings.Join(by, ", ") + ")"
		}
		out.Improvements = append(out.Improvements, text)
	}
	v.Settings = out
}

type power struct {
	Sustained, Heat, Mains string
	Missing                int
	Items                  []draw
	Connectors             []connector
	Rails                  []draw
}

type draw struct{ Name, Value, Of string }

// connector is one plug with what each rail in it carries.
type connector struct {
	Item, Connector string
	Rails           []railIn
}

type railIn struct{ Rail, Contact, Volt, Wire string }

func (v *view) readDemand(d *v1.BuildDemand) {
	p := v.power()
	p.Sustained = spanOf(d.SustainedW, d.SustainedLowW, d.SustainedHighW, "W")
	if d.SupplyHeatW != nil {
		p.Heat = number(round(d.GetSupplyHeatW())) + " W"
	}
	if d.MainsW != nil {
		p.Mains = number(round(d.GetMainsW())) + " W"
	}
	if d.MainsA != nil {
		p.Mains = strings.TrimPrefix(p.Mains+", "+number(d.GetMainsA())+" A", ", ")
	}
	p.Missing = len(d.GetMissing())
	for _, i := range d.GetItems() {
		p.Items = append(p.Items, draw{Name: v.name(i.GetItem()), Value: number(round(i.GetSustainedW()))})
	}
}

func (v *view) readCircuit(c *v1.Circuit) {
	p := v.power()
	for _, r := range c.GetRails() {
		d := draw{Name: cmp.Or(railNames[r.GetRail()], plain(r.GetRail())), Value: number(r.GetCurrentA()), Of: "–"}
		if r.RatedA != nil {
			d.Of = number(r.GetRatedA())
		}
		p.Rails = append(p.Rails, d)
	}
	for _, k := range c.GetConnectors() {
		item, plug := v.name(k.GetItem()), plain(k.GetConnector())
		if n := len(p.Connectors); n == 0 || p.Connectors[n-1].Item != item || p.Connectors[n-1].Connector != plug {
			p.Connectors = append(p.Connectors, connector{Item: item, Connector: plug})
		}
		last := &p.Connectors[len(p.Connectors)-1]
		last.Rails = append(last.Rails, railOf(k))
	}
}

func railOf(k *v1.ConnectorLoad) railIn {
	one := railIn{Rail: "–", Contact: number(k.GetContactA()), Volt: "–", Wire: "–"}
	if k.GetRail() != "" {
		one.Rail = cmp.Or(railNames[k.GetRail()], plain(k.GetRail()))
	}
	if k.ContactRatedA != nil {
		one.Contact += " of " + number(k.GetContactRatedA())
	}
	if k.VoltageV != nil {
		one.Volt = number(k.GetVoltageV())
	}
	if k.WireC != nil {
		one.Wire = number(round(k.GetWireC()))
	}
	return one
}

// railNames are the rails as people write them.
var railNames = map[string]string{"12v": "12 V", "5v": "5 V", "3v3": "3.3 V", "5vsb": "5 V standby", "-12v": "−12 V", "ground": "return"}

func (v *view) power() *power {
	if v.Power == nil {
		v.Power = &power{}
	}
	return v.Power
}

func round(x float64) float64 { return math.Round(x) }

// span prints a value with its range: "62 (55 to 70)".
func span(s *v1.Span) string {
	if s == nil || s.Nominal == nil {
		return "–"
	}
	return spanOf(s.Nominal, s.Low, s.High, "")
}

func spanOf(nominal, low, high *float64, unit string) string {
	if nominal == nil {
		return "–"
	}
	one := func(x float64) string {
		text := strconv.FormatFloat(x, 'f', decimals(x), 64)
		if strings.Trim(text, "-0.") == "" {
			return "0"
		}
		return strings.Replace(text, "-", "−", 1)
	}
	text := one(*nominal)
	if low != nil && high != nil && *low != *high {
		text += " (" + one(*low) + " to " + one(*high) + ")"
	}
	if unit != "" {
		text += " " + unit
	}
	return text
}

// decimals is one below a hundred, else none.
func decimals(x float64) int {
	if x < 100 && x > -100 && x != math.Trunc(x) {
		return 1
	}
	return 0
}

func withUnit(s *v1.Span, unit string) string {
	if s == nil || s.Nominal == nil {
		return ""
	}
	return span(s) + " " + unit
}
