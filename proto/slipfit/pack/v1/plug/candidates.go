package plug

import (
	"slices"
	"strings"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Forms of the protocol that a pack may list among its capabilities.
const (
	// Candidates says that it takes batches with a line: one build in which one part is
	// exchanged again and again, answered in brief.
	Candidates = "candidates"
	// Alone says that it can be asked first for the rules that judge by the build alone,
	// whatever the facts turn out to be.
	Alone = "alone"
)

// BrokenRule is the key of what is said where a rule broke.
const BrokenRule = "kit.rule-broken"

// LeavesOpen tells whether a path that a finding misses is something that the asker has
// left open: a part that the build does not hold yet, the room, or how it is used.
func LeavesOpen(path string) bool {
	return path == "items" || strings.HasPrefix(path, "room.") || strings.HasPrefix(path, "use.")
}

// LeftOpen tells whether a finding is UNKNOWN for want of what the asker has left open,
// and of nothing below the paths of the items that are sought, such as "items[3].". No
// candidate is to blame then.
func LeftOpen(f *v1.Finding, sought []string) bool {
	if f.GetVerdict() != v1.Verdict_VERDICT_UNKNOWN || len(f.MissingFacts) > 0 || f.GetSummary().GetKey() == BrokenRule {
		return false
	}
	return slices.ContainsFunc(f.Missing, LeavesOpen) && !slices.ContainsFunc(f.Missing, func(path string) bool {
		return slices.ContainsFunc(sought, func(item string) bool { return strings.HasPrefix(path, item) })
	})
}

// Stands tells whether a finding about a build with a candidate, in which the candidate
// has no part itself, comes to the same without it, so that it is not held against the
// candidate. Without are the pack's findings without it:
//
//   - UNKNOWN stands where the same rule wants the same of the same items: the build
//     lacks it, whatever the candidate is. Numbers that are known beside may differ.
//   - FAIL stands where the same rule fails for the same items by no smaller a margin.
//   - Where there is nothing to compare, it stands word for word.
//
// That a rule broke never stands.
func Stands(f *v1.Finding, without []*v1.Finding) bool {
	if f.GetSummary().GetKey() == BrokenRule {
		return false
	}
	return slices.ContainsFunc(without, func(w *v1.Finding) bool {
		if w.GetRule() != f.GetRule() || w.GetVerdict() != f.GetVerdict() || !slices.Equal(w.Subjects, f.Subjects) {
			return false
		}
		switch {
		case proto.Equal(w, f):
			return true
		case f.GetVerdict() == v1.Verdict_VERDICT_UNKNOWN:
			return len(f.Missing)+len(f.MissingFacts) > 0 &&
				slices.Equal(w.Missing, f.Missing) && slices.Equal(w.MissingFacts, f.MissingFacts)
		case f.GetVerdict() == v1.Verdict_VERDICT_FAIL:
			return w.Margin.GetUnit() == f.Margin.GetUnit() && w.Margin != nil && f.Margin != nil && w.Margin.GetWord() == "" &&
				f.Margin.GetNominal() >= w.Margin.GetNominal()
		}
		return false
	})
}
