package pipeline

import (
	"fmt"
	"strconv"
)

// refuse lists what in a request the ruleset cannot follow: parameters that do
// not exist or are out of range, packs and versions that do not serve.
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
				fmt.Sprintf("%s may lie between %g and %g %s, not at %g", p.GetName(), p.GetLeast(), p.GetGreatest(), p.GetUnit(), v.GetValue())})
		}
		for j, other := range e.policy[:i] {
			if other.GetParameter() == v.GetParameter() {
				out = append(out, Violation{at + "parameter", fmt.Sprintf("policy[%d] sets %s already", j, v.GetParameter())})
			}
		}
	}
	for i, pin := range e.packs {
		at := "packs[" + strconv.Itoa(i) + "]."
		p := rs.find(pin.GetName())
		switch {
		case p == nil:
			out = append(out, Violation{at + "name", fmt.Sprintf("no pack is called %q%s", pin.GetName(), suggestion(pin.GetName(), rs.names()))})
		case pin.Version != nil && pin.GetVersion() != p.version:
			out = append(out, Violation{at + "version",
				fmt.Sprintf("pack %s serves in version %s, not %s", p.name, p.version, pin.GetVersion())})
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

func (rs *ruleset) names() []string {
	names := make([]string, len(rs.packs))
	for i, p := range rs.packs {
		names[i] = p.name
	}
	return names
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
