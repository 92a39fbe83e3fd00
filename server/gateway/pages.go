package gateway

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"net/http"
	"regexp"
	"time"
)

// sheetPolicy is what a sheet may load: nothing but the styles that it brings along,
// its own and those of its drawings, which are known by their hashes.
func (g *Gateway) sheetPolicy(page []byte) string {
	styles := ""
	for _, style := range styleForm.FindAllSubmatch(page, -1) {
		sum := sha256.Sum256(style[1])
		styles += " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	policy := "default-src 'none'; img-src data:; base-uri 'none'; form-action 'none'; "
	if styles != "" {
		policy += "style-src" + styles + "; "
	}
	return policy + g.frames()
}

// styleForm finds what stands in a style element. Text of a sheet has no bare angle
// brackets, so that nothing else looks like one.
var styleForm = regexp.MustCompile(`(?s)<style(?: [^<>]*)?>([^<]*)</style>`)

// addDescription serves the OpenAPI document.
func (g *Gateway) addDescription(mux *http.ServeMux) {
	for path, page := range map[string]struct {
		media string
		text  []byte
	}{
		"/openapi.json": {"application/vnd.oai.openapi+json;version=3.1", g.config.Description},
		"/openapi.yaml": {"application/vnd.oai.openapi;version=3.1", g.config.DescriptionYAML},
	} {
		if len(page.text) == 0 {
			continue
		}
		sum := sha256.Sum256(page.text)
		tag := `"` + hex.EncodeToString(sum[:12]) + `"`
		mux.HandleFunc("GET "+path, func(w http.ResponseWriter, r *http.Request) {
			h := w.Header()
			h.Set("Content-Type", page.media)
			h.Set("ETag", tag)
			h.Set("Cache-Control", "no-cache")
			h.Set("Access-Control-Allow-Origin", "*") // it is the same for everybody
			http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(page.text))
		})
	}
}

// directory says what is where, in place of pages.
func (g *Gateway) directory(w http.ResponseWriter, r *http.Request) {
	if r.URL.Path != "/" {
		noRoute(w, r)
		return
	}
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		wrongVerb(w, r, []string{http.MethodGet})
		return
	}
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	_, _ = w.Write([]byte(directoryText))
}

const directoryText = `slipfit: do the parts of a small computer go together?

POST /v1/check           one build            {"build": {...}}
POST /v1/shortlist       which parts fit      {"plan": {...}, "candidates": [...]}
POST /v1/sheet           a printable record   {"build": {...}}
GET  /v1/packs           what answers
GET  /v1/rules/RULE      one rule explained
POST /v1/check-many      many builds, one a line
POST /v1/shortlist-many  many candidates, one a line
POST /v1/matrix          rows against columns, one a line
GET  /openapi.json       all of it, by OpenAPI 3.1; /openapi.yaml as YAML

Connect and gRPC-Web answer at the names of the methods, such as
/slipfit.v1.CheckService/Check. The demo shop is not served here.
`
