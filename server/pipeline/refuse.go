package pipeline

import (
	"fmt"
	"strconv"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/policy"
)

// refuse lists what in a request the ruleset cannot follow: parameters that do
// not exist or are out of range, and facts that no pack works out.
func (rs *ruleset) refuse(e envelope) []Violation {
	var out []Violation
	for i, v := range e.policy {
		at := "policy[" + strconv.Itoa(i) + "]."
		p, ok := rs.parameters[v.GetParameter()]
		if !ok {
			out = append(out, Violation{at + "parameter",
				fmt.Sprintf("no parameter is called %q%s", v.GetParameter(), suggestion(v.GetParameter(), keys(rs.parameters)))})
			continue
		}
		if v.GetValue() < p.GetLeast() || v.GetValue() > p.GetGreatest() {
			out = append(out, Violation{at + "value",
				p.GetName() + " " + outOfRange(p, v.GetValue())})
		}
		for j, other := range e.policy[:i] {
			if other.GetParameter() == v.GetParameter() {
				out = append(out, Violation{at + "parameter", fmt.Sprintf("policy[%d] sets %s already", j, v.GetParameter())})
			}
		}
	}
	for i, name := range e.wants {
		if _, ok := rs.provider[name]; !ok {
			out = append(out, Violation{"wants[" + strconv.Itoa(i) + "]", fmt.Sprintf("no pack works out %q%s", name, suggestion(name, keys(rs.provider)))})
		}
	}
	return out
}

func (rs *ruleset) find(name string) *rulesetPack {
	for _, p := range rs.packs {
		if p.name == name {
			return p
		}
	}
	return nil
}

// HousePack is the name of the pack that judges by house rules.
const HousePack = "house"

// refuseHouse refuses house rules that a request brings where the service does not
// let it.
func (p *Pipeline) refuseHouse(e *envelope, rs *ruleset) []Violation {
	switch {
	case e.house == nil:
		return nil
	case !p.options.InlineHouse:
		return []Violation{{"house_rules", "this service takes no house rules from requests; leave them out, or ask its keeper"}}
	case rs.find(HousePack) == nil:
		return []Violation{{"house_rules", "no pack judges by house rules here; start the service with the pack house"}}
	}
	return nil
}

// layOver lays the request's policy over a lower one. What the lower one sets for
// packs that are not in the ruleset is left out: nothing would read it.
func (rs *ruleset) layOver(e *envelope, lower policy.Values) (out []Violation) {
	own := policy.Values(e.policy)
	for _, v := range lower {
		p, known := rs.parameters[v.GetParameter()]
		if !known || own.Sets(v.GetParameter()) {
			continue
		}
		if v.GetValue() < p.GetLeast() || v.GetValue() > p.GetGreatest() {
			out = append(out, Violation{"policy", fmt.Sprintf("%s, as the service sets it for you, %v", p.GetName(), outOfRange(p, v.GetValue()))})
			continue
		}
		encoded, err := v.MarshalVT()
		if err != nil {
			panic(err) // a string and a number
		}
		e.policy = append(e.policy[:len(e.policy):len(e.policy)], v)
		e.added = protowire.AppendTag(e.added, requestPolicy, protowire.BytesType)
		e.added = protowire.AppendBytes(e.added, encoded)
	}
	return out
}

func outOfRange(p *v1.Parameter, value float64) string {
	return fmt.Sprintf("may lie between %g and %g %s, not at %g", p.GetLeast(), p.GetGreatest(), p.GetUnit(), value)
}

// suggestion names the nearest of known, where one is near enough to be meant.
func suggestion(name string, known []string) string {
	best, least := "", len(name)/2+1
	for _, k := range known {
		if d := editDistance(name, k); d < least {
			best, least = k, d
		}
	}
	if best == "" {
		return ""
	}
	return "; did you mean " + strconv.Quote(best) + "?"
}

// editDistance is Levenshtein's: insertions, deletions and replacements.
func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
