package thermal_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/thermal"
)

// enclosed is a small machine whose enclosure says how open it is: what the rules on
// the solved network judge. Rows move one
// figure across its limit; what the network itself says is held to package climate's
// own tests.
const enclosed = `
id: cutting-desk
items:
- {id: case, part: {name: Lichtung, chassis: {width_mm: 190, height_mm: 272, depth_mm: 348, feet_mm: 12, open_area_cm2: 400}}}
- {id: board, part: {name: Aue, board: {regulator_limit_c: 110}}}
- {id: cpu, part: {name: Wren 16, processor: {limit_c: 95, lid_resistance_k_per_w: 0.1}}}
- id: cooler
  part:
    name: Zinne
    air_cooler:
      tower: true
      resistances: [{speed_rpm: 1500, resistance_k_per_w: 0.14}, {speed_rpm: 700, resistance_k_per_w: 0.19}]
      fans: [{fan: {size_mm: 120, max_speed_rpm: 1500, max_flow_m3h: 94, max_pressure_pa: 17, blades: 9, noises: [{speed_rpm: 1500, level_dba: 22}]}}]
- id: card
  part:
    name: Heron 220
    card:
      limit_c: 88
      resistances: [{speed_rpm: 2000, resistance_k_per_w: 0.18}]
      fans: [{count: 2, fan: {size_mm: 92, max_speed_rpm: 2000, max_flow_m3h: 45, max_pressure_pa: 14}}]
      noises: [{speed_rpm: 2000, level_dba: 30}]
- {id: memory, part: {name: Rinnsal, memory: {modules: 2, height_mm: 32, limit_c: 85}}}
- {id: drive, part: {name: Rille, drive: {form_factor: m2, limit_c: 80}}}
- id: fan
  count: 2
  part: {name: Moth 120, fan: {size_mm: 120, max_speed_rpm: 1500, max_flow_m3h: 94, max_pressure_pa: 17, blades: 7, noises: [{speed_rpm: 1500, level_dba: 22}]}}
room: {temperature_c: 22, altitude_m: 100, noise_floor_dba: 30, listener_m: 1}
arrangement: {placements: [{item: fan, mount: fans-rear, flow: FLOW_EXHAUST}]}
`

// verdicts runs rows against one rule and compares everything but the margins: those
// are the network's, and package climate's tests hold it.
func verdicts(t *testing.T, rule string, rows []kittest.Row) {
	t.Helper()
	e := evaluator(t)
	for _, row := range rows {
		t.Run(row.Name, func(t *testing.T) {
			var got []string
			for _, f := range kittest.Evaluate(t, e, row).Findings {
				if f.GetRule() != rule {
					continue
				}
				f.Margin = nil
				got = append(got, kittest.Line(f))
				if text := f.GetSummary().GetText(); text == "" || strings.ContainsAny(text, "{}") || strings.Contains(text, "broke") {
					t.Errorf("the text is %q", text)
				}
			}
			if !slices.Equal(got, row.Want) {
				t.Errorf("got %q, want %q", got, row.Want)
			}
		})
	}
}

// drawing is the fact of a build whose items draw so many W.
func drawing(pairs ...any) []*v1.Fact {
	demand := &v1.BuildDemand{}
	sum := 0.0
	for i := 0; i < len(pairs); i += 2 {
		id, watts := pairs[i].(string), float64(pairs[i+1].(int))
		demand.Items = append(demand.Items, &v1.ItemDemand{Item: &id, SustainedW: &watts})
		sum += watts
	}
	low, high := 0.95*sum, 1.05*sum
	demand.SustainedW, demand.SustainedLowW, demand.SustainedHighW = &sum, &low, &high
	name := thermal.DemandFact
	return []*v1.Fact{{Name: &name, Content: &v1.Fact_Demand{Demand: demand}}}
}

func usualDraw(cpu, card int) []*v1.Fact {
	return drawing("cpu", cpu, "card", card, "board", 20, "memory", 8, "drive", 4, "fan", 3)
}

