// Package kit is what a pack of rules is written with.
//
// A rule is one literal: its name, why it matters, how it judges, its parameters,
// sources and texts, and a function that judges one build. The kit reads figures
// with their tolerance and their path, keeps count of what is missing, turns a
// comparison into a verdict, and encodes the finding. A rule never sees the wire.
package kit

import (
	"slipfit.example/rules/standards"
)

// Rule is one requirement that a build is judged by.
type Rule struct {
	// ID is "<pack>.<name>", lower-case words joined by hyphens.
	ID string
	// Title names the rule for people, without a full stop.
	Title string
	// Why says in whole sentences what goes wrong otherwise.
	Why string
	// Formula says in words how the margin comes about.
	Formula string
	// Since is the pack's version in which the rule came.
	Since string
	// Parameters are the numbers that a policy may set.
	Parameters []*Parameter
	// Sources are where the requirement and its constants come from.
	Sources []standards.Source
	// Reads are the document fields that the rule reads, as paths from a part.
	Reads []string
	// UsesFacts are facts of other packs that the rule reads.
	UsesFacts []string
	// Texts are the summaries by key; "pass", "marginal", "fail" and "unknown"
	// are the ones used unless the judgement says another.
	Texts map[string]string
	// Remedies are texts of what would settle a finding, by key.
	Remedies map[string]string
	// Cautions are texts about harm to people or parts, by key.
	Cautions map[string]string
	// Judge looks at one build and reports findings through the case.
	Judge func(*Case)
	// Overall marks a rule that speaks about all alternatives: it is judged once,
	// after the best has been chosen, and may ask Case.Tally how each did. Such
	// rules stand last in their pack.
	Overall bool
	// Alone marks a rule that judges by the build alone: its findings are the same
	// whatever facts there are, even what the pack reads of them before its rules are
	// judged. A shortlist asks such rules first, before anything is solved. The pack
	// must know one way of judging only, and the rule should cost little.
	Alone bool
	// Kinds are, of a rule that judges alone or has a Bound, the kinds of part that it looks
	// at then: what it finds, or its Bound says, is the same whatever parts of other kinds
	// say, but for names in its texts. A shortlist asks it once for all candidates of
	// another kind. Nil: perhaps all.
	Kinds []Kind
	// Bound tells a shortlist before anything is solved what the rule will come to at
	// best, through Case.Ceiling, Case.Unfit and Case.Quietest, for rules that do not
	// judge alone. There are no facts yet, and of several alternatives none is set. It
	// reports no findings, costs little, and says nothing where it is in doubt. May be
	// nil.
	Bound func(*Case)
}

// Parameter is one number that a policy may set.
type Parameter struct {
	// Name is "<rule>.<word>", or "tolerance.<word>" for one that a pack's rules
	// share. A share of one ends in "_share", any other in its unit.
	Name string
	// Unit is the unit as printed, empty for a share or a count.
	Unit string
	// Default, Least and Greatest bound the value.
	Default, Least, Greatest float64
	// Purpose says in a sentence what the number does.
	Purpose string
	// Source is where the default comes from.
	Source standards.Source
}

// Pack is a versioned set of rules that runs as a process of its own.
type Pack struct {
	// Name is one lower-case word.
	Name string
	// Version follows semantic versioning.
	Version string
	// Purpose says in a sentence what the pack knows.
	Purpose string
	// Needs are facts that it asks of other packs.
	Needs []string
	// Wants are those among Needs that others work out only when they are wanted, and
	// that this pack wants in every check.
	Wants []string
	// Provides are facts that it works out.
	Provides []string
	// Rules are judged, and their findings reported, in this order.
	Rules []Rule
	// OnRequest marks a pack that takes part only in checks that name it, such as
	// one that looks at catalogue entries instead of builds.
	OnRequest bool
	// Alternatives says how many ways of judging the build there are, such as the
	// layouts of an enclosure. All are judged and the best is reported: fewest
	// FAIL, then fewest UNKNOWN, then fewest MARGINAL, then the greatest smallest
	// margin in mm, then the first. Nil counts as one.
	Alternatives func(*Case) int
	// Conclude works out the facts that the pack provides, after its rules have
	// been judged, with the case set to the best alternative. May be nil.
	Conclude func(*Case)
}

// CommonPractice is the source of a value that is custom in the trade.
var CommonPractice = standards.Source{
	ID: "common-practice", Title: "custom of the trade", Standing: standards.CommonPractice, Witnesses: 1,
}
