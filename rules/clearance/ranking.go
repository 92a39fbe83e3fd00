package clearance

import (
	"cmp"
	"context"
	"math"
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/arrange"
	"slipfit.example/rules/kit"
)

// FactRanking is the name of the fact that lists the feasible arrangements of all
// open layouts in order, as slipfit.v1.Ranking. It is worked out only when wanted.
const FactRanking = "clearance.ranking"

var factRankingName = FactRanking

// ranked is how many arrangements of one layout are listed.
const ranked = 24

// standing is one feasible arrangement in the order of all layouts.
type standing struct {
	scene  *scene
	found  *arrange.Arrangement
	layout int
}

// concludeRanking provides the ranking where it is wanted and there is geometry.
func concludeRanking(c *kit.Case, d *desk) {
	if !c.Wants(FactRanking) || d.geometry() == nil {
		return
	}
	ranking := &v1.Ranking{}
	exhaustive, feasible := true, uint64(0)
	var all []standing
	for i, layout := range d.layouts {
		p := d.planOf(layout, d.c.Build.GetArrangement())
		if p == nil || !p.seen {
			exhaustive = false
			continue
		}
		list, count, whole := p.rank(i)
		all, feasible, exhaustive = append(all, list...), addUp(feasible, count), exhaustive && whole
	}
	slices.SortStableFunc(all, func(a, b standing) int {
		return cmp.Or(cmp.Compare(b.found.Margin, a.found.Margin), cmp.Compare(a.found.Pieces, b.found.Pieces), cmp.Compare(a.layout, b.layout))
	})
	for i := range all {
		s := &all[i]
		a := s.scene.arrangement(s.found.Choices)
		a.purchases, a.fanArea = s.found.Purchases, s.found.FanArea
		airs := s.scene.airs(&a)
		s.scene.direct(&a, airs)
		if i == 0 {
			ranking.Directions = s.scene.otherDirections(&a, airs, d.feasible(s.layout))
		}
		m := s.scene.write(&a, airs, i == 0)
		m.Feasible = d.feasible(s.layout)
		ranking.Arrangements = append(ranking.Arrangements, m)
		if unbeaten(all, i) {
			ranking.Unbeaten = append(ranking.Unbeaten, uint32(i))
		}
	}
	if len(all) > 0 {
		addRoutes(c, ranking.Arrangements[0])
	} else {
		d.addReasons(ranking)
	}
	ranking.FeasibleCount, ranking.Exhaustive = &feasible, &exhaustive
	c.Provide(&v1.Fact{Name: &factRankingName, Content: &v1.Fact_Ranking{Ranking: ranking}})
}

// feasible says of an arrangement of an open layout, in which the boxes fit, whether
// every requirement is met: nil where another rule of the layout is missed or cannot
// be told, for want of figures or because the layout has no mount to see a part on.
func (d *desk) feasible(layout int) *bool {
	tally, yes := d.c.Tally(layout), true
	if tally.Fails > 0 || tally.Unknowns > 0 {
		return nil
	}
	return &yes
}

func addUp(a, b uint64) uint64 {
	if a > math.MaxUint64-b {
		return math.MaxUint64
	}
	return a + b
}

// rank lists the feasible arrangements of a layout: the best of them, and those
// that no other beats in margin, fan area and cost at once.
func (p *plan) rank(layout int) (list []standing, feasible uint64, exhaustive bool) {
	if len(p.scene.left()) > 0 {
		return nil, 0, true // whatever fits there, it is not the whole build
	}
	again := newScene(p.scene.enclosure, p.scene.shape, p.scene.items, p.scene.pins, p.scene.keep)
	answer, err := arrange.Solve(context.Background(), again.build(), arrange.Question{Ranked: ranked, Count: true, Front: true})
	if err != nil {
		return nil, 0, false
	}
	if len(answer.Ranked) == 0 {
		return nil, 0, answer.Exhaustive && !again.cut
	}
	if _, best := again.bestOf(answer.Ranked); best > 0 {
		first := answer.Ranked[best]
		copy(answer.Ranked[1:best+1], answer.Ranked[:best])
		answer.Ranked[0] = first
	}
	for i := range answer.Ranked {
		list = append(list, standing{again, &answer.Ranked[i], layout})
	}
	for i := range answer.Front {
		if !slices.ContainsFunc(list, func(s standing) bool { return slices.Equal(s.found.Choices, answer.Front[i].Choices) }) {
			list = append(list, standing{again, &answer.Front[i], layout})
		}
	}
	return list, answer.Feasible, answer.Exhaustive && !again.cut
}

// unbeaten reports whether no arrangement of the list is as good as one in margin,
// fan area and cost, and better in one of them.
func unbeaten(all []standing, i int) bool {
	a := all[i].found
	for j := range all {
		b := all[j].found
		noMore, less := all[i].scene.prices.noDearer(b.Purchases, a.Purchases)
		noWorse := b.Margin >= a.Margin && b.FanArea >= a.FanArea && noMore
		if better := b.Margin > a.Margin || b.FanArea > a.FanArea || less; noWorse && better {
			return false
		}
	}
	return true
}

// addReasons tells why nothing fits and what would make it.
func (d *desk) addReasons(ranking *v1.Ranking) {
	p := d.spot
	ids := func(items []int) (out []string) {
		for _, i := range items {
			if id := p.scene.items[i].id; !contains(out, id) {
				out = append(out, id)
			}
		}
		return out
	}
	for i := range p.reasons {
		r := &p.reasons[i]
		ranking.Conflict = append(ranking.Conflict, &v1.Conflict{Requirement: &r.text, Items: ids(r.items)})
	}
	if text, there := d.elsewhere(); text != "" {
		ranking.Changes = append(ranking.Changes, changeMessage(there, text, nil, there.chosen.purchases))
	}
	for i := range p.changes {
		c := &p.changes[i]
		change := changeMessage(p, c.text, ids(c.items), c.buy)
		if c.mm > 0 {
			change.SizeMm = &c.mm
		}
		ranking.Changes = append(ranking.Changes, change)
	}
}

// changeMessage is one way to make a build feasible, with what has to be bought for it.
func changeMessage(p *plan, text string, items []string, buy []arrange.Purchase) *v1.Change {
	m := &v1.Change{Action: &text, Items: items, Buy: buyTokens(buy)}
	if len(buy) > 0 {
		m.AddedCost, m.Currency = p.scene.prices.priced(buy)
	}
	return m
}
