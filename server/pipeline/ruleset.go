package pipeline

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// ruleset is what answers: which packs in which versions, and who waits for whom.
// It never changes; a pack that comes in another version makes a new one.
type ruleset struct {
	packs      []*rulesetPack // by name
	rules      map[string]*v1.Rule
	parameters map[string]*v1.Parameter
	provider   map[string]int // pack by the fact it provides
	onRequest  bool           // some pack takes part only where it is named
	wanting    bool           // some pack wants facts worked out for it
	digest     string
	encoded    []byte // field 3 of CheckResponse, all ordinary packs answering, no policy set
}

// rulesetPack is one pack of a ruleset. A pack that has never said what it is has
// no version and no rules.
type rulesetPack struct {
	name        string
	version     string
	rules       []string
	description *packv1.DescribeResponse
	lane        *lane
	providers   []int // packs whose facts it needs
	dependents  []int // packs that need its facts
	needs       []string
	onRequest   bool // takes part only in checks that name it
}

// newRuleset puts packs in order and ties needs to provides. It fails where two
// packs provide one fact, or where packs wait for each other in a circle.
func newRuleset(packs []*rulesetPack) (*ruleset, error) {
	rs := &ruleset{packs: packs, rules: map[string]*v1.Rule{}, parameters: map[string]*v1.Parameter{}, provider: map[string]int{}}
	slices.SortFunc(packs, func(a, b *rulesetPack) int { return strings.Compare(a.name, b.name) })
	for i, p := range packs {
		for _, fact := range p.description.GetProvides() {
			if other, taken := rs.provider[fact]; taken {
				return nil, fmt.Errorf("packs %s and %s both provide the fact %s; withdraw one of them", packs[other].name, p.name, fact)
			}
			rs.provider[fact] = i
		}
		for _, r := range p.description.GetRules() {
			rs.rules[r.GetId()] = r
			for _, parameter := range r.GetParameters() {
				rs.parameters[parameter.GetName()] = parameter
			}
		}
	}
	for i, p := range packs {
		p.needs = p.description.GetNeeds()
		p.onRequest = p.description.GetOnRequest()
		rs.onRequest = rs.onRequest || p.onRequest
		rs.wanting = rs.wanting || len(p.description.GetWants()) > 0
		for _, fact := range p.needs {
			if from, ok := rs.provider[fact]; ok && !slices.Contains(p.providers, from) {
				p.providers = append(p.providers, from)
				packs[from].dependents = append(packs[from].dependents, i)
			}
		}
	}
	if circle := rs.circle(); circle != nil {
		return nil, fmt.Errorf("packs %s wait for each other's facts; withdraw one of them", strings.Join(circle, ", "))
	}
	rs.digest = rs.digestWith(nil, nil, rs.ordinary)
	rs.encoded = rs.encode(rs.digest, rs.ordinary, nil)
	return rs, nil
}

// circle names the packs that can never start because they wait for each other.
func (rs *ruleset) circle() []string {
	waiting := make([]int, len(rs.packs))
	var ready []int
	for i, p := range rs.packs {
		if waiting[i] = len(p.providers); waiting[i] == 0 {
			ready = append(ready, i)
		}
	}
	for len(ready) > 0 {
		i := ready[0]
		ready = ready[1:]
		for _, d := range rs.packs[i].dependents {
			if waiting[d]--; waiting[d] == 0 {
				ready = append(ready, d)
			}
		}
	}
	var names []string
	for i, n := range waiting {
		if n > 0 {
			names = append(names, rs.packs[i].name)
		}
	}
	return names
}

// ordinary tells whether a pack takes part in checks that name none.
func (rs *ruleset) ordinary(pack int) bool { return !rs.packs[pack].onRequest }

// digestWith is the SHA-256 of everything that decides the answer beside the
// document: packs, versions, the parameters that policies set, by name, and house
// rules that the request brings.
func (rs *ruleset) digestWith(policy []*v1.PolicyValue, house []byte, counts func(pack int) bool) string {
	h := sha256.New()
	for i, p := range rs.packs {
		if counts(i) {
			fmt.Fprintf(h, "pack %s %s\n", p.name, p.version)
		}
	}
	sorted := slices.Clone(policy)
	slices.SortStableFunc(sorted, func(a, b *v1.PolicyValue) int { return strings.Compare(a.GetParameter(), b.GetParameter()) })
	for _, v := range sorted {
		fmt.Fprintf(h, "policy %s %v\n", v.GetParameter(), v.GetValue())
	}
	if house != nil {
		fmt.Fprintf(h, "house rules %x\n", sha256.Sum256(house))
	}
	return hex.EncodeToString(h.Sum(nil))
}

// message describes the ruleset by the packs that count; answered tells which
// packs did, nil for all.
func (rs *ruleset) message(digest string, counts, answered func(pack int) bool) *v1.Ruleset {
	out := &v1.Ruleset{Digest: &digest}
	for i, p := range rs.packs {
		if !counts(i) {
			continue
		}
		yes := answered == nil || answered(i)
		out.Packs = append(out.Packs, &v1.PackVersion{Name: &p.name, Version: &p.version, Answered: &yes})
	}
	return out
}

func (rs *ruleset) encode(digest string, counts, answered func(pack int) bool) []byte {
	encoded, err := (&v1.CheckResponse{Ruleset: rs.message(digest, counts, answered)}).MarshalVT()
	if err != nil {
		panic(err) // only strings and booleans of our own
	}
	return encoded
}
