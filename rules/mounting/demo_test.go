package mounting

import (
	"path"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/demo"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/server/document"
)

func demoBuild(t testing.TB, name string) *v1.Build {
	t.Helper()
	data, err := demo.FS.ReadFile("builds/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	options := document.Options{Resolve: func(from, ref string) (*v1.Part, error) {
		return document.FileResolver("../..")(path.Join("../../clients/demo", from), ref)
	}}
	build := new(v1.Build)
	if _, err := options.Read("builds/"+name+".yaml", data, build); err != nil {
		t.Fatal(err)
	}
	return build
}

// answer asks clearance and then mounting, as the host does, with the assembly.
func answer(t testing.TB, build *v1.Build, facts ...kit.Fact) (*v1.CheckResponse, *v1.Assembly) {
	t.Helper()
	check, err := proto.Marshal(&v1.CheckRequest{Build: build, Wants: []string{FactAssembly}})
	if err != nil {
		t.Fatal(err)
	}
	if len(facts) == 0 {
		facts = ask(t, clearance.Pack(), check, nil).Facts
	}
	out := ask(t, Pack(), check, facts)
	response := new(v1.CheckResponse)
	if err := proto.Unmarshal(out.Findings, response); err != nil {
		t.Fatal(err)
	}
	if len(out.Facts) != 1 {
		t.Fatalf("%d facts", len(out.Facts))
	}
	fact := new(v1.Fact)
	if err := proto.Unmarshal(out.Facts[0].Value, fact); err != nil {
		t.Fatal(err)
	}
	return response, fact.GetAssembly()
}

func ask(t testing.TB, pack *kit.Pack, check []byte, facts []kit.Fact) *kit.Outcome {
	t.Helper()
	e, err := kit.NewEvaluator(pack)
	if err != nil {
		t.Fatal(err)
	}
	out := new(kit.Outcome)
	if err := e.Evaluate(check, facts, out); err != nil {
		t.Fatal(err)
	}
	return out
}

// place is where in the order a step stands that puts in or plugs in something of
// an item and whose text has a word, -1 where there is none.
func place(a *v1.Assembly, item, word string) int {
	return slices.IndexFunc(a.Steps, func(s *v1.Step) bool {
		return slices.Contains(s.Items, item) && strings.Contains(s.GetAction(), word)
	})
}

// Every demo build comes to an order, whatever else is wrong with it, the same one
// again, with every item in it.
func TestEveryDemoBuildIsPutInOrder(t *testing.T) {
	for _, name := range demoNames(t) {
		build := demoBuild(t, name)
		check, err := proto.Marshal(&v1.CheckRequest{Build: build})
		if err != nil {
			t.Fatal(err)
		}
		facts := ask(t, clearance.Pack(), check, nil).Facts
		_, a := answer(t, build, facts...)
		_, again := answer(t, build, facts...)
		if !proto.Equal(a, again) {
			t.Errorf("%s: the same build gave another assembly", name)
		}
		if a.GetBarred() != "" || !a.GetLeast() {
			t.Errorf("%s: barred %q, least %v", name, a.GetBarred(), a.GetLeast())
		}
		for _, item := range build.Items {
			if k := item.Part; k.GetCable() != nil || k.GetFastenerKit() != nil {
				continue
			}
			if place(a, item.GetId(), "") < 0 {
				t.Errorf("%s: %s is in no step", name, item.GetId())
			}
		}
		for i, s := range a.Steps {
			if s.TorqueLowNm != nil && !(s.GetTorqueLowNm() > 0 && s.GetTorqueLowNm() <= s.GetTorqueHighNm()) {
				t.Errorf("%s, step %d: torque %g to %g", name, i+1, s.GetTorqueLowNm(), s.GetTorqueHighNm())
			}
		}
	}
}

// The archive's machine: what its own geometry and custom ask of the order.
func TestOrderOfTheEditingMachine(t *testing.T) {
	response, a := answer(t, demoBuild(t, "archive-editor"))
	for _, f := range response.Findings {
		if f.GetVerdict() != v1.Verdict_VERDICT_PASS {
			t.Errorf("%s is %s: %s", f.GetRule(), f.GetVerdict(), f.GetSummary().GetText())
		}
	}
	before := func(why, item, word, then, thenWord string) {
		if first, second := place(a, item, word), place(a, then, thenWord); first < 0 || second < 0 || first >= second {
			t.Errorf("%s: steps %d and %d", why, first+1, second+1)
		}
	}
	before("the plate is behind the board", "cooler", "plate", "board", "standoffs")
	before("memory before a large cooler (common practice, no source)", "memory", "", "cooler", "compound")
	before("the M.2 drive before a large cooler (common practice, no source)", "system-drive", "", "cooler", "compound")
	before("bottom fans before the card that lies over them", "bottom-fans", "", "card", "slot")
	before("leads of the front panel before the card", "board", "front panel", "card", "slot")
	before("the card's plug after the card", "card", "slot", "card", "cables")
	if s := a.Steps[place(a, "board", "standoffs")]; len(s.Fasteners) != 1 || s.Fasteners[0].GetCount() != 4 || s.Fasteners[0].GetFastener() != "screw M3 x 5 pan" ||
		s.GetDriver() != "cross-2" || s.GetTorqueLowNm() != 0.5 || s.GetTorqueHighNm() != 0.6 {
		t.Errorf("four M3 screws for a Mini-ITX board (common practice, no source): %v", s)
	}
	last := a.Steps[len(a.Steps)-1]
	if !strings.HasPrefix(last.GetAction(), "Close") {
		t.Errorf("the last step is %v", last)
	}
	outs := map[string][]string{}
	for _, r := range a.Reaches {
		outs[r.GetItem()] = r.FirstOut
	}
	for item, want := range map[string][]string{"memory": {"cooler"}, "system-drive": {"card", "cooler"}, "board": {"card"}, "card": nil} {
		if !slices.Equal(outs[item], want) {
			t.Errorf("to reach %s: %v, want %v", item, outs[item], want)
		}
	}
	// 8,642 g by hand from the catalogue's masses.
	if a.GetMassG() != 8642 || a.CentreOfMass == nil {
		t.Errorf("mass %g, centre %v", a.GetMassG(), a.CentreOfMass)
	}
}

