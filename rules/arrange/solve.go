package arrange

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"slipfit.example/rules/geometry"
)

// DefaultBudget is the number of nodes that a search may visit unless its question says otherwise: well below a second on
// a machine of 2020.
const DefaultBudget = 2_000_000

// MaxRanked is the largest number of arrangements that a question may ask for.
const MaxRanked = 10_000

// Question says what of the answer is wanted.
type Question struct {
	// Ranked is how many arrangements to list, best first; 0 means 1.
	Ranked int
	// Count asks for the number of all feasible arrangements.
	Count bool
	// Front asks for the arrangements that no other beats in margin, fan area and added cost at once.
	Front bool
	// Bare leaves out where margins are: Tightest of every arrangement stays nil.
	Bare bool
	// Budget is the largest number of nodes to visit for the whole answer, an option taken for a variable being one; 0
	// means DefaultBudget.
	Budget int64
}

// Answer is what a search found.
type Answer struct {
	// Ranked holds the best arrangements: largest smallest margin first, then fewest pieces to buy, then the order of the
	// option names, variable by variable. The first variable by name whose conditions are behind it comes next. Empty if
	// nothing fits.
	Ranked []Arrangement
	// Front holds one arrangement for each best combination of margin, fan area and added cost, by falling margin.
	Front []Arrangement
	// Feasible is the number of feasible arrangements, if asked for. FeasibleExact tells that it is the number and not a
	// lower bound.
	Feasible      uint64
	FeasibleExact bool
	// Conflict is a set of requirements that cannot be kept together, given where nothing fits. If ConflictMinimal, any
	// one of them can be dropped and the rest of them can be kept. Other conflicts may remain elsewhere.
	Conflict        []Requirement
	ConflictMinimal bool
	// Corrections are the smallest changes that make the whole problem feasible, cheapest first, up to three
	// requirements at a time; given where nothing fits.
	Corrections []Correction
	// Space is the number of all combinations of options that the conditions allow, feasible or not: a lower bound if
	// more than a hundred thousand combinations of conditions matter, and MaxUint64 if larger than that.
	Space uint64
	// Visited is the number of nodes visited for the whole answer.
	Visited int64
	// Exhaustive tells that no search was cut short: what is not listed is not there. It is false where the budget ended.
	Exhaustive bool
}

// Arrangement is a feasible choice.
type Arrangement struct {
	// Choices lists the active variables in the order of search.
	Choices []Choice
	// Margin is the smallest margin in mm; geometry.Reach if no gap and no limit applies.
	Margin float64
	// Tightest is where the margin is, nil if no gap and no limit applies, or if the question is bare.
	Tightest *Pinch
	// Purchases are the missing pieces of buyable resources, Pieces their number, Cost their price in the smallest unit
	// of the currency.
	Purchases    []Purchase
	Pieces, Cost int64
	// FanArea is the sum over the options in mm2.
	FanArea int64
}

// Purchase is what is missing of a resource.
type Purchase struct {
	Resource     string
	Pieces, Cost int64
}

// Pinch is the requirement with the smallest margin.
type Pinch struct {
	Requirement Requirement
	// A and B are the pieces of a gap, with empty variables for fixed parts; unset for a limit.
	A, B Body
	Gap  geometry.Gap
	// Required is the gap that had to be kept, in mm; 0 for a limit.
	Required float64
	// Margin is what is left, in mm.
	Margin float64
}

// Correction is a set of requirements that, eased by what they are short of, let an arrangement through.
type Correction struct {
	Changes []Change
	// Choices is an arrangement that then fits.
	Choices []Choice
}

// Change is how far a requirement has to be eased.
type Change struct {
	Requirement Requirement
	// Millimetres is what a gap or a limit is short of.
	Millimetres float64
	// Pieces is what a resource is short of.
	Pieces int64
}

// Solve searches a problem. It returns an error if the problem is malformed or the context ends; running out of budget
// is no error, the answer says so.
func Solve(ctx context.Context, p *Problem, q Question) (*Answer, error) {
	if q.Ranked < 0 || q.Ranked > MaxRanked || q.Budget < 0 {
		return nil, refuse("%d arrangements within %d nodes cannot be listed, ask for 0 to %d arrangements and a budget of at least 0", q.Ranked, q.Budget, MaxRanked)
	}
	m, err := newModel(p)
	if err != nil {
		return nil, err
	}
	meter := &meter{ctx: ctx, budget: cmp.Or(q.Budget, DefaultBudget)}
	a := &Answer{Exhaustive: true}
	m.answer(a, q, meter)
	if meter.err != nil {
		return nil, fmt.Errorf("arrange: the search was stopped after %d nodes: %w", meter.used, meter.err)
	}
	a.Space = m.space()
	a.Visited = meter.used
	return a, nil
}

func (m *model) answer(a *Answer, q Question, meter *meter) {
	t := &tables{m.unary, m.pair, make([]int64, len(m.stock))}
	for r := range t.stock {
		t.stock[r] = plenty
		if m.hard[r] {
			t.stock[r] = m.stock[r]
		}
	}
	g := &ranking{limit: max(1, q.Ranked), wantFront: q.Front}
	a.Exhaustive = newWalk(m, t, meter, g).run()
	if q.Count && (a.Exhaustive || len(g.top) > 0) {
		a.Feasible, a.FeasibleExact = newCounter(m, t, meter).run()
		a.Feasible = max(a.Feasible, uint64(len(g.top)))
		a.Exhaustive = a.Exhaustive && (a.FeasibleExact || a.Feasible == math.MaxUint64)
	}
	for i := range g.top {
		a.Ranked = append(a.Ranked, m.arrangement(&g.top[i], q.Bare))
	}
	slices.SortStableFunc(g.front, func(a, b found) int {
		return cmp.Or(cmp.Compare(b.margin, a.margin), cmp.Compare(b.area, a.area))
	})
	for i := range g.front {
		a.Front = append(a.Front, m.arrangement(&g.front[i], q.Bare))
	}
	if a.Exhaustive && len(g.top) == 0 {
		m.explain(a, meter)
	}
}

// explain fills in why nothing fits.
func (m *model) explain(a *Answer, meter *meter) {
	x := newRelaxation(m, meter)
	all := m.breakable()
	conflict, minimal := x.conflict(all)
	a.ConflictMinimal = minimal
	for _, r := range conflict {
		a.Conflict = append(a.Conflict, m.reqs[r])
	}
	list := x.corrections(all, conflict)
	m.rank(list)
	for _, c := range list {
		out := Correction{Choices: m.choices(c.choice)}
		for i, r := range c.reqs {
			change := Change{Requirement: m.reqs[r]}
			switch m.reqs[r].Kind {
			case KindPin:
			case KindResource:
				change.Pieces = c.short[i]
			default:
				change.Millimetres = float64(c.short[i]) / 1000
			}
			out.Changes = append(out.Changes, change)
		}
		a.Corrections = append(a.Corrections, out)
	}
	if meter.spent() {
		a.Exhaustive = false
	}
}
