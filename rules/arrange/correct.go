package arrange

import (
	"cmp"
	"slices"
)

const (
	// maxChanges is the largest number of requirements that a correction may touch.
	maxChanges = 3
	// maxNodes bounds the sets of requirements that are looked into for corrections.
	maxNodes = 256
)

// correction is a set of requirements with what each is short of, and an arrangement that keeps all others.
type correction struct {
	reqs   []int32
	short  []int64
	choice []int32
}

// corrections returns the corrections with the fewest requirements, given a conflict among them. Every correction has to
// take at least one requirement out of every conflict, so the search branches over the members of one conflict after the
// other (the hitting-set tree of model-based diagnosis, 1987; from memory).
func (x *relaxation) corrections(all, conflict []int32) []correction {
	type node struct{ given, conflict []int32 }
	level := []node{{nil, conflict}}
	var out []correction
	var tried [][]int32
	for depth := 1; depth <= maxChanges && len(out) == 0; depth++ {
		var next []node
		for _, nd := range level {
			if nd.conflict == nil {
				nd.conflict, _ = x.conflict(without(all, nd.given))
			}
			for _, r := range nd.conflict {
				given := slices.Sorted(slices.Values(append(slices.Clone(nd.given), r)))
				if slices.ContainsFunc(tried, func(t []int32) bool { return slices.Equal(t, given) }) {
					continue
				}
				if len(tried) == maxNodes || x.meter.spent() {
					return out
				}
				tried = append(tried, given)
				x.set(all, 0)
				x.set(given, givenUp)
				if _, ok := x.feasible(); ok {
					out = append(out, x.leastShort(given))
				} else {
					next = append(next, node{given, nil})
				}
			}
		}
		level = next
	}
	return out
}

func without(all, given []int32) []int32 {
	return slices.DeleteFunc(slices.Clone(all), func(r int32) bool { return slices.Contains(given, r) })
}

// leastShort finds how little each requirement given up has to yield. One or two are exact: the smallest sum. Three are
// brought down one after the other. All other requirements have to be in force.
func (x *relaxation) leastShort(given []int32) correction {
	best := x.tighten(given)
	if len(given) != 2 {
		return best
	}
	total := best.short[0] + best.short[1]
	for _, s := range x.shortfalls(given[0]) {
		if s >= total {
			break
		}
		x.allow[given[0]], x.allow[given[1]] = s, givenUp
		if _, ok := x.feasible(); !ok {
			continue
		}
		c := x.tighten(given[1:])
		if s+c.short[0] < total {
			total = s + c.short[0]
			best = correction{given, []int64{s, c.short[0]}, c.choice}
		}
	}
	return best
}

// tighten brings the allowances down one after the other to the least that leaves an arrangement, by halving the list of
// shortfalls that occur.
func (x *relaxation) tighten(given []int32) correction {
	c := correction{reqs: given}
	for _, r := range given {
		steps := x.shortfalls(r)
		at, _ := slices.BinarySearchFunc(steps, 0, func(s int64, _ int) int {
			x.allow[r] = s
			if _, ok := x.feasible(); ok {
				return 1
			}
			return -1
		})
		least := givenUp
		if at < len(steps) {
			least = steps[at]
		}
		x.allow[r] = least
		c.short = append(c.short, least)
	}
	c.choice, _ = x.feasible()
	return c
}

// shortfalls returns the amounts by which a requirement can be missed, in rising order, 0 first.
func (x *relaxation) shortfalls(req int32) []int64 {
	out := []int64{0}
	collect := func(list []breach) {
		for _, b := range list {
			if b.req == req {
				out = append(out, b.short)
			}
		}
	}
	for _, list := range x.m.unaryBreach {
		collect(list)
	}
	for i := range x.m.pairs {
		collect(x.m.pairs[i].breaches)
	}
	if r := slices.Index(x.m.resReq, req); r >= 0 {
		out = append(out, x.overdrafts(r)...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// overdrafts returns the amounts by which a resource can run short: all up to 1000 pieces, then the most.
func (x *relaxation) overdrafts(r int) []int64 {
	nr, most := len(x.m.stock), -x.m.stock[r]
	for i := range x.m.vars {
		v, use := &x.m.vars[i], int64(0)
		for o := int(v.from); o < int(v.to); o++ {
			use = max(use, x.m.net[o*nr+r])
		}
		most += use
	}
	var out []int64
	for s := int64(1); s <= min(most, 1000); s++ {
		out = append(out, s)
	}
	if most > 1000 {
		out = append(out, most)
	}
	return out
}

// rank orders corrections of equal size: fewest pins, then fewest pieces, then fewest mm, then by name.
func (m *model) rank(list []correction) {
	type weight struct{ pins, pieces, um int64 }
	weigh := func(c correction) (w weight) {
		for i, r := range c.reqs {
			switch m.reqs[r].Kind {
			case KindPin:
				w.pins++
			case KindResource:
				w.pieces += c.short[i]
			default:
				w.um += c.short[i]
			}
		}
		return w
	}
	slices.SortStableFunc(list, func(a, b correction) int {
		v, w := weigh(a), weigh(b)
		order := cmp.Or(cmp.Compare(v.pins, w.pins), cmp.Compare(v.pieces, w.pieces), cmp.Compare(v.um, w.um))
		for i := 0; order == 0 && i < len(a.reqs) && i < len(b.reqs); i++ {
			order = compareRequirements(m.reqs[a.reqs[i]], m.reqs[b.reqs[i]])
		}
		return order
	})
}
