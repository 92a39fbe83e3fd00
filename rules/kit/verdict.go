package kit

import v1 "slipfit.example/proto/slipfit/v1"

// Verdict is the answer to one requirement. A greater one is worse.
type Verdict = v1.Verdict

// Verdicts, from the best to the worst.
const (
	Pass     = v1.Verdict_VERDICT_PASS
	Marginal = v1.Verdict_VERDICT_MARGINAL
	Unknown  = v1.Verdict_VERDICT_UNKNOWN
	Fail     = v1.Verdict_VERDICT_FAIL
)

// Relation is how a measured value must stand to the required one.
type Relation = v1.Relation

// Relations.
const (
	AtMost  = v1.Relation_RELATION_AT_MOST
	AtLeast = v1.Relation_RELATION_AT_LEAST
	Among   = v1.Relation_RELATION_AMONG
)

// verdictOf judges a margin: FAIL where the nominal value misses, MARGINAL where
// only the unfavourable end does, PASS where the whole range meets.
func verdictOf(nominal, low float64) Verdict {
	switch {
	case nominal < 0:
		return Fail
	case low < 0:
		return Marginal
	default:
		return Pass
	}
}

// textKeyOf is the key of the text that a verdict uses unless a rule says another.
func textKeyOf(v Verdict) string {
	switch v {
	case Pass:
		return "pass"
	case Marginal:
		return "marginal"
	case Fail:
		return "fail"
	default:
		return "unknown"
	}
}
