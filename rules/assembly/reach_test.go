package assembly

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"
)

// What comes out is as little as can be, by trying every set of things; and it
// does come out in the order told.
func TestReachTakesOutTheLeast(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	some := 0
	for range 300 {
		p := draw(r, 3+r.IntN(6), 5+r.IntN(20), 50, true)
		seq, err := p.Order()
		if err != nil {
			continue
		}
		for step := range p.Steps {
			out := p.Reach(step, seq)
			re := reacherOf(p, step, seq)
			want := fewest(re)
			if want < 0 {
				if out != nil {
					t.Fatalf("%v come out for %d, and nothing frees it", out, step)
				}
				continue
			}
			if len(out) != want || !re.works(out) {
				t.Fatalf("%v come out for %d, %d are enough: %+v", out, step, want, p)
			}
			if greedy := re.greedy(re.near()); want > 0 && (len(greedy) < want || !re.works(greedy)) {
				t.Fatalf("the frugal way out of %d is %v, %d are needed: %+v", step, greedy, want, p)
			}
			some += len(out)
		}
	}
	if some < 100 {
		t.Errorf("only %d things came out in all; the generator asks too little", some)
	}
}

func reacherOf(p *Plan, step int, seq Sequence) *reacher {
	re := &reacher{net: p.net(), step: step, late: slices.Clone(seq.Order), covers: make([]set, len(p.Steps))}
	slices.Reverse(re.late)
	for _, rel := range p.Relations {
		if !rel.Order {
			re.covers[rel.First] |= single(rel.Then)
		}
	}
	return re
}

// fewest is the size of the smallest set that comes out and frees the step, over
// all sets that can come out; -1 where none does.
func fewest(r *reacher) int {
	best := math.MaxInt
	seen := map[set]bool{}
	var walk func(in set)
	walk = func(in set) {
		if seen[in] {
			return
		}
		seen[in] = true
		if r.free(r.step, in&^single(r.step)) {
			best = min(best, len(r.plan.Steps)-bits.OnesCount64(uint64(in)))
		}
		for s := range r.plan.Steps {
			if s != r.step && in.has(s) && r.free(s, in&^single(s)) {
				walk(in &^ single(s))
			}
		}
	}
	walk(r.all())
	if best == math.MaxInt {
		return -1
	}
	return best
}

// Card over drive over board: to reach the drive the card comes out, and nothing
// else; the fan that was put in later stays.
func TestReachLeavesInWhatIsNotInTheWay(t *testing.T) {
	p := &Plan{Steps: []Step{{Name: "board"}, {Name: "drive"}, {Name: "card"}, {Name: "fan"}},
		Relations: []Relation{{First: 0, Then: 1}, {First: 0, Then: 2}, {First: 1, Then: 2}, {First: 2, Then: 3, Order: true}}}
	seq, err := p.Order()
	if err != nil {
		t.Fatal(err)
	}
	for step, want := range map[int][]int{0: {2, 1}, 1: {2}, 2: {}, 3: {}} {
		if got := p.Reach(step, seq); !slices.Equal(got, want) {
			t.Errorf("to reach %s: %v, want %v", p.Steps[step].Name, got, want)
		}
	}
	if p.Reach(9, seq) != nil || p.Reach(0, Sequence{}) != nil {
		t.Error("a step or an order that is none reaches something")
	}
}
