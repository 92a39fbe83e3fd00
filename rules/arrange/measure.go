package arrange

import (
	"math"

	"slipfit.example/rules/geometry"
)

// measure fills the margin tables from the boxes and the limits.
func (m *model) measure() error {
	n := m.n()
	m.unary, m.pair = make([]int64, n), make([]int64, n*n)
	m.unaryBreach = make([][]breach, n)
	for i := range m.pair {
		m.pair[i] = unbounded
	}
	fixed := bodiesOf("", "", m.p.Fixed)
	for o := range m.opts {
		if err := m.measureOption(o, fixed); err != nil {
			return err
		}
	}
	for u := range m.vars {
		for v := u + 1; v < len(m.vars); v++ {
			if err := m.measureVariables(u, v); err != nil {
				return err
			}
		}
	}
	return nil
}

// measureOption holds an option against its limits, against the fixed parts, and its parts against each other.
func (m *model) measureOption(o int, fixed []Body) error {
	opt := &m.opts[o]
	margin, list := unbounded, m.unaryBreach[o]
	for _, l := range opt.src.Limits {
		um := micrometres(l.Margin)
		margin = min(margin, um)
		if um < 0 {
			list = worsen(list, m.register(Requirement{KindLimit, m.vars[opt.v].src.Name, l.Name}), -um)
		}
	}
	var err error
	if margin, list, err = m.measureBodies(opt.bodies, fixed, margin, list); err != nil {
		return err
	}
	for i := range opt.bodies {
		for j := i + 1; j < len(opt.bodies); j++ {
			if opt.bodies[i].Solid == opt.bodies[j].Solid {
				continue
			}
			if margin, list, err = m.measureBodies(opt.bodies[i:i+1], opt.bodies[j:j+1], margin, list); err != nil {
				return err
			}
		}
	}
	m.unary[o], m.unaryBreach[o] = margin, list
	return nil
}

// measureVariables holds the options of two variables against each other, as far as they can be active together.
func (m *model) measureVariables(u, v int) error {
	if !m.together(u, v) {
		return nil
	}
	n := m.n()
	for a := int(m.vars[u].from); a < int(m.vars[u].to); a++ {
		for b := int(m.vars[v].from); b < int(m.vars[v].to); b++ {
			margin, list, err := m.measureBodies(m.opts[a].bodies, m.opts[b].bodies, unbounded, nil)
			if err != nil {
				return err
			}
			m.pair[a*n+b], m.pair[b*n+a] = margin, margin
			if len(list) > 0 {
				m.pairs = append(m.pairs, pairBreaches{int32(a), int32(b), list})
			}
		}
	}
	return nil
}

// together reports whether no condition keeps two variables from being active at the same time. It looks at the
// conditions on common parents only, so it may say yes once too often, which costs time and changes nothing.
func (m *model) together(u, v int) bool {
	for _, c := range m.vars[u].when {
		for _, d := range m.vars[v].when {
			if c.parent != d.parent {
				continue
			}
			common := false
			for i := range c.allowed {
				common = common || (c.allowed[i] && d.allowed[i])
			}
			if !common {
				return false
			}
		}
	}
	return true
}

// measureBodies lowers a margin to the smallest one between two lists of bodies and collects what is missed.
func (m *model) measureBodies(as, bs []Body, margin int64, list []breach) (int64, []breach, error) {
	for i := range as {
		for j := range bs {
			a, b := &as[i], &bs[j]
			need, ok, err := m.required(a, b)
			if err != nil {
				return 0, nil, err
			}
			if !ok {
				continue
			}
			um := micrometres(m.gap(a.Piece, b.Piece) - need)
			margin = min(margin, um)
			if um < 0 {
				list = worsen(list, m.register(Requirement{KindGap, a.Solid, b.Solid}), -um)
			}
		}
	}
	return margin, list, nil
}

func (m *model) gap(a, b *geometry.Piece) float64 {
	if m.p.Basis == geometry.Nominal {
		return geometry.SignedDistance(&a.Box, &b.Box)
	}
	return geometry.Between(a, b).At(m.p.Basis)
}

func (m *model) required(a, b *Body) (float64, bool, error) {
	if m.p.Required == nil {
		return 0, a.Piece.Purpose.Excludes(b.Piece.Purpose), nil
	}
	need, ok := m.p.Required(a, b)
	if ok && !(math.Abs(need) <= geometry.Reach) {
		return 0, false, refuse("the required gap between %q and %q is %v mm, give one within %v mm", a.Solid, b.Solid, need, geometry.Reach)
	}
	return need, ok, nil
}

// classes checks that variables declared interchangeable are, and rules out all but one order of their options.
func (m *model) classes() error {
	pinned := map[string]bool{}
	for _, pin := range m.p.Pins {
		pinned[pin.Variable] = true
	}
	first := map[string]int{}
	for v := range m.vars {
		key := m.vars[v].class
		if key == "" {
			continue
		}
		u, ok := first[key]
		if !ok {
			first[key] = v
			continue
		}
		if what := m.differ(u, v); what != "" {
			return refuse("variables %q and %q are declared interchangeable as %q but differ in %s, give them keys of their own", m.vars[u].src.Name, m.vars[v].src.Name, key, what)
		}
	}
	for u := range m.vars {
		for v := u + 1; v < len(m.vars); v++ {
			same := m.vars[u].class != "" && m.vars[u].class == m.vars[v].class
			if same && !pinned[m.vars[u].src.Name] && !pinned[m.vars[v].src.Name] {
				m.ruleOutExchanged(u, v)
			}
		}
	}
	return nil
}

// differ compares two variables in all that the search looks at and names the first difference.
func (m *model) differ(u, v int) string {
	a, b, n, nr := &m.vars[u], &m.vars[v], m.n(), len(m.stock)
	if a.to-a.from != b.to-b.from {
		return "the number of options"
	}
	if !sameConditions(a.when, b.when) || a.isParent || b.isParent {
		return "what depends on them or what they depend on"
	}
	for k := range a.to - a.from {
		i, j := int(a.from+k), int(b.from+k)
		name := m.opts[i].src.Name
		if name != m.opts[j].src.Name {
			return "the names of their options"
		}
		if m.unary[i] != m.unary[j] || m.opts[i].area != m.opts[j].area {
			return "the margin or fan area of option " + name
		}
		for r := range nr {
			if m.net[i*nr+r] != m.net[j*nr+r] {
				return "the resources of option " + name
			}
		}
		for o := range n {
			if w := int(m.opts[o].v); w != u && w != v && m.pair[i*n+o] != m.pair[j*n+o] {
				return "the gaps of option " + name
			}
		}
		for l := range a.to - a.from {
			if m.pair[i*n+int(b.from+l)] != m.pair[int(a.from+l)*n+j] {
				return "the gaps between themselves"
			}
		}
	}
	return ""
}

func sameConditions(a, b []condition) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].parent != b[i].parent {
			return false
		}
		for k := range a[i].allowed {
			if a[i].allowed[k] != b[i].allowed[k] {
				return false
			}
		}
	}
	return true
}

// ruleOutExchanged leaves only the pairs in which the earlier variable takes the earlier option, or the same.
func (m *model) ruleOutExchanged(u, v int) {
	n := m.n()
	a, b := &m.vars[u], &m.vars[v]
	for k := range a.to - a.from {
		for l := range k {
			i, j := int(a.from+k), int(b.from+l)
			m.pair[i*n+j], m.pair[j*n+i] = ruledOut, ruledOut
		}
	}
}