// withGap is facts of which something is missing from the sum.
func withGap(facts []*v1.Fact, path string) []*v1.Fact {
	facts[0].GetDemand().Missing = []string{path}
	return facts
}

func TestCardLimit(t *testing.T) {
	build := func(pairs ...string) string { return edited(t, enclosed, pairs...) }
	verdicts(t, "thermal.card-limit", []kittest.Row{
		{Name: "far below", Build: build(), Facts: usualDraw(100, 120), Want: []string{"PASS card"}},
		{Name: "tight", Build: build(), Facts: usualDraw(100, 270), Want: []string{"MARGINAL card"}},
		{Name: "nominally over is a warning, because the network is an estimate", Build: build(), Facts: usualDraw(100, 300), Want: []string{"MARGINAL card"}},
		{Name: "over even where it is favourable", Build: build(), Facts: usualDraw(100, 420), Want: []string{"FAIL card"}},
		{Name: "a warmer room", Build: build("temperature_c: 22", "temperature_c: 45"), Facts: usualDraw(100, 120), Want: []string{"PASS card"}},
		{Name: "no room temperature", Build: build("temperature_c: 22, ", ""), Facts: usualDraw(100, 120), Want: []string{"UNKNOWN card missing room.temperature_c"}},
		{Name: "no limit", Build: build("limit_c: 88", "slots: 2"), Facts: usualDraw(100, 120), Want: []string{"UNKNOWN card missing items[4].part.card.limit_c"}},
		{Name: "no resistance", Build: build("resistances: [{speed_rpm: 2000, resistance_k_per_w: 0.18}]", "slots: 2"), Facts: usualDraw(100, 120),
			Want: []string{"UNKNOWN card missing items[4].part.card.resistances"}},
		{Name: "nobody knows what the rest draws", Build: build(), Facts: withGap(usualDraw(100, 120), "items[1].part.board.demand.sustained_w"),
			Want: []string{"UNKNOWN card missing items[1].part.board.demand.sustained_w"}},
		{Name: "a card of a few watts that says nothing of heat", Build: build("limit_c: 88", "slots: 1", "resistances: [{speed_rpm: 2000, resistance_k_per_w: 0.18}]", "width_lanes: 1"),
			Facts: usualDraw(100, 8)},
		{Name: "no openings, no network, no finding", Build: build(", open_area_cm2: 400", ""), Facts: usualDraw(100, 120)},
	})
}

func TestSmallParts(t *testing.T) {
	build := func(pairs ...string) string { return edited(t, enclosed, pairs...) }
	hot := drawing("cpu", 200, "card", 250, "board", 40, "memory", 24, "drive", 12)
	for rule, rows := range map[string][]kittest.Row{
		"thermal.memory-limit": {
			{Name: "cool", Build: build(), Facts: usualDraw(65, 50), Want: []string{"PASS memory"}},
			{Name: "hot: a warning at worst", Build: build(), Facts: hot, Want: []string{"MARGINAL memory"}},
			{Name: "without a limit the chips' normal range counts (JEDEC, from memory)", Build: build("height_mm: 32, limit_c: 85", "height_mm: 32"), Facts: usualDraw(65, 50),
				Want: []string{"PASS memory"}},
			{Name: "a lower limit", Build: build("height_mm: 32, limit_c: 85", "height_mm: 32, limit_c: 46"), Facts: usualDraw(65, 50), Want: []string{"MARGINAL memory"}},
			{Name: "no room temperature", Build: build("temperature_c: 22, ", ""), Facts: usualDraw(65, 50), Want: []string{"UNKNOWN memory missing room.temperature_c"}},
			{Name: "nobody knows what it draws", Build: build(), Facts: drawing("cpu", 65)},
		},
		"thermal.drive-limit": {
			{Name: "cool", Build: build(), Facts: usualDraw(65, 50), Want: []string{"PASS drive"}},
			{Name: "hot: a warning at worst", Build: build(), Facts: hot, Want: []string{"MARGINAL drive"}},
			{Name: "no limit", Build: build("form_factor: m2, limit_c: 80", "form_factor: m2"), Facts: usualDraw(65, 50), Want: []string{"UNKNOWN drive missing items[6].part.drive.limit_c"}},
			{Name: "a drive in a bay has more surface", Build: build("form_factor: m2", "form_factor: 3.5-inch"), Facts: usualDraw(65, 50), Want: []string{"PASS drive"}},
		},
		"thermal.regulator-limit": {
			{Name: "cool", Build: build(), Facts: usualDraw(65, 50), Want: []string{"PASS board"}},
			{Name: "hot: a warning at worst", Build: build("regulator_limit_c: 110", "regulator_limit_c: 70"), Facts: hot, Want: []string{"MARGINAL board"}},
			{Name: "a board that states no limit", Build: build("regulator_limit_c: 110", "form_factor: mini-itx"), Facts: usualDraw(65, 50)},
		},
	} {
		t.Run(rule, func(t *testing.T) { verdicts(t, rule, rows) })
	}
}

