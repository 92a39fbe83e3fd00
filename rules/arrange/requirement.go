package arrange

import "fmt"

// Kind tells what a requirement is about.
type Kind uint8

// The kinds of requirement.
const (
	// KindPin holds a variable to an option.
	KindPin Kind = iota
	// KindGap is the required gap between two parts.
	KindGap
	// KindLimit is a limit of an option of a variable.
	KindLimit
	// KindResource is the stock of a resource that cannot be bought.
	KindResource
)

// Requirement is something that can stand in the way and be given up.
type Requirement struct {
	Kind Kind
	// A and B name it: the variable and the option of a pin, the two parts of a gap in alphabetical order, the variable
	// and the name of a limit; the resource alone.
	A, B string
}

// String tells the requirement in words.
func (r Requirement) String() string {
	switch r.Kind {
	case KindPin:
		return fmt.Sprintf("%s stays at %s", r.A, r.B)
	case KindGap:
		return fmt.Sprintf("%s keeps its gap to %s", r.A, r.B)
	case KindLimit:
		return fmt.Sprintf("%s keeps the limit %s", r.A, r.B)
	default:
		return fmt.Sprintf("there is enough of %s", r.A)
	}
}

// breach is a requirement missed by an option or by a pair of options.
type breach struct {
	req int32
	// short is what is missing: micrometres for gaps and limits, 1 for pins.
	short int64
}

// register returns the index of a requirement, adding it on first sight.
func (m *model) register(r Requirement) int32 {
	if r.Kind == KindGap && r.B < r.A {
		r.A, r.B = r.B, r.A
	}
	if i, ok := m.reqIndex[r]; ok {
		return i
	}
	i := int32(len(m.reqs))
	m.reqs = append(m.reqs, r)
	m.reqIndex[r] = i
	return i
}

// worsen records a breach in a list that holds each requirement once, with its largest shortfall.
func worsen(list []breach, req int32, short int64) []breach {
	for i := range list {
		if list[i].req == req {
			list[i].short = max(list[i].short, short)
			return list
		}
	}
	return append(list, breach{req, short})
}
