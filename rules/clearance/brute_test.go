package clearance

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
	"slipfit.example/rules/geometry"
)

// demoPart reads a part of the demo by file and id.
func demoPart(t testing.TB, name string) *v1.Part {
	t.Helper()
	parts, err := demoParts()
	if err != nil {
		t.Fatal(err)
	}
	encoded, err := json.Marshal(parts[name])
	if err != nil {
		t.Fatal(err)
	}
	part := new(v1.Part)
	if err := protojson.Unmarshal(encoded, part); err != nil || part.Kind == nil {
		t.Fatalf("the demo's part %s cannot be read: %v", name, err)
	}
	return part
}

// enumerated is what trying every combination of options one by one comes to.
type enumerated struct {
	combinations, feasible int
	best                   float64
}

// enumerate tries all combinations. It shares nothing with the search but the
// problem: it places no order on variables, prunes nothing and keeps no tables.
func enumerate(p *arrange.Problem) enumerated {
	out := enumerated{best: math.Inf(-1)}
	taken := make([]int, len(p.Variables))
	var choose func(v int)
	choose = func(v int) {
		if v == len(p.Variables) {
			out.combinations++
			if margin, ok := judgeCombination(p, taken); ok {
				out.feasible++
				out.best = max(out.best, margin)
			}
			return
		}
		if !holds(p, &p.Variables[v], taken[:v]) {
			taken[v] = -1
			choose(v + 1)
			return
		}
		for o := range p.Variables[v].Options {
			taken[v] = o
			choose(v + 1)
		}
	}
	choose(0)
	return out
}

// holds reports whether the conditions of a variable are met. Conditions are on
// variables before it.
func holds(p *arrange.Problem, v *arrange.Variable, before []int) bool {
	for _, c := range v.When {
		met := false
		for u, o := range before {
			if p.Variables[u].Name == c.Variable && o >= 0 && slices.Contains(c.Options, p.Variables[u].Options[o].Name) {
				met = true
			}
		}
		if !met {
			return false
		}
	}
	return true
}

func judgeCombination(p *arrange.Problem, taken []int) (margin float64, feasible bool) {
	// Equal pieces count once: their options by name must not fall.
	for u := range p.Variables {
		for v := range u {
			a, b := &p.Variables[v], &p.Variables[u]
			if a.Interchangeable != "" && a.Interchangeable == b.Interchangeable && taken[v] >= 0 && taken[u] >= 0 &&
				strings.Compare(a.Options[taken[v]].Name, b.Options[taken[u]].Name) > 0 {
				return 0, false
			}
		}
	}
	margin = math.Inf(1)
	var bodies []arrange.Body
	add := func(variable, option string, solids []geometry.Solid) {
		for i := range solids {
			for j := range solids[i].Pieces {
				bodies = append(bodies, arrange.Body{Variable: variable, Option: option, Solid: solids[i].Name, Piece: &solids[i].Pieces[j]})
			}
		}
	}
	add("", "", p.Fixed)
	used := map[string]int{}
	for v, o := range taken {
		if o < 0 {
			continue
		}
		option := &p.Variables[v].Options[o]
		add(p.Variables[v].Name, option.Name, option.Solids)
		for _, l := range option.Limits {
			margin = min(margin, l.Margin)
		}
		for _, u := range option.Uses {
			used[u.Resource] += u.Count
		}
	}
	for _, r := range p.Resources {
		if !r.Buyable && used[r.Name] > r.Stock {
			return 0, false
		}
	}
	for i := range bodies {
		for j := range i {
			a, b := &bodies[j], &bodies[i]
			if a.Variable == "" && b.Variable == "" || a.Solid == b.Solid && a.Variable == b.Variable {
				continue
			}
			need, ok := p.Required(a, b)
			if !ok {
				continue
			}
			margin = min(margin, geometry.Separate(a.Piece.Box, b.Piece.Box).Distance-need)
		}
	}
	// Whole micrometres decide, as everywhere in the search.
	return margin, math.Round(margin*1000) >= 0
}

// problemOf is what the search decides for a build, nothing fixed.
func problemOf(e *enclosure, layout int, items []seatedItem) *arrange.Problem {
	return newScene(e, &e.layouts[layout], items, nil, usual).build()
}

// choices from which random builds are drawn; a role may stay empty.
var roles = [][]string{
	{"boards.yaml#aue-b1-itx", "boards.yaml#aue-x1-itx", "boards.yaml#klamm-b8-itx"},
	{"coolers.yaml#flachland-47", "coolers.yaml#flachland-67", "coolers.yaml#warte-118", "coolers.yaml#warte-155", "coolers.yaml#zinne-158", "coolers.yaml#zinne-168", "loops.yaml#springborn-240", "loops.yaml#springborn-280"},
	{"memory.yaml#rinnsal-48-2", "memory.yaml#riedgras-24-2", ""},
	{"cards.yaml#gischt-220", "cards.yaml#gischt-320", "cards.yaml#kiesel-50", "cards.yaml#schlot-200", ""},
	{"supplies.yaml#leiselauf-600", "supplies.yaml#glutkern-1000", "supplies.yaml#glutbecken-850", "supplies.yaml#altglut-450"},
	{"drives.yaml#schiefer-25-8000", "drives.yaml#walze-35-20000", ""},
	{"loops.yaml#wehr-240", "", "", ""},
	{"fans.yaml#heron-120", "fans.yaml#heron-120-slim", "fans.yaml#bittern-140", "fans.yaml#wren-92", "fans.yaml#wren-80-slim", ""},
	{"fans.yaml#heron-120", "fans.yaml#wren-92-slim", ""},
	{"risers.yaml#steg-4-200", ""},
}

