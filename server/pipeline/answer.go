package pipeline

import (
	"slices"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Field numbers of slipfit.v1.CheckResponse.
const (
	responseVerdict = 2
	responseBuildID = 4
	responseFacts   = 5
)

// answer puts the encoded CheckResponse together: findings are copied as the
// packs wrote them, pack by pack in the order of their names.
func (r *run) answer() []byte {
	size := len(r.ruleset.encoded) + len(r.envelope.buildID) + 32
	for i := range r.outcomes {
		size += len(r.outcomes[i].findings)
	}
	b := make([]byte, 0, size)
	whole := true
	for i := range r.outcomes {
		switch o := &r.outcomes[i]; {
		case !r.asks(i):
			whole = whole && r.ruleset.packs[i].onRequest
		case o.failure != nil:
			whole = false
			b = append(b, r.silence(i)...)
		default:
			whole = whole && !r.ruleset.packs[i].onRequest
			b = append(b, o.findings...)
		}
	}
	b = protowire.AppendTag(b, responseVerdict, protowire.VarintType)
	b = protowire.AppendVarint(b, uint64(r.verdict()))
	b = append(b, r.encodedRuleset(whole)...)
	if r.envelope.buildID != nil {
		b = protowire.AppendTag(b, responseBuildID, protowire.BytesType)
		b = protowire.AppendBytes(b, r.envelope.buildID)
	}
	return r.appendWanted(b)
}

// appendWanted adds the facts that the asker wants, as the packs encoded them.
func (r *run) appendWanted(b []byte) []byte {
	if len(r.envelope.wants) == 0 {
		return b
	}
	for i := range r.outcomes {
		for _, fact := range r.outcomes[i].facts {
			if slices.Contains(r.envelope.wants, fact.GetName()) {
				b = protowire.AppendTag(b, responseFacts, protowire.BytesType)
				b = protowire.AppendBytes(b, fact.GetValue())
			}
		}
	}
	return b
}

func (r *run) encodedRuleset(whole bool) []byte {
	if whole && len(r.envelope.policy) == 0 && r.envelope.house == nil {
		return r.ruleset.encoded
	}
	rs := r.ruleset
	counts := func(pack int) bool { return rs.ordinary(pack) || r.asks(pack) }
	digest := rs.digestWith(r.envelope.policy, r.envelope.house, counts)
	return rs.encode(digest, counts, func(pack int) bool { return r.asks(pack) && r.outcomes[pack].failure == nil })
}

// silence is the finding that stands for a pack which did not answer.
func (r *run) silence(pack int) []byte {
	return silenceOf(r.ruleset.packs[pack], r.outcomes[pack].failure)
}

func silenceOf(p *rulesetPack, f *failure) []byte {
	text := "The " + p.name + " pack did not answer, so none of its rules has been judged: " + f.reason + "."
	action := "Ask again; if it stays away, read the service's log and the list of packs."
	encoded, err := (&v1.CheckResponse{Findings: []*v1.Finding{{
		Rule: ptr("host.pack-answers"), Pack: &p.name, Version: &p.version,
		Verdict: v1.Verdict_VERDICT_UNKNOWN.Enum(),
		Summary: &v1.Message{
			Key: ptr("host.pack-answers." + string(f.kind)), Text: &text,
			Arguments: []*v1.Argument{
				{Name: ptr("pack"), Value: &v1.Quantity{Word: &p.name}},
				{Name: ptr("reason"), Value: &v1.Quantity{Word: &f.reason}},
			},
		},
		Remedies: []*v1.Remedy{{Action: &v1.Message{Key: ptr("host.pack-answers.remedy.again"), Text: &action}}},
	}}}).MarshalVT()
	if err != nil {
		panic(err) // only strings of our own
	}
	return encoded
}

func ptr[T any](v T) *T { return &v }
