package power_test

import (
	"math"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

// workstation is the cutting desk of a nature-sound archive: a 16-core processor
// and a card of 360 W on a small form factor supply of 1000 W.
const workstation = `
id: cutting-desk
items:
- id: board
  part:
    name: Reed 1
    board:
      demand: {sustained_w: 35}
      power_sockets: [{connector: main-24}, {connector: cpu-8}, {connector: cpu-4, dispensable: true}]
- id: cpu
  part:
    name: Wren 16
    processor: {demand: {sustained_w: 230, excursions: [{power_w: 290, duration_ms: 10}]}}
- id: memory
  part: {name: Sedge, memory: {modules: 2, demand: {sustained_w: 6}}}
- id: card
  part:
    name: Heron 360
    card:
      width_lanes: 16
      demand: {sustained_w: 360, excursions: [{power_w: 620, duration_ms: 1}, {power_w: 470, duration_ms: 10}]}
      power_sockets: [{connector: 12v-2x6}]
- id: drive
  part: {name: Burrow, drive: {form_factor: m2, demand: {sustained_w: 8}}}
- id: fans
  count: 2
  part: {name: Moth 120, fan: {current_a: 0.2}}
- id: loop
  part: {name: Brook 240, liquid_loop: {pump_power_w: 5, radiator: {nominal_mm: 240}, fans: [{count: 2, fan: {current_a: 0.25}}]}}
- id: supply
  part:
    name: Otter 1000
    supply:
      form_factor: sfx
      rated_w: 1000
      guide: atx-3.1
      efficiency_mark: 80plus-gold
      inlet: c14
      power_factor: 0.95
      rails: [{rail: 12v, current_a: 83}, {rail: 5v, current_a: 20}, {rail: 3v3, current_a: 20}]
      pinout: otter-2
      outlets: [{socket: main}, {socket: eight, count: 4}, {socket: sixteen}, {socket: drives, count: 2}]
      cables:
      - {from: main, ends: [{connector: main-20+4, length_mm: 300}], gauge_awg: 18}
      - {from: eight, count: 2, ends: [{connector: cpu-4+4, length_mm: 400}], gauge_awg: 18}
      - {from: eight, count: 2, ends: [{connector: pcie-6+2, length_mm: 400}], gauge_awg: 18}
      - {from: sixteen, ends: [{connector: 12v-2x6, length_mm: 400, sense_w: 600}], gauge_awg: 16}
      - {from: drives, ends: [{connector: sata-power}, {connector: sata-power}, {connector: sata-power}]}
room: {temperature_c: 25, mains_v: 230, branch_a: 16, branch_other_w: 500}
`

// changed is the workstation with pieces of its text replaced. A piece that it
// does not have is a mistake in the test.
func changed(t testing.TB, pairs ...string) string {
	t.Helper()
	return edited(t, workstation, pairs...)
}

func edited(t testing.TB, text string, pairs ...string) string {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("the build has no %q", pairs[i])
		}
		text = strings.ReplaceAll(text, pairs[i], pairs[i+1])
	}
	return text
}

func evaluator(t testing.TB) *kit.Evaluator {
	t.Helper()
	e, err := kit.NewEvaluator(power.Pack())
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestWorkstationGoesTogether(t *testing.T) {
	for _, f := range kittest.Evaluate(t, evaluator(t), kittest.Row{Build: workstation}).Findings {
		if f.GetVerdict() != kit.Pass {
			t.Errorf("%s: %s: %s", f.GetRule(), kittest.Line(f), f.GetSummary().GetText())
		}
	}
}

func demandOf(t *testing.T, build string) *v1.BuildDemand {
	t.Helper()
	check, err := proto.Marshal(&v1.CheckRequest{Build: kittest.Build(t, build)})
	if err != nil {
		t.Fatal(err)
	}
	var out kit.Outcome
	if err := evaluator(t).Evaluate(check, nil, &out); err != nil {
		t.Fatal(err)
	}
	if len(out.Facts) != 1 || out.Facts[0].Name != power.DemandFact {
		t.Fatalf("facts are %v, want %s alone", out.Facts, power.DemandFact)
	}
	fact := new(v1.Fact)
	if err := proto.Unmarshal(out.Facts[0].Value, fact); err != nil {
		t.Fatal(err)
	}
	return fact.GetDemand()
}

// Sum by hand: 35 + 230 + 2x6 + 360 + 8 + 2x0.2x12 + 5 + 2x0.25x12 = 660.8 W.
func TestDemandFactIsTheSumByHand(t *testing.T) {
	fact := demandOf(t, workstation)
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s is %g, want %g", what, got, want)
		}
	}
	near("sum", fact.GetSustainedW(), 660.8)
	near("low end", fact.GetSustainedLowW(), 660.8*0.95)
	near("high end", fact.GetSustainedHighW(), 660.8*1.05)
	// Gold on 230 V: 92 % at half load, 89 % at full load (80 PLUS programme,
	// 230 V EU internal), straight between them.
	efficiency := 0.92 - 0.03*(0.6608-0.5)/0.5
	near("supply's heat", fact.GetSupplyHeatW(), 660.8*(1/efficiency-1))
	near("power from the mains", fact.GetMainsW(), 660.8/efficiency)
	near("current from the mains", fact.GetMainsA(), 660.8/efficiency/0.95/230)
	want := map[string]float64{"board": 35, "cpu": 230, "memory": 12, "card": 360, "drive": 8, "fans": 4.8, "loop": 11}
	for _, item := range fact.Items {
		near(item.GetItem(), item.GetSustainedW(), want[item.GetItem()])
		delete(want, item.GetItem())
	}
	if len(want) > 0 || len(fact.Missing) > 0 {
		t.Errorf("items left out: %v; missing: %v", want, fact.Missing)
	}
}

