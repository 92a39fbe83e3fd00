package assembly

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/graph"
	"gonum.org/v1/gonum/graph/path"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
)

// draw makes a plan of so many steps. dense is the share of pairs that are related
// in a hundred, custom the share of relations that can be broken, ways whether some
// things have ways in.
func draw(r *rand.Rand, steps, dense, custom int, ways bool) *Plan {
	p := &Plan{}
	for i := range steps {
		s := Step{Name: "s" + strconv.Itoa(i), Rank: r.IntN(4)}
		if ways && r.IntN(3) == 0 {
			for w := range 1 + r.IntN(3) {
				way := Way{Name: "way " + strconv.Itoa(w)}
				for b := range steps {
					if b != i && r.IntN(100) < dense {
						way.Barred = append(way.Barred, b)
					}
				}
				s.Ways = append(s.Ways, way)
			}
		}
		p.Steps = append(p.Steps, s)
	}
	for i := range steps {
		for k := range steps {
			if i == k || r.IntN(100) >= dense {
				continue
			}
			rel := Relation{First: i, Then: k, Why: "it is drawn"}
			if r.IntN(100) < custom {
				rel.Undo = 1 + r.IntN(5)
			}
			p.Relations = append(p.Relations, rel)
		}
	}
	return p
}

// keeps fails where an order breaks what is firm, or is none.
func keeps(t *testing.T, p *Plan, seq Sequence) {
	t.Helper()
	n := p.net()
	var in set
	for _, s := range seq.Order {
		if in.has(s) || !n.may(s, in) {
			t.Fatalf("step %d cannot come next in %v of %+v", s, seq.Order, p)
		}
		in |= single(s)
	}
	if in != n.all() {
		t.Fatalf("%v leaves steps out", seq.Order)
	}
}

// 1,000 generated plans of firm relations against gonum's graph/topo: both find an
// order or both find none, the order found keeps every arc, and the circle told is
// as short as the shortest one of gonum's.
func TestOrderAgreesWithGraphLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 6))
	circles := 0
	for range 1000 {
		steps := 2 + r.IntN(14)
		p := draw(r, steps, 2+r.IntN(18), 0, false)
		g := simple.NewDirectedGraph()
		for i := range steps {
			g.AddNode(simple.Node(i))
		}
		for _, rel := range p.Relations {
			g.SetEdge(g.NewEdge(simple.Node(rel.First), simple.Node(rel.Then)))
		}
		_, unordered := topo.Sort(g)
		seq, err := p.Order()
		if (unordered == nil) != (err == nil) {
			t.Fatalf("gonum says %v, order says %v: %+v", unordered, err, p)
		}
		if err == nil {
			keeps(t, p, seq)
			if !seq.Exact || seq.Cost != 0 {
				t.Fatalf("cost %d, exact %v", seq.Cost, seq.Exact)
			}
			continue
		}
		circles++
		var cycle *CycleError
		if !errors.As(err, &cycle) {
			t.Fatal(err)
		}
		if want := shortestCircle(g); len(cycle.Steps) != want {
			t.Fatalf("circle of %d, the shortest is %d: %v", len(cycle.Steps), want, cycle)
		}
		for i, s := range cycle.Steps {
			if !g.HasEdgeFromTo(int64(s), int64(cycle.Steps[(i+1)%len(cycle.Steps)])) {
				t.Fatalf("%v is no circle", cycle.Steps)
			}
		}
	}
	if circles < 100 {
		t.Errorf("only %d of 1000 plans had a circle; the generator asks too little", circles)
	}
}

// shortestCircle is one arc and the shortest way back, by gonum.
func shortestCircle(g *simple.DirectedGraph) int {
	ways := path.DijkstraAllPaths(g)
	best := math.Inf(1)
	for _, e := range graph.EdgesOf(g.Edges()) {
		best = math.Min(best, 1+ways.Weight(e.To().ID(), e.From().ID()))
	}
	return int(best)
}

// Small plans with custom and ways, against all permutations.
func TestOrderCostsLeast(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	broken, barred := 0, 0
	for range 400 {
		p := draw(r, 2+r.IntN(6), 10+r.IntN(30), 70, true)
		least := cheapest(p)
		seq, err := p.Order()
		if least < 0 {
			barred++
			var cycle *CycleError
			if !errors.As(err, &cycle) || len(cycle.Steps) == 0 {
				t.Fatalf("no permutation serves, and order says %v: %+v", err, p)
			}
			continue
		}
		if err != nil {
			t.Fatalf("a permutation serves, and order says %v: %+v", err, p)
		}
		keeps(t, p, seq)
		if seq.Cost != least {
			t.Fatalf("cost %d, the least is %d: %+v", seq.Cost, least, p)
		}
		if least > 0 {
			broken++
		}
	}
	if broken < 50 || barred < 20 {
		t.Errorf("%d plans broke a custom and %d had no order; the generator asks too little", broken, barred)
	}
}

// cheapest is the least cost over all permutations, -1 where none is firm.
func cheapest(p *Plan) int {
	n, best := p.net(), -1
	var walk func(in set, cost int)
	walk = func(in set, cost int) {
		if best >= 0 && cost >= best {
			return
		}
		if in == n.all() {
			best = cost
			return
		}
		for s := range p.Steps {
			if !in.has(s) && n.may(s, in) {
				walk(in|single(s), cost+n.cost(s, in))
			}
		}
	}
	walk(0, 0)
	return best
}

