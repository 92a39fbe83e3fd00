package gateway

import (
	"io"
	"net/http"
	"strings"
	"time"
)

// wholeBody is how many times Stall the body of a request that is no stream may take.
const wholeBody = 5

// guard keeps clients from holding the service by sending or taking slowly, and sets
// what every answer says of itself.
func (g *Gateway) guard(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		control := http.NewResponseController(w)
		stall, until := g.config.Stall, time.Now().Add(wholeBody*g.config.Stall)
		if g.streams[r.URL.Path] {
			stall, until = g.config.Idle, time.Time{}
		}
		if r.Body != nil && r.Body != http.NoBody {
			r.Body = &patientBody{r.Body, control, stall, until}
		}
		out := w.Header()
		out.Set("X-Content-Type-Options", "nosniff")
		out.Set("Referrer-Policy", "no-referrer")
		out.Set("Content-Security-Policy", "default-src 'none'; "+g.frames())
		h.ServeHTTP(&patientWriter{ResponseWriter: w, control: control, stall: g.config.Stall, frames: g.frames()}, r)
	})
}

// frames says which pages may show this one in a frame.
func (g *Gateway) frames() string {
	if len(g.config.Ancestors) == 0 {
		return "frame-ancestors 'none'"
	}
	return "frame-ancestors " + strings.Join(g.config.Ancestors, " ")
}

// patientBody gives each read of a body so long, and all of them together until then.
type patientBody struct {
	io.ReadCloser
	control *http.ResponseController
	stall   time.Duration
	until   time.Time // zero: no end
}

// Read reads, and lifts the limit at the end of the body: what the server reads then
// is whether the client is still there.
func (b *patientBody) Read(p []byte) (int, error) {
	limit := time.Now().Add(b.stall)
	if !b.until.IsZero() && limit.After(b.until) {
		limit = b.until
	}
	_ = b.control.SetReadDeadline(limit)
	n, err := b.ReadCloser.Read(p)
	if err == io.EOF {
		_ = b.control.SetReadDeadline(time.Time{})
	}
	return n, err
}

// patientWriter gives each write of an answer so long.
type patientWriter struct {
	http.ResponseWriter
	control *http.ResponseController
	stall   time.Duration
	frames  string
	begun   bool
}

// WriteHeader lets pages of the site have a policy of their own, but not other pages
// that may frame them.
func (w *patientWriter) WriteHeader(status int) {
	w.begun = true
	h := w.Header()
	if policy := h.Get("Content-Security-Policy"); !strings.Contains(policy, w.frames) {
		kept := strings.Split(policy, ";")
		for i, directive := range kept {
			if strings.HasPrefix(strings.TrimSpace(directive), "frame-ancestors") {
				kept[i] = ""
			}
		}
		h.Set("Content-Security-Policy", strings.Trim(strings.Join(append(kept, " "+w.frames), ";"), "; "))
	}
	w.ResponseWriter.WriteHeader(status)
}

func (w *patientWriter) Write(p []byte) (int, error) {
	if !w.begun {
		w.WriteHeader(http.StatusOK)
	}
	_ = w.control.SetWriteDeadline(time.Now().Add(w.stall))
	return w.ResponseWriter.Write(p)
}

// Flush sends what is written.
func (w *patientWriter) Flush() { _ = w.FlushError() }

// FlushError does so and tells what went wrong, for http.ResponseController.
func (w *patientWriter) FlushError() error {
	_ = w.control.SetWriteDeadline(time.Now().Add(w.stall))
	return w.control.Flush()
}

// Unwrap is for http.ResponseController.
func (w *patientWriter) Unwrap() http.ResponseWriter { return w.ResponseWriter }
