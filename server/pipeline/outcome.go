package pipeline

import (
	"fmt"
	"math"

	"google.golang.org/protobuf/encoding/protowire"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// maxFindingsBytes bounds what one pack may say of one check.
const maxFindingsBytes = 1 << 20

// checkOutcome refuses an answer that would spoil the whole.
func (t *task) checkOutcome(o *packv1.Outcome) error {
	if t.line != nil {
		return checkBrief(o, t.run.packAt(t.pack), t.line.GetBare())
	}
	return checkOutcome(o, t.run.packAt(t.pack))
}

// checkBrief does so with what is said of a candidate, barely or in full.
func checkBrief(o *packv1.Outcome, p *rulesetPack, bare bool) error {
	b := o.GetBrief()
	if b == nil {
		return fmt.Errorf("it says nothing of a candidate")
	}
	for _, n := range [...]float64{b.GetMarginShare(), b.GetCeiling(), b.GetQuietestDba()} {
		if math.IsNaN(n) || math.IsInf(n, 0) {
			return fmt.Errorf("a margin share, ceiling or level that it tells of a candidate is no number")
		}
	}
	if b.GetVerdict() >= v1.Verdict_VERDICT_UNKNOWN && len(b.Finding) == 0 {
		return fmt.Errorf("it turns a candidate down and says no reason")
	}
	if b.MarginShare != nil && len(b.Finding) == 0 && !bare {
		return fmt.Errorf("it says a margin share of a candidate and no finding")
	}
	if bare && len(o.Counts) == 0 {
		return checkFindings(b.Finding, b.GetVerdict())
	}
	return checkOutcome(&packv1.Outcome{Findings: b.Finding, Verdict: b.Verdict, Counts: o.Counts}, p)
}

// checkOutcome refuses an answer that would spoil the whole: findings are copied
// into the answer as they are, so each must be a whole entry, and the counts must
// be those of the pack's catalogue.
func checkOutcome(o *packv1.Outcome, p *rulesetPack) error {
	if len(o.Counts) != 4*len(p.rules) {
		return fmt.Errorf("it counts %d verdicts for %d rules", len(o.Counts), len(p.rules))
	}
	return checkFindings(o.Findings, o.GetVerdict())
}

func checkFindings(findings []byte, verdict v1.Verdict) error {
	if len(findings) > maxFindingsBytes {
		return fmt.Errorf("its findings take %d bytes, more than the %d allowed", len(findings), maxFindingsBytes)
	}
	if verdict < v1.Verdict_VERDICT_PASS || verdict > v1.Verdict_VERDICT_FAIL {
		return fmt.Errorf("its verdict %d does not exist", verdict)
	}
	for b := findings; len(b) > 0; {
		if b[0] != findingsTag {
			return fmt.Errorf("its findings are no list of findings")
		}
		_, n := protowire.ConsumeBytes(b[1:])
		if n < 0 {
			return fmt.Errorf("its findings end in the middle")
		}
		b = b[1+n:]
	}
	return nil
}
