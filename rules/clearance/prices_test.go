package clearance

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
)

func priceIn(amount float64, currency string) *v1.Price {
	return &v1.Price{Amount: &amount, Currency: &currency}
}

func accessoryFor(price *v1.Price, tokens ...string) seatedItem {
	return seatedItem{id: "a", count: 1, part: &v1.Part{Price: price, Kind: &v1.Part_Accessory{Accessory: &v1.Accessory{Provides: tokens}}}}
}

func offer(token string, price *v1.Price) *v1.AccessoryOffer {
	return &v1.AccessoryOffer{Provides: &token, Price: price}
}

func TestPricesOfAccessories(t *testing.T) {
	chassis := func(price *v1.Price, offers ...*v1.AccessoryOffer) *v1.Part {
		return &v1.Part{Price: price, Kind: &v1.Part_Chassis{Chassis: &v1.Chassis{Accessories: offers}}}
	}
	for _, c := range []struct {
		name    string
		chassis *v1.Part
		items   []seatedItem
		want    map[string]int64
	}{
		{"nobody says", chassis(nil), nil, nil},
		{"the enclosure lists it", chassis(nil, offer("bracket", priceIn(24, "EUR"))), nil, map[string]int64{"bracket": 2400}},
		{"one among the items tells what the next costs", chassis(nil), []seatedItem{accessoryFor(priceIn(18.5, "EUR"), "bracket")}, map[string]int64{"bracket": 1850}},
		{"the cheaper counts", chassis(nil, offer("bracket", priceIn(24, "EUR"))), []seatedItem{accessoryFor(priceIn(18, "EUR"), "bracket")}, map[string]int64{"bracket": 1800}},
		{"what does two things has no price for one", chassis(nil), []seatedItem{accessoryFor(priceIn(129, "EUR"), "pump", "reservoir")}, nil},
		{"another currency is not converted", chassis(priceIn(200, "EUR"), offer("bracket", priceIn(24, "CHF"))), nil, nil},
		{"an offer without a price", chassis(nil, offer("bracket", nil)), nil, nil},
		{"not a number", chassis(nil, offer("bracket", priceIn(math.NaN(), "EUR"))), nil, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := pricesOf(c.chassis, c.items); !maps.Equal(got.hundreds, c.want) {
				t.Errorf("prices %v, want %v", got.hundreds, c.want)
			}
		})
	}
}

// What is not priced can still be compared where one list holds the other.
func TestCostsCompare(t *testing.T) {
	p := prices{currency: "EUR", hundreds: map[string]int64{"a": 1000, "b": 500}}
	list := func(tokens ...string) (out []arrange.Purchase) {
		for _, token := range tokens {
			out = append(out, arrange.Purchase{Resource: token, Pieces: 1})
		}
		return out
	}
	for _, c := range []struct {
		a, b         []arrange.Purchase
		noMore, less bool
	}{
		{list(), list(), true, false},
		{list("b"), list("a"), true, true},
		{list("a"), list("b"), false, false},
		{list(), list("unpriced"), true, true},
		{list("unpriced"), list("a"), false, false},
		{list("a"), list("unpriced"), false, false},
		{list("unpriced"), list("unpriced", "b"), true, true},
		{[]arrange.Purchase{{Resource: "unpriced", Pieces: 2}}, list("unpriced"), false, false},
	} {
		if noMore, less := p.noDearer(c.a, c.b); noMore != c.noMore || less != c.less {
			t.Errorf("%v beside %v: no more %v, less %v", c.a, c.b, noMore, less)
		}
	}
}

// triple is what arrangements are compared by: micrometres, mm2, hundredths.
type triple struct{ margin, area, cost int64 }

func (a triple) beats(b triple) bool {
	return a != b && a.margin >= b.margin && a.area >= b.area && a.cost <= b.cost
}

