package mounting

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/kittest"
	"slipfit.example/rules/power"
)

// line is a purchase in short: "2 x what [rule of items] price".
func line(p *v1.Purchase) string {
	text := fmt.Sprintf("%d x %s [%s of %s]", p.GetCount(), p.GetWhat(), p.GetRule(), strings.Join(p.Items, ","))
	if p.Price != nil {
		text += fmt.Sprintf(" %g %s", p.GetPrice(), p.GetCurrency())
	}
	if p.Part != nil {
		text += " as " + p.GetPart()
	}
	return text
}

func lines(a *v1.Assembly) (out []string) {
	for _, p := range a.Purchases {
		out = append(out, line(p))
	}
	return out
}

// Prices come from the accessories of the build and from what the enclosure's maker
// sells; the cheapest counts, and what nobody prices is counted as such.
func TestPurchasesArePriced(t *testing.T) {
	fact := kit.Fact{Name: factArrangement}
	arranged := arrangement("|plank,plank,reed,rush")
	encoded, err := proto.Marshal(arranged)
	if err != nil {
		t.Fatal(err)
	}
	fact.Value = encoded
	of := func(offers string, items ...string) *v1.Assembly {
		_, a := answer(t, kittest.Build(t, build(append([]string{
			"{id: case, part: {kit: {fasteners: [], pieces: []}, chassis: {accessories: [" + offers + "]}}}"}, items...)...)), fact)
		return a
	}
	for name, c := range map[string]struct {
		a        *v1.Assembly
		want     []string
		cost     string
		unpriced uint32
	}{
		"what the maker sells": {
			a: of("{provides: plank, part: heron-plank, price: {amount: 4.1, currency: EUR}}, {provides: plank, price: {amount: 4.2, currency: EUR}}, {provides: reed}, {provides: rush, price: {amount: 0.2, currency: EUR}}"),
			want: []string{"2 x plank [mounting.accessories of case] 4.1 EUR as heron-plank", "1 x reed [mounting.accessories of case]",
				"1 x rush [mounting.accessories of case] 0.2 EUR"},
			cost: "8.4 EUR", unpriced: 1,
		},
		"another of what the build has already": {
			a: of("", "{id: extra, part: {id: plank-2, price: {amount: 3, currency: EUR}, accessory: {provides: [plank]}}}"),
			want: []string{"1 x plank [mounting.accessories of case] 3 EUR as plank-2", "1 x reed [mounting.accessories of case]",
				"1 x rush [mounting.accessories of case]"},
			cost: "3 EUR", unpriced: 2,
		},
		"several currencies are not added up": {
			a: of("{provides: plank, price: {amount: 4, currency: EUR}}, {provides: reed, price: {amount: 4, currency: CHF}}"),
			want: []string{"2 x plank [mounting.accessories of case] 4 EUR", "1 x reed [mounting.accessories of case] 4 CHF",
				"1 x rush [mounting.accessories of case]"},
			unpriced: 1,
		},
		"nobody names a price": {
			a:        of(""),
			want:     []string{"2 x plank [mounting.accessories of case]", "1 x reed [mounting.accessories of case]", "1 x rush [mounting.accessories of case]"},
			unpriced: 4,
		},
	} {
		if got := lines(c.a); !slices.Equal(got, c.want) {
			t.Errorf("%s:\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
		cost := ""
		if c.a.PurchasesCost != nil {
			cost = fmt.Sprintf("%g %s", c.a.GetPurchasesCost(), c.a.GetPurchasesCurrency())
		}
		if cost != c.cost || c.a.GetPurchasesUnpriced() != c.unpriced {
			t.Errorf("%s: %q and %d of unknown price, want %q and %d", name, cost, c.a.GetPurchasesUnpriced(), c.cost, c.unpriced)
		}
	}
}

// withPower is the assembly of a build as the host has it worked out: with the facts
// of arrangement and power.
func withPower(t testing.TB, build *v1.Build) (*v1.CheckResponse, *v1.Assembly) {
	t.Helper()
	check, err := proto.Marshal(&v1.CheckRequest{Build: build})
	if err != nil {
		t.Fatal(err)
	}
	arranged := ask(t, clearance.Pack(), check, nil)
	facts := arranged.Facts
	drawn := ask(t, power.Pack(), check, facts)
	judged, a := answer(t, build, append(facts, drawn.Facts...)...)
	for _, findings := range [][]byte{arranged.Findings, drawn.Findings} {
		of := new(v1.CheckResponse)
		if err := proto.Unmarshal(findings, of); err != nil {
			t.Fatal(err)
		}
		judged.Findings = append(judged.Findings, of.Findings...)
	}
	return judged, a
}

// A cable that only the power pack misses is on the list, made for the very supply,
// and each once: three 8-pin sockets, one plug at hand.
func TestCablesThatNobodyHasAreToBuy(t *testing.T) {
	_, a := withPower(t, kittest.Build(t, build(
		"{id: supply, part: {name: Quell, supply: {form_factor: sfx, rated_w: 600, outlets: [{socket: pcie, count: 3}], cables: [{from: pcie, ends: [{connector: pcie-8}]}]}}}",
		"{id: card, part: {name: Tarn, card: {power_sockets: [{connector: pcie-8, count: 3}], demand: {sustained_w: 200}}}}")))
	want := []string{"2 x cable with pcie-8 made for Quell, to Tarn [power.connectors of card]"}
	if got := cablesOf(a); !slices.Equal(got, want) {
		t.Errorf("to buy %q, want %q", got, want)
	}
	_, a = withPower(t, kittest.Build(t, build(
		"{id: supply, part: {name: Quell, supply: {form_factor: sfx, rated_w: 600}}}",
		"{id: card, part: {name: Tarn, card: {power_sockets: [{connector: pcie-8, count: 3}], demand: {sustained_w: 200}}}}")))
	if got := cablesOf(a); len(got) != 0 {
		t.Errorf("nobody knows what cables the supply has, and to buy are %q", got)
	}
}

func cablesOf(a *v1.Assembly) []string {
	return slices.DeleteFunc(lines(a), func(l string) bool { return !strings.Contains(l, "cable") })
}

// Whatever a demo build lacks, the rule that is named beside each purchase finds the
// items that are named with it wanting.
func TestEveryPurchaseSettlesAFinding(t *testing.T) {
	bought := 0
	for _, name := range demoNames(t) {
		response, a := withPower(t, demoBuild(t, name))
		for _, p := range a.Purchases {
			bought++
			if !slices.ContainsFunc(response.Findings, func(f *v1.Finding) bool {
				return f.GetRule() == p.GetRule() && f.GetVerdict() != v1.Verdict_VERDICT_PASS && containsAll(f.Subjects, p.Items)
			}) {
				t.Errorf("%s: nothing is found that this settles: %s", name, line(p))
			}
		}
	}
	if bought == 0 {
		t.Error("no demo build lacks anything")
	}
}

func containsAll(list, of []string) bool {
	for _, s := range of {
		if !slices.Contains(list, s) {
			return false
		}
	}
	return true
}
