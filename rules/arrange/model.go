package arrange

import (
	"math"
	"slices"
	"strings"

	"slipfit.example/rules/geometry"
)

const (
	// unbounded is the margin in um of a pair that keeps no gap at all.
	unbounded = int64(math.MaxInt64)
	// ruledOut is the margin of what is left out for symmetry, not for a requirement.
	ruledOut = int64(math.MinInt64)
)

// micrometres rounds mm to whole micrometres.
func micrometres(mm float64) int64 { return int64(math.Round(mm * 1000)) }

// model is a problem in tables. Options are numbered through, variable by variable in the order of search: conditions
// before what depends on them, then by name; the options of a variable by name.
type model struct {
	p    *Problem
	vars []variable
	opts []option
	// unary and pair hold the smallest margin in um over all requirements of an option and of two options; pair is square.
	unary, pair []int64
	// net holds for each option and resource what it uses less what it gives.
	net   []int64
	stock []int64
	// hard marks the resources that cannot be bought.
	hard []bool

	reqs     []Requirement
	reqIndex map[Requirement]int32
	// resReq is the requirement of each hard resource, -1 for a buyable one.
	resReq []int32
	// unaryBreach holds the missed requirements of each option, pairBreach those of the pairs in pairs.
	unaryBreach [][]breach
	pairs       []pairBreaches
}

type pairBreaches struct {
	a, b     int32
	breaches []breach
}

type variable struct {
	src *Variable
	// from and to bound its options.
	from, to int32
	when     []condition
	// lastParent is the index of the last variable that it depends on, -1 without conditions.
	lastParent int
	isParent   bool
	class      string
	maxArea    int64
	// minNet is the least use of each resource over the options.
	minNet []int64
}

// condition is a Condition with numbers: allowed is indexed by option less the parent's first.
type condition struct {
	parent  int
	allowed []bool
}

type option struct {
	src    *Option
	v      int32
	bodies []Body
	area   int64
}

func (m *model) n() int { return len(m.opts) }

// newModel checks a problem and turns it into tables.
func newModel(p *Problem) (*model, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	m := &model{p: p, reqIndex: map[Requirement]int32{}}
	if err := m.order(); err != nil {
		return nil, err
	}
	if err := m.resources(); err != nil {
		return nil, err
	}
	if err := m.measure(); err != nil {
		return nil, err
	}
	if err := m.classes(); err != nil {
		return nil, err
	}
	return m, m.pins()
}

// order sorts the variables and numbers their options.
func (m *model) order() error {
	sorted := make([]*Variable, len(m.p.Variables))
	for i := range sorted {
		sorted[i] = &m.p.Variables[i]
	}
	slices.SortFunc(sorted, func(a, b *Variable) int { return strings.Compare(a.Name, b.Name) })
	known := map[string]bool{}
	for _, v := range sorted {
		known[v.Name] = true
	}
	for _, v := range sorted {
		for _, c := range v.When {
			if !known[c.Variable] {
				return refuse("variable %q depends on variable %q, which does not exist: correct its condition", v.Name, c.Variable)
			}
		}
	}
	placed := map[string]int{}
	for len(placed) < len(sorted) {
		next := slices.IndexFunc(sorted, func(v *Variable) bool {
			_, done := placed[v.Name]
			return !done && !slices.ContainsFunc(v.When, func(c Condition) bool { _, ok := placed[c.Variable]; return !ok })
		})
		if next < 0 {
			return refuse("the conditions of %s depend on each other in a circle, remove one of them", unplaced(sorted, placed))
		}
		if err := m.add(sorted[next], placed); err != nil {
			return err
		}
		placed[sorted[next].Name] = len(m.vars) - 1
	}
	return nil
}

func unplaced(sorted []*Variable, placed map[string]int) string {
	var names []string
	for _, v := range sorted {
		if _, ok := placed[v.Name]; !ok {
			names = append(names, v.Name)
		}
	}
	return strings.Join(names, ", ")
}

