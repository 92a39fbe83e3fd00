package arrange

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
)

// demoPlan is of the size of a small enclosure's build: five layouts, each with five board offsets, two supply poses, four
// fan mounts with three options and two radiator mounts with four: 64 800 combinations.
func demoPlan() *plan {
	p := &plan{resources: []Resource{{Name: "bracket", Stock: 1, Buyable: true, Price: 400}, {Name: "screw", Stock: 40}}}
	p.need = [4][4]tenths{{0, 0, 0, 0}, {0, 0, 20, 30}, {0, 20, 0, 10}, {0, 30, 10, 0}}
	at := func(x, y, z, dx, dy, dz tenths) block {
		return block{[3]tenths{x, y, z}, [3]tenths{x + dx, y + dy, z + dz}}
	}
	// The frame: six panels round 4000 x 1800 x 3000 tenths of a mm.
	p.fixed = []block{at(-20, 0, 0, 20, 1800, 3000), at(4000, 0, 0, 20, 1800, 3000), at(0, -20, 0, 4000, 20, 3000),
		at(0, 1800, 0, 4000, 20, 3000), at(0, 0, -20, 4000, 1800, 20), at(0, 0, 3000, 4000, 1800, 20)}
	layouts := planVar{name: "layout"}
	for l := range 5 {
		name := fmt.Sprintf("layout %d", l)
		layouts.options = append(layouts.options, planOption{name: name, blocks: []block{at(1800+100*l, 0, 0, 30, 300, 3000)}, net: []int{0, 0}})
		when := []Condition{{"layout", []string{name}}}
		board := planVar{name: name + " board", when: when}
		for o := range 5 {
			x, y := 60, 100+50*o
			board.options = append(board.options, planOption{name: fmt.Sprintf("offset %d", o), kind: 1, net: []int{0, 4}, area: 0,
				blocks: []block{at(x, y, 1200, 1700, 60, 1700), at(x+200, y+60, 1500, 1200, 700+20*l, 1200), at(x+100, y+60, 1250, 1500, 110, 200)}})
		}
		supply := planVar{name: name + " supply", when: when}
		for o := range 2 {
			supply.options = append(supply.options, planOption{name: fmt.Sprintf("pose %d", o), kind: 3, net: []int{1 - o, 4},
				blocks: []block{at(2400+100*l, 100+300*o, 60, 1250+150*o, 635, 1000)}})
		}
		p.vars = append(p.vars, board, supply)
		for f := range 4 {
			fan := planVar{name: fmt.Sprintf("%s fan %d", name, f), when: when}
			for o, thick := range []tenths{250, 150} {
				fan.options = append(fan.options, planOption{name: fmt.Sprintf("fan %d thick", thick), kind: 2, net: []int{0, 4}, area: int64(9000 - 500*o),
					blocks: []block{at(4000-thick-(f/2)*1250, 60, 300+(f%2)*1250, thick, 1200, 1200)}})
			}
			p.vars = append(p.vars, fan.orNone())
		}
		for d := range 2 {
			rad := planVar{name: fmt.Sprintf("%s radiator %d", name, d), when: when}
			for o, thick := range []tenths{270, 380, 450} {
				rad.options = append(rad.options, planOption{name: fmt.Sprintf("radiator %d thick", thick), kind: 2, net: []int{1, 8}, area: int64(14400 * (o + 1)),
					blocks: []block{at(1000+1300*d, 1740-thick, 1000, 1200, thick, 1900), at(1000+1300*d, 1740-thick-250, 1000, 1200, 250, 1900)}})
			}
			p.vars = append(p.vars, rad.orNone())
		}
	}
	p.vars = append(p.vars, layouts)
	return p
}

// bruteForce tries every combination on the same tables as the search, without pruning, and returns the number of
// feasible ones and the best margin in um.
func bruteForce(m *model) (feasible, tried uint64, best int64) {
	n, nr := m.n(), len(m.stock)
	choice := make([]int32, 0, len(m.vars))
	taken := make([]int32, len(m.vars))
	best = -1
	var try func(v int)
	try = func(v int) {
		if v == len(m.vars) {
			tried++
			margin := unbounded
			for i, a := range choice {
				margin = min(margin, m.unary[a])
				for _, b := range choice[:i] {
					margin = min(margin, m.pair[int(a)*n+int(b)])
				}
			}
			ok := margin >= 0
			for r := range nr {
				net := int64(0)
				for _, a := range choice {
					net += m.net[int(a)*nr+r]
				}
				ok = ok && (!m.hard[r] || net <= m.stock[r])
			}
			if ok {
				feasible++
				best = max(best, margin)
			}
			return
		}
		taken[v] = -1
		for _, c := range m.vars[v].when {
			if t := taken[c.parent]; t < 0 || !c.allowed[t-m.vars[c.parent].from] {
				try(v + 1)
				return
			}
		}
		for o := m.vars[v].from; o < m.vars[v].to; o++ {
			taken[v] = o
			choice = append(choice, o)
			try(v + 1)
			choice = choice[:len(choice)-1]
		}
	}
	try(0)
	return feasible, tried, best
}

