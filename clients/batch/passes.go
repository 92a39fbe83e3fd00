package batch

import (
	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Field numbers of slipfit.v1.CheckManyResponse, CheckResponse and Finding.
const (
	replyCheck     = 2
	answerFindings = 1
	findingVerdict = 5
)

// withoutPasses takes the findings that pass out of an encoded CheckManyResponse:
// they are most of an answer, and only a full one tells them. Bytes that it cannot
// read stay as they are, for the decoder to complain of.
func withoutPasses(reply []byte) []byte {
	out := make([]byte, 0, len(reply)/4)
	for b := reply; len(b) > 0; {
		number, kind, n := protowire.ConsumeField(b)
		if n < 0 {
			return reply
		}
		if number != replyCheck || kind != protowire.BytesType {
			out = append(out, b[:n]...)
			b = b[n:]
			continue
		}
		_, _, tag := protowire.ConsumeTag(b)
		check, _ := protowire.ConsumeBytes(b[tag:n])
		kept, ok := failing(check)
		if !ok {
			return reply
		}
		out = protowire.AppendBytes(protowire.AppendTag(out, replyCheck, protowire.BytesType), kept)
		b = b[n:]
	}
	return out
}

func failing(check []byte) (out []byte, ok bool) {
	for b := check; len(b) > 0; {
		number, kind, n := protowire.ConsumeField(b)
		if n < 0 {
			return nil, false
		}
		passes := false
		if number == answerFindings && kind == protowire.BytesType {
			_, _, tag := protowire.ConsumeTag(b)
			finding, _ := protowire.ConsumeBytes(b[tag:n])
			passes = verdictOf(finding) == v1.Verdict_VERDICT_PASS
		}
		if !passes {
			out = append(out, b[:n]...)
		}
		b = b[n:]
	}
	return out, true
}

func verdictOf(finding []byte) v1.Verdict {
	for b := finding; len(b) > 0; {
		number, kind, n := protowire.ConsumeField(b)
		if n < 0 {
			break
		}
		if number == findingVerdict && kind == protowire.VarintType {
			_, _, tag := protowire.ConsumeTag(b)
			v, _ := protowire.ConsumeVarint(b[tag:n])
			return v1.Verdict(v)
		}
		b = b[n:]
	}
	return v1.Verdict_VERDICT_UNSPECIFIED
}
