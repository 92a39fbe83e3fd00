package house

import (
	"maps"
	"regexp"
	"slices"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"
)

var (
	undefinedField = regexp.MustCompile(`undefined field '([^']+)'`)
	undeclaredName = regexp.MustCompile(`undeclared reference to '([^']+)'`)
	lastName       = regexp.MustCompile(`[a-z_]+$`)
	factName       = regexp.MustCompile(`^facts(?:\.[a-z_]+){1,2}`)
)

// suggestion follows a complaint about a name with the nearest one that there is.
// before and rest are the expression up to the place of the complaint and from there
// on, names are what the language knows beside facts.
func suggestion(message, before, rest string, names []string) string {
	if m := undefinedField.FindStringSubmatch(message); m != nil {
		return didYouMean(m[1], fieldNames(lastName.FindString(before)))
	}
	m := undeclaredName.FindStringSubmatch(message)
	if m == nil {
		return numberHint(message)
	}
	var facts []string
	for _, name := range slices.Sorted(maps.Keys(factContent)) {
		facts = append(facts, factPrefix+name)
	}
	if fact := factName.FindString(rest); fact != "" {
		if near := didYouMean(fact, facts); near != "" {
			return near
		}
		return "; the facts are " + strings.Join(facts, ", ")
	}
	if near := didYouMean(m[1], names); near != "" {
		return near
	}
	return "; there are " + strings.Join(names, ", ") + " and facts such as " + facts[0]
}

// numberHint says how to write a number of the kind that a field has: CEL compares and
// reckons with numbers of one kind only.
func numberHint(message string) string {
	switch {
	case !strings.Contains(message, "no matching overload") || !strings.Contains(message, "int"):
		return ""
	case strings.Contains(message, "(uint, int)"), strings.Contains(message, "(int, uint)"):
		return "; write whole numbers of such fields with a u, as in 120u"
	case strings.Contains(message, "(double, int)"), strings.Contains(message, "(int, double)"):
		return "; write numbers of such fields with a decimal point, as in 120.0"
	}
	return ""
}

// fieldNames are those of the messages that stand under a name: a variable, or a field.
// Under a name of the rule's own it is any message.
func fieldNames(under string) []string {
	all, err := theContract()
	if err != nil {
		return nil // then there is no expression either
	}
	every, here := map[string]bool{}, map[string]bool{}
	for name, kind := range all.kinds {
		stands := strings.EqualFold(string(name.Name()), under)
		for _, other := range all.kinds {
			if field := other.fields.ByName(protoreflect.Name(under)); field != nil && field.Message() != nil {
				stands = stands || field.Message().FullName() == name
			}
		}
		for i := range kind.fields.Len() {
			field := string(kind.fields.Get(i).Name())
			every[field], here[field] = true, here[field] || stands
		}
	}
	maps.DeleteFunc(here, func(_ string, stands bool) bool { return !stands })
	if len(here) > 0 {
		return slices.Sorted(maps.Keys(here))
	}
	return slices.Sorted(maps.Keys(every))
}

// didYouMean names the nearest of some names, or nothing where none is near: more than
// a third of the letters differ.
func didYouMean(name string, known []string) string {
	best, least := "", (len(name)+1)/3+1
	for _, k := range known {
		if d := distance(name, k); d < least {
			best, least = k, d
		}
	}
	if best == "" {
		return ""
	}
	return "; did you mean '" + best + "'?"
}

// distance is how many letters have to be put in, taken out or changed (Levenshtein's).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := before
			if a[i] != b[j] {
				change++
			}
			before = row[j+1]
			row[j+1] = min(change, before+1, row[j]+1)
		}
	}
	return row[len(b)]
}
