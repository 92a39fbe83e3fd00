package arrange

import "slices"

// found is a feasible arrangement that is kept.
type found struct {
	choice []int32
	bound
}

// ranking keeps the first arrangements by margin, then buys, then names, and the Pareto set by margin, fan area and cost.
type ranking struct {
	limit     int
	top       []found
	wantFront bool
	front     []found
}

func (g *ranking) worth(b *bound) bool { return g.ranks(b) || g.extends(b) }

// ranks reports whether an arrangement that comes later in the order of names enters the ranked list.
func (g *ranking) ranks(b *bound) bool {
	if len(g.top) < g.limit {
		return true
	}
	if g.limit == 0 {
		return false
	}
	last := &g.top[len(g.top)-1]
	return better(b, &last.bound)
}

// better orders by margin and buys.
func better(a, b *bound) bool {
	return a.margin > b.margin || (a.margin == b.margin && a.buys < b.buys)
}

// extends reports whether no kept arrangement is at least as good in margin, fan area and cost.
func (g *ranking) extends(b *bound) bool {
	if !g.wantFront {
		return false
	}
	for i := range g.front {
		if covers(&g.front[i].bound, b) {
			return false
		}
	}
	return true
}

func covers(a, b *bound) bool { return a.margin >= b.margin && a.area >= b.area && a.cost <= b.cost }

func (g *ranking) take(choice []int32, b *bound) bool {
	if g.ranks(b) {
		at, _ := slices.BinarySearchFunc(g.top, b, func(f found, b *bound) int {
			if better(b, &f.bound) {
				return 1
			}
			return -1
		})
		var c []int32
		if len(g.top) == g.limit {
			c = g.top[g.limit-1].choice
			g.top = g.top[:g.limit-1]
		}
		g.top = slices.Insert(g.top, at, found{append(c[:0], choice...), *b})
	}
	if g.extends(b) {
		g.front = slices.DeleteFunc(g.front, func(f found) bool { return covers(b, &f.bound) })
		g.front = append(g.front, found{slices.Clone(choice), *b})
	}
	return true
}

// anyGoal stops at the first feasible arrangement.
type anyGoal struct{ choice []int32 }

func (g *anyGoal) worth(*bound) bool { return true }

func (g *anyGoal) take(choice []int32, _ *bound) bool {
	g.choice = slices.Clone(choice)
	return false
}