// The unbeaten arrangements are those that trying every combination leaves, with
// brackets that cost and places that need them.
func TestUnbeatenAgreesWithEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	compared, several := 0, 0
	for range 100 {
		chassis := proto.CloneOf(demoPart(t, "chassis.yaml#lichtung-18"))
		for _, layout := range chassis.GetChassis().Layouts {
			for _, m := range layout.Mounts {
				if m.GetKind() == v1.MountKind_MOUNT_KIND_FAN && r.IntN(2) == 0 {
					m.Needs = []string{"fan-rail"}
				}
			}
		}
		chassis.GetChassis().Accessories = []*v1.AccessoryOffer{
			offer("fan-rail", priceIn(float64(5+r.IntN(20)), "EUR")), offer("supply-bracket-atx", priceIn(19, "EUR")),
			offer("feet-20", priceIn(15, "EUR")), offer("radiator-bracket", priceIn(24, "EUR")), offer("riser-x16", priceIn(59, "EUR")),
		}
		e := readEnclosure(chassis)
		items := randomItems(t, r, chassis)
		for layout := range e.layouts {
			p := makePlan(e, layout, items, nil, usual)
			if p.space > 3000 || !p.found {
				continue
			}
			want := unbeatenOf(problemOf(e, layout, items))
			list, _, whole := p.rank(layout)
			if !whole {
				t.Fatal("the ranking is not exhaustive")
			}
			var got []triple
			for i := range list {
				if a := tripleOf(list[i].found); unbeaten(list, i) && !slices.Contains(got, a) {
					got = append(got, a)
				}
			}
			compared++
			if len(want) > 1 {
				several++
			}
			if fmt.Sprint(sorted(got)) != fmt.Sprint(sorted(want)) {
				t.Errorf("layout %d: unbeaten %v, by enumeration %v", layout, sorted(got), sorted(want))
			}
		}
	}
	if compared < 40 || several < 4 {
		t.Errorf("%d rankings, %d of them with several unbeaten, are too few", compared, several)
	}
}

func tripleOf(a *arrange.Arrangement) triple {
	return triple{int64(math.Round(a.Margin * 1000)), a.FanArea, a.Cost}
}

func sorted(list []triple) []triple {
	slices.SortFunc(list, func(a, b triple) int { return int(b.margin-a.margin)*2 + int(a.area-b.area) })
	return list
}

// unbeatenOf tries every combination.
func unbeatenOf(p *arrange.Problem) (out []triple) {
	var all []triple
	taken := make([]int, len(p.Variables))
	var choose func(v int)
	choose = func(v int) {
		if v < len(p.Variables) {
			if !holds(p, &p.Variables[v], taken[:v]) {
				taken[v] = -1
				choose(v + 1)
				return
			}
			for o := range p.Variables[v].Options {
				taken[v] = o
				choose(v + 1)
			}
			return
		}
		margin, ok := judgeCombination(p, taken)
		if !ok {
			return
		}
		a := triple{margin: int64(math.Round(margin * 1000))}
		used := map[string]int{}
		for u, o := range taken {
			if o >= 0 {
				a.area += p.Variables[u].Options[o].FanArea
				for _, amount := range p.Variables[u].Options[o].Uses {
					used[amount.Resource] += amount.Count
				}
			}
		}
		for _, res := range p.Resources {
			if res.Buyable {
				a.cost += int64(max(0, used[res.Name]-res.Stock)) * res.Price
			}
		}
		all = append(all, a)
	}
	choose(0)
	for _, a := range all {
		if !slices.Contains(out, a) && !slices.ContainsFunc(all, func(b triple) bool { return b.beats(a) }) {
			out = append(out, a)
		}
	}
	return out
}

// What would make a build feasible names what has to be bought for it: here the
// long supply's bracket, which nobody holds, in whatever layout it goes.
func TestChangesSayWhatToBuy(t *testing.T) {
	build := demoBuild(t, "no-arrangement")
	build.Items = slices.DeleteFunc(build.Items, func(it *v1.Item) bool { return it.GetId() == "supply-bracket" })
	_, facts := checked(t, build, FactRanking)
	changes := facts[FactRanking].GetRanking().Changes
	if len(changes) == 0 {
		t.Fatal("no change is told")
	}
	for _, c := range changes {
		if !slices.Equal(c.Buy, []string{"supply-bracket-atx"}) || c.GetAddedCost() != 19 || c.GetCurrency() != "EUR" {
			t.Errorf("%q wants %v for %v %s", c.GetAction(), c.Buy, c.GetAddedCost(), c.GetCurrency())
		}
	}
	findings, _ := checked(t, build)
	for _, f := range findings {
		if f.GetRule() != "clearance.together" {
			continue
		}
		for _, r := range f.Remedies {
			if text := r.GetAction().GetText(); !slices.Equal(r.Buy, []string{"supply-bracket-atx"}) || !strings.HasSuffix(text, ", with supply-bracket-atx to buy.") {
				t.Errorf("the remedy %q wants %v", text, r.Buy)
			}
		}
		return
	}
	t.Error("nothing is told of all parts together")
}
