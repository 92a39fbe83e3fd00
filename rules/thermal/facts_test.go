package thermal_test

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/thermal"
)

// lines are the findings of one rule without their margins.
func lines(response *v1.CheckResponse, rule string) (list []string) {
	for _, f := range response.Findings {
		if f.GetRule() == rule {
			f.Margin = nil
			list = append(list, kittest.Line(f))
		}
	}
	return list
}

func (m *machine) speed(id string, rpm float64) {
	m.build.Use.Fans = append([]*v1.FanSetting{{Item: &id, SpeedRpm: &rpm}}, m.build.Use.Fans...)
}

func TestDust(t *testing.T) {
	e := evaluator(t)
	for name, row := range map[string]struct {
		change func(*machine)
		want   string
	}{
		"fans behind the filter lead": {func(m *machine) { m.speed("bottom-fans", 1200) }, "PASS enclosure"},
		"what blows out leads":        {func(m *machine) { m.speed("bottom-fans", 250); m.speed("rear-fan", 1800) }, "MARGINAL enclosure"},
		"no fan behind the filter": {func(m *machine) {
			m.speed("bottom-fans", 0)
			m.speed("rear-fan", 1800)
		}, "PASS enclosure"},
		"no filter": {func(m *machine) {
			for _, p := range m.item("enclosure").Part.GetChassis().Panels {
				for _, o := range p.Openings {
					o.Covering = proto.String("perforated")
				}
			}
		}, ""},
	} {
		m := machineOf(t, "archive-editor")
		row.change(&m)
		response, _ := m.answer(t, e)
		if got := strings.Join(lines(response, "thermal.dust"), "; "); got != row.want {
			t.Errorf("%s: %q, want %q", name, got, row.want)
		}
	}
}

// The rules and the fact tell the same temperature.
func TestDieLimitIsThatOfTheForecast(t *testing.T) {
	m := machineOf(t, "archive-editor")
	response, facts := m.answer(t, evaluator(t), thermal.ForecastFact)
	for rule, item := range map[string]string{"thermal.die-limit": "processor", "thermal.card-limit": "card"} {
		var measured *v1.Quantity
		for _, f := range response.Findings {
			if f.GetRule() == rule {
				measured = f.Measured
			}
		}
		for _, p := range facts[thermal.ForecastFact].GetForecast().Points {
			if p.GetItem() == item && p.GetOf() == "die" && math.Abs(p.GetTemperatureC().GetNominal()-measured.GetNominal()) > 1e-9 {
				t.Errorf("%s says %g, the forecast %g", rule, measured.GetNominal(), p.GetTemperatureC().GetNominal())
			}
		}
	}
}

// A forecast is there even where heat is missing: air and sound then, and a reason.
func TestForecastWithoutAllHeat(t *testing.T) {
	m := machineOf(t, "archive-editor")
	m.demand().Missing = []string{"items[2].part.processor.demand.sustained_w"}
	_, facts := m.answer(t, evaluator(t), thermal.ForecastFact)
	f := facts[thermal.ForecastFact].GetForecast()
	if f.GetSolved() || f.GetReason() == "" || len(f.Points) > 0 || len(f.Branches) == 0 || f.GetLevelDba() == nil {
		t.Errorf("solved %v, reason %q, %d points, %d branches", f.GetSolved(), f.GetReason(), len(f.Points), len(f.Branches))
	}
}

func TestSettings(t *testing.T) {
	m := machineOf(t, "archive-editor")
	e := evaluator(t)
	if _, facts := m.answer(t, e); facts[thermal.SettingsFact] != nil || facts[thermal.ChartFact] != nil {
		t.Error("settings or chart come without being wanted")
	}
	_, facts := m.answer(t, e, thermal.SettingsFact, thermal.ForecastFact)
	s := facts[thermal.SettingsFact].GetSettings()
	if s == nil || !s.GetReachable() || len(s.Speeds) < 4 {
		t.Fatalf("settings %v", s)
	}
	now := facts[thermal.ForecastFact].GetForecast().GetLevelDba().GetNominal()
	if s.GetLevelDba().GetNominal() > now {
		t.Errorf("the quietest speeds make %g dB(A), those that are set %g", s.GetLevelDba().GetNominal(), now)
	}
	for _, sp := range s.Speeds {
		for i := 1; i < len(sp.Curve); i++ {
			a, b := sp.Curve[i-1], sp.Curve[i]
			if b.GetTemperatureC() <= a.GetTemperatureC() || b.GetSpeedRpm() < a.GetSpeedRpm() {
				t.Errorf("the curve of %s does not rise: %v", sp.GetItem(), sp.Curve)
			}
		}
	}
	turned, last := 0, math.Inf(-1)
	for _, i := range s.Improvements {
		if strings.HasPrefix(i.GetAction(), "Turn ") {
			turned++
		}
		if i.GetChangeK().GetNominal() < last {
			t.Errorf("%q helps more than what stands before it", i.GetAction())
		}
		last = i.GetChangeK().GetNominal()
	}
	if turned != 2 {
		t.Errorf("%d of 2 positions are judged both ways", turned)
	}
	// Limits that nothing reaches are said to be out of reach.
	m.item("processor").Part.GetProcessor().LimitC = proto.Float64(30)
	_, facts = m.answer(t, e, thermal.SettingsFact)
	if s := facts[thermal.SettingsFact].GetSettings(); s == nil || s.Reachable == nil || s.GetReachable() {
		t.Errorf("a limit of 30 degrees is reachable: %v", s)
	}
}

