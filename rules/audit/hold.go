package audit

import (
	"maps"
	"strconv"

	"slipfit.example/rules/kit"
)

// unusualFactor is how far beyond the usual a figure may lie before it is no longer
// unusual but wrong, where no slip explains it: a market's oddities stay within it.
const unusualFactor = 2

// texts joins a rule's own texts for what is right and for what is missing with
// those that all rules about a figure's place share.
func texts(pass, unknown string, more ...map[string]string) map[string]string {
	out := map[string]string{
		"pass":     pass,
		"unknown":  unknown,
		"marginal": "{part} states {measured} as {figure}, where {usual}; that is unusual.",
		"fail":     "{part} states {measured} as {figure}, where {usual}.",
		"slip":     "{part} states {measured} as {figure}, where {usual}; it looks like {slip}, which makes {suggested}.",
		"slips":    "{part} states {measured} as {figure}, where {usual}; it looks like a slip of the unit or of the decimal point.",
	}
	for _, m := range more {
		maps.Copy(out, m)
	}
	return out
}

// remedies are what settles a figure out of place.
func remedies(more ...map[string]string) map[string]string {
	out := map[string]string{
		"set":  "Set {figure} to {suggested}, after a look at the data sheet.",
		"read": "Read {figure} in the data sheet again, and mind the unit.",
	}
	for _, m := range more {
		maps.Copy(out, m)
	}
	return out
}

// figure is one number of an entry and the range that it is held against.
type figure struct {
	field string
	value *float64
	unit  string
	// low and high bound what it may be.
	low, high float64
	// usual says so in words, as in "where {usual}".
	usual func() string
	// firm tells that anything outside is wrong, not only unusual.
	firm bool
}

// sheet is one entry under one rule: it counts what was held, and what was not
// right.
type sheet struct {
	c     *kit.Case
	it    *kit.Item
	held  int
	wrong int
}

// hold judges one figure, and tells whether it is in place. What it is held beside
// goes into the finding. A figure that is absent is in place.
func (s *sheet) hold(f figure, beside ...kit.Value) bool {
	if f.value == nil {
		return true
	}
	s.held++
	v := *f.value
	if v >= f.low && v <= f.high {
		return true
	}
	s.wrong++
	measured := s.c.Figure(s.it, f.field, f.value, f.unit, 0)
	var finding *kit.Finding
	if v > f.high {
		finding = s.c.AtMost(measured, kit.Constant(f.high, f.unit))
	} else {
		finding = s.c.AtLeast(measured, kit.Constant(f.low, f.unit))
	}
	finding.About(s.it).Using(beside...).
		Word("part", s.it.Name()).Word("figure", f.field).Word("usual", f.usual())
	s.suggest(finding, f, v)
	return false
}

// suggest names the slip that explains a figure, or softens the verdict where none
// does and the figure is not far off.
func (s *sheet) suggest(finding *kit.Finding, f figure, v float64) {
	found, sure := explain(v, f.low, f.high, f.unit)
	switch {
	case sure:
		meant := kit.Constant(rounded(v*found.factor), f.unit)
		finding.Say("slip").Word("slip", found.words).Number("suggested", meant).RemedyOf("set", meant)
	case found.factor != 0:
		finding.Say("slips").Remedy("read")
	case !f.firm && v <= f.high*unusualFactor && v >= f.low/unusualFactor:
		finding.AtWorst(kit.Marginal).Remedy("read")
	default:
		finding.Remedy("read")
	}
}

// blame reports a figure that is not right for another reason than its place.
func (s *sheet) blame(key string, values ...kit.Value) *kit.Finding {
	s.held++
	s.wrong++
	return s.c.Judged(kit.Fail, values...).About(s.it).Say(key).Word("part", s.it.Name())
}

// lack reports a figure that stands without what it must be held against.
func (s *sheet) lack(field, unit string) {
	s.held++
	s.wrong++
	s.c.Judged(kit.Unknown, s.c.Absent(s.it.At(field), unit)).About(s.it).Word("part", s.it.Name())
}

// pass says that everything held was in place; nothing held says nothing.
func (s *sheet) pass() {
	if s.held > 0 && s.wrong == 0 {
		s.c.Judged(kit.Pass).About(s.it).Word("part", s.it.Name()).Word("count", strconv.Itoa(s.held))
	}
}

// each judges every item of the build on a sheet of its own.
func each(judge func(*sheet)) func(*kit.Case) {
	return func(c *kit.Case) {
		for it := range c.AllItems() {
			s := sheet{c: c, it: it}
			judge(&s)
			s.pass()
		}
	}
}

// between puts a range into words: "those of other fans lie between 1 and 2 mm".
func between(what string, low, high float64, unit string) func() string {
	return func() string {
		return what + " lie between " + kit.FormatNumber(low, unit) + " and " + kit.FormatNumber(high, unit)
	}
}
