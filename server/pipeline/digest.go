package pipeline

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/policy"
)

// Digest is the digest of the ruleset with which SubmitOver would answer a request,
// worked out without asking a pack. It does not look at the build. An answer bears it
// whether or not every pack answered. The error is that of SubmitOver.
func (p *Pipeline) Digest(lower policy.Values, check []byte) (string, error) {
	e, err := openEnvelope(check)
	if err != nil {
		return "", err
	}
	rs, refused := p.follows(&e, lower)
	if len(refused) > 0 {
		return "", &RefusedError{refused}
	}
	if len(e.policy) == 0 && len(e.packs) == 0 && e.house == nil {
		return rs.digest, nil
	}
	return rs.digestWith(e.policy, e.house, func(pack int) bool {
		return rs.ordinary(pack) || pinned(e.packs, rs.packs[pack].name)
	}), nil
}

func pinned(pins []*v1.PackPin, pack string) bool {
	for _, pin := range pins {
		if pin.GetName() == pack {
			return true
		}
	}
	return false
}
