package standards

import (
	"cmp"
	"fmt"
	"slices"
)

// Standing tells how well a figure is known. The zero value is no standing and
// no registered source has it.
type Standing int

// The standings, from the strongest to the weakest claim on the reader.
const (
	// Published: read in a standard, a specification or a handbook.
	Published Standing = iota + 1
	// Derived: arithmetic on published figures. What derives from a figure
	// known from memory only is registered as Memory.
	Derived
	// Drawing: taken from secondary drawings, models, tables or quotations, not
	// from the standard's own text.
	Drawing
	// CommonPractice: a custom of the trade that no document states.
	CommonPractice
	// Memory: known from memory only; nobody has read the standard for it.
	Memory
)

// String returns the standing in words, as a finding prints it.
func (s Standing) String() string {
	switch s {
	case Published:
		return "published"
	case Derived:
		return "derived"
	case Drawing:
		return "secondary drawing or table"
	case CommonPractice:
		return "common practice, no source"
	case Memory:
		return "from memory"
	default:
		return fmt.Sprintf("standing %d", int(s))
	}
}

// Source names where a figure is written.
type Source struct {
	// ID is short and unique, such as "microatx-1.2-fig2".
	ID string
	// Title is the document's name with its edition.
	Title string
	// Clause is the section, table or figure; empty where the whole counts.
	Clause string
	// Standing tells how well the figure is known.
	Standing Standing
	// Witnesses counts the independent documents that agree; at least 1.
	Witnesses int
}

// String returns the source as a finding cites it, for example
// "microATX specification 1.2, figure 2". Any standing other than Published
// follows in brackets, so that a reader never takes a memory for a standard.
func (s Source) String() string {
	text := s.Title
	if s.Clause != "" {
		text += ", " + s.Clause
	}
	if s.Standing == Published {
		return text
	}
	return text + " (" + s.Standing.String() + ")"
}

// Firm reports whether a rule may fail a build on this source alone: it was
// read in a published document, derived from such figures, or at least two
// independent drawings agree. Customs and memories are never firm.
func (s Source) Firm() bool {
	switch s.Standing {
	case Published, Derived:
		return true
	case Drawing:
		return s.Witnesses >= 2
	default:
		return false
	}
}

// Weaker returns the one of two sources that carries less: the one that is not
// firm, or else the one of lower standing. A result worked out from both
// figures is no better known than that. Where they are equal it returns a.
func Weaker(a, b Source) Source {
	switch {
	case a.Firm() && !b.Firm():
		return b
	case !a.Firm() && b.Firm():
		return a
	case b.Standing > a.Standing:
		return b
	default:
		return a
	}
}

// Lookup returns the source with the given ID.
func Lookup(id string) (Source, bool) {
	s, ok := registry[id]
	return s, ok
}

// All returns every registered source, sorted by ID.
func All() []Source {
	all := make([]Source, 0, len(registry))
	for _, s := range registry {
		all = append(all, s)
	}
	slices.SortFunc(all, func(a, b Source) int { return cmp.Compare(a.ID, b.ID) })
	return all
}

// registry is filled while the package's variables are initialised and only
// read afterwards, so concurrent readers need no lock.
var registry = map[string]Source{}

// register adds a source. It panics on a blank or repeated ID: both are
// mistakes in this package's own tables and show on the first run of any test.
func register(id, title, clause string, standing Standing) Source {
	return add(Source{ID: id, Title: title, Clause: clause, Standing: standing, Witnesses: 1})
}

// drawings registers secondary drawings of which so many agree independently.
func drawings(id, title, clause string, witnesses int) Source {
	return add(Source{ID: id, Title: title, Clause: clause, Standing: Drawing, Witnesses: witnesses})
}

func add(s Source) Source {
	if s.ID == "" || s.Title == "" {
		panic(fmt.Sprintf("standards: source %q has no ID or no title", s.ID))
	}
	if _, twice := registry[s.ID]; twice {
		panic(fmt.Sprintf("standards: source ID %q is registered twice", s.ID))
	}
	registry[s.ID] = s
	return s
}