func TestDemoAgainstBruteForce(t *testing.T) {
	p := demoPlan().problem(t)
	m, err := newModel(p)
	if err != nil {
		t.Fatal(err)
	}
	feasible, tried, best := bruteForce(m)
	a := solve(t, p, Question{Ranked: 10, Count: true, Front: true})
	if !a.Exhaustive || a.Feasible != feasible || a.Space != tried || micrometres(a.Ranked[0].Margin) != best {
		t.Fatalf("%d of %d fit at %v mm; brute force finds %d of %d at %d um", a.Feasible, a.Space, a.Ranked[0].Margin, feasible, tried, best)
	}
	if a.Visited >= int64(a.Space) {
		t.Errorf("%d nodes visited in a space of %d", a.Visited, a.Space)
	}
}

// BenchmarkDemo shows the search, brute force on ready-made tables, and the constraint solver's own solve time side by
// side on one build.
func BenchmarkDemo(b *testing.B) {
	plan := demoPlan()
	p := plan.problem(b)
	for _, c := range []struct {
		name string
		q    Question
	}{
		{"search/best", Question{}},
		{"search/all", Question{Ranked: 10, Count: true, Front: true}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			var a *Answer
			for b.Loop() {
				a = solve(b, p, c.q)
			}
			b.ReportMetric(float64(a.Visited), "nodes")
			b.ReportMetric(100*float64(a.Visited)/float64(a.Space), "%visited")
		})
	}
	b.Run("tables", func(b *testing.B) {
		for b.Loop() {
			if _, err := newModel(p); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("bruteforce", func(b *testing.B) {
		m, err := newModel(p)
		if err != nil {
			b.Fatal(err)
		}
		var tried uint64
		for b.Loop() {
			_, tried, _ = bruteForce(m)
		}
		b.ReportMetric(float64(tried), "nodes")
	})
	b.Run("solver", func(b *testing.B) {
		requireSolver(b)
		for b.Loop() {
			a, err := askSolver(b.TempDir(), 0, plan)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(float64(a.solved.Nanoseconds()), "solve-ns")
		}
	})
}

// BenchmarkConflict explains an infeasible enclosure.
func BenchmarkConflict(b *testing.B) {
	plan := demoPlan()
	for i := range plan.need {
		for j := range plan.need {
			plan.need[i][j] += 600
		}
	}
	p := plan.problem(b)
	var a *Answer
	for b.Loop() {
		a = solve(b, p, Question{})
	}
	if len(a.Conflict) == 0 {
		b.Fatal("the build fits")
	}
	b.ReportMetric(float64(len(a.Conflict)), "members")
	b.ReportMetric(float64(a.Visited), "nodes")
}

// BenchmarkMillions searches a crowded space of 10^9 combinations.
func BenchmarkMillions(b *testing.B) {
	p := millions(b, 9)
	var a *Answer
	for b.Loop() {
		var err error
		if a, err = Solve(context.Background(), p, Question{Count: true, Front: true}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(a.Visited), "nodes")
	b.ReportMetric(float64(a.Space), "space")
}

// BenchmarkMillionsConflict explains a space of 10^9 combinations none of which fits.
func BenchmarkMillionsConflict(b *testing.B) {
	p := millions(b, 9)
	p.Required = func(_, _ *Body) (float64, bool) { return 120, true }
	var a *Answer
	for b.Loop() {
		a = solve(b, p, Question{})
	}
	b.ReportMetric(float64(a.Visited), "nodes")
	b.ReportMetric(float64(len(a.Conflict)), "members")
	b.ReportMetric(float64(len(a.Corrections)), "corrections")
}

// millions returns a problem of 10^n combinations: n variables whose parts disturb each other.
func millions(t testing.TB, n int) *Problem {
	r := rand.New(rand.NewPCG(8, 9))
	p := &plan{}
	for v := range n {
		p.vars = append(p.vars, p.randomVar(r, fmt.Sprintf("part %02d", v), 1, 10, 3000, 300, nil))
	}
	return p.problem(t)
}