func TestTouch(t *testing.T) {
	build := func(pairs ...string) string { return edited(t, enclosed, pairs...) }
	verdicts(t, "thermal.touch", []kittest.Row{
		{Name: "lukewarm metal, 60 °C for seconds (IEC 62368-1, table 38, from memory)", Build: build(), Facts: usualDraw(65, 50), Want: []string{"PASS case"}},
		{Name: "the limit is not raised or lowered for another room", Build: build("temperature_c: 22", "temperature_c: 40"), Facts: usualDraw(65, 50), Want: []string{"PASS case"}},
		{Name: "hot", Build: build("open_area_cm2: 400", "open_area_cm2: 10"), Facts: usualDraw(600, 900), Want: []string{"FAIL case"}},
		{Name: "what the parts draw is not all known", Build: build(), Facts: withGap(usualDraw(65, 50), "items[5].part.memory.demand.sustained_w"),
			Want: []string{"UNKNOWN case missing items[5].part.memory.demand.sustained_w"}},
		{Name: "nobody says what they draw", Build: build(), Want: []string{"UNKNOWN case missing power.demand"}},
		{Name: "no network", Build: build(", open_area_cm2: 400", ""), Facts: usualDraw(65, 50)},
	})
}

func TestListener(t *testing.T) {
	build := func(pairs ...string) string { return edited(t, enclosed, pairs...) }
	limit := func(dba float64) map[string]float64 { return map[string]float64{"thermal.listener.max_dba": dba} }
	verdicts(t, "thermal.listener", []kittest.Row{
		{Name: "quiet enough", Build: build(), Facts: usualDraw(65, 50), Policy: limit(45), Want: []string{"PASS card"}},
		{Name: "tight", Build: build(), Facts: usualDraw(65, 50), Policy: limit(35), Want: []string{"MARGINAL card"}},
		{Name: "nominally over may still hold", Build: build(), Facts: usualDraw(65, 50), Policy: limit(34), Want: []string{"MARGINAL card"}},
		{Name: "too loud", Build: build(), Facts: usualDraw(65, 50), Policy: limit(25), Want: []string{"FAIL card"}},
		{Name: "twice as far, 6 dB less of the machine", Build: build("listener_m: 1", "listener_m: 2"), Facts: usualDraw(65, 50), Policy: limit(45), Want: []string{"PASS card"}},
		{Name: "the room alone is over it", Build: build("noise_floor_dba: 30", "noise_floor_dba: 50"), Facts: usualDraw(65, 50), Policy: limit(45), Want: []string{"FAIL card"}},
		{Name: "no floor", Build: build(", noise_floor_dba: 30", ""), Facts: usualDraw(65, 50), Want: []string{"UNKNOWN card missing room.noise_floor_dba"}},
		{Name: "a card without a sound", Build: build("      noises: [{speed_rpm: 2000, level_dba: 30}]\n", ""), Facts: usualDraw(65, 50),
			Want: []string{"UNKNOWN fan missing items[4].part.card.noises"}},
	})
}

