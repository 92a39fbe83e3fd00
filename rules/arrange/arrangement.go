package arrange

import "slipfit.example/rules/geometry"

// arrangement tells a found choice in names, bare without where its margin is.
func (m *model) arrangement(f *found, bare bool) Arrangement {
	a := Arrangement{Choices: m.choices(f.choice), Margin: geometry.Reach, Pieces: f.buys, Cost: f.cost, FanArea: f.area}
	if f.margin != unbounded {
		a.Margin = float64(f.margin) / 1000
		if !bare {
			a.Tightest = m.tightest(f.choice)
		}
	}
	nr := len(m.stock)
	for r := range nr {
		if m.hard[r] {
			continue
		}
		missing := -m.stock[r]
		for _, o := range f.choice {
			if o >= 0 {
				missing += m.net[int(o)*nr+r]
			}
		}
		if missing > 0 {
			src := &m.p.Resources[r]
			a.Purchases = append(a.Purchases, Purchase{src.Name, missing, missing * src.Price})
		}
	}
	return a
}

func (m *model) choices(choice []int32) []Choice {
	var out []Choice
	for v, o := range choice {
		if o >= 0 {
			out = append(out, Choice{m.vars[v].src.Name, m.opts[o].src.Name})
		}
	}
	return out
}

// tightest looks for the smallest margin of a feasible choice anew, this time with names and ranges. Of equal ones the
// first counts: limits before gaps, then in the order of search.
func (m *model) tightest(choice []int32) *Pinch {
	var best *Pinch
	least := unbounded
	bodies := bodiesOf("", "", m.p.Fixed)
	for v, o := range choice {
		if o < 0 {
			continue
		}
		for _, l := range m.opts[o].src.Limits {
			if um := micrometres(l.Margin); um < least {
				least = um
				best = &Pinch{Requirement: Requirement{KindLimit, m.vars[v].src.Name, l.Name}, Margin: float64(um) / 1000}
			}
		}
		bodies = append(bodies, m.opts[o].bodies...)
	}
	var a, b *Body
	required := 0.0
	for i := range bodies {
		for j := i + 1; j < len(bodies); j++ {
			if need, um, ok := m.bodyMargin(&bodies[i], &bodies[j]); ok && um < least {
				least, required, a, b = um, need, &bodies[i], &bodies[j]
			}
		}
	}
	if a != nil {
		best = &Pinch{
			Requirement: Requirement{KindGap, min(a.Solid, b.Solid), max(a.Solid, b.Solid)},
			A:           *a, B: *b, Gap: geometry.Between(a.Piece, b.Piece),
			Required: required, Margin: float64(least) / 1000,
		}
	}
	return best
}

// bodyMargin measures two bodies as the search does: the required gap in mm and what is left in um. It returns false if
// they need not be held against each other.
func (m *model) bodyMargin(a, b *Body) (need float64, um int64, ok bool) {
	if a.Variable == "" && b.Variable == "" || a.Variable == b.Variable && a.Solid == b.Solid {
		return 0, 0, false
	}
	need, ok, err := m.required(a, b)
	if err != nil || !ok {
		return 0, 0, false
	}
	return need, micrometres(m.gap(a.Piece, b.Piece) - need), true
}