func randomItems(t testing.TB, r *rand.Rand, chassis *v1.Part) []seatedItem {
	items := []seatedItem{{id: "enclosure", name: "enclosure", count: 1, part: chassis}}
	for i, role := range roles {
		name := role[r.IntN(len(role))]
		if name == "" {
			continue
		}
		count := 1
		if strings.HasPrefix(name, "fans") {
			count = 1 + r.IntN(2)
		}
		id := fmt.Sprintf("item-%d", i)
		items = append(items, seatedItem{id: id, name: id, count: count, part: demoPart(t, name)})
	}
	return items
}

// The search agrees with trying every combination one by one, for random builds
// in all of the demo's enclosures with geometry: whether anything fits, how many
// arrangements do, and the best margin.
func TestSearchAgreesWithEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	compared, fits := 0, 0
	for _, name := range []string{"chassis.yaml#lichtung-18", "chassis.yaml#zwiefalt-11", "chassis.yaml#haldenkasten-24"} {
		e := readEnclosure(demoPart(t, name))
		for n := range 40 {
			items := randomItems(t, r, e.part)
			for layout := range e.layouts {
				p := makePlan(e, layout, items, nil, usual)
				if !p.seen {
					t.Fatalf("%s has no geometry: %v", name, p.flaws)
				}
				if p.space > 4000 {
					continue // too long to enumerate
				}
				problem := problemOf(e, layout, items)
				want := enumerate(problem)
				answer, err := arrange.Solve(context.Background(), problem, arrange.Question{Count: true})
				if err != nil {
					t.Fatal(err)
				}
				compared++
				if int(answer.Feasible) != want.feasible || p.found != (want.feasible > 0 && len(p.scene.left()) == 0) {
					t.Errorf("%s, build %d, layout %d: %d arrangements fit by search, %d of %d by enumeration", name, n, layout, answer.Feasible, want.feasible, want.combinations)
					continue
				}
				if want.feasible > 0 {
					fits++
					if got := answer.Ranked[0].Margin; got < geometry.Reach && math.Abs(got-want.best) > 1e-3 || len(p.chosen.gaps) > 0 && math.Abs(p.chosen.margin-want.best) > 1e-3 {
						t.Errorf("%s, build %d, layout %d: best margin %v mm by search, %v mm chosen, %v mm by enumeration", name, n, layout, got, p.chosen.margin, want.best)
					}
				}
			}
		}
	}
	if compared < 100 || fits < 30 || fits > compared-20 {
		t.Errorf("%d comparisons of which %d fit are too one-sided", compared, fits)
	}
}

// Where nothing fits, every change that is told makes everything fit once it is
// made: here by taking as much off the gap that it is about.
func TestChangesAreTheLeastThatHelp(t *testing.T) {
	build := demoBuild(t, "no-arrangement")
	thin := proto.Clone(build).(*v1.Build)
	for _, it := range thin.Items {
		if it.GetId() == "bottom-fans" {
			*it.Part.GetFan().ThicknessMm -= 3.91 // what the first change asks for, in its 0.01 mm
		}
	}
	e := readEnclosure(chassisOf(build))
	before := makePlan(e, 0, seatedOf(build), build.Arrangement.Placements, usual)
	after := makePlan(e, 0, seatedOf(thin), thin.Arrangement.Placements, usual)
	if before.found || !after.found {
		t.Fatalf("before the change it fits: %v, after it: %v", before.found, after.found)
	}
	if before.changes[0].mm < 3.9 || before.changes[0].mm > 3.92 || !strings.Contains(before.changes[0].text, "such as a fan of 15 mm") {
		t.Errorf("the first change is %q of %v mm", before.changes[0].text, before.changes[0].mm)
	}
	if after.chosen.margin > 1e-3 {
		t.Errorf("after the least change %v mm are to spare", after.chosen.margin)
	}
}

// A fixed choice never makes more fit, and the best of all choices is as good as
// the best of any.
func TestFixedChoicesOnlyTakeAway(t *testing.T) {
	for _, id := range []string{"archive-editor", "fans-under-card", "long-supply", "second-radiator", "upright-card", "front-desk"} {
		build := demoBuild(t, id)
		e, items := readEnclosure(chassisOf(build)), seatedOf(build)
		for layout := range e.layouts {
			free, fixed := makePlan(e, layout, items, nil, usual), makePlan(e, layout, items, build.GetArrangement().GetPlacements(), usual)
			if len(free.scene.lacks) != len(fixed.scene.lacks) {
				continue // a choice sends something where the layout has no mount
			}
			if fixed.found && (!free.found || free.chosen.margin < fixed.chosen.margin-1e-3) {
				t.Errorf("%s, layout %d: %v mm with the choices fixed, %v mm (%v) without", id, layout, fixed.chosen.margin, free.chosen.margin, free.found)
			}
		}
	}
}
