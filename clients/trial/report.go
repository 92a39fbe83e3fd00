package trial

import (
	"cmp"
	"slices"
	"strings"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
)

// Report is what a trial came to.
type Report struct {
	// Baseline and Candidate are what the rulesets are called.
	Baseline, Candidate string
	// Differences are the builds that differ or were refused.
	Differences []*v1.BuildDifference
	// Summary is the whole.
	Summary *v1.TrialSummary
	// Examples are reduced builds in which one flip just stays.
	Examples []Example
}

// Example is a reduced build.
type Example struct {
	Direction
	// Tag is the build that it was reduced from.
	Tag string
	// Document is what is left of it, as YAML.
	Document string
	// Minimal tells that no single further removal keeps the flip.
	Minimal bool
}

// Sort puts differences in order of their tags: answers come as they are ready.
func (r *Report) Sort() {
	slices.SortFunc(r.Differences, func(a, b *v1.BuildDifference) int { return strings.Compare(a.GetTag(), b.GetTag()) })
}

// Row is one line of the evidence of both sides.
type Row struct {
	Label, Baseline, Candidate string
}

// Differs tells whether the two sides say different things.
func (r Row) Differs() bool { return r.Baseline != r.Candidate }

// Evidence puts the evidence of both sides of a flip beside each other: summary,
// quantities, inputs, what is missing, and the pack's version.
func Evidence(f *v1.Flip) []Row {
	b, c := f.GetBaseline(), f.GetCandidate()
	rows := []Row{
		{"verdict", verdictWord(b.GetVerdict()), verdictWord(c.GetVerdict())},
		{"says", b.GetSummary().GetText(), c.GetSummary().GetText()},
		{"measured", number(b.GetMeasured()), number(c.GetMeasured())},
		{"required", number(b.GetRequired()), number(c.GetRequired())},
		{"margin", number(b.GetMargin()), number(c.GetMargin())},
	}
	rows = append(rows, inputRows(b.GetInputs(), c.GetInputs())...)
	rows = append(rows,
		Row{"missing", missing(b), missing(c)},
		Row{"pack", packWords(b), packWords(c)},
	)
	return slices.DeleteFunc(rows, func(r Row) bool { return r.Baseline == "" && r.Candidate == "" })
}

func inputRows(b, c []*v1.Input) (rows []Row) {
	for _, in := range b {
		rows = append(rows, Row{in.GetPath(), inputWords(in), inputWords(inputAt(c, in.GetPath()))})
	}
	for _, in := range c {
		if inputAt(b, in.GetPath()) == nil {
			rows = append(rows, Row{in.GetPath(), "", inputWords(in)})
		}
	}
	return rows
}

func inputAt(inputs []*v1.Input, path string) *v1.Input {
	for _, in := range inputs {
		if in.GetPath() == path {
			return in
		}
	}
	return nil
}

func inputWords(in *v1.Input) string {
	words := number(in.GetValue())
	if in.GetAssumed() {
		words += ", assumed"
	}
	return words
}

// number prints a quantity, nothing where there is none.
func number(q *v1.Quantity) string {
	if q == nil {
		return ""
	}
	return report.Number(q)
}

func missing(f *v1.Finding) string {
	return strings.Join(slices.Concat(f.GetMissing(), f.GetMissingFacts()), ", ")
}

func packWords(f *v1.Finding) string {
	return strings.TrimSpace(f.GetPack() + " " + f.GetVersion())
}

// NewUnknowns counts findings that were known and are not any more.
func NewUnknowns(s *v1.TrialSummary) (n uint64) {
	for _, f := range s.GetFlips() {
		if f.GetTo() == v1.Verdict_VERDICT_UNKNOWN {
			n += f.GetCount()
		}
	}
	return n
}

// FlipsTo counts findings that come to one of the verdicts; VERDICT_UNSPECIFIED
// stands for those that are not there any more.
func FlipsTo(s *v1.TrialSummary, verdicts ...v1.Verdict) (n uint64) {
	for _, f := range s.GetFlips() {
		if slices.Contains(verdicts, f.GetTo()) {
			n += f.GetCount()
		}
	}
	return n
}

// byInterest orders counts as directions are ordered.
func byInterest(flips []*v1.FlipCount) []*v1.FlipCount {
	out := slices.Clone(flips)
	slices.SortFunc(out, func(a, b *v1.FlipCount) int { return compareDirections(directionOfCount(a), directionOfCount(b)) })
	return out
}

func directionOfCount(f *v1.FlipCount) Direction {
	return Direction{f.GetRule(), f.GetFrom(), f.GetTo()}
}

// ratio is how much longer the candidate took, 0 where that cannot be told.
func ratio(s *v1.TrialSummary) float64 {
	if s.GetBaseline().GetSeconds() <= 0 {
		return 0
	}
	return s.GetCandidate().GetSeconds() / s.GetBaseline().GetSeconds()
}

// subjects names what a finding is about.
func subjects(list []string) string { return cmp.Or(strings.Join(list, ", "), "the build") }

// refusalLines are what is wrong with a build that was not judged.
func refusalLines(r *v1.Refusal) (out []string) {
	for _, v := range r.GetViolations() {
		out = append(out, strings.TrimPrefix(v.GetPath()+": "+v.GetReason(), ": "))
	}
	if len(out) == 0 {
		out = append(out, r.GetReason())
	}
	return out
}
