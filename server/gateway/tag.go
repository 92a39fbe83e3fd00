package gateway

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"strings"
)

// tagOf is the entity tag of the answer to a request, worked out before it is
// answered: the SHA-256 of the request, of the digest of the ruleset that would answer
// it, of the form of the answer, and of this program's build. It is weak, since the
// same answer may come in several codings. Empty: the answer has none, because
// something else decides it too, or because the request is refused.
func (g *Gateway) tagOf(ctx context.Context, m *method, request []byte, media string) string {
	if m.question == nil {
		return ""
	}
	digest, err := g.service.Digest(ctx, m.question(request))
	if err != nil {
		return ""
	}
	h := sha256.New()
	for _, part := range []string{g.build, m.name, media, digest} {
		_, _ = h.Write([]byte(part))
		_, _ = h.Write([]byte{0})
	}
	_, _ = h.Write(request)
	const enough = 18
	return `W/"` + base64.RawURLEncoding.EncodeToString(h.Sum(nil)[:enough]) + `"`
}

// matches tells whether If-None-Match has a tag (RFC 9110, section 13.1.2, by weak
// comparison). "*" matches nothing here: there is no answer before there was a question.
func matches(lines []string, tag string) bool {
	opaque := strings.TrimPrefix(tag, "W/")
	for _, line := range lines {
		for entry := range strings.SplitSeq(line, ",") {
			if strings.TrimPrefix(strings.TrimSpace(entry), "W/") == opaque {
				return true
			}
		}
	}
	return false
}
