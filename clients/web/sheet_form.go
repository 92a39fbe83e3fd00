package web

import (
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
)

// maxForm is the greatest size of a posted form in bytes: a check of 1 MiB encoded
// is well below it as JSON with its characters escaped.
const maxForm = 8 << 20

// sheetForm takes a check as the field "check" of a posted form, as JSON, and has
// the api answer it with a page. A link cannot carry a build, and a page that a
// script makes would stand under the shop's own policy, which forbids the sheet's
// styles.
func sheetForm(api http.Handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, maxForm)
		if err := r.ParseForm(); err != nil {
			http.Error(w, "The form cannot be read; send the field \"check\" of at most 8 MiB.", http.StatusBadRequest)
			return
		}
		check := r.PostForm.Get("check")
		if check == "" {
			http.Error(w, "The form has no field \"check\"; send the question to make a sheet of.", http.StatusBadRequest)
			return
		}
		inner := r.Clone(r.Context())
		inner.URL = &url.URL{Path: "/v1/sheet"}
		inner.RequestURI = "/v1/sheet"
		inner.Body, inner.ContentLength = io.NopCloser(strings.NewReader(check)), int64(len(check))
		inner.Form, inner.PostForm = nil, nil
		inner.Header.Set("Content-Type", "application/json")
		inner.Header.Set("Content-Length", strconv.Itoa(len(check)))
		inner.Header.Set("Accept", "text/html")
		api.ServeHTTP(w, inner)
	}
}
