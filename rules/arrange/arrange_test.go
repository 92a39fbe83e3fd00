package arrange

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"slipfit.example/rules/geometry"
)

const ranked = 7

func solve(t testing.TB, p *Problem, q Question) *Answer {
	t.Helper()
	a, err := Solve(context.Background(), p, q)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// A thousand generated enclosures against plain enumeration.
func TestAgainstEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	feasible := 0
	for i := range 1000 {
		p := randomPlan(r, i%2 == 0)
		leaves, tried := p.enumerate()
		a := solve(t, p.problem(t), Question{Ranked: ranked, Count: true, Front: true})
		if len(a.Ranked) != min(ranked, len(leaves)) {
			t.Fatalf("plan %d: %d arrangements ranked, %d are feasible", i, len(a.Ranked), len(leaves))
		}
		hold(t, a, leaves, tried)
		if len(leaves) > 0 {
			feasible++
		}
	}
	if feasible < 200 || feasible > 800 {
		t.Fatalf("%d of 1000 plans are feasible: the sample is lopsided", feasible)
	}
}

// The answer does not depend on the order in which variables, options and resources are declared.
func TestOrderOfDeclarationDoesNotMatter(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 11))
	q := Question{Ranked: 5, Count: true, Front: true}
	for i := range 60 {
		p := randomPlan(r, i%2 == 0)
		want := solve(t, p.problem(t), q)
		r.Shuffle(len(p.vars), func(i, j int) { p.vars[i], p.vars[j] = p.vars[j], p.vars[i] })
		for _, v := range p.vars {
			r.Shuffle(len(v.options), func(i, j int) { v.options[i], v.options[j] = v.options[j], v.options[i] })
		}
		got := solve(t, p.problem(t), q)
		if g, w := describe(got), describe(want); g != w {
			t.Fatalf("plan %d after shuffling:\n%s\nbefore:\n%s", i, g, w)
		}
	}
}

// describe writes an answer without the addresses in it.
func describe(a *Answer) string {
	var s strings.Builder
	fmt.Fprintln(&s, a.Feasible, a.Space, a.Visited, a.Conflict, a.Corrections)
	for _, list := range [][]Arrangement{a.Ranked, a.Front} {
		for _, x := range list {
			fmt.Fprintln(&s, x.Choices, x.Margin, x.Purchases, x.Cost, x.FanArea, x.Tightest.Requirement, x.Tightest.Gap)
		}
	}
	return s.String()
}

func cube(t testing.TB, name string, x, edge float64) geometry.Solid {
	t.Helper()
	b, err := geometry.NewBoxAt(geometry.Vec{x, 0, 0}, geometry.Vec{edge, edge, edge})
	if err != nil {
		t.Fatal(err)
	}
	return geometry.Solid{Name: name, Pieces: []geometry.Piece{{Box: b}}}
}

// cardAndFan is a card of 300 mm in an enclosure that ends at 330 mm, with a fan of 25 or 35 mm before its end.
func cardAndFan(t testing.TB) *Problem {
	return &Problem{
		Fixed: []geometry.Solid{cube(t, "front panel", 330, 100)},
		Variables: []Variable{
			{Name: "card", Options: []Option{{Name: "slot 1", Solids: []geometry.Solid{cube(t, "card", 0, 300)}}}},
			{Name: "fan", Options: []Option{
				{Name: "deep", Solids: []geometry.Solid{cube(t, "fan", 295, 35)}, FanArea: 100},
				{Name: "slim", Solids: []geometry.Solid{cube(t, "fan", 305, 25)}, FanArea: 80, Uses: []Amount{{"bracket", 2}}},
			}},
		},
		Resources: []Resource{{Name: "bracket", Stock: 1, Buyable: true, Price: 450}},
		Required: func(a, b *Body) (float64, bool) {
			if a.Variable != "" && b.Variable != "" {
				return 3, true
			}
			return 0, true
		},
	}
}