// Three 8-pin sockets and one plug: two are lacking, unless nobody knows what cables
// the supply has.
func TestDemandFactNamesLackingPlugs(t *testing.T) {
	build := func(cables string) string {
		return "items:\n- {id: supply, part: {supply: {rated_w: 600" + cables + "}}}\n" +
			"- {id: card, part: {card: {power_sockets: [{connector: pcie-8, count: 3}], demand: {sustained_w: 200}}}}\n"
	}
	lacking := demandOf(t, build(", outlets: [{socket: pcie, count: 3}], cables: [{from: pcie, ends: [{connector: pcie-8}]}]")).Lacking
	if len(lacking) != 1 || lacking[0].GetConnector() != "pcie-8" || lacking[0].GetCount() != 2 || strings.Join(lacking[0].Items, " ") != "card" {
		t.Errorf("lacking are %v, want two pcie-8 of the card", lacking)
	}
	for name, cables := range map[string]string{
		"cables that nobody lists": "", "enough of them": ", cables: [{captive: true, count: 3, ends: [{connector: pcie-8}]}]",
	} {
		if lacking := demandOf(t, build(cables)).Lacking; len(lacking) != 0 {
			t.Errorf("%s: lacking are %v", name, lacking)
		}
	}
}

func TestDemandFactNamesWhatIsMissing(t *testing.T) {
	fact := demandOf(t, changed(t, "memory: {modules: 2, demand: {sustained_w: 6}}", "memory: {modules: 2}",
		"mains_v: 230, ", "", "current_a: 0.25", "size_mm: 120"))
	want := []string{"items[2].part.memory.demand.sustained_w", "items[6].part.liquid_loop.fans[0].fan.current_a"}
	if got := strings.Join(fact.Missing, " "); got != strings.Join(want, " ") {
		t.Errorf("missing %q, want %q", got, want)
	}
	if fact.SupplyHeatW != nil {
		t.Errorf("the supply's heat is %g W without a mains voltage", *fact.SupplyHeatW)
	}
	if got := fact.GetSustainedW(); math.Abs(got-642.8) > 1e-9 {
		t.Errorf("known sum is %g W, want 642.8", got)
	}
}

// At the ends of what the contract lets a document say, every number that leaves
// the pack is finite and no rule breaks.
func TestEndsOfTheContract(t *testing.T) {
	e := evaluator(t)
	for _, pairs := range [][]string{
		{"rated_w: 1000", "rated_w: 1e-300"},
		{"rated_w: 1000", "rated_w: 10000", "sustained_w: 360", "sustained_w: 5000", "sustained_w: 230", "sustained_w: 0"},
		{"power_factor: 0.95", "power_factor: 1e-300", "mains_v: 230", "mains_v: 150"},
		{"efficiency_mark: 80plus-gold", "efficiencies: [{load_share: 1e-300, efficiency: 1e-300}, {load_share: 1.2, efficiency: 0.999999}]"},
		{"duration_ms: 10", "duration_ms: 1e-300", "power_w: 620", "power_w: 20000"},
		{"sustained_w: 35", "sustained_w: 0", "sustained_w: 230", "sustained_w: 0", "sustained_w: 360", "sustained_w: 0", "sustained_w: 6}", "sustained_w: 0}",
			"sustained_w: 8", "sustained_w: 0", "current_a: 0.2", "current_a: 0", "pump_power_w: 5", "pump_power_w: 0"},
		{"branch_a: 16", "branch_a: 1e-300", "branch_other_w: 500", "branch_other_w: 50000"},
		{"rated_w: 1000", "rated_w: 1000\n      deratings: [{air_c: 25, share: 1e-300}, {air_c: 25, share: 1}]"},
	} {
		for _, f := range kittest.Evaluate(t, e, kittest.Row{Build: changed(t, pairs...)}).Findings {
			if err := kittest.Sound(f); err != nil {
				t.Errorf("with %v: %v", pairs, err)
			}
		}
	}
}

// BenchmarkEvaluate shows the whole judgement beside a yardstick: the reading of
// the same document, and nothing else, by the generated code.
func BenchmarkEvaluate(b *testing.B) {
	check, err := proto.Marshal(&v1.CheckRequest{Build: kittest.Build(b, workstation)})
	if err != nil {
		b.Fatal(err)
	}
	b.Run("whole", func(b *testing.B) {
		e := evaluator(b)
		var out kit.Outcome
		b.ReportAllocs()
		for b.Loop() {
			if err := e.Evaluate(check, nil, &out); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("reading", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			request := v1.CheckRequestFromVTPool()
			if err := request.UnmarshalVTUnsafe(check); err != nil {
				b.Fatal(err)
			}
			request.ReturnToVTPool()
		}
	})
}