// What is to buy names the rule that each thing settles.
func TestPurchasesSettleFindings(t *testing.T) {
	for name, want := range map[string]string{
		"second-radiator": "radiator-bracket mounting.accessories", "long-supply": "supply-bracket-atx mounting.accessories",
		"archive-overreach": "bracket-am5 mounting.cooler-bracket",
	} {
		response, a := answer(t, demoBuild(t, name))
		var got []string
		for _, p := range a.Purchases {
			if p.Provides != nil {
				got = append(got, p.GetProvides()+" "+p.GetRule())
			}
			if !strings.HasPrefix(p.GetRule(), "mounting.") {
				continue
			}
			if !slices.ContainsFunc(response.Findings, func(f *v1.Finding) bool {
				return f.GetRule() == p.GetRule() && f.GetVerdict() != v1.Verdict_VERDICT_PASS
			}) {
				t.Errorf("%s: %s is to buy, and %s finds nothing", name, p.GetWhat(), p.GetRule())
			}
		}
		if !slices.Contains(got, want) {
			t.Errorf("%s: to buy %v, want %s", name, got, want)
		}
	}
}

// Switch and inlet lead go in before the board, later may be impossible; a supply
// with captive cables before the board, its cables being laid under it; a drive on
// the board's back before the board (common practice, no source).
func TestWhatGoesInBeforeTheBoard(t *testing.T) {
	_, a := answer(t, kittest.Build(t, build(
		"{id: case, part: {chassis: {limits: {card_slots: 2}}}}", "{id: board, part: {board: {form_factor: mini-itx, m2_slots: [{id: a}, {id: b, back: true}]}}}",
		"{id: switch, part: {accessory: {provides: [power-switch]}}}", "{id: lead, part: {accessory: {provides: [internal-mains-lead]}}}",
		"{id: supply, part: {supply: {cables: [{captive: true, ends: [{connector: main-24}]}]}}}", "{id: drives, count: 2, part: {drive: {form_factor: m2}}}")), kit.Fact{Name: "none"})
	for _, item := range []string{"switch", "lead", "supply", "drives"} {
		if at, board := place(a, item, ""), place(a, "board", "shield"); at < 0 || at > board {
			t.Errorf("%s is step %d, the board %d", item, at+1, board+1)
		}
	}
}

func BenchmarkAssembly(b *testing.B) {
	build := demoBuild(b, "archive-editor")
	check, err := proto.Marshal(&v1.CheckRequest{Build: build})
	if err != nil {
		b.Fatal(err)
	}
	facts := ask(b, clearance.Pack(), check, nil).Facts
	wanting, err := proto.Marshal(&v1.CheckRequest{Build: build, Wants: []string{FactAssembly}})
	if err != nil {
		b.Fatal(err)
	}
	e, err := kit.NewEvaluator(Pack())
	if err != nil {
		b.Fatal(err)
	}
	for name, check := range map[string][]byte{"findings": check, "findings and assembly": wanting} {
		b.Run(name, func(b *testing.B) {
			var out kit.Outcome
			b.ReportAllocs()
			for b.Loop() {
				if err := e.Evaluate(check, facts, &out); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// A kit with a negative count is refused where the document is read, by its place.
func TestNegativeCountsAreRefusedByPlace(t *testing.T) {
	text := "items:\n- id: case\n  part:\n    chassis: {}\n    kit: {fasteners: [{kind: screw, count: -4}]}\n"
	_, err := new(document.Options).Read("kit.yaml", []byte(text), new(v1.Build))
	if err == nil || !strings.Contains(err.Error(), "kit.yaml:5:") || !strings.Contains(err.Error(), "count") {
		t.Errorf("%v", err)
	}
}

// demoNames are the builds of the demo.
func demoNames(t testing.TB) (names []string) {
	t.Helper()
	files, err := demo.FS.ReadDir("builds")
	if err != nil || len(files) == 0 {
		t.Fatalf("there are no demo builds: %v", err)
	}
	for _, f := range files {
		names = append(names, strings.TrimSuffix(f.Name(), ".yaml"))
	}
	return names
}
