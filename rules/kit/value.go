package kit

import (
	"strings"

	"slipfit.example/rules/quantity"
)

// Path is a place in the document, kept in two pieces so that none is joined
// before a finding needs it.
type Path struct{ Base, Field string }

// String joins the path.
func (p Path) String() string { return p.Base + p.Field }

// Value is a number of the build with its range, and what it came from.
type Value struct {
	quantity.Range
	// Unit as printed.
	Unit string
	// Word is the value where it is no number.
	Word string

	text         bool // a word, which may be empty
	worded       bool // it is a word, be it empty
	inputs       []Input
	missing      []Path
	missingFacts []string
}

// Input is one figure that went into a value.
type Input struct {
	Path    Path
	Range   quantity.Range
	Unit    string
	Word    string
	Assumed bool
}

// Known reports whether nothing is missing from the value.
func (v Value) Known() bool { return len(v.missing) == 0 && len(v.missingFacts) == 0 }

// Missing lists the document paths that the value wants.
func (v Value) Missing() []Path { return v.missing }

// With returns the value with another range, and what it came from unchanged.
func (v Value) With(r quantity.Range, unit string) Value {
	v.Range, v.Unit = r, unit
	return v
}

// Constant is a number that a rule brings itself, such as a standard's pitch.
func Constant(v float64, unit string) Value {
	return Value{Range: quantity.Exact(v), Unit: unit}
}

// Absent is a value that is missing for want of the field at path.
func (c *Case) Absent(path Path, unit string) Value {
	return Value{Unit: unit, missing: c.paths.keep(path)}
}

// AbsentFact is a value that is missing for want of another pack's fact.
func (c *Case) AbsentFact(name, unit string) Value {
	return Value{Unit: unit, missingFacts: []string{name}}
}

// Figure reads a number of a part. A nil number is missing. Its range is the one
// that the part states for the field, else tolerance both ways.
func (c *Case) Figure(it *Item, field string, number *float64, unit string, tolerance float64) Value {
	path := Path{it.path, field}
	if number == nil {
		return c.Absent(path, unit)
	}
	r := quantity.Around(*number, tolerance, tolerance)
	for _, f := range it.Part.Figures {
		if f.Minus == nil && f.Plus == nil || !contains(f.Fields, field) {
			continue
		}
		r = quantity.Around(*number, f.GetMinus(), f.GetPlus())
	}
	return c.given(path, r, unit)
}

// Length reads a length of a part in mm, with the policy's tolerance of
// published lengths.
func (c *Case) Length(it *Item, field string, mm *float64) Value {
	return c.Figure(it, field, mm, "mm", c.number(&LengthTolerance))
}

// Power reads a power of a part in W, with the policy's tolerance of published
// powers.
func (c *Case) Power(it *Item, field string, watts *float64) Value {
	if watts == nil {
		return c.Absent(Path{it.path, field}, "W")
	}
	return c.Figure(it, field, watts, "W", *watts*c.number(&PowerTolerance))
}

// Given reads a number that is no part's figure, such as the room's temperature.
func (c *Case) Given(path Path, number *float64, unit string) Value {
	if number == nil {
		return c.Absent(path, unit)
	}
	return c.given(path, quantity.Exact(*number), unit)
}

// Word reads a word of a part, such as its form factor. A nil or empty word is
// missing.
func (c *Case) Word(it *Item, field string, word *string) Value {
	path := Path{it.path, field}
	if word == nil || *word == "" {
		return c.Absent(path, "")
	}
	return Value{Word: *word, worded: true, inputs: c.inputs.keep(Input{Path: path, Word: *word})}
}

// Words is a list of words that a part states, such as the form factors that an
// enclosure takes. An empty list is missing.
func (c *Case) Words(it *Item, field string, words []string) Value {
	path := Path{it.path, field}
	if len(words) == 0 {
		return c.Absent(path, "")
	}
	joined := words[0]
	if len(words) > 1 {
		joined = strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
	}
	return Value{Word: joined, worded: true, inputs: c.inputs.keep(Input{Path: path, Word: joined})}
}

// Assume is a number that the document does not say and a standard or the policy
// does; the finding shows it as assumed.
func (c *Case) Assume(path Path, r quantity.Range, unit string) Value {
	return Value{Range: r, Unit: unit, inputs: c.inputs.keep(Input{Path: path, Range: r, Unit: unit, Assumed: true})}
}

// Parameter reads a number of the policy.
func (c *Case) Parameter(p *Parameter) Value {
	r := quantity.Exact(c.number(p))
	return Value{Range: r, Unit: p.Unit, inputs: c.inputs.keep(
		Input{Path: Path{"policy.", p.Name}, Range: r, Unit: p.Unit})}
}

// Derived is a number worked out from others: it has the range r, and is missing
// whatever any of them is missing.
func (c *Case) Derived(r quantity.Range, unit string, from ...Value) Value {
	out := Value{Range: r, Unit: unit}
	inputs, missing := 0, 0
	for _, v := range from {
		inputs += len(v.inputs)
		missing += len(v.missing)
	}
	out.inputs, out.missing = c.inputs.room(inputs), c.paths.room(missing)
	for _, v := range from {
		out.inputs = append(out.inputs, v.inputs...)
		out.missing = append(out.missing, v.missing...)
		out.missingFacts = append(out.missingFacts, v.missingFacts...)
	}
	return out
}

// Sum adds values of one unit.
func (c *Case) Sum(unit string, values ...Value) Value {
	var r quantity.Range
	for _, v := range values {
		r = r.Add(v.Range)
	}
	return c.Derived(r, unit, values...)
}

// Less subtracts b from a.
func (c *Case) Less(a, b Value) Value { return c.Derived(a.Sub(b.Range), a.Unit, a, b) }

func (c *Case) given(path Path, r quantity.Range, unit string) Value {
	return Value{Range: r, Unit: unit, inputs: c.inputs.keep(Input{Path: path, Range: r, Unit: unit})}
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

// shelf hands out small slices from blocks that live as long as the case.
type shelf[T any] struct{ block []T }

// keep returns a slice of one.
func (s *shelf[T]) keep(v T) []T { return append(s.room(1), v) }

// room returns an empty slice with room for n and no more.
func (s *shelf[T]) room(n int) []T {
	if n == 0 {
		return nil
	}
	if len(s.block)+n > cap(s.block) {
		s.block = make([]T, 0, max(64, n, 2*cap(s.block)))
	}
	from := len(s.block)
	s.block = s.block[:from+n]
	return s.block[from : from : from+n]
}

func (s *shelf[T]) clear() {
	clear(s.block)
	s.block = s.block[:0]
}