func TestFanFlow(t *testing.T) {
	build := func(pairs ...string) string { return edited(t, enclosed, pairs...) }
	weak := "- {id: weak, part: {name: Gnat 80, fan: {size_mm: 80, max_speed_rpm: 600, max_flow_m3h: 8, max_pressure_pa: 0.3}}}\nroom:"
	against := func(open string) string {
		return build("room:", weak, "{item: fan, mount: fans-rear, flow: FLOW_EXHAUST}", "{item: fan, mount: fans-rear, flow: FLOW_EXHAUST}, {item: weak, mount: fans-top, flow: FLOW_EXHAUST}",
			"open_area_cm2: 400", "open_area_cm2: "+open)
	}
	verdicts(t, "thermal.fan-flow", []kittest.Row{
		{Name: "all work", Build: build(), Facts: usualDraw(65, 50), Want: []string{"PASS case"}},
		{Name: "a weak fan that blows out against two strong ones in a tight box", Build: against("60"), Facts: usualDraw(65, 50), Want: []string{"MARGINAL weak"}},
		{Name: "the same with room to breathe", Build: against("2000"), Facts: usualDraw(65, 50), Want: []string{"PASS case"}},
		{Name: "a fan that says nothing", Build: build("fan: {size_mm: 120, max_speed_rpm: 1500, max_flow_m3h: 94, max_pressure_pa: 17, blades: 7, noises: [{speed_rpm: 1500, level_dba: 22}]}", "fan: {blades: 7}"),
			Facts: usualDraw(65, 50), Want: []string{"UNKNOWN fan missing items[7].part.fan.max_flow_m3h"}},
		{Name: "no network", Build: build(", open_area_cm2: 400", ""), Facts: usualDraw(65, 50)},
	})
}

func TestBeat(t *testing.T) {
	build := func(pairs ...string) string { return edited(t, enclosed, pairs...) }
	loud := []string{"max_pressure_pa: 17, blades: 7, noises: [{speed_rpm: 1500, level_dba: 22}]", "max_pressure_pa: 17, blades: 7, noises: [{speed_rpm: 1500, level_dba: 42}]"}
	other := "- {id: side, part: {name: Moth 121, fan: {size_mm: 120, max_speed_rpm: 1525, max_flow_m3h: 94, max_pressure_pa: 17, blades: 7, noises: [{speed_rpm: 1525, level_dba: 42}]}}}\nroom:"
	verdicts(t, "thermal.beat", []kittest.Row{
		{Name: "the room covers two that are alike", Build: build(), Facts: usualDraw(65, 50), Want: []string{"PASS fan"}},
		{Name: "two alike that are heard drift in and out (common practice, no source)", Build: build(loud...), Facts: usualDraw(65, 50), Want: []string{"MARGINAL fan"}},
		{Name: "one alone", Build: build("  count: 2\n  part: {name: Moth", "  part: {name: Moth"), Facts: usualDraw(65, 50)},
		{Name: "two that are 25 rpm apart", Build: build(append(loud, "  count: 2\n  part: {name: Moth", "  part: {name: Moth", "room:", other)...), Facts: usualDraw(65, 50),
			Want: []string{"MARGINAL fan,side"}},
		{Name: "without blades nothing is told", Build: build(append(loud, "blades: 7, ", "")...), Facts: usualDraw(65, 50)},
	})
}