func TestAnswerNamesMarginAndPurchases(t *testing.T) {
	a := solve(t, cardAndFan(t), Question{Count: true})
	if len(a.Ranked) != 1 || a.Feasible != 1 {
		t.Fatalf("answer %+v", a)
	}
	got := a.Ranked[0]
	if got.Margin != 0 || got.Tightest.Requirement != (Requirement{KindGap, "fan", "front panel"}) || got.Pieces != 1 || got.Cost != 450 {
		t.Errorf("arrangement %+v, tightest %+v", got, got.Tightest)
	}
	p := cardAndFan(t)
	p.Pins = []Choice{{"fan", "deep"}}
	a = solve(t, p, Question{})
	if len(a.Ranked) != 0 || fmt.Sprint(a.Conflict) != "[fan stays at deep card keeps its gap to fan]" {
		t.Fatalf("conflict %v", a.Conflict)
	}
	if len(a.Corrections) != 2 || a.Corrections[0].Changes[0].Millimetres != 8 || a.Corrections[1].Changes[0].Requirement.Kind != KindPin {
		t.Errorf("corrections %+v: want 8 mm more between card and fan, or the pin taken out", a.Corrections)
	}
}

func TestBasisDecidesOnToleratedGaps(t *testing.T) {
	loose, err := geometry.Limits(-0.5, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	for basis, want := range map[geometry.Basis]float64{geometry.Nominal: 0, geometry.WorstCase: -1, geometry.RootSumSquare: -0.707} {
		p := cardAndFan(t)
		p.Basis = basis
		p.Variables[1].Options = p.Variables[1].Options[1:]
		p.Required = func(a, b *Body) (float64, bool) { return 5, a.Variable != "" && b.Variable != "" }
		p.Variables[0].Options[0].Solids[0].Pieces[0].Deviations[geometry.MaxX] = loose
		p.Variables[1].Options[0].Solids[0].Pieces[0].Deviations[geometry.MinX] = loose
		a := solve(t, p, Question{})
		got := 0.0
		if len(a.Ranked) > 0 {
			got = a.Ranked[0].Margin
		} else {
			got = -a.Corrections[0].Changes[0].Millimetres
		}
		if got != want {
			t.Errorf("basis %v: margin %v mm, want %v mm", basis, got, want)
		}
	}
}

func TestBudgetBoundsTheSearch(t *testing.T) {
	p := millions(t, 12)
	p.Required = func(a, b *Body) (float64, bool) { return -1000, true } // nothing ever conflicts: the worst case
	for v := range p.Variables {
		for o := range p.Variables[v].Options {
			p.Variables[v].Options[o].Limits = nil
		}
	}
	a := solve(t, p, Question{Ranked: 300, Count: true, Front: true, Budget: 200})
	if a.Exhaustive || a.FeasibleExact || a.Visited > 200 || a.Space != 1_000_000_000_000 {
		t.Errorf("visited %d of %d, exhaustive %v", a.Visited, a.Space, a.Exhaustive)
	}
	a = solve(t, p, Question{Count: true})
	if !a.FeasibleExact || a.Feasible != a.Space {
		t.Errorf("%d of %d counted (exact %v): parts that never disturb each other multiply", a.Feasible, a.Space, a.FeasibleExact)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Solve(ctx, p, Question{Count: true, Front: true, Ranked: MaxRanked, Budget: 1 << 40}); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want that of the context", err)
	}
}

func TestEmptyProblemHasOneArrangement(t *testing.T) {
	a := solve(t, &Problem{}, Question{Count: true, Front: true})
	if len(a.Ranked) != 1 || a.Feasible != 1 || a.Space != 1 || a.Ranked[0].Tightest != nil || a.Ranked[0].Margin != geometry.Reach {
		t.Errorf("answer %+v", a)
	}
}

func TestMalformedProblemsAreRefused(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		want  string
		spoil func(*Problem)
	}{
		{`variable 0 has the name ""`, func(p *Problem) { p.Variables[0].Name = "" }},
		{`variable 1 has the name "card"`, func(p *Problem) { p.Variables[1].Name = "card" }},
		{`variable "card" has no option`, func(p *Problem) { p.Variables[0].Options = nil }},
		{`option "deep" of variable "fan" is not named or named twice`, func(p *Problem) { p.Variables[1].Options[1].Name = "deep" }},
		{`adds a fan area of -1 mm2`, func(p *Problem) { p.Variables[1].Options[0].FanArea = -1 }},
		{`keeps the limit "length" by NaN mm`, func(p *Problem) { p.Variables[0].Options[0].Limits = []Limit{{"length", nan}} }},
		{`option "slot 1" of variable "card": box 0 of part "card" has no volume`, func(p *Problem) { p.Variables[0].Options[0].Solids[0].Pieces[0].Box = geometry.Box{} }},
		{`the fixed parts: part 0 has no name`, func(p *Problem) { p.Fixed[0].Name = "" }},
		{`depends on variable "riser", which does not exist`, func(p *Problem) { p.Variables[0].When = []Condition{{"riser", nil}} }},
		{`waits for option "off" of variable "fan"`, func(p *Problem) { p.Variables[0].When = []Condition{{"fan", []string{"off"}}} }},
		{`the conditions of card, fan depend on each other in a circle`, func(p *Problem) {
			p.Variables[0].When = []Condition{{"fan", []string{"deep"}}}
			p.Variables[1].When = []Condition{{"card", []string{"slot 1"}}}
		}},
		{`the conditions of card depend on each other in a circle`, func(p *Problem) { p.Variables[0].When = []Condition{{"card", []string{"slot 1"}}} }},
		{`resource 0 has the name ""`, func(p *Problem) { p.Resources[0].Name = "" }},
		{`resource "bracket" has a stock of -1`, func(p *Problem) { p.Resources[0].Stock = -1 }},
		{`uses or gives -2 of resource "bracket"`, func(p *Problem) { p.Variables[1].Options[1].Uses[0].Count = -2 }},
		{`uses or gives 2 of resource "clip"`, func(p *Problem) { p.Variables[1].Options[1].Uses[0].Resource = "clip" }},
		{`variable "drive" is pinned but does not exist`, func(p *Problem) { p.Pins = []Choice{{"drive", "a"}} }},
		{`variable "fan" is pinned to option "none", which it does not have`, func(p *Problem) { p.Pins = []Choice{{"fan", "none"}} }},
		{`the required gap between "card" and "front panel" is NaN mm`, func(p *Problem) { p.Required = func(_, _ *Body) (float64, bool) { return nan, true } }},
		{`declared interchangeable as "k" but differ in the number of options`, func(p *Problem) { p.Variables[0].Interchangeable, p.Variables[1].Interchangeable = "k", "k" }},
		{`declared interchangeable as "k" but differ in the gaps of option deep`, func(p *Problem) {
			twin := p.Variables[1]
			twin.Name, twin.Options = "fan 2", slices.Clone(twin.Options)
			twin.Options[0].Solids = []geometry.Solid{cube(t, "fan", 295.5, 34)}
			p.Variables = append(p.Variables, twin)
			p.Variables[1].Interchangeable, p.Variables[2].Interchangeable = "k", "k"
			p.Fixed = nil
		}},
		{`the problem has 5001 boxes`, func(p *Problem) {
			p.Variables = p.Variables[:1]
			p.Fixed[0].Pieces = make([]geometry.Piece, 5000)
		}},
		{`at most 1024 can be searched`, func(p *Problem) {
			for i := range 1024 {
				p.Variables[0].Options = append(p.Variables[0].Options, Option{Name: fmt.Sprint(i)})
			}
		}},
	} {
		p := cardAndFan(t)
		c.spoil(p)
		if _, err := Solve(context.Background(), p, Question{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want one with %q", err, c.want)
		}
	}
	if _, err := Solve(context.Background(), cardAndFan(t), Question{Ranked: -1}); err == nil {
		t.Error("-1 arrangements can be asked for")
	}
}
