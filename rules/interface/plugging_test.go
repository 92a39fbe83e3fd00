package mating

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawPlugging makes up a few fans and pumps, headers and splitters. Currents are
// whole hundredths of an ampere, so that sums are exact enough to compare.
func drawPlugging(t *rapid.T) *plugging {
	p := new(plugging)
	ampere := rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(1, 12).Draw(t, "tenths")) / 10 })
	plugs := rapid.SampledFrom([]string{plugFan4, plugFan4, plugFan3, plugPump4, ""})
	for range rapid.IntRange(0, 4).Draw(t, "kinds of consumers") {
		c := consumer{plug: plugs.Draw(t, "plug"), run: ampere.Draw(t, "run"), known: true}
		c.start = c.run + ampere.Draw(t, "more")
		for n := rapid.IntRange(1, 2).Draw(t, "alike"); n > 0; n-- {
			p.consumers = append(p.consumers, c)
			c.alike = true
		}
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "headers") {
		o := outlet{number: i, kind: rapid.SampledFrom([]string{plugFan4, plugFan3, plugPump4}).Draw(t, "kind"), limit: ampere.Draw(t, "limit") * 2}
		for range rapid.IntRange(1, 2).Draw(t, "count") {
			p.outlets = append(p.outlets, o)
		}
	}
	for range rapid.IntRange(0, 2).Draw(t, "splitters") {
		s := splitter{rapid.SampledFrom([]string{plugFan4, plugFan3}).Draw(t, "from"), rapid.IntRange(1, 2).Draw(t, "adds")}
		p.splitters, p.more = append(p.splitters, s), p.more+s.more
	}
	return p
}

// Every way of plugging in, tried one by one, finds no better level.
func TestPluggingIsTheBestThereIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlugging(t)
		p.search()
		if p.undecided {
			t.Fatal("so few fans were not tried out to the end")
		}
		want := unplaced
		for lv := properAndStart; lv < unplaced && want == unplaced; lv++ {
			if someWay(p, lv, make([]int, len(p.consumers)), 0) {
				want = lv
			}
		}
		if p.level != want {
			t.Fatalf("level %d, and %d can be had: %s", p.level, want, described(p))
		}
		if p.level < unplaced {
			at := make([]int, len(p.consumers))
			for i := range p.consumers {
				at[i] = p.consumers[i].header
			}
			if !holds(p, p.level, at) {
				t.Fatalf("the way of plugging %v does not hold at level %d: %s", at, p.level, described(p))
			}
		}
	})
}

func described(p *plugging) string {
	return fmt.Sprintf("%+v on %+v by %+v", p.consumers, p.outlets, p.splitters)
}

// someWay tries every header for the consumers from i on.
func someWay(p *plugging, lv level, at []int, i int) bool {
	if i == len(at) {
		return holds(p, lv, at)
	}
	for j := range p.outlets {
		if at[i] = j; someWay(p, lv, at, i+1) {
			return true
		}
	}
	return false
}

// holds checks one way of plugging against what a level promises.
func holds(p *plugging, lv level, at []int) bool {
	lacks := make([]int, len(p.outlets))
	for j, o := range p.outlets {
		n, run, start := 0, 0.0, 0.0
		for i, c := range p.consumers {
			if at[i] != j {
				continue
			}
			how := pair(c.plugOr(), o.kind)
			if how == noPair || how == oddPair && lv < oddAndStart {
				return false
			}
			n, run, start = n+1, run+c.run, start+c.start
		}
		switch {
		case lv == placed:
		case run > o.limit+1e-6, (lv == properAndStart || lv == oddAndStart) && start > o.limit+1e-6:
			return false
		}
		lacks[j] = max(0, n-1)
	}
	return reached(p, lacks, 0)
}

// reached tries every header for the splitters from k on.
func reached(p *plugging, lacks []int, k int) bool {
	if k == len(p.splitters) {
		return slices.Max(append(lacks, 0)) <= 0
	}
	if reached(p, lacks, k+1) {
		return true
	}
	for j := range lacks {
		if pair(p.splitters[k].from, p.outlets[j].kind) == noPair {
			continue
		}
		lacks[j] -= p.splitters[k].more
		ok := reached(p, lacks, k+1)
		lacks[j] += p.splitters[k].more
		if ok {
			return true
		}
	}
	return false
}
