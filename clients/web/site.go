// Package web is the face of slipfit for browsers: the panel that a shop puts into
// its page, and the demo shop that shows it at work.
//
// What browsers load is built from the workspaces beside this file (panel, shop)
// and kept in dist, so that Go alone serves it. The panel asks POST /v1/check of
// the host that it came from; the shop asks POST /v1/shortlist as well.
package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
	"time"
)

//go:embed dist
var dist embed.FS

// PanelPath is where the panel's module is served: the address of the script tag
// in a shop's page.
const PanelPath = "/slipfit-panel.js"

// panelFiles is how the names of the panel's modules begin: its own, and one for
// each language besides English.
const panelFiles = "slipfit-panel"

// pagePolicy is what pages may load: what comes from here, and nothing inline.
const pagePolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// New gives the demo shop, the panel's module and the demo's data as a handler to
// be mounted at the root. The api answers below /v1/; the site passes a sheet's
// question on to it. The error says which of the demo's documents cannot be read.
func New(api http.Handler) (http.Handler, error) {
	pages, err := fs.Sub(dist, "dist")
	if err != nil {
		return nil, fmt.Errorf("the built pages are not in this program: %w", err)
	}
	mux := http.NewServeMux()
	err = fs.WalkDir(pages, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		body, err := fs.ReadFile(pages, name)
		if err != nil {
			return err
		}
		mux.Handle(route(name), newPage(name, body))
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("the built pages cannot be read: %w", err)
	}
	data, err := readDemo()
	if err != nil {
		return nil, err
	}
	mux.Handle("GET /demo/builds.json", newPage("builds.json", data.builds))
	mux.Handle("GET /demo/parts.json", newPage("parts.json", data.parts))
	mux.Handle("POST /sheet", sheetForm(api))
	return mux, nil
}

// route is the pattern of a built file: a folder's index.html answers for the folder.
func route(name string) string {
	folder, file := path.Split(name)
	if file == "index.html" {
		return "GET /" + folder + "{$}"
	}
	return "GET /" + name
}

// page is one file that never changes while the program runs.
type page struct {
	body   []byte
	packed []byte // body as gzip, nothing where that is no smaller
	kind   string
	etag   string
	html   bool
	free   bool
}

func newPage(name string, body []byte) *page {
	sum := sha256.Sum256(body)
	kind := mime.TypeByExtension(path.Ext(name))
	switch path.Ext(name) {
	// Named here, since the machine's own table may say something else or nothing.
	case ".js":
		kind = "text/javascript; charset=utf-8"
	case ".json":
		kind = "application/json"
	}
	return &page{
		body: body, packed: pack(body), kind: kind, etag: `"` + hex.EncodeToString(sum[:12]) + `"`,
		html: strings.HasSuffix(name, ".html"), free: strings.HasPrefix(name, panelFiles),
	}
}

// ServeHTTP answers with the file, or with 304 where the browser has it already.
func (p *page) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Type", p.kind)
	h.Set("ETag", p.etag)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Cache-Control", "no-cache") // kept, and asked after: an update of the service reaches pages at once
	if p.html {
		h.Set("Content-Security-Policy", pagePolicy)
		h.Set("Referrer-Policy", "no-referrer")
	}
	if p.free {
		// Browsers load modules of another origin only with its leave. Which pages
		// may ask for checks is another matter, and the service's own list.
		h.Set("Access-Control-Allow-Origin", "*")
		h.Set("Cross-Origin-Resource-Policy", "cross-origin")
	}
	h.Set("Vary", "Accept-Encoding")
	body := p.body
	if p.packed != nil && takesGzip(r.Header.Get("Accept-Encoding")) {
		body = p.packed
		h.Set("Content-Encoding", "gzip")
		h.Set("ETag", strings.TrimSuffix(p.etag, `"`)+`-gzip"`)
	}
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(body))
}

// pack compresses once what is served often.
func pack(body []byte) []byte {
	var packed bytes.Buffer
	w, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return nil
	}
	if _, err := w.Write(body); err != nil || w.Close() != nil || packed.Len() >= len(body) {
		return nil
	}
	return packed.Bytes()
}

// takesGzip reports whether an Accept-Encoding names gzip and does not refuse it
// (RFC 9110, section 12.5.3).
func takesGzip(accept string) bool {
	for coding := range strings.SplitSeq(accept, ",") {
		name, weight, _ := strings.Cut(coding, ";")
		if strings.EqualFold(strings.TrimSpace(name), "gzip") {
			q, ok := strings.CutPrefix(strings.ReplaceAll(weight, " ", ""), "q=")
			return !ok || strings.Trim(q, "0.") != ""
		}
	}
	return false
}