// add appends a variable whose parents are all there.
func (m *model) add(src *Variable, placed map[string]int) error {
	v := variable{src: src, from: int32(len(m.opts)), lastParent: -1, class: src.Interchangeable}
	options := make([]*Option, len(src.Options))
	for i := range options {
		options[i] = &src.Options[i]
	}
	slices.SortFunc(options, func(a, b *Option) int { return strings.Compare(a.Name, b.Name) })
	for _, o := range options {
		m.opts = append(m.opts, option{src: o, v: int32(len(m.vars)), area: o.FanArea, bodies: bodiesOf(src.Name, o.Name, o.Solids)})
		v.maxArea = max(v.maxArea, o.FanArea)
	}
	v.to = int32(len(m.opts))
	for _, c := range src.When {
		parent := placed[c.Variable]
		pv := &m.vars[parent]
		pv.isParent = true
		v.lastParent = max(v.lastParent, parent)
		allowed := make([]bool, pv.to-pv.from)
		for _, name := range c.Options {
			o, ok := m.find(parent, name)
			if !ok {
				return refuse("variable %q waits for option %q of variable %q, which does not exist: correct its condition", src.Name, name, c.Variable)
			}
			allowed[o-pv.from] = true
		}
		v.when = append(v.when, condition{parent, allowed})
	}
	m.vars = append(m.vars, v)
	return nil
}

func bodiesOf(variable, option string, solids []geometry.Solid) []Body {
	var all []Body
	for i := range solids {
		for j := range solids[i].Pieces {
			all = append(all, Body{variable, option, solids[i].Name, &solids[i].Pieces[j]})
		}
	}
	return all
}

// find returns the number of a variable's option by name.
func (m *model) find(v int, name string) (int32, bool) {
	for o := m.vars[v].from; o < m.vars[v].to; o++ {
		if m.opts[o].src.Name == name {
			return o, true
		}
	}
	return 0, false
}

// resources fills the tables of what options use.
func (m *model) resources() error {
	nr := len(m.p.Resources)
	index := map[string]int{}
	for i, r := range m.p.Resources {
		index[r.Name] = i
		m.stock = append(m.stock, int64(r.Stock))
		m.hard = append(m.hard, !r.Buyable)
		req := int32(-1)
		if !r.Buyable {
			req = m.register(Requirement{Kind: KindResource, A: r.Name})
		}
		m.resReq = append(m.resReq, req)
	}
	m.net = make([]int64, m.n()*nr)
	for o := range m.opts {
		src := m.opts[o].src
		for i, list := range [2][]Amount{src.Uses, src.Gives} {
			for _, a := range list {
				r, ok := index[a.Resource]
				if !ok || a.Count < 0 || a.Count > MaxCount {
					return refuse("option %q of variable %q uses or gives %d of resource %q, name a resource of the problem and a count from 0 to %d", src.Name, m.vars[m.opts[o].v].src.Name, a.Count, a.Resource, MaxCount)
				}
				count := int64(a.Count)
				if i == 1 {
					count = -count
				}
				m.net[o*nr+r] += count
			}
		}
	}
	for i := range m.vars {
		v := &m.vars[i]
		v.minNet = slices.Clone(m.net[int(v.from)*nr : (int(v.from)+1)*nr])
		for o := int(v.from) + 1; o < int(v.to); o++ {
			for r := range nr {
				v.minNet[r] = min(v.minNet[r], m.net[o*nr+r])
			}
		}
	}
	return nil
}

// pins turns the pins into breaches of the options that they rule out.
func (m *model) pins() error {
	for _, pin := range m.p.Pins {
		v := slices.IndexFunc(m.vars, func(v variable) bool { return v.src.Name == pin.Variable })
		if v < 0 {
			return refuse("variable %q is pinned but does not exist, correct the pin", pin.Variable)
		}
		kept, ok := m.find(v, pin.Option)
		if !ok {
			return refuse("variable %q is pinned to option %q, which it does not have: correct the pin", pin.Variable, pin.Option)
		}
		req := m.register(Requirement{KindPin, pin.Variable, pin.Option})
		for o := m.vars[v].from; o < m.vars[v].to; o++ {
			if o != kept {
				m.unary[o] = min(m.unary[o], -1)
				m.unaryBreach[o] = worsen(m.unaryBreach[o], req, 1)
			}
		}
	}
	return nil
}