func TestForecastRule(t *testing.T) {
	build := func(pairs ...string) string { return edited(t, enclosed, pairs...) }
	verdicts(t, "thermal.forecast", []kittest.Row{
		{Name: "solved", Build: build(), Facts: usualDraw(65, 50), Want: []string{"PASS case"}},
		{Name: "nothing says how open it is", Build: build(", open_area_cm2: 400", ""), Facts: usualDraw(65, 50), Want: []string{"UNKNOWN case missing items[0].part.chassis.open_area_cm2"}},
		{Name: "nor how large", Build: build("width_mm: 190, ", ""), Facts: usualDraw(65, 50), Want: []string{"UNKNOWN case missing items[0].part.chassis.width_mm"}},
		{Name: "a range that spans too much", Build: build(), Facts: usualDraw(165, 50), Policy: map[string]float64{"thermal.forecast.max_width_k": 5, "tolerance.power_share": 0}, Want: []string{"PASS case"}},
		{Name: "around a limit it says nothing", Build: build("limit_c: 95", "limit_c: 70"), Facts: usualDraw(165, 50), Policy: map[string]float64{"thermal.forecast.max_width_k": 5},
			Want: []string{"UNKNOWN cpu missing items[3].part.air_cooler.resistances"}},
		{Name: "what is missing is told by others", Build: build(), Facts: withGap(usualDraw(65, 50), "items"), Want: nil},
		{Name: "no enclosure", Build: "items: [{id: cpu, part: {processor: {}}}]"},
	})
}

// Every rule's texts come out whole for the machines of the archive, and no rule
// breaks.
func TestMachinesAreJudged(t *testing.T) {
	e := evaluator(t)
	for _, name := range []string{"archive-editor", "second-radiator", "front-desk", "listening-room"} {
		m := machineOf(t, name)
		response, facts := m.answer(t, e, thermal.ForecastFact)
		judged := map[string]bool{}
		for _, f := range response.Findings {
			judged[f.GetRule()] = true
			text := f.GetSummary().GetText()
			if text == "" || strings.ContainsAny(text, "{}") || strings.Contains(text, "broke") {
				t.Errorf("%s: %s: %q", name, f.GetRule(), text)
			}
			if f.GetVerdict() == kit.Fail || f.GetVerdict() == kit.Unknown {
				t.Errorf("%s: %s: %s", name, kittest.Line(f), text)
			}
		}
		for _, rule := range []string{"cooler-rating", "case-air", "die-limit", "memory-limit", "drive-limit", "fan-flow", "touch", "listener", "forecast"} {
			if !judged["thermal."+rule] {
				t.Errorf("%s: thermal.%s says nothing", name, rule)
			}
		}
		f := facts[thermal.ForecastFact].GetForecast()
		if !f.GetSolved() || f.GetWarmUpMin().GetNominal() < 5 || f.GetLevelDba() == nil || f.GetThroughM3H().GetNominal() <= 0 {
			t.Errorf("%s: the forecast is solved %v, warms up in %v min, passes %v", name, f.GetSolved(), f.GetWarmUpMin(), f.GetThroughM3H())
		}
		if err := inOrder(f); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// inOrder looks whether all ranges of a forecast hold their nominal value, and the
// air that enters the enclosure leaves it.
func inOrder(f *v1.Forecast) error {
	check := func(what string, s *v1.Span) error {
		if s != nil && (s.GetLow() > s.GetNominal() || s.GetNominal() > s.GetHigh()) {
			return fmt.Errorf("%s runs from %g to %g around %g", what, s.GetLow(), s.GetHigh(), s.GetNominal())
		}
		return nil
	}
	balance := map[string]float64{}
	for _, b := range f.Branches {
		if err := check(b.GetId(), b.GetFlowM3H()); err != nil {
			return err
		}
		balance[b.GetFrom()] -= b.GetFlowM3H().GetNominal()
		balance[b.GetTo()] += b.GetFlowM3H().GetNominal()
	}
	// By volume, so that warmer air counts for up to a sixth more than it does by mass.
	for zone, off := range balance {
		if zone != "room" && (off > 0.2*f.GetThroughM3H().GetNominal() || off < -0.2*f.GetThroughM3H().GetNominal()) {
			return fmt.Errorf("%g m3/h stay in %q", off, zone)
		}
	}
	for _, p := range f.Points {
		if err := check(p.GetItem(), p.GetRiseK()); err != nil {
			return err
		}
	}
	for _, z := range f.Zones {
		if err := check(z.GetId(), z.GetRiseK()); err != nil {
			return err
		}
	}
	return nil
}
