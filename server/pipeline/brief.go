package pipeline

import (
	"iter"
	"math"
	"slices"
	"strings"

	"google.golang.org/protobuf/encoding/protowire"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
	v1 "slipfit.example/proto/slipfit/v1"
)

// entriesOf yields the entries of a pack's findings, encoded with their tags and
// decoded. What cannot be read ends it; checkOutcome has looked at it before.
func entriesOf(findings []byte) iter.Seq2[[]byte, *v1.Finding] {
	return func(yield func([]byte, *v1.Finding) bool) {
		for len(findings) > 0 {
			value, n := protowire.ConsumeBytes(findings[1:])
			if n < 0 {
				return
			}
			f := new(v1.Finding)
			if f.UnmarshalVT(value) != nil || !yield(findings[:1+n:1+n], f) {
				return
			}
			findings = findings[1+n:]
		}
	}
}

// sumUp says shortly what a pack has said at length, as a pack does that takes
// candidates.
func sumUp(findings []byte, ids, prefixes []string, standing []*v1.Finding) *packv1.Brief {
	verdict, share := v1.Verdict_VERDICT_PASS, math.Inf(1)
	var decides, closest []byte
	for entry, f := range entriesOf(findings) {
		if s, ok := marginShare(f); ok && s < share && concerns(f, ids, prefixes) {
			closest, share = entry, s
		}
		if f.GetVerdict() <= verdict ||
			f.GetVerdict() >= v1.Verdict_VERDICT_UNKNOWN && (plug.LeftOpen(f, prefixes) || !concerns(f, ids, prefixes) && plug.Stands(f, standing)) {
			continue
		}
		if verdict = f.GetVerdict(); verdict >= v1.Verdict_VERDICT_UNKNOWN {
			decides = entry
		}
	}
	out := &packv1.Brief{Verdict: &verdict}
	switch {
	case decides != nil:
		out.Finding = decides
	case closest != nil:
		out.Finding, out.MarginShare = closest, &share
	}
	return out
}

// marginShare is the margin as a share of what is required; ok is false for counts, and
// for what saturates and does so.
func marginShare(f *v1.Finding) (share float64, ok bool) {
	if f.Margin == nil || f.GetMargin().GetUnit() == "" || f.GetRequired().GetNominal() == 0 || f.GetVerdict() == v1.Verdict_VERDICT_UNKNOWN {
		return 0, false
	}
	if share = f.GetMargin().GetNominal() / math.Abs(f.GetRequired().GetNominal()); f.GetSaturates() && share >= 0 {
		return 0, false
	}
	return share, !math.IsNaN(share) && !math.IsInf(share, 0)
}

// concerns tells whether a finding has to do with one of the items.
func concerns(f *v1.Finding, ids, prefixes []string) bool {
	for i := range ids {
		reads := func(path string) bool { return strings.HasPrefix(path, prefixes[i]) }
		if slices.Contains(f.Subjects, ids[i]) || slices.ContainsFunc(f.Missing, reads) ||
			slices.ContainsFunc(f.Inputs, func(in *v1.Input) bool { return reads(in.GetPath()) }) {
			return true
		}
	}
	return false
}
