package arrange

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// misses enumerates every combination of a plan and returns, for each set of requirements that one misses, the least
// that a combination with that set is short of in all (tenths of mm, pieces and pins alike).
func (p *plan) misses() map[string]int {
	order := p.order()
	out := map[string]int{}
	choice := make([]int, len(p.vars))
	var try func(at int)
	try = func(at int) {
		if at == len(order) {
			set := p.missed(choice)
			names, total := make([]string, 0, len(set)), 0
			for name, short := range set {
				names, total = append(names, name), total+short
			}
			slices.Sort(names)
			key := strings.Join(names, "; ")
			if old, ok := out[key]; !ok || total < old {
				out[key] = total
			}
			return
		}
		v := order[at]
		if !p.active(v, choice) {
			choice[v] = -1
			try(at + 1)
			return
		}
		for o := range p.vars[v].options {
			choice[v] = o
			try(at + 1)
		}
	}
	try(0)
	return out
}

// missed names what one combination misses, each with its shortfall.
func (p *plan) missed(choice []int) map[string]int {
	out := map[string]int{}
	worse := func(r Requirement, short int) {
		if r.Kind == KindGap && r.B < r.A {
			r.A, r.B = r.B, r.A
		}
		if short > 0 {
			out[r.String()] = max(out[r.String()], short)
		}
	}
	type body struct {
		solid string
		kind  int
		block block
	}
	var bodies []body
	for _, b := range p.fixed {
		bodies = append(bodies, body{"0 frame", 0, b})
	}
	net := make([]int, len(p.resources))
	for v, c := range choice {
		if c < 0 {
			continue
		}
		o := p.vars[v].options[c]
		for _, pin := range p.pins {
			if pin.Variable == p.vars[v].name && pin.Option != o.name {
				worse(Requirement{KindPin, pin.Variable, pin.Option}, 1)
			}
		}
		if o.limited {
			worse(Requirement{KindLimit, p.vars[v].name, "height"}, -o.limit)
		}
		for r, n := range o.net {
			net[r] += n
		}
		for _, b := range o.blocks {
			bodies = append(bodies, body{fmt.Sprintf("%d %s", o.kind, p.vars[v].name), o.kind, b})
		}
	}
	for i := range bodies {
		for j := range i {
			if a, b := bodies[i], bodies[j]; a.solid != b.solid {
				worse(Requirement{KindGap, a.solid, b.solid}, p.need[a.kind][b.kind]-gapOf(a.block, b.block))
			}
		}
	}
	for r, res := range p.resources {
		if !res.Buyable {
			worse(Requirement{Kind: KindResource, A: res.Name}, net[r]-res.Stock)
		}
	}
	return out
}

func namesOf(reqs []Requirement) []string {
	var out []string
	for _, r := range reqs {
		out = append(out, r.String())
	}
	slices.Sort(out)
	return out
}

// restricted returns what is left of a set of missed requirements when only the kept ones count.
func restricted(key string, kept []string) []string {
	if key == "" {
		return nil
	}
	return slices.DeleteFunc(strings.Split(key, "; "), func(n string) bool { return !slices.Contains(kept, n) })
}

// A conflict cannot be kept, and with any one member dropped the rest can. The corrections are all the smallest sets that
// a combination misses, each with the least shortfall.
func TestConflictsAreMinimalAndCorrectionsComplete(t *testing.T) {
	infeasible, corrected, several := 0, 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 7))
		p := randomPlan(r, true)
		a := solve(t, p.problem(t), Question{Budget: 50_000_000})
		misses := p.misses()
		if _, ok := misses[""]; ok {
			if len(a.Ranked) == 0 || a.Conflict != nil || a.Corrections != nil {
				rt.Fatalf("something fits, the answer is %+v", a)
			}
			return
		}
		infeasible++
		members := namesOf(a.Conflict)
		if len(members) == 0 || !a.ConflictMinimal || !a.Exhaustive {
			rt.Fatalf("nothing fits, the answer is %+v", a)
		}
		droppable := map[string]bool{}
		for key := range misses {
			left := restricted(key, members)
			if len(left) == 0 {
				rt.Fatalf("the conflict %q can be kept", members)
			}
			if len(left) == 1 {
				droppable[left[0]] = true
			}
		}
		for _, m := range members {
			if !droppable[m] {
				rt.Fatalf("the conflict %q holds without %q", members, m)
			}
		}
		size := smallest(misses)
		if size > maxChanges {
			if len(a.Corrections) > 0 {
				rt.Fatalf("%d corrections where %d requirements are missed at least", len(a.Corrections), size)
			}
			return
		}
		corrected++
		if size > 1 {
			several++
		}
		checkCorrections(rt, a.Corrections, misses, size)
		for _, c := range a.Corrections {
			checkEased(rt, p, c)
		}
	})
	if infeasible < 20 || corrected < 10 || several < 3 {
		t.Fatalf("%d infeasible plans, %d corrected, %d by several changes: the sample is too small", infeasible, corrected, several)
	}
}

func smallest(misses map[string]int) int {
	size := 1 << 30
	for key := range misses {
		size = min(size, 1+strings.Count(key, "; "))
	}
	return size
}

func checkCorrections(t *rapid.T, got []Correction, misses map[string]int, size int) {
	want := map[string]int{}
	for key, short := range misses {
		if 1+strings.Count(key, "; ") == size {
			want[key] = short
		}
	}
	if len(got) != len(want) {
		t.Fatalf("%d corrections, enumeration finds %d: %v", len(got), len(want), want)
	}
	for _, c := range got {
		var reqs []Requirement
		total := 0
		for _, ch := range c.Changes {
			reqs = append(reqs, ch.Requirement)
			switch ch.Requirement.Kind {
			case KindPin:
				total++
			case KindResource:
				total += int(ch.Pieces)
			default:
				total += tenthsOf(ch.Millimetres)
			}
		}
		key := strings.Join(namesOf(reqs), "; ")
		short, ok := want[key]
		// The sum is the least one for a single change; over several, units differ and only the sets are compared.
		if !ok || (size == 1 && total != short) || total < short {
			t.Fatalf("correction %q short of %d, enumeration finds %v", key, total, want)
		}
		if len(c.Choices) == 0 {
			t.Fatalf("correction %q shows no arrangement", key)
		}
	}
}

// checkEased holds the arrangement that a correction shows against its changes: it misses nothing else and nothing by more.
func checkEased(t *rapid.T, p *plan, c Correction) {
	choice := make([]int, len(p.vars))
	for v := range choice {
		choice[v] = slices.IndexFunc(p.vars[v].options, func(o planOption) bool {
			return slices.Contains(c.Choices, Choice{p.vars[v].name, o.name})
		})
	}
	eased := map[string]int{}
	for _, ch := range c.Changes {
		short := tenthsOf(ch.Millimetres) + int(ch.Pieces)
		if ch.Requirement.Kind == KindPin {
			short = 1
		}
		eased[ch.Requirement.String()] = short
	}
	for name, short := range p.missed(choice) {
		if short > eased[name] {
			t.Fatalf("correction %+v: its arrangement misses %q by %d", c, name, short)
		}
	}
}