// The chart is well-formed, refers to nothing outside itself, and names what it shows.
func TestChart(t *testing.T) {
	m := machineOf(t, "archive-editor")
	m.build.Title = proto.String(`Machine <script>alert("1")</script> & more` + "\x01")
	_, facts := m.answer(t, evaluator(t), thermal.ChartFact)
	svg := facts[thermal.ChartFact].GetPicture().GetSvg()
	d := xml.NewDecoder(strings.NewReader(svg))
	seen := map[string]int{}
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		seen[start.Name.Local]++
		for _, a := range start.Attr {
			if strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "href" || strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
				t.Errorf("attribute %s=%q", a.Name.Local, a.Value)
			}
		}
	}
	if seen["script"] > 0 || seen["title"] != 1 || seen["desc"] != 1 || seen["circle"] < 6 {
		t.Errorf("elements %v", seen)
	}
	if strings.Contains(svg, "url(") || strings.Contains(svg, "@import") {
		t.Error("the chart refers to something outside")
	}
	if !strings.Contains(svg, "prefers-color-scheme:dark") {
		t.Error("the chart has one look for light and dark")
	}
}

// What a measured run has taught moves the forecast and narrows it.
func TestCalibrationIsTakenAlong(t *testing.T) {
	m, e := machineOf(t, "archive-editor"), evaluator(t)
	die := func() *v1.HeatPoint {
		_, facts := m.answer(t, e, thermal.ForecastFact)
		for _, p := range facts[thermal.ForecastFact].GetForecast().Points {
			if p.GetItem() == "processor" {
				return p
			}
		}
		t.Fatal("the forecast has no processor")
		return nil
	}
	before := die()
	m.build.Calibration = &v1.Calibration{Coefficients: []*v1.Coefficient{
		{Name: proto.String("lid"), Place: proto.Float64(1), Low: proto.Float64(0.9), High: proto.Float64(1.1)},
		{Name: proto.String("cooler"), Place: proto.Float64(0.5), Low: proto.Float64(0.4), High: proto.Float64(0.6)},
		{Name: proto.String("of another version"), Place: proto.Float64(1)},
	}}
	after := die()
	if after.GetRiseK().GetNominal() <= before.GetRiseK().GetNominal()+1 {
		t.Errorf("the die rises from %g to %g K only", before.GetRiseK().GetNominal(), after.GetRiseK().GetNominal())
	}
	width := func(p *v1.HeatPoint) float64 { return p.GetRiseK().GetHigh() - p.GetRiseK().GetLow() }
	if width(after) >= 0.8*width(before) {
		t.Errorf("the range narrows from %g to %g K only", width(before), width(after))
	}
}

// Same document, same bytes.
func TestSameAnswerTwice(t *testing.T) {
	m, e := machineOf(t, "second-radiator"), evaluator(t)
	check, facts := m.encoded(t, thermal.ForecastFact, thermal.SettingsFact, thermal.ChartFact)
	var first kit.Outcome
	if err := e.Evaluate(check, facts, &first); err != nil {
		t.Fatal(err)
	}
	for range 3 {
		other := machineOf(t, "listening-room") // the memory is used by others in between
		other.answer(t, e)
		var again kit.Outcome
		if err := e.Evaluate(check, facts, &again); err != nil {
			t.Fatal(err)
		}
		if string(first.Findings) != string(again.Findings) {
			t.Error("the findings differ")
		}
		for i := range first.Facts {
			if string(first.Facts[i].Value) != string(again.Facts[i].Value) {
				t.Errorf("the fact %s differs", first.Facts[i].Name)
			}
		}
	}
}