// A knot that is too large to search is still put in an order that keeps what is
// firm, and says that it may cost more than need be.
func TestLargeKnotsAreOrderedAllTheSame(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	p := draw(r, 40, 30, 100, false)
	seq, err := p.Order()
	if err != nil {
		t.Fatal(err)
	}
	keeps(t, p, seq)
	if seq.Exact {
		t.Error("a knot of 40 steps is said to be searched to the end")
	}
}

func TestOrderIsTheSameForTheSamePlan(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range 200 {
		p := draw(r, 10, 15, 80, true)
		first, err := p.Order()
		again, errAgain := p.Order()
		if (err == nil) != (errAgain == nil) || !slices.Equal(first.Order, again.Order) {
			t.Fatalf("%v %v, then %v %v", first.Order, err, again.Order, errAgain)
		}
	}
}

// Custom decides what nothing else does: rank, then the order of naming.
func TestCustomDecidesBetweenEquals(t *testing.T) {
	p := &Plan{Steps: []Step{{Name: "d", Rank: 2}, {Name: "b", Rank: 1}, {Name: "c", Rank: 1}, {Name: "a", Rank: 9}},
		Relations: []Relation{{First: 3, Then: 1}}}
	seq, err := p.Order()
	if err != nil || !slices.Equal(seq.Order, []int{2, 0, 3, 1}) {
		t.Errorf("%v %v", seq.Order, err)
	}
}

func TestContradictoryOrdersAreTold(t *testing.T) {
	p := &Plan{Steps: []Step{{Name: "board"}, {Name: "inlet lead"}, {Name: "plate"}}, Relations: []Relation{
		{First: 1, Then: 0, Why: "it runs behind the board"},
		{First: 0, Then: 1, Why: "it hangs on the board"},
		{First: 2, Then: 0, Why: "it lies behind it"},
	}}
	_, err := p.Order()
	want := "these cannot be put together in any order: board before inlet lead, because it hangs on the board; " +
		"inlet lead before board, because it runs behind the board; take one of them out of the plan"
	if err == nil || err.Error() != want {
		t.Errorf("%v\nwant %s", err, want)
	}
}

func TestThingsThatBarEachOther(t *testing.T) {
	p := &Plan{Steps: []Step{
		{Name: "card", Ways: []Way{{Name: "through the left side", Barred: []int{1}}}},
		{Name: "supply", Ways: []Way{{Name: "through the front", Barred: []int{0}}}},
	}}
	_, err := p.Order()
	want := "these cannot be put together in any order: card before supply, because supply bars its way through the left side; " +
		"supply before card, because card bars its way through the front; take one of them out of the plan"
	if err == nil || err.Error() != want {
		t.Errorf("%v\nwant %s", err, want)
	}
	p.Steps[1].Ways = append(p.Steps[1].Ways, Way{Name: "through the top"})
	if seq, err := p.Order(); err != nil || !slices.Equal(seq.Order, []int{0, 1}) {
		t.Errorf("with another way: %v %v", seq.Order, err)
	}
}

func TestPlansThatAreNone(t *testing.T) {
	for want, p := range map[string]*Plan{
		"a plan of 65 steps is more than the 64 that are put in order; join some":                                    {Steps: make([]Step, 65)},
		"relation 1 joins steps 0 and 3 at 0; steps count from 0 to 1 and costs from 0 to 1000000":                   {Steps: make([]Step, 2), Relations: []Relation{{Then: 3}}},
		"the way of step 1 (a) is barred by step 0; steps count from 0 to 0, and none bars itself":                   {Steps: []Step{{Name: "a", Ways: []Way{{Barred: []int{0}}}}}},
		"these cannot be put together in any order: a before a, because of itself; take one of them out of the plan": {Steps: []Step{{Name: "a"}}, Relations: []Relation{{Why: "of itself"}}},
		"relation 1 joins steps 0 and 1 at -1; steps count from 0 to 1 and costs from 0 to 1000000":                  {Steps: make([]Step, 2), Relations: []Relation{{Then: 1, Undo: -1}}},
		"the way of step 1 (a) is barred by step 9; steps count from 0 to 0, and none bars itself":                   {Steps: []Step{{Name: "a", Ways: []Way{{Barred: []int{9}}}}}},
	} {
		if _, err := p.Order(); err == nil || err.Error() != want {
			t.Errorf("%v\nwant %s", err, want)
		}
	}
	full := &Plan{Steps: make([]Step, 64)}
	if seq, err := full.Order(); err != nil || len(seq.Order) != 64 {
		t.Errorf("64 steps: %v %v", seq.Order, err)
	}
}

// BenchmarkOrder puts 24 steps in order, with custom and ways: a full desktop.
func BenchmarkOrder(b *testing.B) {
	r := rand.New(rand.NewPCG(2, 9))
	p := draw(r, 24, 8, 60, true)
	for { // the first plan that can be put together
		if _, err := p.Order(); err == nil {
			break
		}
		p = draw(r, 24, 6, 80, true)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.Order(); err != nil {
			b.Fatal(err)
		}
	}
}
